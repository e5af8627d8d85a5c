package plan

import (
	"slices"

	"tankful/calc/date"
	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/problem"
	"tankful/calc/season"
)

// seasons holds the visit of every stop against the limits of its labels and of the place.
func (m *maker) seasons() {
	if _, err := date.Parse(m.day.Date); err != nil { // reported
		return
	}
	for i := range m.work {
		m.season(i)
	}
}

// season holds one stop. What another stop of the day puts on the same property counts as put on before.
func (m *maker) season(i int) {
	w, s := &m.work[i], &m.plan.Stops[i]
	r := m.carried[w.mix].recipe
	if len(r.Parts) == 0 {
		return
	}
	known := season.Season{Past: slices.Clone(m.day.Past), Limits: m.day.Limits, Products: m.day.Products}
	for k := range m.work {
		if k != i && m.plan.Stops[k].Property == s.Property {
			for _, p := range m.carried[m.work[k].mix].recipe.Parts {
				known.Past = append(known.Past, season.Applied{Date: m.day.Date, Property: s.Property, Product: p.Product, Rate: p.Rate, Where: m.work[k].stop.Where})
			}
		}
	}
	v := season.Visit{Date: m.day.Date, Property: s.Property, Grass: w.stop.Grass, Applicator: string(m.plan.Mixes[w.mix].Kind), Where: w.stop.Where}
	for _, p := range r.Parts {
		v.Parts = append(v.Parts, season.Part{Product: p.Product, Rate: p.Rate})
	}
	result, found := known.Check(v)
	for _, p := range found {
		// Without a limit that asks for it, a product without an analysis is no fault: the sheet names it beside the sums.
		if p.Code != "analysis-missing" || p.Severity == problem.Error {
			m.problems = append(m.problems, p)
		}
	}
	s.Season.Recorded = m.day.Recorded || len(m.day.Past) > 0
	s.Season.fill(result, r)
}

// empty is a season with nothing in it, [] in JSON.
func (s *Season) empty() {
	s.Adds, s.Year, s.Unknown, s.Limits = []season.Total{}, []season.Total{}, []string{}, []season.Line{}
}

// fill takes over what was found.
func (s *Season) fill(r season.Result, recipe mix.Recipe) {
	for _, n := range r.Adds.Nutrients {
		if n.Weight > 0 {
			s.Adds = append(s.Adds, n)
		}
		if n.Weight += r.Year.Of(n.Of); n.Weight > 0 && s.Recorded {
			s.Year = append(s.Year, n)
		}
	}
	for _, n := range r.Year.Nutrients {
		has := func(t season.Total) bool { return t.Of == n.Of }
		if n.Weight > 0 && s.Recorded && !slices.ContainsFunc(s.Year, has) {
			s.Year = append(s.Year, n)
		}
	}
	for _, u := range slices.Concat(r.Adds.Unknown, r.Year.Unknown) {
		if !slices.Contains(s.Unknown, u) {
			s.Unknown = append(s.Unknown, u)
		}
	}
	for _, l := range r.Lines {
		if !ownMost(l, recipe) {
			s.Limits = append(s.Limits, l)
		}
	}
}

// ownMost reports whether the line is a label's own most per application, which the sheet prints beside the rate.
func ownMost(l season.Line, r mix.Recipe) bool {
	return slices.ContainsFunc(r.Parts, func(p mix.Part) bool {
		most := label.Limit{Of: p.Product.Name, Per: label.PerApplication}
		return l.Kind == season.Cap && l.Title == most.Title() && l.Most == p.Product.Label.Most && l.Citation == p.Product.Label.Citation
	})
}
