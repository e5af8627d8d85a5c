package tape

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// figure is a shape worked out.
type figure struct {
	method    string
	area      unit.Area
	perimeter unit.Length
	working   string
	// gradient is the change of the area with each length by itself.
	gradient []unit.Length
	// notes are problems without their place.
	notes problem.List
}

// plusMinus is 1.96 standard deviations of the area when each length is off by itself by accuracy.
func (f *figure) plusMinus(accuracy unit.Length) unit.Area {
	norm := 0.0
	for _, g := range f.gradient {
		norm = math.Hypot(norm, g.In(unit.Metre))
	}
	return 1.96 * accuracy.By(unit.Length(norm)*unit.Metre)
}

// shapeError says why a shape can not be worked out.
type shapeError struct{ code, what, fix string }

func (e *shapeError) Error() string { return e.what }

// spec is how one shape is written.
type spec struct {
	words    []string // that may stand in it
	least    int      // lengths
	most     int
	example  string
	workedBy func(m *measured) (figure, error)
}

// many is more lengths than a line can hold.
const many = 1 << 20

var joiners = []string{"x", "by", "and"}

// specOf is how a shape is written.
func specOf(shape string) spec {
	with := func(words ...string) []string { return append(words, joiners...) }
	return map[string]spec{
		"rectangle":     {with("long", "wide", "length", "width"), 2, 2, "rectangle 90 ft x 50 ft", (*measured).rectangle},
		"square":        {[]string{"side", "sides"}, 1, 1, "square 40 ft", (*measured).square},
		"parallelogram": {with("base", "height", "high"), 2, 2, "parallelogram base 90 ft height 50 ft", (*measured).parallelogram},
		"triangle":      {with("base", "height", "high", "side", "sides"), 2, 3, "triangle base 125 ft height 75 ft, or triangle sides 30 ft 40 ft 50 ft", (*measured).triangle},
		"trapezoid":     {with("parallel", "side", "sides", "apart", "height", "high", "distance"), 3, 3, "trapezoid 90 ft and 60 ft, 80 ft apart", (*measured).trapezoid},
		"circle":        {[]string{"radius", "across", "diameter"}, 1, 1, "circle radius 30 ft, or circle across 60 ft", (*measured).circle},
		"ellipse":       {with("across", "long", "wide"), 2, 2, "ellipse 60 ft x 40 ft, across both ways", (*measured).ellipse},
		"l-shape":       {with("plus"), 4, 4, "L 90 ft x 50 ft and 30 ft x 20 ft", (*measured).lShape},
		"offsets":       {[]string{"every", "with", "end", "ends", "width", "widths", "and"}, 2, many, "offsets every 10 ft: 32 ft 50 ft 45 ft 17 ft", (*measured).offsets},
		"radii":         {[]string{"and", "of"}, 3, many, "radii 48 ft 52 ft 50 ft 51 ft", (*measured).radii},
	}[shape]
}

// figure works a shape out.
func (m *measured) figure() (figure, error) {
	s := specOf(m.shape)
	write := "Write it as " + s.example + "."
	for _, w := range m.words {
		if !slices.Contains(s.words, w) {
			return figure{}, &shapeError{"word-unknown", fmt.Sprintf("the word %q is not understood in the shape %s", clip(w), m.shape), write}
		}
	}
	switch n := len(m.lengths); {
	case n < s.least:
		return figure{}, &shapeError{"length-missing", fmt.Sprintf("the shape %s has %d of %d lengths", m.shape, n, s.least), write}
	case n > s.most:
		return figure{}, &shapeError{"length-left-over", fmt.Sprintf("the shape %s has %d lengths; %d are taken", m.shape, n, s.most), write}
	}
	return s.workedBy(m)
}

func (m *measured) has(words ...string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(m.words, w) })
}

func (m *measured) rectangle() (figure, error) {
	a, b := m.lengths[0], m.lengths[1]
	return figure{method: "rectangle", area: a.By(b.Length), perimeter: 2 * (a.Length + b.Length),
		working: a.text + " x " + b.text, gradient: []unit.Length{b.Length, a.Length}}, nil
}

func (m *measured) square() (figure, error) {
	a := m.lengths[0]
	return figure{method: "square", area: a.By(a.Length), perimeter: 4 * a.Length, working: a.text + " x " + a.text,
		gradient: []unit.Length{2 * a.Length}}, nil
}

func (m *measured) parallelogram() (figure, error) {
	a, b := m.lengths[0], m.lengths[1]
	return figure{method: "parallelogram, base and height", area: a.By(b.Length), working: a.text + " x " + b.text,
		gradient: []unit.Length{b.Length, a.Length}}, nil
}

