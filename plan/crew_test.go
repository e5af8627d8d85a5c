package plan_test

import (
	"slices"
	"testing"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan"
)

// twoLawns are two lawns of 100 ft x 60 ft at the yard, 12.0 gal and 510 s each; see handDay.
func twoLawns(tanks ...plan.Tank) *plan.Day {
	d := handDay(tanks...)
	b := d.Stops[0]
	b.Site, b.Where = lawn("B", 100*unit.Foot, 60*unit.Foot), "stop B"
	d.Stops = append(d.Stops, b)
	return d
}

func must(t *testing.T, d *plan.Day) *plan.Plan {
	t.Helper()
	p, found := plan.Make(d)
	if p == nil {
		t.Fatal(found.Err())
	}
	return p
}

// A tank of 30 gal with a heel of 1 takes both lawns. By hand: fill 120 s + 25 gal at 10 gal/min 150 s, first lawn until 07:13:00; lunch may begin
// from 07:10, so it does then, until 07:43:00; second lawn until 07:51:30.
func TestLunchByHand(t *testing.T) {
	d := twoLawns(tank("tank", 30*unit.Gallon, unit.Gallon))
	d.Lunch = plan.Pause{From: 7*unit.Hour + 10*unit.Minute, Until: 7*unit.Hour + 20*unit.Minute, Length: 30 * unit.Minute}
	p := must(t, d)
	day := p.Trucks[0]
	k := slices.IndexFunc(day.Events, func(e plan.Event) bool { return e.Kind == plan.Lunch })
	if k != 2 {
		t.Fatalf("events %+v, want the lunch third", day.Events)
	}
	seconds(t, day.Events[k].At, 7*unit.Hour+780, day.Events[k].Until, 7*unit.Hour+2580, day.Lunch, 1800, day.Finish, 7*unit.Hour+3090, day.Work, 1020)
	d.Lunch.Until = 7*unit.Hour + 11*unit.Minute
	if p := must(t, d); !slices.ContainsFunc(p.Problems, func(q problem.Problem) bool { return q.Code == "lunch-late" }) {
		t.Errorf("lunch at 07:13 instead of 07:11 is not told: %v", p.Problems)
	}
}

// One tank and two mixes, with a rinse of 10 min. By hand: 120 + 13 gal 78 s, 510 s; rinse 600 s, again 120 + 78 s and 510 s: 2,016 s. Each mix leaves its heel.
func TestRinseByHand(t *testing.T) {
	d := twoLawns(tank("tank", 20*unit.Gallon, unit.Gallon))
	fall := d.Mixes[0]
	fall.Name = "Fall"
	d.Mixes = append(d.Mixes, fall)
	d.Stops[1].Mix = "Fall"
	if _, found := plan.Make(d); !slices.ContainsFunc(found, func(q problem.Problem) bool { return q.Code == "more-mixes-than-tanks" }) {
		t.Errorf("without a rinse: %v", found)
	}
	d.Rinses = []plan.Rinse{{Time: 10 * unit.Minute}}
	p := must(t, d)
	day := p.Trucks[0]
	seconds(t, day.Finish, 7*unit.Hour+2016, day.Rinse, 600, day.Fill, 396)
	equal(t, p.Units.Volume(p.Heel), "2.0 gal", p.Units.Volume(p.Leftover), "0.0 gal")
	if e := day.Events[2]; len(e.Rinses) != 1 || e.Rinses[0].Tank != "tank" || e.Rinses[0].Lost != 0 {
		t.Errorf("second filling: %+v", e)
	}
	d.Rinses = append(d.Rinses, plan.Rinse{From: "Spring", To: "Fall", Never: true})
	if p := must(t, d); p.Stops[0].Mix != "Fall" {
		t.Errorf("Spring to Fall is forbidden, and %s comes first", p.Stops[0].Mix)
	}
}

