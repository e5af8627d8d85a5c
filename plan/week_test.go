package plan_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/season"
	"tankful/calc/unit"
	"tankful/geo/geotest"
	"tankful/plan"
)

// handWeek has trucks One and Two, with a tank of 40 gal and a heel of 1 gal each, out from 07:00 until 07:40 and no longer, over three days, One on the second only. Its
// visits are lawns of handDay at the yard: 12.0 gal and 510 s each, no drives. A change of mix takes 5 min.
func handWeek() *plan.Week {
	d := handDay(tank("tank", 40*unit.Gallon, unit.Gallon))
	d.End = 7*unit.Hour + 40*unit.Minute
	fall := d.Mixes[0]
	fall.Name = "Fall"
	d.Mixes = append(d.Mixes, fall)
	d.Rinses = []plan.Rinse{{Time: 5 * unit.Minute}}
	d.Trucks[0].Name, d.Trucks[0].NoOvertime = "One", true
	two := d.Trucks[0]
	two.Name, two.Licences = "Two", []plan.Licence{{Name: "Water"}}
	d.Trucks = append(d.Trucks, two)
	d.Operators[0].Licences = []plan.Licence{{Name: "Old", Until: "2026-05-03"}}
	d.Stops = nil
	return &plan.Week{Day: d, Where: "week", Days: []plan.WorkDay{{Date: "2026-05-04", Off: []string{"One"}}, {Date: "2026-05-05"}, {Date: "2026-05-06", Off: []string{"One"}}}}
}

// visit adds a visit to a week.
func visit(w *plan.Week, id, mix string, due plan.Due, needs ...string) {
	s := plan.Stop{Site: lawn(id, 100*unit.Foot, 60*unit.Foot), Mix: mix, SetUp: 5 * unit.Minute, Where: "visit " + id, Needs: needs}
	w.Day.Stops, w.Due = append(w.Day.Stops, s), append(w.Due, due)
}

func mustWeek(t *testing.T, w *plan.Week) *plan.WeekPlan {
	t.Helper()
	p, found := plan.MakeWeek(w)
	if p == nil {
		t.Fatal(found.Err())
	}
	return p
}

// dayOf is the date and truck of each visit, and for one of no day the reason.
func dayOf(p *plan.WeekPlan) map[string]string {
	out := map[string]string{}
	for _, d := range p.Days {
		for _, v := range d.Visits {
			out[v.Property] += d.Date + " " + v.Truck
		}
	}
	for _, l := range p.Later {
		out[l.Property] += string(l.Reason)
	}
	return out
}

