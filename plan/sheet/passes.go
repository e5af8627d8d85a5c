package sheet

import (
	"fmt"
	"math"
	"strings"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/plan"
	"tankful/plan/pass"
)

// Up to manyPasses passes each has its row; beyond that, every k-th and the ones that matter.
const (
	manyPasses = 96
	across     = 6
)

// passTable lists the passes with the gauge at the end of each, or, where no load is sprayed,
// the mix put out by then.
func (w *writer) passTable(s *plan.StopPlan, parts []part) []Block {
	list := s.Passes.List
	if len(list) == 0 {
		return nil
	}
	vol, length := "gal", "ft"
	if w.u == unit.Metric {
		vol, length = "L", "m"
	}
	every := (len(list) + manyPasses - 1) / manyPasses
	t := Table{Across: across, Fine: true, Columns: []Column{{Head: "Pass", Align: Right}, {Head: length, Align: Right}, {Head: "Gauge", Align: Right}}}
	text := "Gauge: what the sight gauge should read when the pass ends."
	if len(parts) == 0 {
		t.Columns[2].Head, text = "Sum "+vol, "Sum: the mix put out when the pass ends."
	}
	touchUps, laps, split := false, false, false
	for i, l := range list {
		p, ends := partOf(parts, l.N)
		if i > 0 && i < len(list)-1 && (i+1)%every != 0 && !ends {
			continue
		}
		n := fmt.Sprint(l.N)
		switch l.Kind {
		case string(pass.TouchUp):
			n, touchUps = n+"t", true
		case string(pass.Lap):
			n, laps = n+"L", true
		}
		reading := "-"
		switch {
		case p != nil:
			reading = w.u.Volume(p.gauge(parts, l.SoFar))
		case len(parts) == 0:
			reading = w.u.Volume(l.SoFar)
		}
		split = split || ends
		t.Rows = append(t.Rows, Row{Bold: ends, Cells: []string{n, w.passLength(l.Length),
			strings.TrimSuffix(reading, " "+vol)}})
	}
	if split {
		text += " Bold: a load ends in this pass."
	}
	if touchUps {
		text += " t: touch-up."
	}
	if laps {
		text += " L: edge lap."
	}
	if every > 1 {
		text += fmt.Sprintf(" Every %d passes are shown.", every)
	}
	return []Block{Heading{Text: "Passes", Together: true}, t, Text{Text: text, Style: Small}}
}

// passLength prints the length of a pass without its unit: in feet as lengths are, in metres
// to 0.1, which is as near as a pass is walked.
func (w *writer) passLength(l unit.Length) string {
	if w.u == unit.Metric {
		return unit.Number(l.In(unit.Metre), 1)
	}
	return strings.TrimSuffix(w.u.Length(l), " ft")
}

// partOf is the part of the stop that pass n ends in, and whether a load ends in the pass or
// with it. A load that ends within a pass leaves the pass's end to the next load.
func partOf(parts []part, n int) (p *part, ends bool) {
	for i := range parts {
		ls := parts[i].stop
		if n == ls.ToPass && !ls.Whole {
			ends = true
		}
		if p == nil && (n < ls.ToPass || n == ls.ToPass && ls.DryAt == 0) {
			p = &parts[i]
		}
	}
	return p, ends
}

// gauge is the reading once soFar of the stop's mix is out, in the part that p is.
func (p *part) gauge(parts []part, soFar unit.Volume) unit.Volume {
	for i := range parts {
		if &parts[i] == p {
			break
		}
		soFar -= parts[i].stop.Volume
	}
	return p.before - soFar
}

// The scales that a map is drawn at. US ones are a round number of feet to the inch.
var (
	scalesMetric = []int{50, 100, 125, 150, 200, 250, 300, 400, 500, 600, 750, 1000, 1250, 1500, 2000, 2500, 3000, 4000, 5000, 7500, 10000, 20000}
	scalesUS     = []int{60, 120, 180, 240, 300, 360, 420, 480, 540, 600, 720, 840, 960, 1080, 1200, 1440, 1800, 2400, 3000, 3600, 4800, 6000, 9600, 12000, 24000}
)

func (w *writer) stopMap(s *plan.StopPlan, parts []part) Block {
	mp := PassMap(&s.Map, &s.Passes, w.u)
	mp.Spread = w.spread(s)
	for _, p := range parts {
		if p.stop.Whole {
			continue
		}
		for _, l := range s.Passes.List {
			if l.N == p.stop.ToPass && len(l.Line) >= 2 {
				text := "LOAD %d ENDS"
				if !p.last {
					text = "STOP, LOAD %d"
				}
				mp.Marks = append(mp.Marks, Mark{Kind: TankChange, At: along(l.Line, p.stop.DryAt), Text: fmt.Sprintf(text, p.load.N)})
			}
		}
	}
	return mp
}

// asideSteps is how many swaths a walk between two passes must be longer than to be drawn: a shorter one is a step aside.
const asideSteps = 2

// trucks marks where the truck stands, where else it may, and where it would have to for what is out of reach.
func trucks(m *plan.Map) (marks []Mark) {
	at := m.Trucks
	if len(at) == 0 && len(m.Truck) >= 2 {
		at = []geom.Coord{m.Truck}
	}
	for i, c := range at {
		text := "TRUCK"
		if i > 0 {
			text = fmt.Sprintf("TRUCK %d", i+1)
		}
		marks = append(marks, Mark{Kind: AtTruck, At: c, Text: text})
	}
	if len(m.Second) >= 2 {
		marks = append(marks, Mark{Kind: AtTruck, At: m.Second, Text: "TRUCK FOR THE REST"})
	}
	return marks
}

// along is the point at a walked length into a line, its end for 0 or more than there is.
func along(line []geom.Coord, l unit.Length) geom.Coord {
	rest := l.In(unit.Metre)
	for i := 1; i < len(line) && rest > 0; i++ {
		dx, dy := line[i][0]-line[i-1][0], line[i][1]-line[i-1][1]
		d := math.Hypot(dx, dy)
		if d >= rest {
			return geom.Coord{line[i-1][0] + dx*rest/d, line[i-1][1] + dy*rest/d}
		}
		rest -= d
	}
	return line[len(line)-1]
}
