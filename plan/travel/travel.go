// Package travel knows driving times that somebody measured or worked out: tables of them from files, and what a few known
// drives say about an estimate from straight distances.
//
// It reads tables of names and times and fits an estimate. It leaves out where places are, the estimate itself, and road maps; a pair of places
// that a table does not have is for the caller to fill in, and to tell.
package travel

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Table is driving times between places by their names; there and back may differ.
type Table struct{ cells map[[2]string]Cell }

// Cell is one drive. Road is its length, 0 when the table does not say.
type Cell struct {
	Time unit.Time
	Road unit.Length
}

// At is the drive from one place to another, false when the table has none.
func (t *Table) At(from, to string) (Cell, bool) {
	if t == nil {
		return Cell{}, false
	}
	c, ok := t.cells[[2]string{from, to}]
	return c, ok
}

// Len is the number of drives in the table.
func (t *Table) Len() int {
	if t == nil {
		return 0
	}
	return len(t.cells)
}

// timeUnits and roadUnits are what a table's head may say.
var (
	timeUnits = map[string]unit.Time{"seconds": unit.Second, "minutes": unit.Minute, "hours": unit.Hour}
	roadUnits = map[string]unit.Length{"metres": unit.Metre, "meters": unit.Metre, "km": unit.Kilometre, "miles": unit.Mile, "feet": unit.Foot}
)

// most is the longest drive that is taken for one: a unit is wrong beyond it.
const most = 24 * unit.Hour

// ParseCSV reads a table from comma-separated text (RFC 4180), in one of two forms. Long: a head "from,to,minutes" (or seconds or hours), with a column of miles, km,
// metres or feet where the road is known, and a drive a line. Square: a head whose first cell is the unit of time and whose others are places, and
// a line for each place to drive from; an empty cell is not known. The table holds what could be read; every fault is in the list with its line.
func ParseCSV(name string, data []byte) (*Table, problem.List) {
	t := &Table{cells: map[[2]string]Cell{}}
	var l problem.List
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))))
	r.FieldsPerRecord, r.TrimLeadingSpace = -1, true
	head, err := r.Read()
	if err != nil {
		l.Errorf("table-unreadable", name, "Write a line with the names of the columns first.", "the table of drives has no first line: %v", plainly(err))
		return t, l
	}
	p := parser{t: t, l: &l, name: name, seen: map[[2]string]int{}}
	row := p.head(head)
	for row != nil {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			line := 0
			var bad *csv.ParseError
			if errors.As(err, &bad) {
				line = bad.StartLine
			}
			l.Errorf("table-unreadable", fmt.Sprintf("%s:%d", name, line), "Mend the line.", "%v", plainly(err))
			break
		}
		line, _ := r.FieldPos(0)
		p.where = fmt.Sprintf("%s:%d", name, line)
		p.line = line
		row(record)
	}
	if len(t.cells) == 0 && !l.HasErrors() {
		l.Errorf("table-empty", name, "Write the drives below the first line.", "the table holds no drive")
	}
	return t, l
}

func plainly(err error) error {
	var p *csv.ParseError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// parser reads one table.
type parser struct {
	t     *Table
	l     *problem.List
	name  string
	where string
	line  int
	seen  map[[2]string]int
	time  unit.Time
}

// head reads the first line and gives how to read the others; nil when it is none.
func (p *parser) head(cells []string) func([]string) {
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	if u, ok := timeUnits[strings.ToLower(cells[0])]; ok {
		p.time = u
		to := cells[1:]
		return func(row []string) { p.square(row, to) }
	}
	col := map[string]int{}
	for i, c := range cells {
		col[strings.ToLower(c)] = i
	}
	from, ok1 := col["from"]
	to, ok2 := col["to"]
	timeCol, roadCol := -1, -1
	var road unit.Length
	for c, i := range col {
		if u, ok := timeUnits[c]; ok {
			timeCol, p.time = i, u
		}
		if u, ok := roadUnits[c]; ok {
			roadCol, road = i, u
		}
	}
	if !ok1 || !ok2 || timeCol < 0 {
		p.l.Errorf("table-head", p.name+":1", "Write from,to,minutes, or begin a square table with the word minutes.", "the first line names no columns from, to and minutes or seconds")
		return nil
	}
	return func(row []string) {
		if len(row) <= max(from, to, timeCol) {
			p.l.Errorf("table-short", p.where, "Write all columns of the first line.", "the line has %d columns", len(row))
			return
		}
		c := Cell{}
		if roadCol >= 0 && roadCol < len(row) && strings.TrimSpace(row[roadCol]) != "" {
			x, ok := p.number(row[roadCol], "way")
			if !ok {
				return
			}
			c.Road = unit.Length(x) * road
		}
		p.put(row[from], row[to], row[timeCol], c)
	}
}

func (p *parser) square(row, to []string) {
	for i, cell := range row[1:] {
		switch {
		case i >= len(to):
			if strings.TrimSpace(cell) != "" {
				p.l.Errorf("table-long", p.where, "Name the place of every column in the first line.", "the line has more columns than the first")
				return
			}
		case strings.TrimSpace(cell) != "":
			p.put(row[0], to[i], cell, Cell{})
		}
	}
}

// number reads a figure from zero up.
func (p *parser) number(text, what string) (float64, bool) {
	x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil || !(x >= 0) || math.IsInf(x, 0) {
		p.l.Errorf("table-figure", p.where, "Write a number from zero up, or leave the cell empty when it is not known.", "the %s %.40q is no such number", what, text)
		return 0, false
	}
	return x, true
}

func (p *parser) put(from, to, text string, c Cell) {
	from, to = strings.TrimSpace(from), strings.TrimSpace(to)
	x, ok := p.number(text, "time")
	if !ok {
		return
	}
	c.Time = unit.Time(x) * p.time
	key := [2]string{from, to}
	switch {
	case from == "" || to == "":
		p.l.Errorf("table-name", p.where, "Name both places.", "a drive without its places")
	case from == to:
		if c.Time > 0 {
			p.l.Warnf("table-same-place", p.where, "Remove it, or mend a name.", "a drive of %s from %q to itself is passed over", unit.Minutes(c.Time), from)
		}
	case c.Time > most:
		p.l.Errorf("table-figure", p.where, "Check the unit in the first line.", "from %q to %q takes %s", from, to, unit.Minutes(c.Time))
	case p.seen[key] > 0 && p.t.cells[key] != c:
		p.l.Errorf("table-twice", p.where, "Keep one of the two.", "the drive from %q to %q is in line %d too, otherwise", from, to, p.seen[key])
	default:
		p.seen[key] = p.line
		p.t.cells[key] = c
	}
}
