// Package osm reads an OpenStreetMap extract in XML (API 0.6): nodes, ways and relations.
//
// It knows which closed ways are areas, and puts multipolygon and boundary relations together from their ways. It
// leaves out what the tags mean for a lawn, relations of other types (routes, restrictions), and change files.
package osm

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/geo/crs"
	"tankful/geo/intake/markup"
	"tankful/geo/intake/osm/nest"
	"tankful/geo/intake/raw"
)

const (
	// MaxBytes bounds the size of a file: a middle-sized town. The positions of its nodes are held in memory.
	MaxBytes = 512 << 20
	// MaxFeatures bounds the number of features that come out of a file.
	MaxFeatures = 2_000_000
	// MaxCorners bounds the corners of all features together: many relations may name the same long way.
	MaxCorners = 40_000_000
	// MaxHeld bounds the memory for what a file says, in bytes, as estimated by the costs in hold.go: files of very short
	// elements would need thirty times their size. One of buildings alone needs 1.7 times its size by that estimate, and 3.5
	// times when it does not say who drew them and when.
	MaxHeld = 1 << 30
)

// Open reads all features of an extract. Its list has an error, and the source is nil, when the file is no extract.
func Open(in raw.Input) (raw.Source, problem.List) { return open(in, MaxCorners, MaxHeld) }

// open is Open with bounds of its own on corners and memory.
func open(in raw.Input, corners, held int) (raw.Source, problem.List) {
	var ps problem.List
	if in.Size > MaxBytes {
		ps.Errorf("file-too-large", in.Name, "Export a smaller area.", "the file has %d MB; at most %d MB are read", in.Size>>20, MaxBytes>>20)
		return nil, ps
	}
	x, ps := markup.NewReader(in.Name, io.NewSectionReader(in.Data, 0, in.Size), MaxBytes)
	if x == nil {
		return nil, ps
	}
	r := &reader{name: in.Name, x: x, crs: in.CRS, nodes: map[int64]node{}, faulty: map[int64][2]string{}, wayAt: map[int64]int{},
		tagged: map[int64]int{}, relationAt: map[int64]int{}, inline: map[int64]*way{}, places: map[orb.Point]int64{},
		corners: corners, free: held, sorter: nest.Sorter{Steps: nest.Budget}}
	if err := x.Children(r.root); errors.Is(err, errHeld) {
		r.list.Problems.Errorf("file-too-large", in.Name, "Export a smaller area.", "what the file holds needs more than %d MB of memory", held>>20)
	} else if err != nil {
		x.Fault(&r.list.Problems, err)
	} else if !r.found && !r.list.Problems.HasErrors() {
		r.list.Problems.Errorf("not-osm", in.Name, "Export the area as OpenStreetMap XML.", "the file holds no element osm")
	}
	if !r.list.Problems.HasErrors() {
		r.features()
	}
	if r.list.Problems.HasErrors() {
		return nil, r.list.Problems
	}
	x.Stray(&r.list.Problems)
	markup.DatumNote(&r.list.Problems, in)
	return &r.list, nil
}

type node struct {
	p        orb.Point
	decimals uint8
	faulty   bool
}

type way struct {
	id     int64
	refs   []int64
	tags   markup.Members
	gone   bool // deleted
	ground raw.Members
	// part is true for a way that a multipolygon or boundary is made of; same when it says of the ground what that says.
	part, same bool
}

type member struct {
	way  int64
	role string
}

type relation struct {
	id       int64
	boundary bool
	members  []member
	inner    int // members that are relations and should be rings
	holes    int // inner ways with the tags of the outer ones, in the old custom
	tags     markup.Members
	gone     bool
}

type taggedNode struct {
	id   int64
	tags markup.Members
}

// reader is one file being read.
type reader struct {
	name  string
	x     *markup.Reader
	crs   *crs.CRS
	found bool

	nodes     map[int64]node
	faulty    map[int64][2]string // code and text of nodes without a position
	points    []taggedNode
	ways      []*way
	relations []*relation
	// where elements stand in the lists, by id: a later one of the same id is a later version
	tagged, wayAt, relationAt map[int64]int
	inline                    map[int64]*way      // ways that are written out inside relations
	places                    map[orb.Point]int64 // their corners' made-up ids

	corners int // left of MaxCorners
	free    int // left of MaxHeld
	sorter  nest.Sorter
	cut     int // boundaries without ground that the extract cuts
	list    raw.List
}

func (r *reader) root(e xml.StartElement) error {
	if e.Name.Local != "osm" {
		if !r.found {
			r.list.Problems.Errorf("not-osm", r.name, "Export the area as OpenStreetMap XML.", "the file's root is %s, not osm", raw.Clip(e.Name.Local))
		}
		return nil
	}
	r.found = true
	return r.x.Children(func(e xml.StartElement) error {
		switch e.Name.Local {
		case "node":
			return r.node(e)
		case "way":
			return r.way(e)
		case "relation":
			return r.relation(e)
		}
		return nil
	})
}

// none is the id of what has none.
const none = math.MinInt64

