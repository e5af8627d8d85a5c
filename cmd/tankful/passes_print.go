package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"tankful/calc/unit"
	"tankful/plan"
	"tankful/plan/pass"
)

// printPasses prints a line a property, what else there is to know of each, and every pass where that is asked.
func printPasses(w io.Writer, laid []covered, f *passFlags, units unit.System, each bool) error {
	if !slices.ContainsFunc(laid, func(c covered) bool { return c.plan != nil }) {
		return nil
	}
	if err := passTable(w, laid, f, units); err != nil {
		return err
	}
	fmt.Fprintf(w, "Swath %s. \"At least\" is what no plan with this swath can go below.\n", units.Length(f.applicator.Swath))
	for _, c := range laid {
		if c.plan == nil {
			continue
		}
		said := passNotes(c, f, units)
		if len(said) > 0 || each {
			fmt.Fprintf(w, "\n%s\n", c.plan.ID)
		}
		for _, s := range said {
			fmt.Fprintf(w, "  %s\n", s)
		}
		if each {
			if err := everyPass(w, c.plan, f, units); err != nil {
				return err
			}
		}
	}
	return nil
}

func passTable(w io.Writer, laid []covered, f *passFlags, units unit.System) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	head := "property\tnet turf\tpasses\tat least\tdirection\tsprayed\tat least\tdead walk\t"
	if f.pace > 0 {
		head += "walk\t"
	}
	if f.rate > 0 {
		head += "mix\t"
	}
	fmt.Fprintln(t, head)
	sum, rows := passRow{name: "together"}, 0
	for _, c := range laid {
		p := c.plan
		if p == nil {
			fmt.Fprintf(t, "%s\tno passes%s\n", c.site.Property.ID, strings.Repeat("\t", strings.Count(head, "\t")-1))
			continue
		}
		row := rowOf(&p.PassPlan, f, units)
		row.print(t, f, units)
		sum.add(row)
		rows++
	}
	if rows > 1 {
		sum.print(t, f, units)
	}
	return t.Flush()
}

func (r *passRow) print(w io.Writer, f *passFlags, units unit.System) {
	fmt.Fprintf(w, "%s\t%s\t%d\t%d\t%s\t%s\t%s\t%s\t", r.name, units.Area(r.net), r.passes, r.bound, r.direction,
		units.Length(r.length), units.Length(r.least), units.Length(r.dead))
	if f.pace > 0 {
		fmt.Fprintf(w, "%s min\t", unit.Number(r.walk.In(unit.Minute), 0))
	}
	if f.rate > 0 {
		fmt.Fprintf(w, "%s\t", units.Volume(r.mix))
	}
	fmt.Fprintln(w)
}

// sprayed is what the mix of a plan's passes is reckoned from.
func sprayed(p *plan.PassPlan) (a unit.Area) {
	for i := range p.List {
		a += p.List[i].Sprayed
	}
	return a
}

// passRow is a line of the table as it is printed.
type passRow struct {
	name, direction     string
	net                 unit.Area
	passes, bound       int
	length, least, dead unit.Length
	walk                unit.Time
	mix                 unit.Volume
}

func rowOf(p *plan.PassPlan, f *passFlags, units unit.System) passRow {
	direction := unit.Number(p.Bearing, 1) + " deg"
	if n := len(p.Sections) - p.EdgeLaps; n > 1 {
		direction += fmt.Sprintf(" +%d", n-1)
	}
	return passRow{p.ID, direction, units.RoundArea(p.Net), p.Count, p.BoundPasses, units.RoundLength(p.SprayedLength), units.RoundLength(p.BoundLength),
		units.RoundLength(p.DeadWalk), unit.Time(unit.Round(float64(p.Walk), float64(unit.Minute))), units.RoundVolume(f.rate.Over(sprayed(p)))}
}

// add adds what is printed, so that a column adds up to the last digit.
func (s *passRow) add(r passRow) {
	s.net += r.net
	s.passes += r.passes
	s.bound += r.bound
	s.length += r.length
	s.least += r.least
	s.dead += r.dead
	s.walk += r.walk
	s.mix += r.mix
}

