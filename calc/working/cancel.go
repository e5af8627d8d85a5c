package working

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"tankful/calc/unit"
)

// dimension is the exponents of length, mass, time and pressure. Pressure counts as one of
// its own: it occurs in ratios only.
type dimension [4]int

func dimensionOf(k unit.Kind) dimension {
	switch k {
	case unit.KindLength:
		return dimension{1}
	case unit.KindArea:
		return dimension{2}
	case unit.KindVolume:
		return dimension{3}
	case unit.KindMass:
		return dimension{0, 1}
	case unit.KindTime:
		return dimension{0, 0, 1}
	case unit.KindSpeed:
		return dimension{1, 0, -1}
	case unit.KindFlow:
		return dimension{3, 0, -1}
	case unit.KindPressure:
		return dimension{0, 0, 0, 1}
	case unit.KindDensity:
		return dimension{-3, 1}
	case unit.KindVolumePerArea:
		return dimension{1}
	case unit.KindMassPerArea:
		return dimension{-2, 1}
	}
	return dimension{} // volume per volume
}

// atom is a unit that is no ratio: "gal", "sq ft", "1000 sq ft".
type atom struct {
	text  string
	count float64 // 1000 of "1000 sq ft", else 1
	base  string  // "sq ft"
	kind  unit.Kind
	si    float64
}

// unitText is a unit as written: a product of atoms over a product of atoms. mph stands for mi/h.
type unitText struct {
	text     string
	num, den []atom
	si       float64
	fault    error
}

var wholeNames = map[string]string{"mph": "mi/h", "gpm": "gal/min", "% v/v": "", "%": "", "": ""}

func parseUnit(text string) (unitText, error) {
	u := unitText{text: text, si: 1}
	written, whole := wholeNames[text]
	if !whole {
		written = text
	}
	if strings.HasPrefix(text, "%") {
		u.si = 0.01
	}
	if written == "" {
		return u, nil
	}
	for i, part := range strings.Split(written, "/") {
		a, err := parseAtom(strings.TrimSpace(part))
		if err != nil {
			u.fault = err
			return u, err
		}
		if i == 0 {
			u.num, u.si = append(u.num, a), u.si*a.si
		} else {
			u.den, u.si = append(u.den, a), u.si/a.si
		}
	}
	return u, nil
}

func parseAtom(text string) (atom, error) {
	a := atom{text: text, count: 1, base: text}
	if n, err := fmt.Sscanf(text, "%g %s", &a.count, new(string)); n == 2 && err == nil {
		_, a.base, _ = strings.Cut(text, " ")
	} else {
		a.count = 1
	}
	k, si, ok := unit.Simple(a.base)
	if !ok {
		return a, fmt.Errorf("%q is not a unit", text)
	}
	a.kind, a.si = k, si*a.count
	return a, nil
}

func (u unitText) dimension() (d dimension) {
	for _, a := range u.num {
		for i, x := range dimensionOf(a.kind) {
			d[i] += x
		}
	}
	for _, a := range u.den {
		for i, x := range dimensionOf(a.kind) {
			d[i] -= x
		}
	}
	return d
}

// cancelled is a formula brought to one unit: the factors that it takes and what to say of them.
type cancelled struct {
	number float64 // the result in the target unit, from the figures as printed
	bridge []string
	text   string
	fault  error
}

func (c cancelled) factors() string {
	var b strings.Builder
	for _, f := range c.bridge {
		b.WriteString(f)
	}
	return b.String()
}

// pools are the atoms above and below the line, and how many of the figures above it less those below are in per cent.
type pools struct {
	above, below []atom
	percents     int
	c            *cancelled
	words        []string
}

// cancel brings e to the unit target.
func (e Expr) cancel(target unitText) cancelled {
	c := cancelled{number: 1}
	p := &pools{c: &c}
	p.gather(e, true)
	units := p.line(e)
	p.strike("cancels")
	// What is left must be the target: its own atoms go to the other side of the line.
	p.above, p.below = append(p.above, target.den...), append(p.below, target.num...)
	if target.si == 0.01 && len(target.num) == 0 {
		c.number *= 100
		if p.percents != 1 { // 18 % less 4 % is in per cent as it stands
			c.bridge = append(c.bridge, " x 100 %")
		}
	}
	p.strike("")
	p.bridgeKinds()
	p.squareLengths()
	p.bridgeKinds()
	if left := len(p.above) + len(p.below); left > 0 && c.fault == nil {
		c.fault = fmt.Errorf("%d units of %q do not become %q", left, units, target.text)
	}
	// A line is worth its room where a unit cancels, lengths become an area or a factor is put in.
	if strings.ContainsAny(units, "/x") && len(p.words)+len(c.bridge) > 0 {
		if len(p.words) == 1 && strings.HasPrefix(p.words[0], units+" is ") { // ft x ft is sq ft
			c.text = p.words[0]
			return c
		}
		result := target.text
		if result == "" {
			result = "a plain number"
		}
		c.text = units + ": " + strings.Join(append(p.words, "gives "+result), "; ")
	}
	return c
}