func number(s string) int64 {
	n, err := strconv.ParseInt(s, 10, 64)
	if err != nil {
		return none
	}
	return n
}

// identify is the element's id; ok is false when it has none, which is reported once.
func (r *reader) identify(e xml.StartElement) (id int64, ok bool) {
	if id = number(markup.Attr(e, "id")); id != none {
		return id, true
	}
	if !r.list.Problems.HasErrors() {
		r.list.Problems.Errorf("id-missing", fmt.Sprintf("%s:%d", r.name, r.x.Line()), "Export the area again.",
			"a %s has no id, or one that is no number: %q", e.Name.Local, raw.Clip(markup.Attr(e, "id")))
	}
	return none, false
}

// deleted reports whether an editor or the history marks an element as not there any more.
func deleted(e xml.StartElement) bool {
	return markup.Attr(e, "visible") == "false" || markup.Attr(e, "action") == "delete"
}

func (r *reader) node(e xml.StartElement) error {
	id, ok := r.identify(e)
	if !ok {
		return nil
	}
	if deleted(e) {
		delete(r.nodes, id)
		return nil
	}
	if err := r.place(id, e); err != nil {
		return err
	}
	var tags markup.Members
	err := r.x.Children(func(e xml.StartElement) error { return r.tag(&tags, e) })
	if at, known := r.tagged[id]; known {
		r.points[at].tags = tags
	} else if len(tags.List) > 0 {
		r.tagged[id] = len(r.points)
		r.points = append(r.points, taggedNode{id, tags})
		if err == nil {
			err = r.hold(featureCost)
		}
	}
	return err
}

// place notes where a node is.
func (r *reader) place(id int64, e xml.StartElement) error {
	c := markup.Corners{CRS: r.crs}
	p, ok := c.Point(markup.Attr(e, "lon"), markup.Attr(e, "lat"))
	r.nodes[id] = node{p: p, decimals: uint8(c.Decimals()), faulty: !ok}
	if !ok {
		code, what := c.Fault()
		r.faulty[id] = [2]string{code, fmt.Sprintf("node/%d: %s", id, what)}
		return r.hold(nodeCost + faultCost)
	}
	return r.hold(nodeCost)
}

// tag takes in a tag of a node, way or relation.
func (r *reader) tag(tags *markup.Members, e xml.StartElement) error {
	before := len(tags.List)
	addTag(tags, e)
	if len(tags.List) == before {
		return nil
	}
	last := tags.List[before]
	return r.hold(tagCost + len(last.Key) + len(last.Value))
}

func (r *reader) way(e xml.StartElement) error {
	id, ok := r.identify(e)
	if !ok {
		return nil
	}
	if err := r.hold(wayCost + featureCost); err != nil {
		return err
	}
	w := &way{id: id, gone: deleted(e)}
	if at, known := r.wayAt[id]; known {
		r.ways[at] = w
	} else {
		r.wayAt[id] = len(r.ways)
		r.ways = append(r.ways, w)
	}
	err := r.x.Children(func(e xml.StartElement) error {
		switch e.Name.Local {
		case "nd":
			ref := number(markup.Attr(e, "ref"))
			if _, known := r.nodes[ref]; !known && ref != none && markup.Attr(e, "lat") != "" {
				if err := r.place(ref, e); err != nil { // extracts with the positions in the ways
					return err
				}
			}
			if n := len(w.refs); n == 0 || w.refs[n-1] != ref {
				w.refs = append(w.refs, ref)
				return r.hold(refCost)
			}
		case "tag":
			return r.tag(&w.tags, e)
		}
		return nil
	})
	w.ground = ground(w.tags.List)
	return err
}

func (r *reader) relation(e xml.StartElement) error {
	id, ok := r.identify(e)
	if !ok {
		return nil
	}
	if err := r.hold(relationCost + featureCost); err != nil {
		return err
	}
	l := &relation{id: id, gone: deleted(e)}
	kind := ""
	err := r.x.Children(func(e xml.StartElement) error {
		switch e.Name.Local {
		case "member":
			return r.member(l, e)
		case "tag":
			if markup.Attr(e, "k") == "type" {
				kind = markup.Attr(e, "v")
			} else {
				return r.tag(&l.tags, e)
			}
		}
		return nil
	})
	l.boundary = kind == "boundary"
	l.gone = l.gone || kind != "multipolygon" && kind != "boundary"
	if at, known := r.relationAt[id]; known {
		r.relations[at] = l
	} else if !l.gone {
		r.relationAt[id] = len(r.relations)
		r.relations = append(r.relations, l)
	}
	return err
}

func (r *reader) member(l *relation, e xml.StartElement) error {
	role, ref := markup.Attr(e, "role"), number(markup.Attr(e, "ref"))
	switch markup.Attr(e, "type") {
	case "relation":
		if role == "outer" || role == "inner" {
			l.inner++
		}
	case "way":
		if role == "subarea" || role == "label" {
			return nil
		}
		l.members = append(l.members, member{ref, role})
		if err := r.hold(memberCost + len(role)); err != nil {
			return err
		}
		return r.writtenOut(ref)
	}
	return nil
}