// passNotes is what else there is to know of a property's passes.
func passNotes(c covered, f *passFlags, units unit.System) (out []string) {
	p := c.plan
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if len(p.Sections) > 1 {
		say("%s.", sectionText(p))
	}
	if len(p.Zones) > 0 {
		var zones []string
		for _, z := range p.Zones {
			zones = append(zones, fmt.Sprintf("%s %d", plan.ZoneName(z.Zone), z.Passes))
		}
		say("By zone: %s.", strings.Join(zones, ", "))
	}
	if s := p.Stretch; s != nil {
		say("A spacing of %s would do with %s (at the same pace %s less mix on the ground; test again).", units.Spacing(s.Spacing), passCount(p.Count-s.Saves), unit.Percent(1-float64(p.Swath/s.Spacing), 1))
	}
	if p.Coverage < 0.999 {
		say("%s of the turf lie out of reach of half a swath.", units.Area(unit.Area(1-p.Coverage)*p.Net))
	}
	if told := units.Area(p.Double); p.Double > 0.005*p.Net {
		text, share := "%s are sprayed twice or more (%s).", unit.Percent(float64(p.Double/p.Net), 1)
		if c.laid.Setup.Trims {
			text = "%s are within reach of two passes (%s): spray them once."
		}
		say(text, told, share)
	}
	if p.Overspray > 0.001*p.Net {
		say("%s beside the turf are sprayed: %s.", units.Area(p.Overspray), ontoText(p, units))
	}
	out = append(out, hoseNotes(p, units)...)
	if f.loads && len(p.Dry) == 0 {
		say("The tank does not run dry: %s of %s are needed.", units.Volume(f.rate.Over(sprayed(&p.PassPlan))), units.Volume(f.onBoard))
	}
	for _, d := range p.Dry {
		say("Load %d runs dry %s into pass %d (%.6f,%.6f).", d.Load, units.Length(d.Into), d.Pass, d.Lon, d.Lat)
	}
	return out
}

// sectionText names the sections, those of one direction together: "9 passes at 90.0 deg, 5 at 0.0 deg, 1 edge lap".
func sectionText(p *passesPlan) string {
	var parts []string
	type group struct {
		kind    string
		bearing string
		passes  int
		at      float64 // the bearing in degrees, of the first of the group
	}
	var groups []group
	for _, s := range p.Sections {
		g := group{s.Kind, unit.Number(s.Bearing, 1), s.Passes, s.Bearing}
		if s.Kind != string(pass.Straight) {
			g.bearing = ""
		}
		i := slices.IndexFunc(groups, func(o group) bool { return o.kind == g.kind && o.bearing == g.bearing })
		if i < 0 {
			groups = append(groups, g)
		} else {
			groups[i].passes += s.Passes
		}
	}
	slices.SortStableFunc(groups, func(a, b group) int { return cmp.Compare(b.passes, a.passes) })
	for _, g := range groups {
		switch pass.Kind(g.kind) {
		case pass.Lap:
			parts = append(parts, plural(g.passes, "edge lap"))
		case pass.Follow:
			parts = append(parts, passCount(g.passes)+" along narrow strips")
		default:
			parts = append(parts, passCount(g.passes)+" at "+g.bearing+" deg ("+lie(g.at)+")")
		}
	}
	return strings.Join(parts, ", ")
}

// The directions of walking, and of passes that are walked both ways, from north clockwise in eighths of a turn.
var (
	winds = []string{"N", "NE", "E", "SE", "S", "SW", "W", "NW"}
	lies  = []string{"N-S", "NE-SW", "E-W", "NW-SE"}
)

func wind(bearing float64) string { return winds[int(math.Round(bearing/45))%len(winds)] }
func lie(bearing float64) string  { return lies[int(math.Round(bearing/45))%len(lies)] }

// ontoText lists what is sprayed beside the turf by surface, the largest first.
func ontoText(p *passesPlan, units unit.System) string {
	var parts []string
	for s, a := range p.Onto {
		if a >= 1*unit.SquareFoot {
			parts = append(parts, fmt.Sprintf("%s on %s", units.Area(a), s))
		}
	}
	slices.Sort(parts)
	return strings.Replace(strings.Join(parts, ", "), "on "+string(plan.Elsewhere), "past all outlines", 1)
}