// gather multiplies the figures up and puts their units above or below the line.
func (p *pools) gather(e Expr, up bool) {
	switch e.op {
	case times:
		p.gather(e.args[0], up)
		p.gather(e.args[1], up)
		return
	case over:
		p.gather(e.args[0], up)
		p.gather(e.args[1], !up)
		return
	case root:
		if inner := e.args[0].cancel(unitText{si: 1}); inner.fault != nil {
			p.c.fault = inner.fault
		}
	case plus, minus, mean:
		for _, a := range e.args {
			if a.op == times || a.op == over {
				p.c.fault = errors.New("a product stands in a sum: give it a step of its own")
			} else if a.unit.text != e.unit.text {
				p.c.fault = fmt.Errorf("a sum of %q and %q", e.unit.text, a.unit.text)
			}
		}
	}
	if e.unit.fault != nil {
		p.c.fault = e.unit.fault
	}
	figure, percents := e.value/e.unit.si, 0
	if strings.HasPrefix(e.unit.text, "%") {
		figure /= 100
		percents = 1
	}
	if up {
		p.percents += percents
		p.c.number *= figure
		p.above, p.below = append(p.above, e.unit.num...), append(p.below, e.unit.den...)
	} else {
		p.percents -= percents
		p.c.number /= figure
		p.above, p.below = append(p.above, e.unit.den...), append(p.below, e.unit.num...)
	}
}

// line is the units of e as they stand in the formula: "gal / s x s / (ft x ft)".
func (p *pools) line(e Expr) string {
	var above, below []string
	for _, a := range p.above {
		above = append(above, a.text)
	}
	for _, a := range p.below {
		below = append(below, a.text)
	}
	if len(above)+len(below) < 2 {
		return strings.Join(append(above, below...), "")
	}
	t := strings.Join(above, " x ")
	if t == "" {
		t = "1"
	}
	switch len(below) {
	case 0:
		return t
	case 1:
		return t + " / " + below[0]
	}
	return t + " / (" + strings.Join(below, " x ") + ")"
}

// strike takes out units that stand both above and below.
func (p *pools) strike(word string) {
	var struck []string
	for i := 0; i < len(p.above); i++ {
		k := slices.IndexFunc(p.below, func(b atom) bool { return b.text == p.above[i].text })
		if k < 0 {
			continue
		}
		if t := p.above[i].text; !slices.Contains(struck, t) {
			struck = append(struck, t)
		}
		p.above, p.below = slices.Delete(p.above, i, i+1), slices.Delete(p.below, k, k+1)
		i--
	}
	if word == "" || len(struck) == 0 {
		return
	}
	if len(struck) > 1 {
		word = strings.TrimSuffix(word, "s")
	}
	p.words = append(p.words, strings.Join(struck, ", ")+" "+word)
}

// bridgeKinds pairs units of one kind across the line and puts in the factor between them.
func (p *pools) bridgeKinds() {
	for i := 0; i < len(p.above); i++ {
		k := slices.IndexFunc(p.below, func(b atom) bool { return b.kind == p.above[i].kind })
		if k < 0 {
			continue
		}
		p.factor(p.above[i], p.below[k])
		p.above, p.below = slices.Delete(p.above, i, i+1), slices.Delete(p.below, k, k+1)
		i--
	}
}

// factor multiplies by what a is in units of b: 1 gal / 1 fl oz is 128 fl oz/gal.
func (p *pools) factor(a, b atom) {
	p.bare(a.count, true)
	p.bare(b.count, false)
	si, sj := a.si/a.count, b.si/b.count
	switch ratio := si / sj; {
	case math.Abs(ratio-1) < 1e-12:
	case ratio > 1:
		p.put(tidy(ratio), true, fmt.Sprintf("(%s %s/%s)", Figures(ratio), b.base, a.base))
	default:
		p.put(tidy(1/ratio), false, fmt.Sprintf("(%s %s/%s)", Figures(1/ratio), a.base, b.base))
	}
}

// bare puts in the count of a unit such as 1000 sq ft.
func (p *pools) bare(count float64, up bool) {
	if count != 1 {
		p.put(count, up, Figures(count))
	}
}

func (p *pools) put(x float64, up bool, text string) {
	if up {
		p.c.number *= x
		p.c.bridge = append(p.c.bridge, " x "+text)
		return
	}
	p.c.number /= x
	p.c.bridge = append(p.c.bridge, " / "+text)
}

// tidy takes the noise of division off a factor that is a whole number by definition.
func tidy(x float64) float64 {
	if r := math.Round(x); math.Abs(x-r) < 1e-9*x {
		return r
	}
	return x
}

// squareLengths makes an area of two lengths on one side of the line: ft x ft is sq ft.
func (p *pools) squareLengths() {
	p.above = p.square(p.above, true)
	p.below = p.square(p.below, false)
}

func (p *pools) square(side []atom, up bool) []atom {
	for {
		var at []int
		for i, a := range side {
			if a.kind == unit.KindLength {
				at = append(at, i)
			}
		}
		if len(at) < 2 {
			return side
		}
		base, square := "ft", "sq ft"
		if metric(side[at[0]].base) && metric(side[at[1]].base) {
			base, square = "m", "m2"
		}
		to, _ := parseAtom(base)
		for _, i := range at[:2] {
			if up {
				p.factor(side[i], to)
			} else {
				p.factor(to, side[i])
			}
		}
		p.words = append(p.words, fmt.Sprintf("%s x %s is %s", base, base, square))
		area, _ := parseAtom(square)
		side = slices.Delete(side, at[1], at[1]+1)
		side[at[0]] = area
	}
}

func metric(name string) bool { return slices.Contains([]string{"m", "cm", "mm", "km"}, name) }
