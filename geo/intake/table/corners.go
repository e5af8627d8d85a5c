package table

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/geo/intake/raw"
	"tankful/geo/intake/wkt"
)

// Bounds on a table of corners, which is held in memory.
const (
	// MaxCorners is the most corners of one file.
	MaxCorners = 2_000_000
	// maxSaid is the most that the first rows of all outlines may say, in bytes.
	maxSaid = 64 << 20
	// mostProblems is how many problems one outline lists.
	mostProblems = 20
)

// columns are where a table of corners has what; -1 for nowhere.
type columns struct {
	x, y                           int
	degrees                        bool // the names say longitude and latitude
	projected                      bool // the names say easting and northing
	outline, ring, order, hole, up int
}

func (c columns) complete() bool { return c.x >= 0 && c.y >= 0 }

func (t *table) cornerColumns(first [][]string) columns {
	c := columns{x: t.named("lon", "longitude", "lng", "long"), y: t.named("lat", "latitude"), degrees: true}
	if !c.complete() {
		c = columns{x: t.named("x"), y: t.named("y")}
	}
	if !c.complete() {
		c = columns{x: t.named("easting"), y: t.named("northing"), projected: true}
	}
	c.outline = t.named("outline", "outline_id", "polygon", "polygon_id", "shape", "shape_id", "feature", "feature_id", "ring", "ring_id")
	for _, name := range []string{"name", "id", "fid"} {
		if i := t.named(name); c.outline < 0 && i >= 0 && !differsInEach(first, i) {
			c.outline = i
		}
	}
	c.ring = t.named("ring", "ring_id", "part")
	if c.ring == c.outline {
		c.ring = -1
	}
	c.order = t.named("order", "seq", "sequence", "point", "corner", "vertex", "n")
	c.hole = t.named("hole", "is_hole")
	c.up = t.named("z", "ele", "elevation", "alt", "altitude")
	return c
}

// differsInEach reports whether a column has another value in each row, so that it names corners.
func differsInEach(first [][]string, column int) bool {
	seen := map[string]bool{}
	for _, fs := range first {
		if v := cell(fs, column); v == "" || seen[v] {
			return false
		}
		seen[cell(fs, column)] = true
	}
	return len(seen) > 1
}

// corner is one row.
type corner struct {
	at    orb.Point
	ring  int // which of the outline's rings
	order float64
	line  int
	up    float64 // the height, NaN for none
}

// outline is the rows that belong together.
type outline struct {
	f        *raw.Feature
	first    []string // the first row
	corners  []corner
	rings    []ringKey
	index    map[ringKey]int
	decimals int
	words    int // rows whose order is no number
	differs  bool
}

// ringKey tells the rings of an outline apart; hole is "" for an outer one.
type ringKey struct{ ring, hole string }

// cornerReader reads a table of corners.
type cornerReader struct {
	*table
	cs       columns
	outlines []*outline
	index    map[string]*outline
	last     *outline
	lastKey  string
	count    int
	said     int
	carried  int
	to       wkt.Transform
}

// readCorners reads the whole file.
func (t *table) readCorners(cs columns) (raw.Source, problem.List) {
	c := &cornerReader{table: t, cs: cs, index: map[string]*outline{}, to: wkt.Transform{System: t.in.CRS}}
	if cs.degrees {
		c.to.System = nil
	}
	if cs.projected && t.in.CRS == nil {
		t.found.Errorf("other-crs", t.in.Name, "Name the system with --crs, such as --crs EPSG:26915.", "the columns %q and %q are of a coordinate system that the file does not name",
			t.header[cs.x], t.header[cs.y])
		return nil, t.found
	}
	rs := newRows(t.data, t.size, t.start, t.line, t.sep)
	for {
		r, err := rs.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.cut(r, err)
			return nil, t.found
		}
		if !c.take(r) {
			return nil, t.found
		}
	}
	if c.carried > 0 {
		t.found.Warnf("outline-carried", t.in.Name, "Name the outline in every row.", "%d rows name no outline and are taken to belong to the one above them", c.carried)
	}
	list := &raw.List{Problems: t.found}
	for _, o := range c.outlines {
		c.finish(o)
		list.Features = append(list.Features, o.f)
	}
	return list, nil
}

// take reads one row; false stops.
func (c *cornerReader) take(r row) bool {
	fs, ok := fields(r.text, c.sep)
	if !ok {
		c.tooWide(r)
		return false
	}
	if blank(fs) {
		return true
	}
	if c.count++; c.count > MaxCorners {
		c.found.Errorf("too-many-corners", c.where(r.line), "Split the file, or bring the outlines as well-known text.", "the file has more than %d corners", MaxCorners)
		return false
	}
	o := c.outlineOf(r, fs)
	if c.said > maxSaid {
		c.found.Errorf("file-too-large", c.where(r.line), "Split the file.", "what the rows say of their outlines is more than %d MB", maxSaid>>20)
		return false
	}
	c.compare(o, r, fs)
	if len(fs) > len(c.header) && !blank(fs[len(c.header):]) {
		o.broken("row-too-long", c.where(r.line), "Put quotes round values in which the separator stands.", "the row has %d values and the header %d", len(fs), len(c.header))
		return true
	}
	if p, ok := c.corner(o, r, fs); ok {
		o.corners = append(o.corners, p)
	}
	return true
}

