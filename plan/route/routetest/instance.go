// Package routetest reads published routing problems as days, for tests.
//
// It knows the formats of CVRPLIB and TSPLIB (.vrp, .tsp), of Solomon's problems with time windows (.txt), of multi-trip problems with windows
// and of split deliveries (.sd, .cri), and a rebuilt set with intermediate facilities (.json). It leaves out instances of other
// kinds, and what their objective does not count: in each of these only driving counts.
package routetest

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// Instance is a published problem as a day: its cost is the plan's driving, in units of Scale seconds.
type Instance struct {
	Name  string
	Kind  string // cvrp, tsp, vrptw, mt, sd, mdvrpi
	Day   *route.Day
	Stops int
}

// drivingOnly counts nothing but driving, and what must be.
var drivingOnly = route.Weights{Late: 1e5, Over: 1e5, Drop: 1e7, Leftover: 0}

// Read reads an instance by its file's name and text.
func Read(name, text string) (*Instance, error) {
	base, ending := name, ""
	if i := strings.LastIndex(name, "."); i >= 0 {
		base, ending = name[:i], name[i:]
	}
	var in *Instance
	var err error
	switch ending {
	case ".vrp":
		in, err = readVRP(base, text)
	case ".tsp":
		in, err = readTSP(text)
	case ".txt":
		in, err = readSolomon(text)
	case ".sd":
		in, err = readSD(text, false)
	case ".cri":
		in, err = readSD(text, true)
	case ".json":
		in, err = readFacilities(text)
	default:
		return nil, fmt.Errorf("read %s: no instance", name)
	}
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	in.Name, in.Stops = base, len(in.Day.Stops)
	return in, nil
}

type point struct{ x, y float64 }

func dist(a, b point) float64 { return math.Hypot(a.x-b.x, a.y-b.y) }

// rounded is the distance of TSPLIB's EUC_2D: to the nearest whole (Reinelt, TSPLIB 95, 1995, section 2.1).
func rounded(a, b point) float64 { return math.Floor(dist(a, b) + 0.5) }

func drives(at []point, d func(a, b point) float64) [][]unit.Time {
	out := make([][]unit.Time, len(at))
	for i := range at {
		out[i] = make([]unit.Time, len(at))
		for j := range at {
			if i != j {
				out[i][j] = unit.Time(d(at[i], at[j]))
			}
		}
	}
	return out
}

// oneTruck is a day of one shift and one tank that fills at place 0, where it begins and ends.
func oneTruck(at []point, d func(a, b point) float64, capacity, legs int) *route.Day {
	return &route.Day{
		Drive: drives(at, d), Mixes: []route.Mix{{}}, Weights: drivingOnly,
		Fills:  []route.Fill{{Place: 0}},
		Shifts: []route.Shift{{Legs: legs, Tanks: []route.Tank{{Usable: route.Ticks(capacity)}}}},
	}
}

func stop(place, demand int) route.Stop {
	return route.Stop{Place: place, Site: place, Passes: []route.Ticks{route.Ticks(demand)}, Whole: true}
}

// sections reads "KEY : value" lines and the numbers of each section.
func sections(text string) (keys map[string]string, parts map[string][][]float64, err error) {
	keys, parts = map[string]string{}, map[string][][]float64{}
	mode := ""
	sc := bufio.NewScanner(strings.NewReader(text))
	for sc.Scan() {
		line := strings.TrimSpace(sc.Text())
		switch {
		case line == "" || line == "EOF":
		case strings.HasSuffix(line, "_SECTION"):
			mode = strings.TrimSuffix(line, "_SECTION")
		case mode == "" || strings.Contains(line, ":"):
			k, v, _ := strings.Cut(line, ":")
			keys[strings.TrimSpace(k)] = strings.TrimSpace(v)
		default:
			var row []float64
			for _, f := range strings.Fields(line) {
				x, err := strconv.ParseFloat(f, 64)
				if err != nil {
					return nil, nil, fmt.Errorf("section %s: %w", mode, err)
				}
				row = append(row, x)
			}
			parts[mode] = append(parts[mode], row)
		}
	}
	return keys, parts, sc.Err()
}

