package plan_test

import (
	"math"
	"strings"
	"testing"

	"tankful/calc/unit"
	"tankful/plan"
	"tankful/plan/travel"
)

// The day of TestTwoLoadsByHand takes 1,193 s, with two tankfuls and one split. Here the lawn is 10 min and 2 km from the yard each way, driven to twice and from twice: 2,400 s
// and 8 km more. A tankful counts for 5 min, a split for 2 min, 1 km for 3 min, an hour of overtime for 90 min; the day should end after 40 min. By hand:
//
//	minutes   1,193 + 2,400 = 3,593 s
//	overtime  3,593 - 2,400 = 1,193 s, at 1.5: 1,789.5 s
//	weighed   3,593 + 2 x 300 + 120 + 8 x 180 + 1,789.5 = 7,542.5 s
func TestWeightsByHand(t *testing.T) {
	d := handDay(tank("tank", 7.5*unit.Gallon, 1.5*unit.Gallon))
	d.End = d.Start + 40*unit.Minute
	d.Travel.Table = &travel.Table{}
	for _, x := range [][2]string{{"yard", "A"}, {"A", "yard"}} {
		d.Travel.Table.Put(x[0], x[1], travel.Cell{Time: 10 * unit.Minute, Road: 2 * unit.Kilometre})
	}
	d.Weights = plan.Weights{Refill: 5 * unit.Minute, Split: 2 * unit.Minute, Drive: 3 * unit.Minute, DriveEach: unit.Kilometre, Overtime: 90 * unit.Minute, OvertimeEach: unit.Hour}
	d.Yard.At, d.FillPoints[0].At = metresAway(-500, 0), metresAway(-500, 0)
	p, found := plan.Make(d)
	if p == nil {
		t.Fatal(found.Err())
	}
	seconds(t, unit.Time(p.Minutes)*unit.Minute, 3593, unit.Time(p.WeighedMinutes)*unit.Minute, 7542.5)
	// Beyond the time of the bound: 600 s of tankfuls, 120 s of the split, 1,440 s of road, and overtime beyond 2,400 s at 1.5.
	least := p.BoundMinutes + (600+120+1440+1.5*(p.BoundMinutes*60-2400))/60
	if p.BoundWeighedMinutes > p.WeighedMinutes || math.Abs(p.BoundWeighedMinutes-least) > 1e-6 {
		t.Errorf("bound of %v min, want %v", p.BoundWeighedMinutes, least)
	}
	if !strings.Contains(p.Bound, "With your weights no plan can come to less than ") {
		t.Errorf("%q does not tell the weights", p.Bound)
	}
	d.Weights = plan.Weights{}
	if p, _ := plan.Make(d); p.WeighedMinutes != 0 || p.BoundWeighedMinutes != 0 || strings.Contains(p.Bound, "weights") {
		t.Errorf("without weights: %v, %v, %q", p.WeighedMinutes, p.BoundWeighedMinutes, p.Bound)
	}
}

// Weights that are none are told, each.
func TestOddWeights(t *testing.T) {
	nan := unit.Time(math.NaN())
	for name, w := range map[string]plan.Weights{
		"refill of no number":   {Refill: nan},
		"split below zero":      {Split: -1},
		"refill over an hour":   {Refill: unit.Hour + 1},
		"split over an hour":    {Split: unit.Hour + 1},
		"road without end":      {Drive: 1, DriveEach: unit.Length(math.Inf(1))},
		"road below zero":       {Drive: 1, DriveEach: -1},
		"road of no length":     {Drive: 1, DriveEach: 1e-300},
		"driving of no number":  {Drive: nan, DriveEach: unit.Mile},
		"overtime below zero":   {Overtime: -1, OvertimeEach: unit.Hour},
		"overtime of no time":   {Overtime: 1, OvertimeEach: nan},
		"overtime of over 60":   {Overtime: 61 * unit.Hour, OvertimeEach: unit.Hour},
		"overtime of no minute": {Overtime: unit.Hour, OvertimeEach: 1e-300},
	} {
		d := handDay(tank("tank", 20*unit.Gallon, unit.Gallon))
		d.Weights = w
		p, found := plan.Make(d)
		if p != nil || !found.HasErrors() {
			t.Errorf("%s: planned, %v", name, found)
		}
		for _, q := range found {
			if q.What == "" || q.Fix == "" || q.Where == "" {
				t.Errorf("%s: %+v", name, q)
			}
		}
	}
}
