// Package tape gives areas of plain shapes measured with a tape or a measuring wheel, without a map: what
// a crew writes down on the lawn, line by line.
//
// It knows rectangles, triangles, trapezoids, circles and their like, the offset method and the radii method, what
// is taken off, and how sure the sum is. It leaves out where the shapes lie: it can not see that two of them overlap.
//
//	property P-07 Corner lot
//	front: rectangle 90 ft x 50 ft
//	less house: rectangle 50 ft x 25 ft
package tape

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
)

// Options are what the lines do not say.
type Options struct {
	// Accuracy is one standard deviation of a measured length; 0 gives no PlusMinus.
	Accuracy unit.Length
	// Units are those of the areas in a line's working; the zero value is US.
	Units unit.System
	// ID is that of lines before the first "property"; "" takes the file's name without its ending.
	ID string
}

// Property is one account's ground as it was taped.
type Property struct {
	// ID is the word after "property", Name what follows it, or the ID.
	ID, Name string
	Lines    []Line
	// Turf is the sum of what is treated, Excluded of what is taken off; Net is what is left. Only to be
	// trusted when Problems has no error.
	Turf, Excluded, Net unit.Area
	// By holds Excluded by surface; surfaces that do not occur are absent.
	By map[geo.Surface]unit.Area
	// PlusMinus is 1.96 standard deviations of Net from independent errors of the lengths of Options.Accuracy
	// each, 0 without an accuracy.
	PlusMinus unit.Area
	// Where is the place for problems: "lots.txt: property P-07".
	Where    string
	Problems problem.List
}

// Line is one shape.
type Line struct {
	// Name is what stands before the shape, without "less"; "" for nothing.
	Name    string
	Surface geo.Surface
	// Less says that the shape is taken off.
	Less bool
	// Method names the shape and how its area is found: "trapezoid, two parallel sides".
	Method string
	Area   unit.Area
	// Perimeter is 0 where the lengths do not fix it.
	Perimeter unit.Length
	// Working is the formula with the lengths as they were written, and the area.
	Working   string
	PlusMinus unit.Area
	Where     string
}

// Bounds on what is read.
const (
	MaxBytes  = 4 << 20
	maxLength = 4096 // of a line, in bytes
)

// Read reads lines. name is what the user calls them: it begins every Where. The list holds what
// belongs to no property.
func Read(name, text string, opt Options) ([]*Property, problem.List) {
	var found problem.List
	if len(text) > MaxBytes {
		found.Errorf("file-too-large", name, "Split the file.", "the file has %d MB; at most %d MB are read", len(text)>>20, MaxBytes>>20)
		return nil, found
	}
	if opt.Units == "" {
		opt.Units = unit.US
	}
	r := &reader{name: name, opt: opt, seen: map[string]bool{}}
	n := 0
	for line := range strings.Lines(strings.ReplaceAll(text, "\r\n", "\n")) {
		n++
		r.line(fmt.Sprintf("%s: line %d", name, n), withoutComment(line))
	}
	if len(r.props) == 0 {
		found.Errorf("no-lines", name, "Write a line for each shape, such as \"front: rectangle 90 ft x 50 ft\".", "there is no shape")
	}
	for _, p := range r.props {
		p.sum(opt)
	}
	return r.props, found
}

// withoutComment cuts a line at a # that begins it or stands between blanks: "lot #5" is no comment.
func withoutComment(line string) string {
	line = strings.TrimSpace(line)
	if strings.HasPrefix(line, "#") {
		return ""
	}
	for _, mark := range []string{" # ", "\t# "} {
		line, _, _ = strings.Cut(line, mark)
	}
	return strings.TrimSpace(strings.TrimSuffix(line, " #"))
}

type reader struct {
	name  string
	opt   Options
	props []*Property
	seen  map[string]bool
}

func (r *reader) line(where, text string) {
	words := strings.Fields(text)
	switch {
	case len(words) == 0:
	case strings.EqualFold(words[0], "property"):
		r.property(where, words[1:])
	default:
		if len(r.props) == 0 {
			id := cmp.Or(r.opt.ID, baseName(r.name))
			r.add(&Property{ID: id, Name: id, Where: r.name})
		}
		p := r.props[len(r.props)-1]
		if len(text) > maxLength {
			p.Problems.Errorf("line-too-long", where, "Write the shape in several lines.", "the line has %d bytes; at most %d are read", len(text), maxLength)
			return
		}
		l, ps := readLine(where, text, r.opt)
		p.Problems = append(p.Problems, ps...)
		if !ps.HasErrors() {
			p.Lines = append(p.Lines, l)
		}
	}
}

