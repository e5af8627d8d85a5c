package road

import (
	"bytes"
	"context"
	"io"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// speeds are what a loaded truck is taken to drive at where the map gives no speed limit, by the class of the road: an assumption of this
// project. A class that is not here is not driven on.
var speeds = map[string]unit.Speed{
	"motorway": 100 * unit.KilometrePerHour, "motorway_link": 60 * unit.KilometrePerHour, "trunk": 80 * unit.KilometrePerHour, "trunk_link": 50 * unit.KilometrePerHour, "primary": 60 * unit.KilometrePerHour, "primary_link": 40 * unit.KilometrePerHour, "secondary": 50 * unit.KilometrePerHour, "secondary_link": 40 * unit.KilometrePerHour,
	"tertiary": 50 * unit.KilometrePerHour, "tertiary_link": 40 * unit.KilometrePerHour, "unclassified": 40 * unit.KilometrePerHour, "residential": 35 * unit.KilometrePerHour, "living_street": 10 * unit.KilometrePerHour, "service": 15 * unit.KilometrePerHour, "road": 30 * unit.KilometrePerHour,
}

// Read makes a graph of an OpenStreetMap extract in its binary form (.osm.pbf; the format: OpenStreetMap wiki, "PBF Format"), which is read twice. name is for the problems that are found.
//
// Ways with a highway tag of a class that cars drive on are roads, unless access, vehicle or motor_vehicle says no or private. oneway=yes, 1, true and -1 are heeded, roundabouts and motorways
// run one way. maxspeed is a number of km/h, or of mph when it says so, and is driven at; without one the class decides. Turn restrictions and barriers are not read.
// The graph is nil beside an error.
func Read(ctx context.Context, name string, r io.ReadSeeker) (*Graph, problem.List) {
	var l problem.List
	fail := func(err error) (*Graph, problem.List) {
		l.Errorf("roads-unreadable", name, "Download the extract again, as .osm.pbf.", "the extract of roads cannot be read: %v", err)
		return nil, l
	}
	b := builder{uses: map[int64]int{}}
	if err := (&extract{way: b.way}).read(ctx, r); err != nil {
		return fail(err)
	}
	if len(b.ways) == 0 {
		l.Errorf("roads-none", name, "Take an extract of OpenStreetMap with the streets in it.", "no way in the extract is a road that can be driven")
		return nil, l
	}
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return fail(err)
	}
	b.at = make(map[int64]orb.Point, len(b.uses))
	if err := (&extract{node: b.node}).read(ctx, r); err != nil {
		return fail(err)
	}
	g, err := b.graph()
	if err != nil {
		return fail(err)
	}
	if b.missing > 0 {
		l.Warnf("roads-cut", name, "Take an extract with complete ways to have the roads at its edge.", "%d points of roads are not in the extract; the roads end there", b.missing)
	}
	return g, l
}

// builder collects the roads of an extract.
type builder struct {
	ways    []drivable
	uses    map[int64]int // by how many ways, ends counting twice
	at      map[int64]orb.Point
	missing int
}

type drivable struct {
	nodes       []int64
	speed, back unit.Speed
}

func (b *builder) way(t tags, nodes []int64) {
	speed, back, ok := driven(t)
	if !ok || len(nodes) < 2 {
		return
	}
	for i, n := range nodes {
		b.uses[n]++
		if i == 0 || i == len(nodes)-1 {
			b.uses[n]++
		}
	}
	b.ways = append(b.ways, drivable{nodes, speed, back})
}

func (b *builder) node(id int64, lon, lat float64) {
	if p := (orb.Point{lon, lat}); b.uses[id] > 0 && onEarth(p) {
		b.at[id] = p
	}
}

// graph cuts the ways at their junctions.
func (b *builder) graph() (*Graph, error) {
	index := map[int64]int{}
	var junctions []orb.Point
	junction := func(n int64) int {
		i, ok := index[n]
		if !ok {
			i = len(junctions)
			index[n] = i
			junctions = append(junctions, b.at[n])
		}
		return i
	}
	var segments []Segment
	for _, w := range b.ways {
		from := int64(0)
		var shape []orb.Point
		open := false
		for i, n := range w.nodes {
			p, ok := b.at[n]
			switch {
			case !ok:
				b.missing++
				open = false
				continue
			case !open:
				from, shape, open = n, nil, true
				continue
			}
			next := i+1 < len(w.nodes)
			if next {
				_, next = b.at[w.nodes[i+1]]
			}
			if b.uses[n] < 2 && next {
				shape = append(shape, p)
				continue
			}
			segments = append(segments, Segment{From: junction(from), To: junction(n), Shape: shape, Speed: w.speed, Back: w.back})
			from, shape = n, nil
		}
	}
	return New(junctions, segments, Credit)
}

// driven is at which speed a way is driven along and back, 0 where it may not be, and false for a way that is no road.
func driven(t tags) (speed, back unit.Speed, ok bool) {
	class := t.find("highway")
	speed, ok = speeds[class]
	if !ok || t.find("area") == "yes" {
		return 0, 0, false
	}
	for _, key := range []string{"motor_vehicle", "vehicle", "access"} { // the narrower tag decides
		v := t.find(key)
		if v == "" {
			continue
		}
		if v == "no" || v == "private" || v == "agricultural" || v == "forestry" || v == "emergency" {
			return 0, 0, false
		}
		break
	}
	if limit, ok := limit(t.find("maxspeed")); ok {
		speed = limit
	}
	back = speed
	switch v := t.find("oneway"); {
	case v == "yes" || v == "1" || v == "true":
		back = 0
	case v == "-1" || v == "reverse":
		speed = 0
	case v != "no" && (t.find("junction") == "roundabout" || class == "motorway"):
		back = 0
	}
	return speed, back, true
}

// limit reads a speed limit: "50", "50 km/h", "30 mph". Others, such as "none", "walk" or the name of a rule, are left to the class.
func limit(text string) (unit.Speed, bool) {
	per := unit.KilometrePerHour
	if n, ok := strings.CutSuffix(text, "mph"); ok {
		text, per = n, unit.MilePerHour
	}
	text = strings.TrimSpace(strings.TrimSuffix(text, "km/h"))
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || !(x >= 5 && x <= 200) {
		return 0, false
	}
	return unit.Speed(x) * per, true
}

// Open reads the bytes of a file: a graph that was kept (MarshalBinary), or an extract as Read takes it. name is for the problems that are found; the graph is nil beside an error.
func Open(name string, data []byte) (*Graph, problem.List) {
	if !bytes.HasPrefix(data, []byte(magic[:len(magic)-1])) {
		return Read(context.Background(), name, bytes.NewReader(data))
	}
	var l problem.List
	g := new(Graph)
	if err := g.UnmarshalBinary(data); err != nil {
		l.Errorf("roads-unreadable", name, "Make the file again from the extract.", "the kept roads cannot be read: %v", err)
		return nil, l
	}
	return g, l
}
