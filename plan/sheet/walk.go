package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tankful/calc/unit"
	"tankful/plan"
	"tankful/plan/pass"
)

// apart says how many passes there are and how far their lines lie apart: "14, 7 ft apart", or from the least to the most.
func (w *writer) apart(ps plan.PassPlan) string {
	least, most := ps.Swath, ps.Swath
	for _, s := range ps.Sections {
		if s.Spacing > 0 {
			least = min(least, s.Spacing)
		}
	}
	if w.u.Length(least) == w.u.Length(most) {
		return fmt.Sprintf("%d, %s apart", ps.Count, w.u.Length(most))
	}
	return fmt.Sprintf("%d, %s to %s apart", ps.Count, w.u.Length(least), w.u.Length(most))
}

// walk says in words how the passes lie and what the hose has to do.
func (w *writer) walk(m *plan.MixPlan, ps plan.PassPlan) (out []string) {
	if ways := w.ways(ps); ways != "" {
		text := "Passes: " + ways + "."
		if len(ps.List) > 0 && ps.List[0].Kind == string(pass.Straight) {
			text += " Walk the first to the " + windWords[int(math.Round(ps.List[0].Bearing/45))%len(windWords)] + "."
		}
		out = append(out, text)
	}
	if m.EdgeLaps > 0 {
		usual := ""
		if m.EdgeLapsUsual {
			usual = ", as is usual for a " + methodWords[m.Kind]
		}
		out = append(out, fmt.Sprintf("%s along each edge first%s.", count(m.EdgeLaps, "walk"), usual))
	}
	if r := ps.Reach; r != nil && r.Most > 0 && (m.Kind == plan.Gun || r.Hose > 0) {
		out = append(out, "Hose: "+w.hose(ps)+".")
	}
	return out
}

// The directions of walking, and of passes that are walked both ways, from north clockwise in eighths of a turn.
var (
	windWords = []string{"north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest"}
	lieWords  = []string{"north-south", "northeast-southwest", "east-west", "northwest-southeast"}
)

// ways says how many passes run which way, the most first: "9 north-south, 5 east-west, 2 along the bends, 1 lap".
func (w *writer) ways(ps plan.PassPlan) string {
	lies := make([]int, len(lieWords))
	follow, laps := 0, 0
	for _, s := range ps.Sections {
		switch s.Kind {
		case string(pass.Lap):
			laps += s.Passes
		case string(pass.Follow):
			follow += s.Passes
		default:
			lies[int(math.Round(s.Bearing/45))%len(lies)] += s.Passes
		}
	}
	order := []int{0, 1, 2, 3}
	slices.SortStableFunc(order, func(a, b int) int { return lies[b] - lies[a] })
	var out []string
	for _, i := range order {
		if lies[i] > 0 {
			out = append(out, fmt.Sprintf("%d %s", lies[i], lieWords[i]))
		}
	}
	if follow > 0 {
		out = append(out, fmt.Sprintf("%d along narrow turf", follow))
	}
	if laps > 0 {
		out = append(out, count(laps, "lap"))
	}
	return strings.Join(out, ", ")
}

// hose says what the hose has to do: "142 ft for pass 9, in all round 2 corners, on wet turf in 3 of 14 passes".
func (w *writer) hose(ps plan.PassPlan) string {
	r, far := ps.Reach, unit.Length(0)
	at := 0
	for _, l := range ps.List {
		if l.Hose > far {
			far, at = l.Hose, l.N
		}
	}
	text := w.u.Length(r.Most)
	if at > 0 {
		text += fmt.Sprintf(" for pass %d", at)
	}
	if n := len(r.Bends); n > 0 {
		text += ", in all round " + count(n, "corner")
	}
	if r.OnWet > 0 {
		text += fmt.Sprintf(", on wet turf in %d of %s", r.OnWet, count(ps.Count, "pass"))
	}
	if n := len(r.Out); n > 0 {
		text += fmt.Sprintf("; %s out of reach of %s", count(n, "pass"), w.u.Length(r.Hose))
	}
	return text
}