// outlineOf finds or begins the outline that a row belongs to.
func (c *cornerReader) outlineOf(r row, fs []string) *outline {
	key := cell(fs, c.cs.outline)
	if key == "" && c.cs.outline >= 0 && c.last != nil {
		c.carried++
		key = c.lastKey
	}
	if o := c.index[key]; o != nil {
		c.last, c.lastKey = o, key
		return o
	}
	where := c.where(r.line)
	if key != "" {
		where += " (" + raw.Clip(key) + ")"
	}
	o := &outline{index: map[ringKey]int{}, f: &raw.Feature{Where: where, Ground: true}}
	o.f.Members = c.members(fs, c.cs.x, c.cs.y, c.cs.ring, c.cs.order, c.cs.hole, c.cs.up)
	o.first = fs
	o.f.ID = key
	if c.cs.outline >= 0 && key == "" {
		o.broken("no-outline-name", c.where(r.line), "Name the outline in every row.", "the column %q is empty", c.header[c.cs.outline])
	}
	for _, f := range fs {
		c.said += len(f) + 16
	}
	c.index[key] = o
	c.outlines = append(c.outlines, o)
	c.last, c.lastKey = o, key
	return o
}

// telling are the members by which outlines are told apart later; rows of one outline must agree on them.
var telling = []string{"surface", "kind", "role", "class", "use", "type", "property", "site", "account", "parcel", "lot", "name"}

// compare breaks an outline whose rows say different things of it.
func (c *cornerReader) compare(o *outline, r row, fs []string) {
	for i, h := range c.lower {
		if o.differs || i >= len(fs) || fs[i] == "" || !slices.Contains(telling, h) {
			continue
		}
		if was := cell(o.first, i); fs[i] != was {
			o.differs = true
			fix := "Say the same in all rows of an outline."
			if c.cs.outline < 0 {
				fix = "Add a column \"outline\" that tells the outlines apart."
			}
			o.broken("member-differs", c.where(r.line), fix, "%q is %q here and %q in the first row of the outline", raw.Clip(c.header[i]), raw.Clip(fs[i]), raw.Clip(was))
		}
	}
}

// corner reads where a row lies.
func (c *cornerReader) corner(o *outline, r row, fs []string) (p corner, ok bool) {
	p = corner{line: r.line, up: math.NaN()}
	for k, column := range []int{c.cs.x, c.cs.y} {
		text := cell(fs, column)
		x, decimals, good := c.number(text)
		switch {
		case text == "":
			o.broken("coordinate-missing", c.where(r.line), "Give the corner both coordinates, or remove its row.", "the column %q is empty", c.header[column])
			return p, false
		case !good:
			o.broken("coordinate-not-a-number", c.where(r.line), "Write it as a plain decimal number, such as -93.2650.", "the column %q says %q", c.header[column], raw.Clip(text))
			return p, false
		}
		p.at[k] = x
		o.decimals = max(o.decimals, decimals)
	}
	if text := cell(fs, c.cs.up); text != "" {
		if z, _, ok := c.number(text); ok && math.Abs(z) < 1e5 {
			p.up = z
		}
	}
	hole, ok := holeWord(cell(fs, c.cs.hole))
	if !ok {
		o.broken("hole-unclear", c.where(r.line), "Write yes or no, or the number of the hole.", "the column %q says %q", c.header[c.cs.hole], raw.Clip(cell(fs, c.cs.hole)))
		return p, false
	}
	if c.cs.order >= 0 {
		if p.order, _, ok = c.number(cell(fs, c.cs.order)); !ok {
			o.words++
			p.order = math.NaN()
		}
	}
	p.ring = o.ring(ringKey{cell(fs, c.cs.ring), hole})
	return p, true
}

// holeWord is "" for the outer ring, and else which hole.
func holeWord(s string) (string, bool) {
	switch s = strings.ToLower(s); s {
	case "", "0", "no", "n", "false", "f", "outer", "exterior", "shell":
		return "", true
	case "yes", "y", "true", "t", "hole", "inner", "interior":
		return "1", true
	}
	n, err := strconv.Atoi(s)
	return strconv.Itoa(n), err == nil && n > 0
}

func (o *outline) ring(k ringKey) int {
	i, ok := o.index[k]
	if !ok {
		i = len(o.rings)
		o.index[k] = i
		o.rings = append(o.rings, k)
	}
	return i
}

