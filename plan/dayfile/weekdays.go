package dayfile

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"tankful/plan"
)

// Days writes the day files of a week's plan: what the days have in common word for word as the week file has it, and the stops of each day.
type Days struct {
	name   string
	shared []section
	visits []object // by Week.Day.Stops
}

// section is a key of the file's first level with all that belongs to it, as it is written.
type section struct{ key, text string }

// weekOnly are the keys that a day of the week has otherwise.
var weekOnly = []string{"tankful_week", "days", "visits", "start", "end"}

// keep cuts the text into its sections. A file whose first level is in braces cannot be cut.
func (d *Days) keep(root cursor, text string) {
	m, ok := root.node.(*ast.MappingNode)
	if !ok {
		return // a file without errors is no single key
	}
	if m.IsFlowStyle {
		root.fail("yaml-feature", "Write each key of the first level on a line of its own, without braces around the whole.", "a week file in braces is not read: its parts become the day files")
		return
	}
	o, _ := root.pairs()
	lines := strings.Split(strings.ReplaceAll(strings.TrimPrefix(text, "\uFEFF"), "\r\n", "\n"), "\n")
	keys := slices.SortedFunc(maps.Keys(o.values), func(a, b string) int { return cmp.Compare(o.values[a].line, o.values[b].line) })
	for i, k := range keys {
		from, until := o.values[k].line-1, len(lines)
		if i+1 < len(keys) {
			until = o.values[keys[i+1]].line - 1
		}
		if until = min(until, len(lines)); from >= until || slices.Contains(weekOnly, k) {
			continue
		}
		part := slices.DeleteFunc(slices.Clone(lines[from:until]), func(l string) bool { return l == "..." || l == "---" })
		d.shared = append(d.shared, section{k, strings.TrimRight(strings.Join(part, "\n"), "\n ") + "\n"})
	}
}

// File is the day file of a day of the plan, which must be of the week that was read with d. Outline files and records are named as in the week file.
func (d *Days) File(w *plan.Week, p *plan.WeekPlan, day int) []byte {
	var b strings.Builder
	on := p.DayOn(w, day)
	fmt.Fprintf(&b, "# A day of %s. Change it there and plan the week again, or go on from here with this day alone.\n", strconv.Quote(d.name))
	fmt.Fprintf(&b, "tankful: %d\ndate: %s\nstart: %q\n", Version, on.Date, clockText(on.Start))
	if on.End != 0 {
		fmt.Fprintf(&b, "end: %q\n", clockText(on.End))
	}
	if off := w.Days[day].Off; len(off) > 0 {
		fmt.Fprintf(&b, "off: [%s]\n", quoted(off))
	}
	for _, s := range d.shared {
		b.WriteString(s.text)
	}
	b.WriteString("stops:\n")
	indices := p.VisitsOn(day)
	for i, s := range on.Stops {
		d.writeStop(&b, d.visits[indices[i]], &s)
	}
	return []byte(b.String())
}

// writeStop writes a visit as a stop of its truck.
func (d *Days) writeStop(b *strings.Builder, o object, s *plan.Stop) {
	parts := []string{}
	put := func(key, value string) { parts = append(parts, key+": "+value) }
	for _, key := range []string{"outline", "property", "name"} {
		if o.has(key) {
			put(key, strconv.Quote(o.at(key).text()))
		}
	}
	put("mix", strconv.Quote(s.Mix))
	put("truck", strconv.Quote(s.Truck))
	for _, key := range []string{"grass", "notes", "set_up"} {
		if o.has(key) {
			put(key, strconv.Quote(o.at(key).text()))
		}
	}
	if o.has("window") {
		var hours []string
		win, _ := o.at("window").object("from until")
		for _, key := range []string{"from", "until"} {
			if win.has(key) {
				hours = append(hours, key+": "+strconv.Quote(win.at(key).text()))
			}
		}
		put("window", "{"+strings.Join(hours, ", ")+"}")
	}
	for _, f := range []struct {
		key string
		is  bool
	}{{"first", s.First}, {"last", s.Last}, {"whole", s.Whole}} {
		if f.is {
			put(f.key, "true")
		}
	}
	if len(s.Needs) > 0 {
		put("needs", "["+quoted(s.Needs)+"]")
	}
	fmt.Fprintf(b, "  - {%s}\n", strings.Join(parts, ", "))
}

// quoted are texts in quotes with commas between.
func quoted(texts []string) string {
	out := make([]string, len(texts))
	for i, t := range texts {
		out[i] = strconv.Quote(t)
	}
	return strings.Join(out, ", ")
}