func (m *measured) triangle() (figure, error) {
	if m.has("side", "sides") || len(m.lengths) == 3 {
		if m.has("base", "height", "high") || len(m.lengths) != 3 {
			return figure{}, &shapeError{"length-missing", "a triangle is base and height, or three sides", "Write it as " + specOf("triangle").example + "."}
		}
		return m.heron()
	}
	b, h := m.lengths[0], m.lengths[1]
	return figure{method: "triangle, base and height", area: b.By(h.Length) / 2, working: b.text + " x " + h.text + " / 2",
		gradient: []unit.Length{h.Length / 2, b.Length / 2}}, nil
}

// heron is the area by three sides, in the form that loses nothing on flat triangles: sorted a >= b >= c,
// sqrt((a+(b+c)) (c-(a-b)) (c+(a-b)) (a+(b-c))) / 4 (W. Kahan, Miscalculating Area and Angles of a Needle-like Triangle,
// University of California, Berkeley, 2014; from memory).
func (m *measured) heron() (figure, error) {
	at := []int{0, 1, 2}
	slices.SortStableFunc(at, func(i, j int) int {
		return int(math.Copysign(1, float64(m.lengths[j].Length-m.lengths[i].Length)))
	})
	side := func(i int) float64 { return m.lengths[at[i]].In(unit.Metre) }
	a, b, c := side(0), side(1), side(2)
	if !(c-(a-b) > 1e-12*a) {
		return figure{}, &shapeError{"triangle-impossible", fmt.Sprintf("the sides do not meet: %s is as long as %s and %s together, or longer",
			m.lengths[at[0]].text, m.lengths[at[1]].text, m.lengths[at[2]].text), "Measure the sides again."}
	}
	area := math.Sqrt((a+(b+c))*(c-(a-b))*(c+(a-b))*(a+(b-c))) / 4
	f := figure{method: "triangle, three sides (Heron)", area: unit.Area(area) * unit.SquareMetre, perimeter: unit.Length(a+b+c) * unit.Metre}
	for i := range 3 {
		x, y, z := side(i), side((i+1)%3), side((i+2)%3)
		f.gradient = append(f.gradient, unit.Length(x*(y*y+z*z-x*x)/(8*area))*unit.Metre)
	}
	p, q, r := m.lengths[0].text, m.lengths[1].text, m.lengths[2].text
	f.working = fmt.Sprintf("sqrt(s x (s - %s) x (s - %s) x (s - %s)), s = (%s + %s + %s) / 2", p, q, r, p, q, r)
	return f, nil
}

func (m *measured) trapezoid() (figure, error) {
	h, ok := m.height()
	if !ok {
		return figure{}, &shapeError{"length-missing", "nothing says which length is the distance between the parallel sides", "Write it as " + specOf("trapezoid").example + "."}
	}
	sides := slices.Delete(slices.Clone(m.lengths), h, h+1)
	a, b, d := sides[0], sides[1], m.lengths[h]
	mean := (a.Length + b.Length) / 2
	return figure{method: "trapezoid, two parallel sides", area: mean.By(d.Length), working: fmt.Sprintf("(%s + %s) / 2 x %s", a.text, b.text, d.text),
		gradient: []unit.Length{d.Length / 2, d.Length / 2, mean}}, nil
}

// height finds the length that is marked as a height: before it stands "height" or "distance", or after it "apart" or "high".
func (m *measured) height() (at int, ok bool) {
	for i, w := range m.words {
		switch w {
		case "height", "distance":
			if at = slices.IndexFunc(m.after, func(n int) bool { return n > i }); at >= 0 {
				return at, true
			}
		case "apart", "high":
			for at = len(m.after) - 1; at >= 0; at-- {
				if m.after[at] <= i {
					return at, true
				}
			}
		}
	}
	return 0, false
}

func (m *measured) circle() (figure, error) {
	d := m.lengths[0]
	switch radius, across := m.has("radius"), m.has("across", "diameter"); {
	case radius == across:
		return figure{}, &shapeError{"length-missing", "nothing says whether the length is the radius or across", "Write it as " + specOf("circle").example + "."}
	case radius:
		return figure{method: "circle, radius", area: math.Pi * d.By(d.Length), perimeter: 2 * math.Pi * d.Length,
			working: "pi x (" + d.text + ")^2", gradient: []unit.Length{2 * math.Pi * d.Length}}, nil
	}
	return figure{method: "circle, across", area: math.Pi / 4 * d.By(d.Length), perimeter: math.Pi * d.Length,
		working: "pi / 4 x (" + d.text + ")^2", gradient: []unit.Length{math.Pi / 2 * d.Length}}, nil
}

func (m *measured) ellipse() (figure, error) {
	a, b := m.lengths[0], m.lengths[1]
	return figure{method: "ellipse, across both ways", area: math.Pi / 4 * a.By(b.Length), working: "pi / 4 x " + a.text + " x " + b.text,
		gradient: []unit.Length{math.Pi / 4 * b.Length, math.Pi / 4 * a.Length}}, nil
}

