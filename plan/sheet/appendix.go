package sheet

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"tankful/calc/working"
)

// appendix shows how the amounts on the load page were come by, step by step; ok is false when
// the plan holds no working.
func (w *writer) appendix() (pg Page, ok bool) {
	pg = Page{
		Title: "Working: " + named("truck", w.day.Truck),
		Subtitle: "How the amounts on the load sheet were come by. Every line can be followed with a pocket calculator. " +
			"A formula in words and the reason for a step stand where they are first used.",
	}
	told := folding{}
	for i := range w.p.Mixes {
		if m := &w.p.Mixes[i]; w.uses(m.Name) {
			pg.Blocks = append(pg.Blocks, told.worked("Calibration and mix "+m.Name, m.Working)...)
		}
	}
	for _, l := range w.loads {
		pg.Blocks = append(pg.Blocks, told.worked(fmt.Sprintf("Load %d: %s, mix %s", l.N, named("tank", l.Tank), l.Mix), l.Working)...)
	}
	if x := w.day.Weight; x != nil {
		pg.Blocks = append(pg.Blocks, told.worked("Weight of "+named("truck", w.day.Truck), x.Working)...)
	}
	return pg, len(pg.Blocks) > 0
}

// folding is what an appendix has said already: formulas, units, notes and sources.
type folding map[string]bool

// first is the text the first time that it is told, "" from then on.
func (f folding) first(text string) string {
	if f[text] {
		return ""
	}
	f[text] = true
	return text
}

// worked is a working as a table under a heading; nothing when there are no steps.
func (f folding) worked(heading string, steps working.Working) []Block {
	if len(steps) == 0 {
		return nil
	}
	t := Table{Columns: []Column{{Head: "What", Align: Left}, {Head: "How", Align: Left}, {Head: "Result", Align: Right}}, Fine: true}
	for _, s := range steps {
		t.Rows = append(t.Rows, Row{Cells: []string{s.Name, f.how(s), s.Result}})
	}
	return []Block{Heading{Text: heading}, t}
}

// how is the way to a step's result on one line.
func (f folding) how(s working.Step) string {
	var parts []string
	if s.Formula != "" {
		for _, p := range []string{f.first(s.Formula), s.Filled, s.Unrounded} {
			if p != "" && (len(parts) == 0 || parts[len(parts)-1] != p) {
				parts = append(parts, p)
			}
		}
	}
	text := strings.Join(parts, " = ")
	var notes []string
	if s.Units != "" {
		notes = append(notes, "Units: "+s.Units)
	}
	for _, n := range append(append(notes, s.Notes...), s.Sources...) {
		if n = f.first(n); n == "" {
			continue
		}
		if text != "" {
			text = strings.TrimSuffix(text, ".") + ". "
		}
		text += upper(n)
	}
	if text == "" && len(notes)+len(s.Notes)+len(s.Sources) > 0 {
		text = "As above."
	}
	return text
}

// upper is s with a capital at its head.
func upper(s string) string {
	_, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(s[:n]) + s[n:]
}
