package server

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo/intake"
	"tankful/plan"
	"tankful/plan/dayfile"
)

// A kept item of the outfit is an entry of a day file. What is asked of the packages below is a day file made of these entries, so that whatever a file may say the server may
// keep, and what is wrong is said in the same words.

// entryKeys are the keys of a day file under which the outfit's items stand.
var entryKeys = map[Kind]string{
	FillPoints: "fill_points", Products: "products", Limits: "limits", Applicators: "applicators", Operators: "operators", Mixes: "mixes", Trucks: "trucks",
}

// OutfitKinds are the kinds of the outfit in the order in which they name one another.
var OutfitKinds = []Kind{Outfit, FillPoints, Products, Limits, Applicators, Operators, Mixes, Trucks}

// theOutfit is the ID of the only item of kind Outfit.
const theOutfit = "outfit"

const recordFile = "record.csv"

// parts is a whole outfit as it is kept.
type parts struct {
	head  map[string]json.RawMessage
	items map[Kind][]Item
}

// parts reads the outfit. What is not there yet is empty: the day file then lacks it, and says so.
func (s *Server) parts(ctx context.Context) (*parts, error) {
	p := &parts{head: map[string]json.RawMessage{}, items: map[Kind][]Item{}}
	head, err := s.Store.Item(ctx, Outfit, theOutfit)
	if err == nil && !head.Gone {
		err = json.Unmarshal(head.Body, &p.head)
	}
	if err != nil && !errors.Is(err, ErrNone) {
		return nil, err
	}
	for kind := range entryKeys {
		if p.items[kind], err = s.Store.Bodies(ctx, kind); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// units are those of the outfit, US ones until it says.
func (p *parts) units() unit.System {
	var u unit.System
	if json.Unmarshal(p.head["units"], &u) == nil && u == unit.Metric {
		return unit.Metric
	}
	return unit.US
}

// dayFile is the day file of some entries beside the outfit's.
func (p *parts) dayFile(entries map[string]any) ([]byte, error) {
	file := map[string]any{"tankful": 1}
	for k, v := range p.head {
		file[k] = v
	}
	for kind, key := range entryKeys {
		list := make([]json.RawMessage, 0, len(p.items[kind]))
		for _, it := range p.items[kind] {
			list = append(list, it.Body)
		}
		if len(list) > 0 { // an empty list is a mistake in a day file, and limits need not be there
			file[key] = list
		}
	}
	for k, v := range entries {
		file[k] = v
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(file); err != nil {
		return nil, fmt.Errorf("write the day file: %w", err)
	}
	return b.Bytes(), nil
}

var entryPath = regexp.MustCompile(`^(\S+?):\d+(?::\d+)? ([a-z_]+)\[(\d+)\](.*)$`)

// named puts the item's name for its place in the file, which nobody has seen: "product Feed: label.most".
func (p *parts) named(ps problem.List) problem.List {
	for i := range ps {
		m := entryPath.FindStringSubmatch(ps[i].Where)
		if m == nil {
			ps[i].Where = lineNumber.ReplaceAllString(ps[i].Where, "the outfit$1")
			continue
		}
		for kind, key := range entryKeys {
			n, err := strconv.Atoi(m[3])
			if key == m[2] && err == nil && n < len(p.items[kind]) {
				ps[i].Where = strings.TrimSpace(fmt.Sprintf("%s %s%s", strings.ReplaceAll(string(kind), "-", " "), p.items[kind][n].Name, strings.Replace(m[4], ".", ": ", 1)))
			}
		}
	}
	return ps
}

var stopPath = regexp.MustCompile(`^(\S+?):\d+(?::\d+)? (?:stops|visits)\[(\d+)\](.*)$`)

// named puts the names of stops, and of the outfit's items, for their places in a file that nobody has seen.
func (c *composed) named(ps problem.List) problem.List {
	file, _ := entryJSON("day", c.data)
	var stops []struct{ Name, Property string }
	for _, key := range []string{"stops", "visits"} {
		if stops == nil {
			_ = json.Unmarshal(file[key], &stops) // a file without them has no problem of theirs
		}
	}
	for i := range ps {
		m := stopPath.FindStringSubmatch(ps[i].Where)
		if m == nil {
			continue
		}
		if n, err := strconv.Atoi(m[2]); err == nil && n < len(stops) {
			ps[i].Where = strings.TrimSpace(orWord(stops[n].Name, stops[n].Property) + strings.Replace(m[3], ".", ": ", 1))
		}
	}
	return c.parts.named(ps)
}

// lineNumber is the head of a place in a file of one line.
var lineNumber = regexp.MustCompile(`^(?:day|outfit)\.yaml:\d+(?::\d+)?( |$)`)

// files gives outlines and record to the reader of a day file.
type files map[string][]byte

func (f files) read(path string) ([]byte, error) {
	if b, ok := f[path]; ok {
		return b, nil
	}
	return nil, fmt.Errorf("%s is not kept here", path)
}

// parse reads a composed day file.
func parse(data []byte, f files) (*plan.Day, problem.List) {
	return dayfile.Parse("day.yaml", data, f.read, intake.Options{})
}