// Eight lawns, three of them Fall. By hand:
//
//	room      3 lawns of one mix: 120 + 37 gal at 6 s 222 + 3 x 510 = 1,872 s of 2,400; a fourth asks for 120 + 72 + 510 more: at most three a truck-day
//	Fall      D, E and F are one tankful of 36 gal, and F is on the 5th only (due until then, not on the 4th): all three on the 5th, 342 s of filling
//	Spring    five lawns are two truck-days, of three (342 s) and two (120 + 25 gal 150 = 270 s); G on Two, which holds Water
//	week      8 x 510 + 342 + 342 + 270 = 5,034 s, 3 tankfuls, no rinse
//	by date   A and D come first and may be on the 4th, where Two is alone: that would be a rinse
//	bound     8 x 510 + 96 gal 576 + 3 hook-ups 360 = 5,016 s, and the heels that it knows of
func TestWeekByHand(t *testing.T) {
	w := handWeek()
	any := plan.Due{From: "2026-05-01", Until: "2026-05-08"}
	visit(w, "A", "Spring", any)
	visit(w, "D", "Fall", any)
	visit(w, "B", "Spring", any)
	visit(w, "E", "Fall", any)
	visit(w, "C", "Spring", any)
	visit(w, "F", "Fall", plan.Due{From: "2026-05-04", Until: "2026-05-05", NotOn: []string{"2026-05-04"}})
	visit(w, "G", "Spring", any, "Water")
	visit(w, "H", "Spring", plan.Due{Until: "2026-05-02"})
	visit(w, "I", "Spring", plan.Due{From: "2026-05-20"})
	visit(w, "J", "Fall", any, "Old")
	visit(w, "K", "Fall", plan.Due{From: "2026-05-05", Until: "2026-05-05", NotOn: []string{"2026-05-05"}})
	p := mustWeek(t, w)
	seconds(t, unit.Time(p.Minutes)*unit.Minute, 5034)
	if least := p.BoundMinutes * 60; least < 5016-1 || least > 5034+1 {
		t.Errorf("a bound of %.0f s, want 5,016 to 5,034", least)
	}
	if p.Rinses != 0 || p.Loads != 3 || p.TruckDays != 3 {
		t.Errorf("%d rinses, %d tankfuls, %d truck-days; want 0, 3, 3", p.Rinses, p.Loads, p.TruckDays)
	}
	on := dayOf(p)
	if f := on["F"]; !strings.HasPrefix(f, "2026-05-05 ") || on["D"] != f || on["E"] != f {
		t.Errorf("Fall: D %s, E %s, F %s; want all three on one truck of the 5th", on["D"], on["E"], f)
	}
	if !strings.HasSuffix(on["G"], " Two") || on["H"] == "" || on["I"] != "not-due" || on["J"] != "no-licence" || on["K"] != "no-day" {
		t.Errorf("G %s, H %s, I %s, J %s, K %s", on["G"], on["H"], on["I"], on["J"], on["K"])
	}
	for _, code := range []string{"overdue", "visit-later"} {
		if !slices.ContainsFunc(p.Problems, func(q problem.Problem) bool { return q.Code == code }) {
			t.Errorf("%s is not told: %v", code, p.Problems)
		}
	}
	// 4 fl oz a thousand at 2 gal: 2 fl oz a gallon, of 37 + 37 + 25 gal.
	if i := slices.IndexFunc(p.Carry, func(c plan.WeekCarry) bool { return c.Product == "Feed" }); i < 0 || !strings.HasPrefix(p.Carry[i].Amount.Text(unit.US), "198.0 fl oz") {
		t.Errorf("to carry: %+v", p.Carry)
	}
}

// A single truck-day has room for the two lawns that cannot wait and one other: two tankfuls of 13 gal and 2 x 510 s with a rinse of 300 s are 1,716 s of 2,400, a third lawn
// 72 + 510 s more. Without regard to who waits, three of Spring would do as well.
func TestWhatCannotWaitGoesFirst(t *testing.T) {
	for _, order := range []string{"waits first", "waits last"} {
		w := handWeek()
		w.Days = w.Days[:1]
		urgent, waits := plan.Due{Until: "2026-05-04"}, plan.Due{From: "2026-05-01"}
		if order == "waits first" {
			visit(w, "A", "Spring", waits)
			visit(w, "B", "Spring", waits)
		}
		visit(w, "C", "Fall", urgent)
		visit(w, "D", "Spring", urgent)
		if order == "waits last" {
			visit(w, "A", "Spring", waits)
			visit(w, "B", "Spring", waits)
		}
		p := mustWeek(t, w)
		on := dayOf(p)
		others := strings.Count(on["A"]+on["B"], "2026")
		if !strings.HasPrefix(on["C"], "2026") || !strings.HasPrefix(on["D"], "2026") || others != 1 {
			t.Errorf("%s: %v", order, on)
		}
	}
}

// A licence by its last day, a truck's for its truck, and the record's interval.
func TestWeekHoldsLicencesAndLimits(t *testing.T) {
	w := handWeek()
	w.Day.Operators[0].Licences = []plan.Licence{{Name: "Old", Until: "2026-05-05"}}
	visit(w, "A", "Spring", plan.Due{From: "2026-05-05"}, "Old")
	w.Day.Products[0].Label.IntervalDays = 21
	w.Day.Past = []season.Applied{{Date: "2026-04-15", Property: "B", Product: w.Day.Products[0], Rate: label.Rate{Liquid: unit.FluidOuncePerThousand}, Where: "record"},
		{Date: "2026-04-30", Property: "C", Product: w.Day.Products[0], Rate: label.Rate{Liquid: unit.FluidOuncePerThousand}, Where: "record"}}
	w.Day.Recorded = true
	visit(w, "B", "Spring", plan.Due{})
	visit(w, "C", "Spring", plan.Due{})
	on := dayOf(mustWeek(t, w))
	// 2026-04-15 + 21 days is 2026-05-06; 2026-04-30 + 21 days is after the week.
	if !strings.HasPrefix(on["A"], "2026-05-05") || on["B"] != "2026-05-06 Two" || on["C"] != "limit" {
		t.Errorf("got %v", on)
	}
}

