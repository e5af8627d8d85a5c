package plan

import (
	"fmt"
	"slices"
	"strings"

	"tankful/calc/mix"
	"tankful/calc/unit"
	"tankful/geo"
)

const (
	// leastTold is the area from which something is told, and toldShare the share of the net turf: double and beside-turf areas
	// are measured to about 0.1 %.
	leastTold = 5 * unit.SquareFoot // common practice, no source
	toldShare = 0.002
	// evenNoise is by how much passes may be closer than the swath before that counts.
	evenNoise = 1e-6
)

// sprayed tells what the passes of a stop put where it should not be, or twice, and what the hose does not reach. It changes no
// amount; what is over a label all over a section stops the plan.
func (m *maker) sprayed(w *work) {
	laid := w.passes
	if laid.Setup.Trims {
		m.closer(w)
	} else {
		m.twice(w)
		m.onto(w)
	}
	if m.plan.Mixes[w.mix].Granules == nil {
		m.outOfHose(w)
	}
}

// over lists the products of a stop's mix of which that many times the rate is over the label's most.
func (m *maker) over(w *work, times float64) (parts []mix.Part) {
	for _, part := range m.carried[w.mix].recipe.Ordered() {
		if !part.Rate.Exceeds(part.Product.Label.Most) && part.Rate.Times(times).Exceeds(part.Product.Label.Most) {
			parts = append(parts, part)
		}
	}
	return parts
}

// twice warns of turf that a fixed width sprays twice, where that is more than a label allows.
func (m *maker) twice(w *work) {
	units, laid := m.day.Units, w.passes
	if laid.Double < max(leastTold, toldShare*laid.Net) {
		return
	}
	if parts := m.over(w, 2); len(parts) > 0 {
		m.problems.Warnf("double-over-label", w.stop.Where, "Shut off where a swath would run over sprayed turf, or take a lower rate.",
			"at %s about %s of turf lie in two swaths of %s, and where they overlap %s", w.stop.Site.Property.Name, units.Area(laid.Double),
			m.plan.Mixes[w.mix].Applicator, m.overText(parts, 2))
	}
}

// overText says of each product what it comes to: "Feed comes to 10 fl oz/1000 sq ft, over the label's most, 8 fl oz/1000 sq ft".
func (m *maker) overText(parts []mix.Part, times float64) string {
	var out []string
	for _, p := range parts {
		text := fmt.Sprintf("%s comes to %s, over the label's most, %s", p.Product.Name, p.Rate.Times(times).Text(m.day.Units), p.Product.Label.Most.Text(m.day.Units))
		if c := p.Product.Label.Citation; c != "" {
			text += " [" + c + "]"
		}
		out = append(out, text)
	}
	return strings.Join(out, "; ")
}

// closer refuses passes that are drawn together until more goes on than a label allows: at the same pace the mix of a swath falls on
// less turf, all over the section.
func (m *maker) closer(w *work) {
	units, laid := m.day.Units, w.passes
	if !laid.Setup.Even {
		return
	}
	narrow := laid.Setup.Swath
	for _, s := range laid.Sections {
		if s.Spacing > 0 {
			narrow = min(narrow, s.Spacing)
		}
	}
	times := float64(laid.Setup.Swath / narrow)
	if times < 1+evenNoise {
		return
	}
	if parts := m.over(w, times); len(parts) > 0 {
		m.problems.Errorf("even-over-label", w.stop.Where, "Lay these passes without even spacing, or take a lower rate.",
			"at %s passes lie %s apart instead of %s, and %s", w.stop.Site.Property.Name, units.Length(narrow), units.Length(laid.Setup.Swath), m.overText(parts, times))
	}
}

// onto warns, surface by surface, of mix that a fixed width puts on ground that is left out; of water from little on.
func (m *maker) onto(w *work) {
	units, laid := m.day.Units, w.passes
	for _, s := range geo.LeftOut {
		a, least := laid.Onto[s], leastTold
		if s != geo.Water {
			least = max(least, toldShare*laid.Net)
		}
		if a < least {
			continue
		}
		fix := "Walk an edge lap first and shut off before it, or do this stop with what is shut at the edge."
		if laid.Setup.Laps > 0 {
			fix = "Shut off before the turf's edge, or do this stop with what is shut there."
		}
		what := "mix"
		if m.plan.Mixes[w.mix].Granules != nil {
			what = "granules"
		}
		m.problems.Warnf("onto-"+string(s), w.stop.Where, fix, "at %s the whole width of %s puts %s on about %s of %s",
			w.stop.Site.Property.Name, m.plan.Mixes[w.mix].Applicator, what, units.Area(a), s)
	}
}

// outOfHose warns of passes that the hose does not reach.
func (m *maker) outOfHose(w *work) {
	laid, units := w.passes, m.day.Units
	if laid.Reach == nil || len(laid.Reach.Out) == 0 {
		return
	}
	site, far := w.stop.Site, unit.Length(0)
	var beyond, shut []int // too far, and shut in so that no way leads there
	for _, n := range laid.Reach.Out {
		if h := laid.Passes[n-1].Hose; h > laid.Setup.Hose {
			beyond, far = append(beyond, n), max(far, h)
		} else {
			shut = append(shut, n)
		}
	}
	if len(shut) > 0 {
		m.problems.Warnf("out-of-hose", w.stop.Where, "Enter another place for the truck, or lift the hose over what is in its way.",
			"at %s no way leads the hose from the truck round beds, buildings and water to all of %s", site.Property.Name, numbered(shut))
	}
	if len(beyond) == 0 {
		return
	}
	fix := "Carry more hose, or enter another place for the truck."
	if laid.Reach.Second != nil {
		at := site.Frame.Inverse(*laid.Reach.Second)
		fix = fmt.Sprintf("Move the truck to latitude %.6f, longitude %.6f for them, from where the hose reaches, or carry more hose.", at[1], at[0])
	}
	m.problems.Warnf("out-of-hose", w.stop.Where, fix, "at %s the hose of %s does not reach all of %s: up to %s is needed", site.Property.Name,
		units.Length(laid.Setup.Hose), numbered(beyond), units.Length(far))
}

// numbered names passes by number: "pass 4", "passes 4, 7-9".
func numbered(ns []int) string {
	ns = slices.Sorted(slices.Values(ns))
	var runs []string
	for i := 0; i < len(ns); {
		k := i
		for k+1 < len(ns) && ns[k+1] == ns[k]+1 {
			k++
		}
		if run := fmt.Sprint(ns[i]); k == i {
			runs = append(runs, run)
		} else {
			runs = append(runs, fmt.Sprintf("%s-%d", run, ns[k]))
		}
		i = k + 1
	}
	word := "passes "
	if len(ns) == 1 {
		word = "pass "
	}
	return word + strings.Join(runs, ", ")
}