func (r *reader) property(where string, words []string) {
	p := &Property{Where: where}
	if len(words) == 0 {
		p.ID = fmt.Sprintf("%s-%d", baseName(r.name), len(r.props)+1)
		p.Problems.Errorf("property-unnamed", where, "Write its number and name, such as \"property P-07 Corner lot\".", "nothing follows \"property\"")
	} else {
		p.ID = strings.TrimSuffix(words[0], ":")
		p.Where = fmt.Sprintf("%s: property %s", r.name, p.ID)
	}
	if p.Name = p.ID; len(words) > 1 {
		p.Name = strings.Join(words[1:], " ")
	}
	if r.seen[p.ID] {
		p.Problems.Errorf("property-repeated", where, "Give each property an id of its own, or put its lines together.", "property %q is there already", p.ID)
	}
	r.add(p)
}

func (r *reader) add(p *Property) {
	r.seen[p.ID] = true
	r.props = append(r.props, p)
}

// baseName is a file's name without folders and extension.
func baseName(name string) string {
	base := name[strings.LastIndexAny(name, `/\`)+1:]
	if i := strings.LastIndexByte(base, '.'); i > 0 {
		base = base[:i]
	}
	if base == "" || base == "-" {
		return "tape"
	}
	return base
}

// sum adds a property's lines up and judges them together.
func (p *Property) sum(opt Options) {
	defer p.Problems.Sort()
	variance := 0.0
	less := 0
	p.By = map[geo.Surface]unit.Area{}
	for _, l := range p.Lines {
		variance += l.PlusMinus.In(unit.SquareMetre) * l.PlusMinus.In(unit.SquareMetre)
		if !l.Less {
			p.Turf += l.Area
			continue
		}
		less++
		p.Excluded += l.Area
		p.By[l.Surface] += l.Area
	}
	p.Net = p.Turf - p.Excluded
	p.PlusMinus = unit.Area(math.Sqrt(variance)) * unit.SquareMetre
	if p.Problems.HasErrors() {
		return // with lines missing, the sums say nothing
	}
	area := opt.Units.Area
	larger := false
	for _, l := range p.Lines {
		if l.Less && l.Area > p.Turf && p.Turf > 0 {
			larger = true
			p.Problems.Errorf("less-larger-than-turf", l.Where, "Check its lengths and units.", "%s are taken off from %s of turf", area(l.Area), area(p.Turf))
		}
	}
	switch {
	case p.Turf == 0:
		p.Problems.Errorf("no-turf", p.Where, "Add the turf's own shapes, without \"less\".", "no line gives turf")
	case larger:
	case p.Net < 0:
		p.Problems.Errorf("net-negative", p.Where, "Check the lines that begin with less.", "%s are taken off from %s of turf", area(p.Excluded), area(p.Turf))
	case opt.Units.RoundArea(p.Net) == 0:
		p.Problems.Warnf("net-zero", p.Where, "Check the lines that begin with less.", "nothing is left of %s of turf", area(p.Turf))
	}
	if less > 0 || len(p.Lines) > 1 {
		p.Problems.Notef("overlap-unknown", p.Where, "Split what overlaps and count it once.",
			"lengths do not tell where shapes lie: pieces of turf must not overlap, and what is taken off must lie inside the turf and not overlap")
	}
}

// bySurface are words for what is taken off; every other word is keep-off.
var bySurface = map[geo.Surface][]string{
	geo.Building:  {"building", "house", "garage", "shed", "barn", "carport", "greenhouse"},
	geo.Hardscape: {"hardscape", "drive", "driveway", "walk", "walkway", "sidewalk", "path", "patio", "porch", "deck", "parking", "court", "playground", "paving", "road", "gravel", "concrete"},
	geo.Bed:       {"bed", "beds", "flowerbed", "garden", "planting", "mulch", "sand", "tree", "trees", "shrub", "shrubs", "island"},
	geo.Water:     {"water", "pond", "pool", "stream", "creek", "fountain"},
}

// surfaceOf is what a name after "less" says: the last word that is understood, because the
// thing itself stands last ("pool house", "garden path").
func surfaceOf(name string) geo.Surface {
	out := geo.KeepOff
	name, _, _ = strings.Cut(name, "(")
	for _, w := range strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r < 'a' || r > 'z' }) {
		for s, list := range bySurface {
			if slices.Contains(list, w) {
				out = s
			}
		}
	}
	return out
}