func coords(rows [][]float64) []point {
	out := make([]point, len(rows))
	for i, r := range rows {
		out[i] = point{r[1], r[2]}
	}
	return out
}

// readVRP reads a CVRPLIB file; the fleet of the sets A, B, E and P is the k of the name, that of X is free.
func readVRP(base, text string) (*Instance, error) {
	keys, parts, err := sections(text)
	if err != nil {
		return nil, err
	}
	if keys["TYPE"] == "MTVRPTWR" {
		return readMultiTrip(keys, parts)
	}
	capacity, err := strconv.Atoi(keys["CAPACITY"])
	if err != nil {
		return nil, fmt.Errorf("capacity: %w", err)
	}
	legs := 0
	if i := strings.LastIndex(base, "-k"); i >= 0 && !strings.HasPrefix(base, "X-") {
		legs, _ = strconv.Atoi(base[i+2:])
	}
	d := oneTruck(coords(parts["NODE_COORD"]), rounded, capacity, legs)
	for i, r := range parts["DEMAND"] {
		if i > 0 {
			d.Stops = append(d.Stops, stop(i, int(r[1])))
		}
	}
	return &Instance{Kind: "cvrp", Day: d}, nil
}

func readTSP(text string) (*Instance, error) {
	_, parts, err := sections(text)
	if err != nil {
		return nil, err
	}
	at := coords(parts["NODE_COORD"])
	d := oneTruck(at, rounded, len(at), 1)
	for i := 1; i < len(at); i++ {
		d.Stops = append(d.Stops, stop(i, 1))
	}
	return &Instance{Kind: "tsp", Day: d}, nil
}

// readSolomon reads the format of Solomon's problems: vehicles, capacity, then number, x, y, demand, ready, due, service a line.
func readSolomon(text string) (*Instance, error) {
	var rows [][]float64
	for line := range strings.Lines(text) {
		var row []float64
		for _, f := range strings.Fields(line) {
			if x, err := strconv.ParseFloat(f, 64); err == nil {
				row = append(row, x)
			}
		}
		if len(row) == 2 || len(row) == 7 {
			rows = append(rows, row)
		}
	}
	if len(rows) < 3 || len(rows[0]) != 2 {
		return nil, fmt.Errorf("no line of vehicles and capacity")
	}
	fleet, capacity := int(rows[0][0]), int(rows[0][1])
	rows = rows[1:]
	at := make([]point, len(rows))
	for i, r := range rows {
		at[i] = point{r[1], r[2]}
	}
	d := oneTruck(at, dist, capacity, 1)
	end := unit.Time(rows[0][5])
	d.Shifts[0].Until, d.Shifts[0].Hard = end, true
	for len(d.Shifts) < fleet {
		d.Shifts = append(d.Shifts, d.Shifts[0])
	}
	for i, r := range rows[1:] {
		st := stop(i+1, int(r[3]))
		st.From, st.Until, st.Work = unit.Time(r[4]), unit.Time(r[5]), unit.Time(r[6])
		d.Stops = append(d.Stops, st)
	}
	return &Instance{Kind: "vrptw", Day: d}, nil
}

