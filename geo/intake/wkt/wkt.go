// Package wkt reads files of well-known text (OGC Simple Features, ISO 19125) and its extension with an
// SRID before the geometry ("SRID=26915;POLYGON((...))").
//
// It knows one geometry on a line or on several, Z and M, EMPTY, collections, and lines of comment that
// begin with #. It leaves out names and surfaces, which the format does not have, and curved edges, which it refuses.
package wkt

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/geo/crs"
	"tankful/geo/intake/raw"
)

// Bounds on what is read.
const (
	// MaxBytes is the largest file, which is held in memory.
	MaxBytes = 256 << 20
	// maxSystems is how many SRIDs one file may name.
	maxSystems = 64
)

// Open takes a file apart into geometries.
func Open(in raw.Input) (raw.Source, problem.List) {
	var ps problem.List
	if in.Size > MaxBytes {
		ps.Errorf("file-too-large", in.Name, "Split the file.", "the file has %d MB; at most %d MB are read", in.Size>>20, MaxBytes>>20)
		return nil, ps
	}
	data := make([]byte, max(0, in.Size))
	if n, err := in.Data.ReadAt(data, 0); n < len(data) {
		ps.Errorf("unreadable", in.Name, "Check the file.", "the file can not be read: %v", err)
		return nil, ps
	}
	s := &source{in: in, text: string(raw.UTF8(data)), systems: map[int]*crs.CRS{}}
	s.statements = split(s.text)
	if len(s.statements) == 0 {
		ps.Errorf("empty-file", in.Name, "Write one geometry on each line, such as POLYGON((...)).", "there is no geometry in the file")
		return nil, ps
	}
	s.findSystems()
	return s, nil
}

// source is a file in memory; handles are indices of statements.
type source struct {
	in         raw.Input
	text       string
	statements []statement
	systems    map[int]*crs.CRS // by SRID; absent when not known
	found      problem.List
}

// Scan visits the geometries with their shapes.
func (s *source) Scan(visit func(handle int64, f *raw.Feature) bool) problem.List {
	for i := range s.statements {
		if !visit(int64(i), s.Load(int64(i))) {
			break
		}
	}
	return append(problem.List(nil), s.found...)
}

// Load reads one geometry.
func (s *source) Load(handle int64) *raw.Feature {
	st := s.statements[handle]
	text := s.text[st.from:st.to]
	f := &raw.Feature{Where: fmt.Sprintf("%s: line %d", s.in.Name, st.line)}
	g, fault := Parse(text)
	f.Ground = g.Ground
	if fault != nil {
		f.Broken = g.Ground
		f.Problems.Errorf(fault.Code, s.place(st.from+fault.At), fault.Fix, "%s", fault.What)
		return f
	}
	system := s.in.CRS
	if system == nil && g.SRID != 0 {
		if system = s.systems[g.SRID]; system == nil {
			f.Broken = g.Ground // findSystems has said why
			return f
		}
	}
	g.Into(f, system)
	return f
}

// place is a byte of the file as "lots.wkt:3:17", line and column counted from 1, columns in characters.
func (s *source) place(at int) string {
	i := sort.Search(len(s.statements), func(i int) bool { return s.statements[i].from > at }) - 1
	st := s.statements[i]
	line := st.line + strings.Count(s.text[st.from:at], "\n")
	begin := strings.LastIndexByte(s.text[:at], '\n') + 1
	return fmt.Sprintf("%s:%d:%d", s.in.Name, line, 1+utf8.RuneCountInString(s.text[begin:at]))
}

// findSystems looks up every SRID of the file and reports on each once.
func (s *source) findSystems() {
	seen := map[int]bool{}
	for _, st := range s.statements {
		p := parser{text: s.text[st.from:st.to], g: &Geometry{}}
		if p.srid(); p.g.SRID == 0 || seen[p.g.SRID] {
			continue
		}
		if len(seen) == maxSystems {
			s.found.Errorf("other-crs", s.in.Name, "Name the one system with --crs, or split the file.", "the file names more than %d coordinate systems", maxSystems)
			return
		}
		seen[p.g.SRID] = true
		s.lookUp(p.g.SRID, fmt.Sprintf("%s: line %d", s.in.Name, st.line))
	}
}

func (s *source) lookUp(srid int, where string) {
	system, ps := System(srid, s.in, where)
	if system != nil {
		s.systems[srid] = system
	}
	s.found = append(s.found, ps...)
}

