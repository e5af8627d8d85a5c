package osm

import (
	"fmt"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/geo/intake/markup"
	"tankful/geo/intake/raw"
)

// cutFix is what helps when members are missing.
const cutFix = "The extract cuts this outline: export a larger area."

// features makes the features of everything that was read.
func (r *reader) features() {
	for _, l := range r.relations {
		if !l.gone {
			r.claim(l)
		}
	}
	for _, n := range r.points {
		at, known := r.nodes[n.id]
		if !known || len(n.tags.List) == 0 {
			continue
		}
		if f, c := r.begin("node", n.id, n.tags); f != nil {
			r.corner(c, n.id)
			c.Finish(f)
			if !at.faulty {
				f.Points = []orb.Point{at.p}
			}
		}
	}
	for _, w := range r.ways {
		if !w.gone && !w.same && (!w.part || len(w.tags.List) > 0) {
			r.wayFeature(w)
		}
	}
	for _, l := range r.relations {
		if !l.gone {
			r.relationFeature(l)
		}
	}
	if r.cut > 0 {
		r.list.Problems.Notef("boundary-cut", r.name, "Nothing needs doing.",
			"%d boundary relations say nothing of the ground and reach beyond the extract; they are not read", r.cut)
	}
	if r.corners < 0 {
		r.list.Problems.Errorf("file-too-large", r.name, "Export a smaller area.", "the outlines have more than %d corners together", MaxCorners)
	}
}

// begin makes a feature and puts it into the list; nil when there are too many.
func (r *reader) begin(kind string, id int64, tags markup.Members) (*raw.Feature, *markup.Corners) {
	if len(r.list.Features) == MaxFeatures {
		if !r.list.Problems.HasErrors() {
			r.list.Problems.Errorf("too-many-features", r.name, "Export a smaller area.", "the file has more than %d features", MaxFeatures)
		}
		return nil, nil
	}
	f := &raw.Feature{ID: fmt.Sprintf("%s/%d", kind, id), Members: tags.List}
	f.Where = fmt.Sprintf("%s: %s", r.name, f.ID)
	if name := f.Members.Text("name"); name != "" {
		f.Where += " (" + raw.Clip(name) + ")"
	}
	tags.Warn(f)
	r.list.Features = append(r.list.Features, f)
	return f, &markup.Corners{CRS: r.crs}
}

// corner is the position of a node; ok is false when there is none, and c has the reason when the node is there.
func (r *reader) corner(c *markup.Corners, id int64) (p orb.Point, ok bool) {
	n, known := r.nodes[id]
	if !known {
		return p, false
	}
	if n.faulty {
		c.Fail(r.faulty[id][0], r.faulty[id][1])
		return p, false
	}
	c.See(int(n.decimals))
	return n.p, true
}

// line is the positions of refs, with the number of nodes that the file does not have.
func (r *reader) line(c *markup.Corners, refs []int64) (pts []orb.Point, missing int) {
	if r.corners -= len(refs); r.corners < 0 {
		return nil, 0
	}
	pts = make([]orb.Point, 0, len(refs))
	for _, ref := range refs {
		if p, ok := r.corner(c, ref); ok {
			pts = append(pts, p)
		} else if _, known := r.nodes[ref]; !known {
			missing++
		}
	}
	return pts, missing
}

func closed(refs []int64) bool { return len(refs) > 2 && refs[0] == refs[len(refs)-1] }

func (r *reader) wayFeature(w *way) {
	f, c := r.begin("way", w.id, w.tags)
	if f == nil {
		return
	}
	pts, missing := r.line(c, w.refs)
	c.Finish(f)
	area := closed(w.refs) && isArea(w.tags.List)
	f.Ground = area
	switch {
	case area && missing > 0:
		f.Broken = true
		f.Problems.Errorf("outline-cut", f.Where, cutFix, "%d of %d nodes of the outline are not in the file", missing, len(w.refs))
	case area && c.Failed():
		f.Broken = true
	case area:
		f.Areas = orb.MultiPolygon{{orb.Ring(pts)}}
	case len(w.refs) == 0:
		f.Problems.Warnf("no-geometry", f.Where, "Draw it or remove it.", "the way has no nodes and counts for nothing")
	default:
		by, must := mustClose(w.tags.List)
		if must && !w.part && !closed(w.refs) {
			r.unclosed(f, by, pts, missing)
			return
		}
		r.openLine(f, pts, missing)
	}
}