// readSD reads split deliveries: stops and capacity, demands, then places; the depot is 0, 0 first in the list or the first line.
func readSD(text string, _ bool) (*Instance, error) {
	var all []float64
	for _, f := range strings.Fields(text) {
		x, err := strconv.ParseFloat(f, 64)
		if err != nil {
			return nil, err
		}
		all = append(all, x)
	}
	if len(all) < 2 || len(all) != 2+int(all[0])+2*(int(all[0])+1) {
		return nil, fmt.Errorf("%d numbers", len(all))
	}
	n, capacity := int(all[0]), int(all[1])
	at := make([]point, n+1)
	for i := range at {
		at[i] = point{all[2+n+2*i], all[3+n+2*i]}
	}
	d := oneTruck(at, rounded, capacity, 0)
	for i := range n {
		st := stop(i+1, 1)
		st.Whole = false
		st.Passes = make([]route.Ticks, int(all[2+i]))
		for k := range st.Passes {
			st.Passes[k] = 1
		}
		d.Stops = append(d.Stops, st)
	}
	return &Instance{Kind: "sd", Day: d}, nil
}

// readFacilities reads a rebuilt problem with intermediate facilities.
func readFacilities(text string) (*Instance, error) {
	var f struct {
		Home      []float64   `json:"home_depot"`
		Replenish [][]float64 `json:"replenish"`
		Customers []struct{ X, Y, Service, Demand float64 }
		Capacity  float64 `json:"capacity"`
		Rotation  float64 `json:"max_rotation"`
		Vehicles  int     `json:"vehicles"`
		Docking   float64 `json:"docking"`
	}
	if err := json.Unmarshal([]byte(text), &f); err != nil {
		return nil, err
	}
	at := []point{{f.Home[0], f.Home[1]}}
	for _, r := range f.Replenish {
		at = append(at, point{r[0], r[1]})
	}
	for _, c := range f.Customers {
		at = append(at, point{c.X, c.Y})
	}
	d := &route.Day{Drive: drives(at, dist), Mixes: []route.Mix{{}}, Weights: drivingOnly}
	for i := range f.Replenish {
		d.Fills = append(d.Fills, route.Fill{Place: 1 + i, HookUp: unit.Time(f.Docking)})
	}
	full := route.Ticks(f.Capacity)
	for range f.Vehicles { // each leaves home with a full tank
		d.Shifts = append(d.Shifts, route.Shift{Until: unit.Time(f.Rotation), Hard: true, Tanks: []route.Tank{{Usable: full, Held: &route.Held{Left: full}}}})
	}
	for i, c := range f.Customers {
		st := stop(1+len(f.Replenish)+i, int(c.Demand))
		st.Work = unit.Time(c.Service)
		d.Stops = append(d.Stops, st)
	}
	return &Instance{Kind: "mdvrpi", Day: d}, nil
}

// readMultiTrip reads vehicles that come back to the depot for more, with windows; costs and times are in tenths, driving is cut off to a tenth (DIMACS 2021).
func readMultiTrip(keys map[string]string, parts map[string][][]float64) (*Instance, error) {
	capacity, err1 := strconv.Atoi(keys["CAPACITY"])
	fleet, err2 := strconv.Atoi(keys["VEHICLES"])
	service, err3 := strconv.ParseFloat(keys["SERVICE_TIME"], 64)
	if err := errors.Join(err1, err2, err3); err != nil {
		return nil, err
	}
	for _, r := range parts["RELEASE_TIME"] {
		if r[1] != 0 {
			return nil, fmt.Errorf("some goods come to the depot later, which a day of ours does not know")
		}
	}
	tenths := func(a, b point) float64 { return math.Floor(10*dist(a, b) + 1e-9) }
	d := oneTruck(coords(parts["NODE_COORD"]), tenths, capacity, 0)
	windows := parts["TIME_WINDOW"]
	d.Shifts[0].Until, d.Shifts[0].Hard = unit.Time(10*windows[0][2]), true
	for len(d.Shifts) < fleet {
		d.Shifts = append(d.Shifts, d.Shifts[0])
	}
	for i := 1; i < len(windows); i++ {
		st := stop(i, int(parts["DEMAND"][i][1]))
		st.From, st.Until, st.Work = unit.Time(10*windows[i][1]), unit.Time(10*windows[i][2]), unit.Time(10*service)
		d.Stops = append(d.Stops, st)
	}
	return &Instance{Kind: "mt", Day: d}, nil
}