// A day of what a week needs: refused where nobody holds it, kept to the truck that does.
func TestDayHoldsLicences(t *testing.T) {
	d := twoLawns(tank("tank", 30*unit.Gallon, unit.Gallon))
	d.Stops[0].Needs = []string{"Water"}
	if _, found := plan.Make(d); !slices.ContainsFunc(found, func(q problem.Problem) bool { return q.Code == "not-licensed" }) {
		t.Errorf("nobody holds Water: %v", found)
	}
	two := d.Trucks[0]
	two.Name, two.Licences = "Two", []plan.Licence{{Name: "Water", Until: "2026-05-04"}}
	d.Trucks = append(d.Trucks, two)
	p := must(t, d)
	if s := p.Stops[slices.IndexFunc(p.Stops, func(s plan.StopPlan) bool { return s.Property == "A" })]; s.Truck != "Two" {
		t.Errorf("A needs Water and is on %s", s.Truck)
	}
}

// Weeks that cannot be planned say why.
func TestBadWeeks(t *testing.T) {
	for code, spoil := range map[string]func(*plan.Week){
		"no-days":               func(w *plan.Week) { w.Days = nil },
		"days-order":            func(w *plan.Week) { w.Days[1].Date = w.Days[0].Date },
		"date-invalid":          func(w *plan.Week) { w.Due[0].From = "May" },
		"due-ends-before-start": func(w *plan.Week) { w.Due[0] = plan.Due{From: "2026-05-06", Until: "2026-05-05"} },
		"unknown-name":          func(w *plan.Week) { w.Days[0].Off = []string{"Three"} },
		"no-truck":              func(w *plan.Week) { w.Days = w.Days[:1]; w.Days[0].Off = []string{"One", "Two"} },
		"no-plan":               func(w *plan.Week) { w.Due = nil },
		"no-stops":              func(w *plan.Week) { w.Due[0].From = "2026-06-01" },
		"holds-in-a-week":       func(w *plan.Week) { w.Day.Trucks[0].Tanks[0].Holds = &plan.Held{Mix: "Spring"} },
		"unknown-mix":           func(w *plan.Week) { w.Day.Stops[0].Mix = "Winter" },
	} {
		w := handWeek()
		visit(w, "A", "Spring", plan.Due{})
		spoil(w)
		p, found := plan.MakeWeek(w)
		if p != nil || !slices.ContainsFunc(found, func(q problem.Problem) bool { return q.Code == code && q.Severity == problem.Error }) {
			t.Errorf("%s: got %v", code, found)
		}
	}
}

// randomWeek is a week of lawns at the yard, of two mixes; a change of mix takes an hour, which no saving in filling makes up for.
func randomWeek(seed uint64) *plan.Week {
	r := rand.New(rand.NewPCG(seed, 0x7765656b))
	w := handWeek()
	w.Day.End = 0
	w.Day.Trucks[0].NoOvertime, w.Day.Trucks[1].NoOvertime = false, false
	w.Day.Rinses[0].Time = unit.Hour
	if r.IntN(3) == 0 {
		w.Day.End = 9 * unit.Hour
		w.Day.Trucks[0].NoOvertime, w.Day.Trucks[1].NoOvertime = true, true
	}
	for i := range 2 + r.IntN(6) {
		due := plan.Due{}
		if a := r.IntN(4); a > 0 {
			due.From = fmt.Sprintf("2026-05-%02d", 1+r.IntN(9))
			due.Until = fmt.Sprintf("2026-05-%02d", min(9, int(due.From[9]-'0')+r.IntN(4)))
		}
		if r.IntN(4) == 0 {
			due.NotOn = []string{fmt.Sprintf("2026-05-%02d", 4+r.IntN(3))}
		}
		var needs []string
		if r.IntN(4) == 0 {
			needs = []string{[]string{"Water", "Old"}[r.IntN(2)]}
		}
		visit(w, fmt.Sprint("P", i), []string{"Spring", "Fall"}[r.IntN(2)], due, needs...)
	}
	w.Day.Operators[0].Licences[0].Until = fmt.Sprintf("2026-05-%02d", 3+r.IntN(4))
	return w
}