// broken adds a problem that refuses the outline.
func (o *outline) broken(code, where, fix, format string, args ...any) {
	o.f.Broken = true
	switch n := len(o.f.Problems); {
	case n < mostProblems:
		o.f.Problems.Errorf(code, where, fix, format, args...)
	case n == mostProblems:
		o.f.Problems.Notef("more-problems", o.f.Where, "Mend these first.", "more rows of this outline have problems")
	}
}

func cell(fs []string, i int) string {
	if i < 0 || i >= len(fs) {
		return ""
	}
	return fs[i]
}

// finish puts the rings of an outline together.
func (c *cornerReader) finish(o *outline) {
	if c.cs.order >= 0 {
		c.sort(o)
	}
	rings := make([][]corner, len(o.rings))
	for _, p := range o.corners {
		rings[p.ring] = append(rings[p.ring], p)
	}
	c.to.Missed = 0
	var shells, holes orb.Polygon
	for i, ps := range rings {
		for _, ring := range c.closed(ps) {
			if o.rings[i].hole == "" {
				shells = append(shells, ring)
			} else {
				holes = append(holes, ring)
			}
		}
		for _, p := range ps {
			if !math.IsNaN(p.up) {
				o.f.Heights.Add(c.to.Height(p.up))
			}
		}
	}
	if c.to.Missed > 0 {
		c.to.Report(o.f, true)
	}
	o.f.Decimals, o.f.Step = c.to.Written(o.decimals)
	o.corners, o.index = nil, nil
	switch {
	case o.f.Broken:
	case len(shells) == 0:
		o.broken("hole-without-outline", o.f.Where, "Add the corners of the outline round the hole.", "all corners are of a hole")
	case len(shells) > 1 && c.cs.ring >= 0 && c.cs.hole < 0:
		o.broken("ring-unclear", o.f.Where, "Add a column \"hole\" with yes or no.", "the outline has %d rings, and nothing says which are holes", len(shells))
	case len(shells) > 1 && len(holes) > 0:
		o.broken("ring-unclear", o.f.Where, "Give each part an outline of its own.", "the outline has %d parts and %d holes, and nothing says which hole is of which part", len(shells), len(holes))
	default:
		for _, s := range shells {
			o.f.Areas = append(o.f.Areas, orb.Polygon{s})
		}
		o.f.Areas[0] = append(o.f.Areas[0], holes...)
	}
}

// closed cuts corners into rings, in degrees: a ring ends where it comes back to its first corner, so that two
// holes, or two outlines without a name, do not run into one.
func (c *cornerReader) closed(ps []corner) (out []orb.Ring) {
	var ring orb.Ring
	var first orb.Point
	done := false
	for _, p := range ps {
		if done && p.at == first {
			continue // the closing corner, written twice
		}
		if done {
			out, ring, done = append(out, ring), nil, false
		}
		if ring == nil {
			first = p.at
		}
		ring = append(ring, c.to.Degrees(p.at))
		done = len(ring) > 3 && p.at == first
	}
	if ring != nil {
		out = append(out, ring)
	}
	return out
}

// sort puts the corners of each ring in the order of their numbers.
func (c *cornerReader) sort(o *outline) {
	column := raw.Clip(c.header[c.cs.order])
	if o.words == len(o.corners) {
		if o.words > 0 {
			o.f.Problems.Notef("order-ignored", o.f.Where, "Nothing needs doing if the rows are in order.", "the column %q has no numbers; corners are taken in the order of the file", column)
		}
		return
	}
	if o.words > 0 {
		o.broken("order-unclear", o.f.Where, "Number all corners of the outline, or none.", "%d of %d corners have no number in the column %q", o.words, len(o.corners), column)
		return
	}
	slices.SortStableFunc(o.corners, func(a, b corner) int { return cmp.Or(cmp.Compare(a.ring, b.ring), cmp.Compare(a.order, b.order)) })
	gap, even := "", evenly(o.corners)
	for i := 1; i < len(o.corners); i++ {
		a, b := o.corners[i-1], o.corners[i]
		if a.ring != b.ring {
			continue
		}
		if a.order == b.order && a.at != b.at {
			o.broken("order-repeated", c.where(b.line), "Number each corner of a ring apart.", "the number %v in the column %q is also that of line %d", b.order, column, a.line)
		}
		if step := b.order - a.order; gap == "" && even && step > 1 && step < 10 {
			gap = fmt.Sprintf("between %v and %v", a.order, b.order)
		}
	}
	if gap != "" {
		o.f.Problems.Warnf("corner-skipped", o.f.Where, "Check that no corner is missing.", "the numbers in the column %q skip %s", column, gap)
	}
}

// evenly reports whether corners are mostly numbered one by one, so that a number left out means something.
func evenly(ps []corner) bool {
	ones := 0
	for i := 1; i < len(ps); i++ {
		if ps[i].ring == ps[i-1].ring && ps[i].order-ps[i-1].order == 1 {
			ones++
		}
	}
	return ones*2 >= len(ps)-1
}
