package sheet

import (
	"fmt"
	"strings"

	"tankful/calc/working"
)

// appendix shows how the amounts on the load page were come by, step by step; ok is false when
// the plan holds no working.
func (w *writer) appendix() (pg Page, ok bool) {
	pg = Page{
		Title:    "Working: " + named("truck", w.day.Truck),
		Subtitle: "How the amounts on the load sheet were come by. Every line can be followed with a pocket calculator.",
	}
	for i := range w.p.Mixes {
		if m := &w.p.Mixes[i]; w.uses(m.Name) {
			pg.Blocks = append(pg.Blocks, worked("Calibration and mix "+m.Name, m.Working)...)
		}
	}
	for _, l := range w.loads {
		pg.Blocks = append(pg.Blocks, worked(fmt.Sprintf("Load %d: %s, mix %s", l.N, named("tank", l.Tank), l.Mix), l.Working)...)
	}
	return pg, len(pg.Blocks) > 0
}

// worked is a working as a table under a heading; nothing when there are no steps.
func worked(heading string, steps working.Working) []Block {
	if len(steps) == 0 {
		return nil
	}
	t := Table{Columns: []Column{{"What", Left}, {"How", Left}, {"Result", Right}}, Fine: true}
	for _, s := range steps {
		t.Rows = append(t.Rows, Row{Cells: []string{s.Name, how(s), s.Result}})
	}
	return []Block{Heading{Text: heading}, t}
}

// how is the way to a step's result on one line.
func how(s working.Step) string {
	var parts []string
	for _, p := range []string{s.Formula, s.Filled, s.Unrounded} {
		if p != "" && (len(parts) == 0 || parts[len(parts)-1] != p) {
			parts = append(parts, p)
		}
	}
	text := strings.Join(parts, " = ")
	if s.Formula == "" {
		text = ""
	}
	for _, n := range append([]string{unitsNote(s)}, append(s.Notes, s.Sources...)...) {
		if n == "" {
			continue
		}
		if text != "" {
			text = strings.TrimSuffix(text, ".") + ". "
		}
		text += upper(n)
	}
	return text
}

func unitsNote(s working.Step) string {
	if s.Units == "" {
		return ""
	}
	return "Units: " + s.Units
}

func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
