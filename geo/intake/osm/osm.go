// Package osm reads an OpenStreetMap extract in XML (API 0.6): nodes, ways and relations.
//
// It knows which closed ways are areas, and puts multipolygon and boundary relations together from their ways. It
// leaves out what the tags mean for a lawn, relations of other types (routes, restrictions), and change files.
package osm

import (
	"encoding/xml"
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
)

// Open reads all features of an extract. Its list has an error, and the source is nil, when the file is no extract.
func Open(in raw.Input) (raw.Source, problem.List) { return open(in, MaxCorners) }

// open is Open with a bound of its own on corners.
func open(in raw.Input, corners int) (raw.Source, problem.List) {
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
		corners: corners, sorter: nest.Sorter{Steps: nest.Budget}}
	if err := x.Children(r.root); err != nil {
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
	r.place(id, e)
	var tags markup.Members
	err := r.x.Children(func(e xml.StartElement) error { addTag(&tags, e); return nil })
	if at, known := r.tagged[id]; known {
		r.points[at].tags = tags
	} else if len(tags.List) > 0 {
		r.tagged[id] = len(r.points)
		r.points = append(r.points, taggedNode{id, tags})
	}
	return err
}

// place notes where a node is.
func (r *reader) place(id int64, e xml.StartElement) {
	c := markup.Corners{CRS: r.crs}
	p, ok := c.Point(markup.Attr(e, "lon"), markup.Attr(e, "lat"))
	r.nodes[id] = node{p: p, decimals: uint8(c.Decimals()), faulty: !ok}
	if !ok {
		code, what := c.Fault()
		r.faulty[id] = [2]string{code, fmt.Sprintf("node/%d: %s", id, what)}
	}
}

func (r *reader) way(e xml.StartElement) error {
	id, ok := r.identify(e)
	if !ok {
		return nil
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
				r.place(ref, e) // extracts with the positions in the ways
			}
			if n := len(w.refs); n == 0 || w.refs[n-1] != ref {
				w.refs = append(w.refs, ref)
			}
		case "tag":
			addTag(&w.tags, e)
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
				addTag(&l.tags, e)
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
		w := &way{id: ref}
		err := r.x.Children(func(e xml.StartElement) error {
			if e.Name.Local == "nd" {
				w.refs = append(w.refs, r.madeUp(e))
			}
			return nil
		})
		if len(w.refs) > 0 && ref != none {
			r.inline[ref] = w
		}
		return err
	}
	return nil
}

// madeUp is the id of a corner that is written without one: the same place has the same id.
func (r *reader) madeUp(e xml.StartElement) int64 {
	c := markup.Corners{CRS: r.crs}
	p, ok := c.Point(markup.Attr(e, "lon"), markup.Attr(e, "lat"))
	if !ok {
		return none
	}
	id, known := r.places[p]
	if !known {
		id = none + 1 + int64(len(r.places))
		r.places[p] = id
		r.nodes[id] = node{p: p, decimals: uint8(c.Decimals())}
	}
	return id
}
