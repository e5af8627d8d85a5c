// Package working shows how a result was come by, as a good instructor writes it on the
// board: the formula in names, the same with figures and units, which units cancel and which
// factors turn one into another, the result unrounded and rounded, and where each figure
// that nobody measured comes from.
//
// A calculator computes with the types of calc/unit and then adds a step for each result. The
// step reckons the result a second time, from the figures and units that it prints, so that
// Verify finds a working that does not lead to its result. The package knows arithmetic and
// units, and nothing of sprayers, products or pages.
package working

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"tankful/calc/unit"
)

// Step is one line of reasoning. Texts are plain, one line each, "" where there is nothing to say.
type Step struct {
	// Name is what is worked out: "carrier rate".
	Name string `json:"name"`
	// Formula is in names: "caught / course area".
	Formula string `json:"formula,omitempty"`
	// Filled is the formula in figures with their units, and the factors between units:
	// "5.25 gal / (200 ft x 5 ft) x 1,000".
	Filled string `json:"filled,omitempty"`
	// Units says what becomes of the units: "gal / (ft x ft): ft x ft is sq ft; gives gal/1000 sq ft".
	Units string `json:"units,omitempty"`
	// Unrounded is the result with seven figures and its unit.
	Unrounded string `json:"unrounded,omitempty"`
	// Result is the result as it is used from here on.
	Result string `json:"result"`
	// Notes say why: a rule, a rounding, a choice.
	Notes []string `json:"notes,omitempty"`
	// Sources are "name: where it comes from" for figures that were not measured.
	Sources []string `json:"sources,omitempty"`

	fault error
}

// Working is the steps in the order of reckoning.
type Working []Step

// Add adds the step that gives the quantity is by the expression e; the result stands in the
// unit in. rounded is the result as it is printed and used from here on; "" is unrounded.
func (w *Working) Add(name string, e Expr, is unit.Quantity, in, rounded string, notes ...string) {
	w.add(name, e, is.SI(), dimensionOf(is.Kind()), in, rounded, notes)
}

// AddNumber adds a step that gives a number without a unit: a count, a ratio.
func (w *Working) AddNumber(name string, e Expr, is float64, rounded string, notes ...string) {
	w.add(name, e, is, dimension{}, "", rounded, notes)
}

// AddPercent adds a step that gives a share, printed in per cent; is is 0.05 for 5 %.
func (w *Working) AddPercent(name string, e Expr, is float64, rounded string, notes ...string) {
	w.add(name, e, is, dimension{}, "%", rounded, notes)
}

// Say adds a step without arithmetic: a choice, a rule, what to do.
func (w *Working) Say(name, result string, notes ...string) {
	*w = append(*w, Step{Name: name, Result: result, Notes: notes})
}

// WithoutRepeats is the working less the notes and sources that an earlier step of it gave already. A step that has
// nothing but notes keeps them.
func (w Working) WithoutRepeats() Working {
	seen := map[string]bool{}
	fresh := func(list []string) (kept []string) {
		for _, t := range list {
			if !seen[t] {
				kept = append(kept, t)
			}
			seen[t] = true
		}
		return kept
	}
	out := make(Working, 0, len(w))
	for _, s := range w {
		notes := fresh(s.Notes)
		if s.Formula != "" || len(notes) > 0 {
			s.Notes = notes
		}
		s.Sources = fresh(s.Sources)
		out = append(out, s)
	}
	return out
}

// Append adds all steps of another working.
func (w *Working) Append(more Working) { *w = append(*w, more...) }

func (w *Working) add(name string, e Expr, is float64, dim dimension, in, rounded string, notes []string) {
	s := Step{Name: name, Formula: e.names(), Notes: notes, Sources: e.sources(nil)}
	target, err := parseUnit(in)
	if err != nil {
		s.fault = fmt.Errorf("%s: %w", name, err)
	}
	c := e.cancel(target)
	s.Filled, s.Units = e.filled(c.factors()), c.text
	got := c.number
	s.Unrounded = withUnit(Figures(is/target.si), in)
	if s.Result = rounded; rounded == "" {
		s.Result = s.Unrounded
	}
	switch want := is / target.si; {
	case s.fault != nil:
	case target.dimension() != dim:
		s.fault = fmt.Errorf("%s: %q is not the unit of such a result", name, in)
	case c.fault != nil:
		s.fault = fmt.Errorf("%s: %w", name, c.fault)
	case math.IsInf(got, 0) || !(math.Abs(got-want) <= 1e-9*max(math.Abs(got), math.Abs(want), 1e-12)):
		s.fault = fmt.Errorf("%s: the figures shown give %v %s, and the result is %v", name, got, in, want)
	}
	*w = append(*w, s)
}

// Verify gives an error for every step whose figures and units, as printed, do not lead to its
// result within 1e-9; nil when all do.
func (w Working) Verify() error {
	var errs []error
	for _, s := range w {
		errs = append(errs, s.fault)
	}
	return errors.Join(errs...)
}

// Text is the working for a terminal or a monospaced page, a blank line between steps.
func (w Working) Text() string {
	var b strings.Builder
	for i, s := range w {
		if i > 0 {
			b.WriteByte('\n')
		}
		for _, line := range s.Lines() {
			b.WriteString(line + "\n")
		}
	}
	return b.String()
}

// Lines is one step, a line each: the name with its result first, the way to it indented.
func (s Step) Lines() []string {
	lines := []string{s.Name + ": " + s.Result}
	if s.Formula != "" {
		lines = append(lines, "  = "+s.Formula)
		if s.Filled != s.Formula {
			lines = append(lines, "  = "+s.Filled)
		}
		if s.Unrounded != s.Filled {
			lines = append(lines, "  = "+s.Unrounded)
		}
	}
	if s.Units != "" {
		lines = append(lines, "  units: "+s.Units)
	}
	for _, n := range s.Notes {
		lines = append(lines, "  "+n)
	}
	for _, n := range s.Sources {
		lines = append(lines, "  source of "+n)
	}
	return lines
}

// Figures prints x with up to seven figures, as unit.Figures does: what a working is followed with on a pocket calculator.
func Figures(x float64) string { return unit.Figures(x, 7) }

func withUnit(figure, u string) string {
	if u == "" {
		return figure
	}
	return figure + " " + u
}
