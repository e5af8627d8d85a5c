package calibrate_test

import (
	"testing"

	"tankful/calc/calibrate"
	"tankful/calc/unit"
)

// By hand: 5.25 gal of water on 1,000 sq ft in 78 s. The square root of 10.65 / 8.34 is 1.1300, so that 4.646 gal of the
// denser liquid go on; for 4 gal the course takes 78 s x 4 / 4.646 = 67.2 s. (By the water's rate it would be 59.4 s.)
func TestAdviceIsForWhatGoesOn(t *testing.T) {
	c := calibrate.Catch{Course: 200 * unit.Foot, Spacing: 5 * unit.Foot, Runs: seconds(78, 78, 78), Caught: 5.25 * unit.Gallon,
		Use: calibrate.Use{Product: "feed", Density: 10.65 * unit.PoundPerGallon, Wanted: 4 * unit.GallonPerThousand}}
	r, ps := c.Outcome("here")
	outcome(t, "catch", r, ps)
	a, ps, ok := r.Advice("here")
	outcome(t, "advice", a, ps)
	if got := unit.Number(a.Pace.Time.In(unit.Second), 1); !ok || got != "67.2" {
		t.Errorf("got %s s, %v; want 67.2 s", got, ok)
	}
	// Accepted, nothing wanted, and a plot without a course: nothing to change, or nothing to go by.
	for name, change := range map[string]func(*calibrate.Catch){
		"accepted":  func(c *calibrate.Catch) { c.Use.Wanted = 4.65 * unit.GallonPerThousand },
		"no wish":   func(c *calibrate.Catch) { c.Use.Wanted = 0 },
		"no course": func(c *calibrate.Catch) { c.Course, c.Spacing, c.Area = 0, 0, unit.Thousand },
	} {
		d := c
		change(&d)
		r, _ := d.Outcome("here")
		if _, ps, ok := r.Advice("here"); ok || len(ps) > 0 {
			t.Errorf("%s: got advice, %v", name, ps)
		}
	}
}

func TestSpreaderAdviceOfATest(t *testing.T) {
	s := calibrate.SpreaderTest{Kind: calibrate.Rotary, Width: 8 * unit.Foot, Course: 125 * unit.Foot, Time: 30,
		Trials: []calibrate.SpreaderTrial{{Caught: 6 * unit.Pound}, {Caught: 6 * unit.Pound}, {Caught: 6 * unit.Pound}}, Wanted: 5 * unit.PoundPerThousand}
	r, _ := s.Result("here")
	// By hand: 6 lb for 5 wanted; at the same gate the course would take 30 s x 5 / 6 = 25 s.
	a, ps, ok := r.Advice("here")
	if !ok || ps.HasErrors() || a.Pace == nil || unit.Number(a.Pace.Time.In(unit.Second), 1) != "25.0" {
		t.Errorf("got %+v, %v, %v", a.Pace, ps, ok)
	}
	s.Wanted = 6 * unit.PoundPerThousand
	r, _ = s.Result("here")
	if _, _, ok := r.Advice("here"); ok {
		t.Error("advice for an accepted rate")
	}
}
