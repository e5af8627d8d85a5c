package working

import (
	"fmt"
	"math"
	"strings"

	"tankful/calc/unit"
)

// Expr is a formula with the figures that stand in it. Build one from Of and Number, and join them
// with Times, Over, Plus and Minus.
type Expr struct {
	op     op
	name   string
	value  float64 // SI; of an operation, of its result
	unit   unitText
	args   []Expr
	source string
}

type op int

const (
	leaf op = iota
	times
	over
	plus
	minus
	mean
	root
)

// Of is a measured or entered figure by its name, printed in the unit in, which must measure what
// the quantity does: Of("caught", c.Caught, "gal").
func Of(name string, q unit.Quantity, in string) Expr {
	u, err := parseUnit(in)
	if err == nil && u.dimension() != dimensionOf(q.Kind()) {
		err = fmt.Errorf("%q is not a unit of %s", in, q.Kind())
	}
	u.fault = err
	return Expr{name: name, value: q.SI(), unit: u}
}

// Number is a figure without a unit: a count, a ratio. A name of "" shows the figure in the
// formula too.
func Number(name string, x float64) Expr {
	return Expr{name: name, value: x, unit: unitText{si: 1}}
}

// Percent is a share printed in per cent: Percent("nitrogen", 0.28) is "28 %".
func Percent(name string, share float64) Expr {
	u, _ := parseUnit("%")
	return Expr{name: name, value: share, unit: u}
}

// From says where the figure comes from, for one that was not measured: "default, common
// practice, no source".
func (e Expr) From(source string) Expr { e.source = source; return e }

// Times is e x f.
func (e Expr) Times(f Expr) Expr {
	return Expr{op: times, args: []Expr{e, f}, value: e.value * f.value}
}

// Over is e / f.
func (e Expr) Over(f Expr) Expr { return Expr{op: over, args: []Expr{e, f}, value: e.value / f.value} }

// Plus is e + f, both in the unit of e.
func (e Expr) Plus(f Expr) Expr {
	f = f.in(e.leading())
	return Expr{op: plus, args: []Expr{e, f}, value: e.value + f.value, unit: e.leading()}
}

// Minus is e - f, both in the unit of e.
func (e Expr) Minus(f Expr) Expr {
	f = f.in(e.leading())
	return Expr{op: minus, args: []Expr{e, f}, value: e.value - f.value, unit: e.leading()}
}

// Sum is all of es, in the unit of the first; there must be one.
func Sum(es ...Expr) Expr {
	e := es[0]
	for _, f := range es[1:] {
		e = e.Plus(f)
	}
	return e
}

// Mean is the mean of es, in the unit of the first; there must be one. In the formula it
// stands as the name.
func Mean(name string, es ...Expr) Expr {
	m := Expr{op: mean, name: name, unit: es[0].leading()}
	for _, e := range es {
		m.value += e.value / float64(len(es))
		m.args = append(m.args, e.in(m.unit))
	}
	return m
}

// Root is the square root of e, which must have no unit left.
func Root(e Expr) Expr {
	return Expr{op: root, args: []Expr{e}, value: math.Sqrt(e.value), unit: unitText{si: 1}}
}

// in is a leaf shown in another unit of the same kind.
func (e Expr) in(u unitText) Expr {
	if e.op == leaf && e.unit.dimension() == u.dimension() {
		e.unit = u
	}
	return e
}

// leading is the unit that a sum is reckoned in; products have none.
func (e Expr) leading() unitText {
	switch e.op {
	case times, over:
		return unitText{si: 1, fault: fmt.Errorf("a product stands in a sum: give it a step of its own")}
	}
	return e.unit
}

// names is the formula in names.
func (e Expr) names() string {
	return e.write(func(l Expr) string {
		if l.name == "" {
			return withUnit(Figures(l.value/l.unit.si), l.unit.text)
		}
		return l.name
	}, true)
}

// figures is the formula in figures; a figure per something stands in brackets.
func (e Expr) figures() string {
	return e.write(func(l Expr) string {
		t := withUnit(Figures(l.value/l.unit.si), l.unit.text)
		if strings.Contains(l.unit.text, "/") && l.unit.text != "% v/v" {
			return "(" + t + ")"
		}
		return t
	}, false)
}

// filled is the formula in figures times the factors between units; a sum before factors stands in brackets.
func (e Expr) filled(factors string) string {
	switch {
	case factors != "" && (e.op == plus || e.op == minus):
		return "(" + e.figures() + ")" + factors
	case factors == "" && e.op == leaf:
		return withUnit(Figures(e.value/e.unit.si), e.unit.text)
	}
	return e.figures() + factors
}

func (e Expr) write(put func(Expr) string, named bool) string {
	bracket := func(a Expr, when ...op) string {
		t := a.write(put, named)
		for _, o := range when {
			if a.op == o {
				return "(" + t + ")"
			}
		}
		return t
	}
	switch e.op {
	case leaf:
		return put(e)
	case times:
		return bracket(e.args[0], plus, minus) + " x " + bracket(e.args[1], plus, minus, over)
	case over:
		return bracket(e.args[0], plus, minus) + " / " + bracket(e.args[1], plus, minus, times, over, mean)
	case plus:
		return e.args[0].write(put, named) + " + " + e.args[1].write(put, named)
	case minus:
		return e.args[0].write(put, named) + " - " + bracket(e.args[1], plus, minus)
	case root:
		return "square root of (" + e.args[0].write(put, named) + ")"
	case mean:
		if named {
			return "mean of " + e.name
		}
		var parts []string
		for _, a := range e.args {
			parts = append(parts, a.write(put, named))
		}
		return fmt.Sprintf("(%s) / %d", strings.Join(parts, " + "), len(e.args))
	}
	return ""
}

// sources lists where figures come from, each once, in the order of the formula.
func (e Expr) sources(list []string) []string {
	if e.source != "" {
		name := e.name
		if name == "" {
			name = Figures(e.value / e.unit.si)
		}
		line := name + ": " + e.source
		for _, have := range list {
			if have == line {
				return list
			}
		}
		list = append(list, line)
	}
	for _, a := range e.args {
		list = a.sources(list)
	}
	return list
}
