package plan

import (
	"fmt"
	"math"
	"strings"

	"github.com/twpayne/go-geom"

	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/geo"
)

// bufferSlack is by how much the turf may be nearer than a buffer before that is told, as a share of it: a strip's round
// corners are drawn as chords, which lie up to half a per cent inside the arc.
const bufferSlack = 0.01

// buffers warns where the turf to be sprayed lies nearer to a surface than a label of the mix asks for. It is no error: a label
// may allow some applicators and nozzles nearer, which is not entered, and the outline may be of a bank and not of the water.
func (m *maker) buffers() {
	for i := range m.work {
		w := &m.work[i]
		for _, part := range m.carried[w.mix].recipe.Parts {
			for _, b := range part.Product.Label.Buffers {
				if holdsFor(b, m.plan.Mixes[w.mix].Kind) {
					m.buffer(w.stop, part.Product.Name, b)
				}
			}
		}
	}
}

// holdsFor reports whether a buffer holds for an applicator's kind.
func holdsFor(b label.Buffer, kind ApplicatorKind) bool {
	return b.Applicator == "" || b.Applicator == string(kind)
}

func (m *maker) buffer(st *Stop, product string, b label.Buffer) {
	units, site := m.day.Units, st.Site
	surface, ok := surfaceOf(b.Near)
	shape := site.Exclusions[surface]
	strip := site.Strips[surface]
	if !ok || shape == nil || site.Net == nil || strip >= b.Distance*(1-1e-9) {
		return
	}
	near := clearance(site.Net, shape, b.Distance)
	if near >= b.Distance*(1-bufferSlack) {
		return
	}
	kept := "no strip is kept off along it"
	if strip > 0 {
		kept = fmt.Sprintf("the strip kept off along it is %s wide", units.Length(strip))
	}
	m.problems.Warnf("buffer-not-kept", st.Where, fmt.Sprintf("Keep a strip of %s off along %s, or make sure that the label allows this applicator and nozzle nearer.", units.Length(b.Distance), surface),
		"at %s turf to be sprayed comes as near as %s to %s (%s), and the label of %s asks for %s from %s [%s]",
		site.Property.Name, units.Length(near), surface, kept, product, units.Length(b.Distance), b.Near, b.Citation)
}

// surfaceOf is the surface that a label's word stands for: "open water" is water. A well or a school is no surface, and the
// sheet alone tells of it.
func surfaceOf(near string) (geo.Surface, bool) {
	for _, word := range strings.Fields(strings.ToLower(near)) {
		for _, s := range geo.LeftOut {
			if strings.HasPrefix(word, string(s)) {
				return s, true
			}
		}
	}
	return "", false
}

// clearance is the least distance between the edges of two areas, within when it is that or more.
func clearance(a, b *geom.MultiPolygon, within unit.Length) unit.Length {
	best := within.In(unit.Metre)
	theirs := edges(b)
	for _, s := range edges(a) {
		for _, t := range theirs {
			if s.gap(t) < best {
				best = math.Min(best, s.distance(t))
			}
		}
	}
	return unit.Length(best) * unit.Metre
}

// edge is a stretch of outline in metres.
type edge struct{ a, b geom.Coord }

func edges(mp *geom.MultiPolygon) (list []edge) {
	for _, polygon := range mp.Coords() {
		for _, ring := range polygon {
			for i := 1; i < len(ring); i++ {
				list = append(list, edge{ring[i-1], ring[i]})
			}
		}
	}
	return list
}

// gap is the distance of the boxes round two edges, which is at most that of the edges.
func (e edge) gap(f edge) float64 {
	axis := func(i int) float64 {
		return max(0, min(e.a[i], e.b[i])-max(f.a[i], f.b[i]), min(f.a[i], f.b[i])-max(e.a[i], e.b[i]))
	}
	return math.Hypot(axis(0), axis(1))
}

// distance is that of two edges that do not cross: at an end of one of them. Turf and what is left out of it do not
// overlap, so that their edges do not.
func (e edge) distance(f edge) float64 {
	return min(f.from(e.a), f.from(e.b), e.from(f.a), e.from(f.b))
}

// from is the distance of a point.
func (e edge) from(p geom.Coord) float64 {
	dx, dy := e.b[0]-e.a[0], e.b[1]-e.a[1]
	at := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		at = min(1, max(0, ((p[0]-e.a[0])*dx+(p[1]-e.a[1])*dy)/l))
	}
	return math.Hypot(p[0]-e.a[0]-at*dx, p[1]-e.a[1]-at*dy)
}
