// Package gpx reads GPX 1.0 and 1.1: outlines that were walked with a phone or a GPS receiver.
//
// It knows tracks and routes, which are taken as areas, waypoints, which are points, and what is said of them. It
// leaves out times, speeds and everything else that a receiver writes beside a position. Standing still and
// crossing one's own way are left to the repair of rings.
package gpx

import (
	"encoding/xml"
	"fmt"
	"io"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/geo/crs"
	"tankful/geo/intake/markup"
	"tankful/geo/intake/osm/nest"
	"tankful/geo/intake/raw"
)

// MaxBytes bounds the size of a file: a position every second for two years, or so.
const MaxBytes = 256 << 20

// MaxFeatures bounds the number of tracks, routes and waypoints of a file.
const MaxFeatures = 500_000

// MaxCorners bounds the positions of all tracks and routes together.
const MaxCorners = 12_000_000

// Open reads all features of a file. Its list has an error, and the source is nil, when the file is no GPX.
func Open(in raw.Input) (raw.Source, problem.List) { return open(in, MaxCorners) }

// open is Open with a bound of its own on positions.
func open(in raw.Input, corners int) (raw.Source, problem.List) {
	var ps problem.List
	if in.Size > MaxBytes {
		ps.Errorf("file-too-large", in.Name, "Export fewer tracks at once.", "the file has %d MB; at most %d MB are read", in.Size>>20, MaxBytes>>20)
		return nil, ps
	}
	x, ps := markup.NewReader(in.Name, io.NewSectionReader(in.Data, 0, in.Size), MaxBytes)
	if x == nil {
		return nil, ps
	}
	r := &reader{name: in.Name, x: x, crs: in.CRS, most: corners, left: corners, counts: map[string]int{}, sorter: nest.Sorter{Steps: nest.Budget}}
	if err := x.Children(r.root); err != nil {
		x.Fault(&r.list.Problems, err)
	} else if !r.found && !r.list.Problems.HasErrors() {
		r.list.Problems.Errorf("not-gpx", in.Name, "Export the tracks as GPX.", "the file holds no element gpx")
	}
	if r.list.Problems.HasErrors() {
		return nil, r.list.Problems
	}
	x.Stray(&r.list.Problems)
	markup.DatumNote(&r.list.Problems, in)
	return &r.list, nil
}

// reader is one file being read.
type reader struct {
	name   string
	x      *markup.Reader
	crs    *crs.CRS
	space  string // the namespace of the file's gpx element
	counts map[string]int
	found  bool
	full   bool
	most   int // positions
	left   int
	sorter nest.Sorter
	list   raw.List
}

func (r *reader) root(e xml.StartElement) error {
	if e.Name.Local != "gpx" {
		if !r.found {
			r.list.Problems.Errorf("not-gpx", r.name, "Export the tracks as GPX.", "the file's root is %s, not gpx", raw.Clip(e.Name.Local))
		}
		return nil
	}
	r.found, r.space = true, e.Name.Space
	return r.x.Children(func(e xml.StartElement) error {
		switch e.Name.Local {
		case "trk":
			return r.track(e)
		case "rte":
			return r.route(e)
		case "wpt":
			return r.waypoint(e)
		}
		return nil
	})
}

// words are what the file calls its parts, and what people do.
var words = map[string]string{"trk": "track", "rte": "route", "wpt": "waypoint"}

// draft is a feature being read.
type draft struct {
	kind     string
	members  markup.Members
	corners  markup.Corners
	segments []segment
	heights  raw.Heights
}

// segment is one stretch of positions without a pause.
type segment []orb.Point

func (r *reader) newDraft(kind string) *draft {
	return &draft{kind: kind, corners: markup.Corners{CRS: r.crs}}
}