// On random weeks every visit is done once or left with its reason, on a day of its own and by who may; the sums are those of the days; and the week is not worse, in
// minutes nor in rinses, than when each visit is on the first day that suits it.
func TestWeekLaws(t *testing.T) {
	done, left := 0, 0
	n := geotest.Fewer(5)
	if os.Getenv("TANKFUL_ALL") != "" {
		n = 60
	}
	for seed := range uint64(n) {
		w := randomWeek(seed)
		p, found := plan.MakeWeek(w)
		if p == nil {
			if !slices.ContainsFunc(found, func(q problem.Problem) bool { return q.Code == "no-stops" }) {
				t.Errorf("week %d: %v", seed, found.Err())
			}
			continue
		}
		on := dayOf(p)
		minutes := 0.0
		for _, d := range p.Days {
			if d.Plan != nil {
				minutes += d.Plan.Minutes
			}
		}
		if math.Abs(minutes-p.Minutes) > 1e-6 || p.BoundMinutes > p.Minutes {
			t.Errorf("week %d: %v min, the days %v, the bound %v", seed, p.Minutes, minutes, p.BoundMinutes)
		}
		for i := range w.Day.Stops {
			s, due := &w.Day.Stops[i], &w.Due[i]
			where := on[s.Site.Property.ID]
			date, truck, placed := strings.Cut(where, " ")
			switch {
			case where == "":
				t.Errorf("week %d: %s is lost", seed, s.Where)
			case !placed:
				left++
			case !allowed(w, s, due, date, truck):
				t.Errorf("week %d: %s with %+v, needs %v, is on %s", seed, s.Where, *due, s.Needs, where)
			default:
				done++
			}
		}
		if len(on) != len(w.Day.Stops) {
			t.Errorf("week %d: %d of %d visits", seed, len(on), len(w.Day.Stops))
		}
		if q := byDate(w); q != nil && !slices.ContainsFunc(p.Later, func(l plan.Later) bool { return l.Reason != plan.NotDue }) && (q.minutes < p.Minutes-1e-6 || q.rinses < p.Rinses) {
			t.Errorf("week %d: %.1f min and %d rinses; by date %.1f and %d", seed, p.Minutes, p.Rinses, q.minutes, q.rinses)
		}
	}
	t.Logf("%d visits done, %d left", done, left)
	if n > 1 && (done == 0 || left == 0) {
		t.Error("the weeks do not try both")
	}
}

// allowed says by other means than the planner's whether a visit may be on a truck of a day.
func allowed(w *plan.Week, s *plan.Stop, due *plan.Due, date, truck string) bool {
	late := due.Until != "" && due.Until < "2026-05-04"
	if due.From != "" && date < due.From || due.Until != "" && date > due.Until && !late || slices.Contains(due.NotOn, date) {
		return false
	}
	if truck == "One" && date != "2026-05-05" {
		return false
	}
	for _, n := range s.Needs {
		if n == "Water" && truck != "Two" || n == "Old" && date > w.Day.Operators[0].Licences[0].Until {
			return false
		}
	}
	return true
}

type simple struct {
	minutes float64
	rinses  int
}

// byDate gives every visit to the first day that allows it and plans each day; nil when that does not do them all.
func byDate(w *plan.Week) *simple {
	out := &simple{}
	for k := range w.Days {
		d := w.Day.Without(w.Days[k].Off)
		d.Date, d.Stops = w.Days[k].Date, nil
		for i := range w.Day.Stops {
			s := w.Day.Stops[i]
			may := func(date string) bool {
				return allowed(w, &s, &w.Due[i], date, "Two") || allowed(w, &s, &w.Due[i], date, "One")
			}
			first := slices.IndexFunc(w.Days, func(d plan.WorkDay) bool { return may(d.Date) })
			if first < 0 && w.Due[i].From <= "2026-05-06" {
				return nil
			}
			if first == k {
				d.Stops = append(d.Stops, s)
			}
		}
		if len(d.Stops) == 0 {
			continue
		}
		p, _ := plan.Make(d)
		if p == nil || len(p.LeftOut) > 0 {
			return nil
		}
		out.minutes += p.Minutes
		for _, t := range p.Trucks {
			for _, e := range t.Events {
				out.rinses += len(e.Rinses)
			}
		}
	}
	return out
}