func hoseNotes(p *passesPlan, units unit.System) (out []string) {
	r := p.Reach
	if r == nil {
		return nil
	}
	far := slices.MaxFunc(p.List, func(a, b plan.PassLine) int { return cmp.Compare(a.Hose, b.Hose) })
	drags := ""
	if n := len(r.Bends); n > 0 {
		drags = fmt.Sprintf(" Over all passes it drags round %s.", plural(n, "corner"))
	}
	out = append(out, fmt.Sprintf("Hose: %s for pass %d, the farthest.%s", units.Length(r.Most), far.N, drags))
	if r.OnWet > 0 {
		out = append(out, fmt.Sprintf("In %s the hose lies on turf already sprayed.", passCount(r.OnWet)))
	}
	if len(r.Out) > 0 {
		s := fmt.Sprintf("Out of reach of %s of hose: %s %s.", units.Length(r.Hose), map[bool]string{true: "pass", false: "passes"}[len(r.Out) == 1], spans(r.Out))
		if r.Second != nil {
			s += fmt.Sprintf(" They are in reach with the truck at %.6f,%.6f.", r.Second.Lon, r.Second.Lat)
		} else {
			s += " No one other place of the truck was found from which they all are: move it twice, or take a longer hose."
		}
		out = append(out, s)
	}
	return out
}

// spans writes ascending numbers with runs together: 3, 5-7.
func spans(ns []int) string {
	var parts []string
	for i := 0; i < len(ns); {
		j := i
		for j+1 < len(ns) && ns[j+1] == ns[j]+1 {
			j++
		}
		if j == i {
			parts = append(parts, fmt.Sprint(ns[i]))
		} else {
			parts = append(parts, fmt.Sprintf("%d-%d", ns[i], ns[j]))
		}
		i = j + 1
	}
	return strings.Join(parts, ", ")
}

// everyPass prints a line a pass.
func everyPass(w io.Writer, p *passesPlan, f *passFlags, units unit.System) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	head := "pass\tkind\ttowards\tsprayed\tgun off\tturf\twalk to it\t"
	if f.rate > 0 {
		head += "mix so far\t"
	}
	if p.Reach != nil {
		head += "hose\t"
	}
	fmt.Fprintln(t, head)
	for _, q := range p.List {
		off := unit.Length(0)
		for _, o := range q.Off {
			off += o[1] - o[0]
		}
		fmt.Fprintf(t, "%d\t%s\t%s %s deg\t%s\t%s\t%s\t%s\t", q.N, q.Kind, wind(q.Bearing), unit.Number(q.Bearing, 0), units.Length(q.Length), orDash(off > 0, units.Length(off)),
			units.Area(q.Area), units.Length(q.WalkTo))
		if f.rate > 0 {
			fmt.Fprintf(t, "%s\t", units.Volume(q.SoFar))
		}
		if p.Reach != nil {
			fmt.Fprintf(t, "%s\t", units.Length(q.Hose))
		}
		fmt.Fprintln(t)
	}
	return t.Flush()
}

func orDash(ok bool, s string) string {
	if ok {
		return s
	}
	return "-"
}

// passesJSON is a property's passes in JSON, or null for every figure of a property that has none.
type passesJSON struct {
	id string
	*passesPlan
}

// MarshalJSON keeps the keys of passesPlan either way.
func (p passesJSON) MarshalJSON() ([]byte, error) {
	if p.passesPlan != nil {
		return json.Marshal(p.passesPlan)
	}
	figures := map[string]any{}
	b, err := json.Marshal(passesPlan{})
	if err == nil {
		err = json.Unmarshal(b, &figures)
	}
	if err != nil {
		return nil, err
	}
	for k := range figures {
		figures[k] = nil
	}
	figures["id"] = p.id
	return json.Marshal(figures)
}

func passesInJSON(laid []covered) []passesJSON {
	out := make([]passesJSON, len(laid))
	for i, c := range laid {
		out[i] = passesJSON{c.site.Property.ID, c.plan}
	}
	return out
}

func passCount(n int) string {
	if n == 1 {
		return "1 pass"
	}
	return fmt.Sprintf("%d passes", n)
}