// said takes in what a child of a track, route or waypoint says of it.
func (r *reader) said(d *draft, e xml.StartElement) error {
	switch name := e.Name.Local; {
	case name == "extensions" || e.Name.Space != r.space: // GPX 1.0 has foreign elements right here
		return r.x.Leaves(e, d.members.Add)
	case name == "name", name == "type", name == "desc", name == "cmt", name == "sym":
		text, err := r.x.Text()
		d.members.Add(name, text)
		return err
	}
	return nil
}

func (r *reader) track(xml.StartElement) error {
	d := r.newDraft("trk")
	err := r.x.Children(func(e xml.StartElement) error {
		if e.Name.Local != "trkseg" {
			return r.said(d, e)
		}
		if n := len(d.segments); n == 0 || len(d.segments[n-1]) > 0 { // millions of empty ones would fill the memory
			d.segments = append(d.segments, nil)
		}
		return r.x.Children(func(e xml.StartElement) error {
			if e.Name.Local != "trkpt" {
				return nil
			}
			return r.position(d, e)
		})
	})
	if err == nil {
		r.keep(d)
	}
	return err
}

func (r *reader) route(xml.StartElement) error {
	d := r.newDraft("rte")
	d.segments = []segment{nil}
	err := r.x.Children(func(e xml.StartElement) error {
		if e.Name.Local != "rtept" {
			return r.said(d, e)
		}
		return r.position(d, e)
	})
	if err == nil {
		r.keep(d)
	}
	return err
}

// position reads a trkpt or rtept into the last segment; one that repeats the last is dropped.
func (r *reader) position(d *draft, e xml.StartElement) error {
	if r.left--; r.left < 0 {
		return nil
	}
	p, ok := d.corners.Point(markup.Attr(e, "lon"), markup.Attr(e, "lat"))
	s := &d.segments[len(d.segments)-1]
	repeats := len(*s) > 0 && (*s)[len(*s)-1] == p
	if ok && !repeats {
		*s = append(*s, p)
	}
	return r.x.Children(func(e xml.StartElement) error {
		if e.Name.Local != "ele" || !ok || repeats {
			return nil
		}
		return r.height(d)
	})
}

// height takes in an elevation; one that is no number is passed over: no area depends on it.
func (r *reader) height(d *draft) error {
	text, err := r.x.Text()
	if err != nil {
		return err
	}
	if z, _, code, _ := markup.Number(text); code == "" {
		d.heights.Add(z)
	}
	return nil
}

func (r *reader) waypoint(e xml.StartElement) error {
	d := r.newDraft("wpt")
	p, ok := d.corners.Point(markup.Attr(e, "lon"), markup.Attr(e, "lat"))
	err := r.x.Children(func(e xml.StartElement) error {
		if e.Name.Local == "ele" {
			return r.height(d)
		}
		return r.said(d, e)
	})
	if err != nil {
		return err
	}
	if f := r.begin(d); f != nil && ok {
		f.Points = []orb.Point{p}
	}
	return nil
}

// refuse says once that the file has too much.
func (r *reader) refuse() {
	switch {
	case r.full:
	case r.left < 0:
		r.list.Problems.Errorf("file-too-large", r.name, "Export fewer tracks at once.", "the tracks have more than %d positions together", r.most)
	default:
		r.list.Problems.Errorf("too-many-features", r.name, "Export fewer tracks at once.", "the file has more than %d tracks, routes and waypoints", MaxFeatures)
	}
	r.full = true
}

// begin makes the feature of a draft and puts it into the list; nil when there are too many.
func (r *reader) begin(d *draft) *raw.Feature {
	word := words[d.kind]
	r.counts[d.kind]++
	if len(r.list.Features) == MaxFeatures || r.left < 0 {
		r.refuse()
		return nil
	}
	where := fmt.Sprintf("%s: %s %d", r.name, word, r.counts[d.kind])
	if name := d.members.List.Text("name"); name != "" {
		where += " (" + raw.Clip(name) + ")"
	}
	f := &raw.Feature{Members: d.members.List, Heights: d.heights, Where: where}
	d.members.Warn(f)
	d.corners.Finish(f)
	r.list.Features = append(r.list.Features, f)
	return f
}