// unclosed refuses an outline that lacks a side.
func (r *reader) unclosed(f *raw.Feature, by raw.Member, pts []orb.Point, missing int) {
	f.Ground, f.Broken = true, true
	if missing > 0 {
		f.Problems.Errorf("outline-cut", f.Where, cutFix, "%d nodes of the outline are not in the file", missing)
		return
	}
	gap := ""
	if len(pts) > 1 {
		gap = "; its ends are " + apart(pts[0], pts[len(pts)-1]) + " apart"
	}
	f.Problems.Errorf("outline-not-closed", f.Where, "Close the way, or export a larger area.",
		"the way is tagged %s=%s, which is an area, and does not end where it starts%s", by.Key, raw.Clip(by.Value), gap)
}

func (r *reader) openLine(f *raw.Feature, pts []orb.Point, missing int) {
	if missing > 0 {
		f.Problems.Warnf("outline-cut", f.Where, "Export a larger area.", "%d nodes of the line are not in the file; it is read without them", missing)
	}
	if len(pts) > 0 {
		f.Lines = orb.MultiLineString{orb.LineString(pts)}
	}
}

// wayOf is the way that a relation names, nil when the file does not have it.
func (r *reader) wayOf(id int64) *way {
	if at, ok := r.wayAt[id]; ok {
		if r.ways[at].gone {
			return nil
		}
		return r.ways[at]
	}
	return r.inline[id]
}

// claim marks the ways that l is made of. When l says nothing of the ground itself it takes the tags of its outer ways,
// as was the custom before 2013 or so (from memory); an inner way with those tags too was then only a hole. An outer
// way that says what l says is the same ground drawn twice, and would fill l's holes.
func (r *reader) claim(l *relation) {
	own := ground(l.tags.List)
	custom := len(own) == 0 && !l.boundary && l.tags.List.Text("area") != "yes"
	for _, m := range l.members {
		if w := r.wayOf(m.way); custom && len(own) == 0 && w != nil && m.role != "inner" {
			if own = w.ground; len(own) > 0 {
				l.adopt(w.tags.List)
			}
		}
	}
	for _, m := range l.members {
		w := r.wayOf(m.way)
		if w == nil {
			continue
		}
		w.part = true
		if len(own) > 0 && agree(w.ground, own) && (custom || m.role != "inner") {
			w.same = true
			if m.role == "inner" {
				l.holes++
			}
		}
	}
}

// adopt takes over the tags of an outer way that l does not have.
func (l *relation) adopt(tags raw.Members) {
	for _, t := range tags {
		if l.tags.List.Text(t.Key) == "" {
			l.tags.Add(t.Key, t.Value)
		}
	}
}

func (r *reader) relationFeature(l *relation) {
	if l.boundary && len(ground(l.tags.List)) == 0 && r.incomplete(l) {
		r.cut++
		return
	}
	f, c := r.begin("relation", l.id, l.tags)
	if f == nil {
		return
	}
	var ps problem.List
	f.Areas, ps = r.assemble(l, f.Where, c)
	c.Finish(f)
	f.Problems = append(f.Problems, ps...)
	if l.holes > 0 {
		f.Problems.Notef("same-tags", f.Where, "Nothing needs doing.",
			"%d inner ways have the tags of the outer ones, which have to speak for the relation; they are taken as holes only", l.holes)
	}
	f.Ground = true
	if f.Problems.HasErrors() {
		f.Areas, f.Broken = nil, true
	}
}

// incomplete reports whether a member of l, or a node of one, is not in the file.
func (r *reader) incomplete(l *relation) bool {
	for _, m := range l.members {
		w := r.wayOf(m.way)
		if w == nil {
			return true
		}
		if r.corners -= len(w.refs); r.corners < 0 {
			return true
		}
		for _, ref := range w.refs {
			if _, known := r.nodes[ref]; !known {
				return true
			}
		}
	}
	return len(l.members) == 0
}
