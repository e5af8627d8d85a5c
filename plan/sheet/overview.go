package sheet

import (
	"fmt"
	"strings"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo/local"
	"tankful/plan"
)

// Overview is where a truck's day goes: its places in metres east and north of an origin, north up, and the drives between them.
type Overview struct {
	Units  unit.System
	Places []Spot
	Drives []Drive
	// Scales are the scales to choose from, ascending, as in Map.
	Scales []int
	// Title says whose day of which plan it is, for a map of its own; Invented asks for the mark there that the data is made up.
	Title    string
	Invented bool
	// Credit is what the road data's licence asks to be said, "" without road data.
	Credit string
}

// SpotKind is what a place on the overview is.
type SpotKind string

// The kinds of places.
const (
	StartSpot SpotKind = "start"
	FillSpot  SpotKind = "fill"
	StopSpot  SpotKind = "stop"
)

// Spot is a place with its short text: "7", "7, 9" of a place worked at twice, "FILL 2", "YARD".
type Spot struct {
	Kind SpotKind
	At   geom.Coord
	Text string
}

// Drive is the way to the next thing to do. Loads is the number of the fill visit that it follows, 0 before the first: drives of neighbouring
// loads are drawn unlike. Roads says that Line follows roads; else it is straight.
type Drive struct {
	Line  []geom.Coord
	Loads int
	Roads bool
}

// overviewScales are those of town maps and farther.
var overviewScales = []int{2000, 2500, 5000, 10_000, 15_000, 20_000, 25_000, 50_000, 75_000, 100_000, 150_000, 200_000, 250_000, 500_000, 1_000_000}

// TruckOverview is the overview map of one truck's day, to stand on its own. It fails when the plan has no such truck.
func TruckOverview(p *plan.Plan, truck string) (Overview, error) {
	w, err := newWriter(p, truck)
	if err != nil {
		return Overview{}, err
	}
	o := w.overview()
	o.Title = fmt.Sprintf("%s, %s, %s, plan %s", orDash(p.Outfit), named("truck", truck), p.Date, p.Fingerprint)
	o.Invented = p.Invented
	return o, nil
}

func (w *writer) overview() Overview {
	o := Overview{Units: w.u, Scales: overviewScales, Credit: w.p.RoadCredit}
	frame := local.NewFrame(w.middle())
	at := frame.Forward(orb.Point{w.day.From.Lon, w.day.From.Lat})
	o.put(StartSpot, at, "START")
	fills := 0
	for i := range w.day.Events {
		e := &w.day.Events[i]
		to := frame.Forward(orb.Point{e.Lon, e.Lat})
		o.drive(at, to, frame, e.Way, fills)
		at = to
		switch e.Kind {
		case plan.Fill:
			fills++
			o.put(FillSpot, to, fmt.Sprintf("FILL %d", fills))
		case plan.Work:
			o.put(StopSpot, to, fmt.Sprint(e.Stop))
		case plan.Return:
			o.put(StartSpot, to, "END")
		}
	}
	return o
}

// middle is the middle of the bounds of all places, in degrees.
func (w *writer) middle() orb.Point {
	b := orb.Point{w.day.From.Lon, w.day.From.Lat}.Bound()
	for i := range w.day.Events {
		b = b.Extend(orb.Point{w.day.Events[i].Lon, w.day.Events[i].Lat})
	}
	return b.Center()
}

// drive adds the way from one place to the next, unless they are one.
func (o *Overview) drive(from, to geom.Coord, frame *local.Frame, way []plan.Point, loads int) {
	d := Drive{Line: []geom.Coord{from, to}, Loads: loads}
	if len(way) > 1 {
		d.Roads, d.Line = true, nil
		for _, p := range way {
			d.Line = append(d.Line, frame.Forward(orb.Point{p.Lon, p.Lat}))
		}
	} else if onePlace(from, to) {
		return
	}
	o.Drives = append(o.Drives, d)
}

// onePlace reports whether two places are within a truck's length of each other.
func onePlace(a, b geom.Coord) bool {
	const truck = 10.0 // m
	dx, dy := a[0]-b[0], a[1]-b[1]
	return dx*dx+dy*dy < truck*truck
}

// put adds a place, or its text to the place of that kind that stands there.
func (o *Overview) put(kind SpotKind, at geom.Coord, text string) {
	for i := range o.Places {
		s := &o.Places[i]
		if s.Kind != kind || !onePlace(s.At, at) {
			continue
		}
		switch {
		case text == "END" && s.Text == "START":
			s.Text = "START, END"
		case s.Text != text:
			s.Text += ", " + strings.TrimPrefix(text, "FILL ")
		}
		return
	}
	o.Places = append(o.Places, Spot{Kind: kind, At: at, Text: text})
}

func (Overview) block() {}
