package dayfile

import (
	"strconv"
	"strings"

	"tankful/calc/date"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo/intake"
	"tankful/plan"
)

// WeekVersion is the layout of week files: the value of the key "tankful_week".
const WeekVersion = "1"

// ParseWeek reads a week file: a day file with "days" for its date and "visits" for its stops. A visit is a stop that says when it is due besides. The arguments are those of
// Parse. Neither the Week nor the Days is nil; with an error in the list they must not be used.
func ParseWeek(name string, data []byte, outlines func(path string) ([]byte, error), opt intake.Options) (*plan.Week, *Days, problem.List) {
	r := newReader(name, outlines, opt)
	w, days := &plan.Week{Day: r.day, Where: name}, &Days{name: name}
	if root, ok := r.syntax(data); ok {
		r.readWeek(root, w, days)
		if !r.problems.HasErrors() {
			days.keep(root, string(data))
		}
	}
	r.problems.Sort()
	return w, days, r.problems
}

func (r *reader) readWeek(root cursor, w *plan.Week, days *Days) {
	o, ok := root.object("tankful_week! days! visits! " + sharedKeys)
	if !ok {
		return
	}
	if at := o.at("tankful_week"); at.node != nil {
		if t := at.text(); t != "" && t != WeekVersion {
			at.fail("file-version", "Write tankful_week: 1, the layout that this program reads.", "the file's layout is %q; layout %s is known", t, WeekVersion)
			return
		}
	}
	r.readShared(o)
	last := ""
	w.Days = list(o.at("days"), func(c cursor) plan.WorkDay {
		d := r.readWorkDay(c)
		if d.Date != "" && d.Date <= last {
			c.fail("days-order", "Write each day once, in order.", "%s comes after %s", d.Date, last)
		}
		last = max(last, d.Date)
		return d
	})
	setUp := quantity(o.at("set_up"), unit.ParseTime, "0 min", "4 h")
	list(o.at("visits"), func(c cursor) struct{} {
		r.readVisit(c, setUp, w, days)
		return struct{}{}
	})
	r.checkStops()
	r.checkUse()
	r.checkRecord()
}

// readWorkDay reads a day that is worked: its date, or a group with its own hours and who is off.
func (r *reader) readWorkDay(c cursor) plan.WorkDay {
	d := plan.WorkDay{Where: c.where()}
	if c.sort() == "a text" {
		d.Date = c.date()
		return d
	}
	o, _ := c.object("date! start end off")
	d.Date = o.at("date").date()
	d.Start, d.End = o.at("start").clock(), o.at("end").clock()
	from, until := d.Start, d.End
	if from == 0 {
		from = r.day.Start
	}
	if until == 0 {
		until = r.day.End
	}
	if until != 0 && until <= from {
		c.fail("ends-before-start", "Write the end after the start, on the 24-hour clock.", "the day ends at %s and starts at %s", clockText(until), clockText(from))
	}
	d.Off = r.readOff(o.at("off"))
	return d
}

// readVisit reads a visit: one for each of its mixes, all due alike.
func (r *reader) readVisit(c cursor, setUp unit.Time, w *plan.Week, days *Days) {
	o, ok := c.object(stopKeys + " due last_visit every not_on")
	due := r.readDue(o, ok)
	for _, s := range r.stopOf(o, ok, setUp) {
		r.day.Stops = append(r.day.Stops, s)
		w.Due = append(w.Due, due)
		days.visits = append(days.visits, o)
	}
}

// readDue reads when a visit may be: dates, or the last visit with the interval.
func (r *reader) readDue(o object, ok bool) (d plan.Due) {
	for _, t := range list(o.at("not_on"), cursor.date) {
		if t != "" {
			d.NotOn = append(d.NotOn, t)
		}
	}
	interval := o.has("last_visit") || o.has("every")
	switch {
	case !ok:
	case o.has("due") && interval:
		o.at("due").fail("due-unclear", "Keep due, or last_visit and every.", "the visit says twice when it is due")
	case o.has("due"):
		d.From, d.Until = readSpan(o.at("due"))
	case interval:
		for _, pair := range [][2]string{{"last_visit", "every"}, {"every", "last_visit"}} {
			if !o.has(pair[0]) {
				o.at(pair[0]).fail("missing-key", "Add "+pair[0]+" beside "+pair[1]+".", "%s is missing", pair[0])
			}
		}
		from, until := readEvery(o.at("every"))
		if last, err := date.Parse(o.at("last_visit").date()); err == nil && until > 0 {
			d.From, d.Until = (last + from).String(), (last + until).String()
		}
	default:
		o.at("due").fail("missing-key", "Add due: 2026-06-01 to 2026-06-05, or last_visit and every.", "due is missing")
	}
	return d
}

// readSpan reads "2026-06-01 to 2026-06-05", one date, "from 2026-06-01" or "until 2026-06-05".
func readSpan(c cursor) (from, until string) {
	t := c.text()
	if t == "" {
		return "", ""
	}
	words := strings.Fields(t)
	switch {
	case len(words) == 1:
		from, until = t, t
	case len(words) == 2 && words[0] == "from":
		from = words[1]
	case len(words) == 2 && words[0] == "until":
		until = words[1]
	case len(words) == 3 && words[1] == "to":
		from, until = words[0], words[2]
	default:
		words = nil
	}
	for _, d := range []string{from, until} {
		if _, err := date.Parse(d); d != "" && err != nil {
			words = nil
		}
	}
	switch {
	case words == nil:
		c.fail("due-invalid", "Write it like 2026-06-01 to 2026-06-05, 2026-06-01, from 2026-06-01 or until 2026-06-05.", "due is %q", clip(t))
		return "", ""
	case until != "" && until < from:
		c.fail("due-ends-before-start", "Write the earlier date first.", "the visit is due from %s to %s", from, until)
	}
	return from, until
}

// mostInterval is a year, in days: a longer interval is a slip.
const mostInterval = 366

// readEvery reads "5 to 7 weeks" or "28 to 35 days".
func readEvery(c cursor) (from, until date.Date) {
	t := c.text()
	if t == "" {
		return 0, 0
	}
	words := strings.Fields(t)
	per := map[string]int{"days": 1, "weeks": 7}
	if len(words) == 4 && words[1] == "to" && per[words[3]] > 0 {
		a, err1 := strconv.ParseUint(words[0], 10, 16)
		b, err2 := strconv.ParseUint(words[2], 10, 16)
		n := per[words[3]]
		if err1 == nil && err2 == nil && a >= 1 && a <= b && int(b)*n <= mostInterval {
			return date.Date(int(a) * n), date.Date(int(b) * n)
		}
	}
	c.fail("every-invalid", "Write it like 5 to 7 weeks or 28 to 35 days, the shorter first, up to a year.", "every is %q", clip(t))
	return 0, 0
}