// The agitator of a tank of 20 gal with a heel of 0.5 works from 16 gal on: fillings of 15.5 to 19.5 gal. 20 gal are more than one and less than two
// of them: 2 x 15.5 - 20 = 11.0 gal over.
func TestNoExactPlanByHand(t *testing.T) {
	d := twoLawns(tank("tank", 20*unit.Gallon, 0.5*unit.Gallon))
	d.Trucks[0].Tanks[0].Agitates = 16 * unit.Gallon
	d.Stops[1].Site = lawn("B", 100*unit.Foot, 40*unit.Foot)
	p, found := plan.Make(d)
	if p != nil || !slices.ContainsFunc(found, func(q problem.Problem) bool { return q.Code == "no-exact-plan" }) {
		t.Fatalf("got %v", found)
	}
	d.AcceptLeftover = true
	p = must(t, d)
	equal(t, p.Units.Volume(p.Leftover), "11.0 gal", p.Units.Volume(p.Volume), "20.0 gal")
	if len(p.Loads) != 2 {
		t.Errorf("%d loads, want 2", len(p.Loads))
	}
}

// Filled to marks 5 gal apart: 12 gal and a heel of 1 are 13, so to the 15 gal mark, and 2 gal are left above the heel.
func TestMarksByHand(t *testing.T) {
	d := handDay(tank("tank", 20*unit.Gallon, unit.Gallon))
	d.Trucks[0].Tanks[0].Marks = 5 * unit.Gallon
	p := must(t, d)
	equal(t, p.Units.Volume(p.Loads[0].Fill), "15.0 gal", p.Units.Volume(p.Loads[0].Gauge), "15.0 gal", p.Units.Volume(p.Leftover), "2.0 gal",
		p.Units.Volume(p.Loads[0].Stops[0].Gauge), "3.0 gal")
}

// Feed at 4 fl oz/1000 sq ft in 2 gal/1000 sq ft is 2 fl oz/gal, so that a jug of 16 fl oz makes 8 gal. Two lawns take 24 gal: the first filling
// is two jugs, 16 gal with the heel of 1; the other 9 gal take 18 fl oz, measured.
func TestWholeContainersByHand(t *testing.T) {
	d := twoLawns(tank("tank", 20*unit.Gallon, unit.Gallon))
	d.Products[0].Containers = []label.Container{{Name: "jug", Holds: label.Amount{Liquid: 16 * unit.FluidOunce}}}
	d.Mixes[0].Whole = "Feed"
	p := must(t, d)
	if len(p.Loads) != 2 {
		t.Fatalf("%d loads, want 2", len(p.Loads))
	}
	feed := func(k int) string {
		for _, q := range p.Loads[k].Products {
			if q.Name == "Feed" {
				return q.Amount.Text(p.Units)
			}
		}
		return ""
	}
	equal(t, p.Units.Volume(p.Loads[0].Fill), "16.0 gal", feed(0), "32.0 fl oz", p.Units.Volume(p.Loads[1].Fill), "9.0 gal", feed(1), "18.0 fl oz")
}

// Two trucks, and an end at 07:13 that allows each of them one lawn: stops that name no truck go to both. With one truck the second lawn is left out, by 11 min.
func TestTrucksShareStops(t *testing.T) {
	d := twoLawns(tank("tank", 30*unit.Gallon, unit.Gallon))
	d.Trucks[0].Until, d.Trucks[0].NoOvertime = 7*unit.Hour+13*unit.Minute, true
	one := must(t, d)
	if len(one.LeftOut) != 1 || len(one.Stops) != 1 || one.LeftOut[0].Reason != "full-day" {
		t.Errorf("one truck: %d stops, left out %+v", len(one.Stops), one.LeftOut)
	}
	second := d.Trucks[0]
	second.Name = "Second"
	d.Trucks = append(d.Trucks, second)
	p := must(t, d)
	if len(p.Trucks) != 2 || len(p.LeftOut) != 0 {
		t.Errorf("%d trucks out, left out %+v", len(p.Trucks), p.LeftOut)
	}
	d.Trucks[1].Crew = []string{"Nobody"}
	if _, found := plan.Make(d); !slices.ContainsFunc(found, func(q problem.Problem) bool { return q.Code == "unknown-operator" }) {
		t.Errorf("a crew of nobody: %v", found)
	}
}