// System is the system of an SRID that a file of well-known text names, nil when it is not to be used:
// with the reason, or because the user names another.
func System(srid int, in raw.Input, where string) (*crs.CRS, problem.List) {
	var ps problem.List
	name := "EPSG:" + strconv.Itoa(srid)
	if in.CRS != nil {
		ps.Notef("crs-overridden", where, "Nothing needs doing.", "the text says SRID=%d; %s is taken, as you said", srid, in.CRS.Name())
		return nil, ps
	}
	system, err := crs.Parse(name)
	if err != nil {
		ps.Errorf("other-crs", where, "Name the system with --crs, or export the outlines again in longitude and latitude, WGS 84.",
			"the text says SRID=%d (%s): %v", srid, name, err)
		return nil, ps
	}
	if !system.Geographic() {
		ps.Notef("projected", where, "Check that the map shows the right place.", "the coordinates are read as %s", system.Name())
	}
	if note := system.Note(); note != "" {
		ps.Notef("datum-note", in.Name, "Nothing needs doing for areas.", "%s", note)
	}
	return system, ps
}

// Into puts the geometry's shapes into f, in degrees: by system, or as they are when that is nil. A corner
// that the system does not reach breaks the feature.
func (g *Geometry) Into(f *raw.Feature, system *crs.CRS) {
	f.Ground = f.Ground || g.Ground
	if len(g.Areas)+len(g.Lines)+len(g.Points) == 0 {
		f.Problems.Warnf("no-geometry", f.Where, "Draw it or remove it.", "the geometry is empty and counts for nothing")
		return
	}
	t := Transform{System: system}
	for _, polygon := range g.Areas {
		for _, ring := range polygon {
			t.all(ring)
		}
	}
	for _, l := range g.Lines {
		t.all(l)
	}
	t.all(g.Points)
	if t.Missed > 0 {
		t.Report(f, g.Ground)
		return
	}
	f.Areas, f.Lines, f.Points = g.Areas, g.Lines, g.Points
	if sum := g.Sum * t.unitMetres(); !math.IsInf(sum, 0) && !math.IsNaN(sum) { // heights too large for a sum are none
		f.Heights = raw.Heights{Sum: sum, Count: g.Count}
	}
	f.Decimals, f.Step = t.Written(g.Decimals)
}

// Transform takes coordinates to degrees and counts those that can not be.
type Transform struct {
	System *crs.CRS // nil leaves coordinates as they are
	Missed int
	first  orb.Point
}

// Degrees is the point in degrees.
func (t *Transform) Degrees(p orb.Point) orb.Point {
	if t.System == nil {
		return p
	}
	q, ok := t.System.ToDegrees(p[0], p[1])
	if !ok && t.System.Geographic() { // which geo/intake judges: it knows longitude and latitude the wrong way round
		return p
	}
	if !ok || math.IsNaN(q[0]+q[1]) || math.IsInf(q[0]+q[1], 0) {
		if t.Missed == 0 {
			t.first = p
		}
		t.Missed++
		return orb.Point{}
	}
	return q
}

func (t *Transform) all(ps []orb.Point) {
	for i, p := range ps {
		ps[i] = t.Degrees(p)
	}
}

// Report says how many corners the system does not reach.
func (t *Transform) Report(f *raw.Feature, ground bool) {
	f.Broken = f.Broken || ground
	f.Problems.Errorf("coordinate-out-of-range", f.Where, "Check the coordinates and the system they are in.",
		"%d corners lie outside of what %s reaches; the first is %v, %v", t.Missed, t.System.Name(), t.first[0], t.first[1])
}

// unitMetres is one unit of heights in metres: that of the coordinates, metres beside degrees.
func (t *Transform) unitMetres() float64 {
	if t.System == nil || t.System.UnitMetres() == 0 {
		return 1
	}
	return t.System.UnitMetres()
}

// Height is a third coordinate in metres.
func (t *Transform) Height(z float64) float64 { return z * t.unitMetres() }

// Written is how exactly coordinates with so many decimals are written: the decimals for degrees, or the step on
// the ground in metres.
func (t *Transform) Written(decimals int) (ofDegrees int, step float64) {
	if t.System == nil || t.System.Geographic() {
		return decimals, 0
	}
	return 0, t.System.UnitMetres() * math.Pow10(-decimals)
}

func clip(s string) string { return raw.Clip(s) }
