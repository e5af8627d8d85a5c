package travel

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Parse reads a table from the text of a file: JSON when it begins with a brace, else comma-separated.
func Parse(name string, data []byte) (*Table, problem.List) {
	if b := bytes.TrimLeft(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")), " \t\r\n"); len(b) > 0 && b[0] == '{' {
		return ParseJSON(name, b)
	}
	return ParseCSV(name, data)
}

// table is a table as JSON.
type table struct {
	Places []string     `json:"places"`
	Unit   string       `json:"unit"`
	Times  [][]*float64 `json:"times"`
	// Durations is Times in seconds, as services that answer with a matrix have it.
	Durations [][]*float64 `json:"durations"`
	Road      string       `json:"road_unit"`
	Roads     [][]*float64 `json:"roads"`
	// Distances is Roads in metres, as those services have it.
	Distances [][]*float64 `json:"distances"`
}

// ParseJSON reads a square table: {"places": ["yard", "a"], "unit": "minutes", "times": [[0, 10], [12, null]]}, by from and to; null is not known. With
// "road_unit" and "roads" it tells the ways by road as well. The answers of matrix services are read once places are named in them: their "durations" are seconds and
// their "distances" metres, and other members are passed over. The table holds what could be read; every fault is in the list with its row and column.
func ParseJSON(name string, data []byte) (*Table, problem.List) {
	p := jsonParser{t: &Table{cells: map[[2]string]Cell{}}, name: name}
	var in table
	d := json.NewDecoder(bytes.NewReader(data))
	if err := d.Decode(&in); err != nil {
		p.l.Errorf("table-unreadable", name, `Write {"places": [...], "unit": "minutes", "times": [[...]]}.`, "the table of drives is not the JSON that is wanted: %v", err)
		return p.t, p.l
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		p.l.Errorf("table-unreadable", name, "Keep one table in the file.", "something follows the table of drives")
		return p.t, p.l
	}
	p.read(&in)
	if len(p.t.cells) == 0 && !p.l.HasErrors() {
		p.l.Errorf("table-empty", name, "Write the drives into times.", "the table holds no drive")
	}
	return p.t, p.l
}

type jsonParser struct {
	t    *Table
	l    problem.List
	name string
}

func (p *jsonParser) read(in *table) {
	times, per := in.Times, unit.Second
	switch {
	case len(in.Times) > 0 && len(in.Durations) > 0:
		p.l.Errorf("table-twice", p.name, "Keep one of the two.", "the table has times and durations")
		return
	case len(in.Durations) > 0:
		times = in.Durations
	default:
		u, ok := timeUnits[in.Unit]
		if !ok {
			p.l.Errorf("table-head", p.name, `Write "unit": "seconds", "minutes" or "hours".`, "the table does not say what its times are in")
			return
		}
		per = u
	}
	roads, long := in.Roads, unit.Metre
	switch {
	case len(in.Roads) == 0:
		roads = in.Distances
	default:
		u, ok := roadUnits[in.Road]
		if !ok {
			p.l.Errorf("table-head", p.name, `Write "road_unit": "metres", "km", "miles" or "feet".`, "the table does not say what its roads are in")
			return
		}
		long = u
	}
	if !p.square("times", times, len(in.Places)) || len(roads) > 0 && !p.square("roads", roads, len(in.Places)) {
		return
	}
	for i, from := range in.Places {
		if from == "" || slices.Index(in.Places, from) < i {
			p.l.Errorf("table-name", p.name, "Name each place once.", "place %d, %q, has no name of its own", i+1, from)
			return
		}
	}
	for i, from := range in.Places {
		for j, to := range in.Places {
			if i == j || times[i][j] == nil {
				continue
			}
			c := Cell{Time: unit.Time(*times[i][j]) * per}
			if len(roads) > 0 && roads[i][j] != nil {
				c.Road = unit.Length(*roads[i][j]) * long
			}
			if !(c.Time >= 0) || c.Time > most || !(c.Road >= 0) || math.IsInf(float64(c.Road), 0) {
				p.l.Errorf("table-figure", fmt.Sprintf("%s, row %d, column %d", p.name, i+1, j+1), "Write a number from zero up, and check the units, or null when it is not known.",
					"from %q to %q takes %v s over %v m", from, to, float64(c.Time), float64(c.Road))
				continue
			}
			p.t.cells[[2]string{from, to}] = c
		}
	}
}

// square reports whether there is a row of so many cells for each place.
func (p *jsonParser) square(what string, rows [][]*float64, n int) bool {
	if n == 0 {
		p.l.Errorf("table-head", p.name, `Name the places: "places": ["yard", ...].`, "the table does not name its places")
		return false
	}
	if len(rows) != n {
		p.l.Errorf("table-short", p.name, "Write a row for each place.", "%s has %d rows for %d places", what, len(rows), n)
		return false
	}
	for i := range rows {
		if len(rows[i]) != n {
			p.l.Errorf("table-short", fmt.Sprintf("%s, row %d", p.name, i+1), "Write a cell for each place.", "%s has %d cells for %d places", what, len(rows[i]), n)
			return false
		}
	}
	return true
}

// Put enters a drive, in place of the one that there may be.
func (t *Table) Put(from, to string, c Cell) {
	if t.cells == nil {
		t.cells = map[[2]string]Cell{}
	}
	t.cells[[2]string{from, to}] = c
}