func (m *measured) lShape() (figure, error) {
	a, b, c, d := m.lengths[0], m.lengths[1], m.lengths[2], m.lengths[3]
	return figure{method: "L, two rectangles", area: a.By(b.Length) + c.By(d.Length), working: fmt.Sprintf("%s x %s + %s x %s", a.text, b.text, c.text, d.text),
		gradient: []unit.Length{b.Length, a.Length, d.Length, c.Length}}, nil
}

// offsets is the area by widths at equal intervals along a line: every width times the interval where the shape ends in
// points, as the handbooks have it; the trapezoidal rule, which counts the first and the last width half, where
// the widths at both ends are among them. The error of an interval is that of each station by itself.
func (m *measured) offsets() (figure, error) {
	every, widths := m.lengths[0], m.lengths[1:]
	if !slices.Contains(m.words[:m.after[0]], "every") {
		return figure{}, &shapeError{"length-missing", "nothing says how far the widths are apart", "Write it as " + specOf("offsets").example + "."}
	}
	ends := m.has("end", "ends")
	if ends && len(widths) < 2 {
		return figure{}, &shapeError{"length-missing", "the trapezoidal rule needs the widths at both ends", "Write it as offsets every 10 ft with ends: 20 ft 32 ft 50 ft 17 ft."}
	}
	at := []unit.Length{} // the widths with those at the ends
	if !ends {
		at = append(at, 0)
	}
	sum := unit.Length(0)
	texts := make([]string, len(widths))
	for i, w := range widths {
		at, texts[i] = append(at, w.Length), w.text
		sum += w.Length
	}
	f := figure{method: "offset method, points at both ends", working: every.text + " x (" + some(texts, " + ") + ")"}
	if ends {
		sum -= (widths[0].Length + widths[len(widths)-1].Length) / 2
		last := len(texts) - 1
		texts[0], texts[last] = texts[0]+" / 2", texts[last]+" / 2"
		f.method, f.working = "offset method, trapezoidal rule, ends measured", every.text+" x ("+some(texts, " + ")+")"
	} else {
		at = append(at, 0)
	}
	if sum == 0 {
		return figure{}, &shapeError{"absurd", "all widths are zero", "Measure the widths."}
	}
	f.area = every.By(sum)
	f.gradient = offsetGradient(at, every.Length, ends)
	return f, nil
}

// offsetGradient is the change of the area with the place of each station, and with each width that was measured.
func offsetGradient(at []unit.Length, every unit.Length, ends bool) (out []unit.Length) {
	last := len(at) - 1
	for i := range at {
		switch i {
		case 0:
			out = append(out, -(at[0]+at[1])/2)
		case last:
			out = append(out, (at[last-1]+at[last])/2)
		default:
			out = append(out, (at[i-1]-at[i+1])/2, every)
			continue
		}
		if ends {
			out = append(out, every/2)
		}
	}
	return out
}

// someTexts is how many lengths of a long list are written out in a working.
const someTexts = 16

func some(texts []string, between string) string {
	if len(texts) <= someTexts {
		return strings.Join(texts, between)
	}
	return strings.Join(texts[:someTexts/2], between) + between + fmt.Sprintf("... %d more ...", len(texts)-someTexts+1) + between + strings.Join(texts[len(texts)-someTexts/2+1:], between)
}

// fewRadii is the number below which the radii method is a rough guess: handbooks take 16, or one every 10 degrees.
const fewRadii = 8

// uneven is by how much the squares of the radii may give more than their mean before that is worth a word.
const uneven = 0.02

// radii is pi times the square of the mean radius, as the handbooks have it. A smooth edge encloses
// pi times the mean of the squares, which is never less: a long shape comes out too small.
func (m *measured) radii() (figure, error) {
	sum, squares := unit.Length(0), unit.Area(0)
	texts := make([]string, len(m.lengths))
	for i, r := range m.lengths {
		sum += r.Length
		squares += r.By(r.Length)
		texts[i] = r.text
	}
	n := len(m.lengths)
	mean := sum / unit.Length(n)
	f := figure{method: "radii method, mean of " + fmt.Sprint(n), area: math.Pi * mean.By(mean),
		working: "pi x ((" + some(texts, " + ") + ") / " + fmt.Sprint(n) + ")^2"}
	for range n {
		f.gradient = append(f.gradient, 2*math.Pi*mean/unit.Length(n))
	}
	more := (math.Pi * squares / unit.Area(n)).In(f.area) - 1
	if more > uneven {
		f.notes.Warnf("radii-uneven", "", "Split the shape, or take offsets.", "the radii differ so much that their squares give %.0f %% more; the mean radius makes long shapes too small", 100*more)
	}
	if n < fewRadii {
		f.notes.Notef("few-radii", "", "Take 16 radii, or one every 10 degrees.", "%d radii give a rough figure unless the shape is nearly round", n)
	}
	return f, nil
}
