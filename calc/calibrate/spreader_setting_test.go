package calibrate_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/calibrate"
	"tankful/calc/unit"
)

func tried(pairs ...float64) (list []calibrate.SettingTrial) {
	for i := 0; i < len(pairs); i += 2 {
		list = append(list, calibrate.SettingTrial{Setting: pairs[i], Rate: unit.MassPerArea(pairs[i+1]) * unit.PoundPerThousand})
	}
	return list
}

// By hand, invented: mark 4 gives 4 lb/1000 sq ft, mark 6 gives 6.5; 5 lb is (5 - 4) / 2.5 = 0.4 of the way, mark 4.8.
func ExampleSettingSearch_Result() {
	r, problems := calibrate.SettingSearch{Tried: tried(4, 4, 6, 6.5), Wanted: 5 * unit.PoundPerThousand}.Result("here")
	fmt.Println(len(problems), "problems")
	for _, f := range r.Facts(unit.US) {
		fmt.Printf("%s: %s\n", f.Name, f.Text)
	}
	// Output:
	// 0 problems
	// setting: 4.8 on the spreader's own scale
	// rate at it: 5.00 lb/1000 sq ft (217.8 lb/acre)
	// off the wanted rate: 0.0 %
	// between: 4 (4.00 lb/1000 sq ft) and 6 (6.50 lb/1000 sq ft)
	// one mark more: adds 1.25 lb/1000 sq ft there
}

func TestSettingSearch(t *testing.T) {
	for _, c := range []struct {
		name                 string
		tried                []calibrate.SettingTrial
		wanted, step         float64
		setting, rate, marks float64 // rate and per mark in lb/1000 sq ft
		want                 string
	}{
		{"by the line", tried(4, 4, 6, 6.5), 5, 0, 4.8, 5, 1.25, ""},
		{"in any order", tried(6, 6.5, 4, 4), 5, 0, 4.8, 5, 1.25, ""},
		{"rounded to a quarter", tried(4, 4, 6, 6.5), 5, 0.25, 4.75, 4.9375, 1.25, ""},
		{"rounded to whole marks", tried(4, 4, 6, 6.5), 5, 1, 5, 5.25, 1.25, ""},
		{"too coarse a scale", tried(4, 4, 6, 6.5), 4.7, 1, 5, 5.25, 1.25, "scale-coarse"},
		{"a mark that was tried", tried(4, 4, 5, 5, 7, 6), 5, 0, 5, 5, 1, ""},
		{"rounded over a tried mark", tried(4, 4, 5.02, 5, 7, 6.98), 5.01, 0.5, 5, 4 + 1/1.02, 1, ""},
		{"the end", tried(4, 4, 6, 6.5), 6.5, 0, 6, 6.5, 1.25, ""},
		{"the end is no step", tried(4, 4, 5.97, 6.5), 6.5, 0.1, 5.9, 4 + 1.9*2.5/1.97, 2.5 / 1.97, ""},
		{"no step between", tried(4.1, 4, 4.4, 6.5), 5, 1, 4.22, 5, 2.5 / 0.3, ""},
		{"a falling scale", tried(4, 6.5, 6, 4), 5, 0, 5.2, 5, -1.25, ""},
		{"far apart", tried(2, 2, 8, 8), 5, 0, 5, 5, 1, "settings-far-apart"},
	} {
		q := calibrate.SettingSearch{Tried: c.tried, Wanted: unit.MassPerArea(c.wanted) * unit.PoundPerThousand, Step: c.step}
		r, problems := q.Result("here")
		if got := codes(t, c.name, problems); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, problems, c.want)
		}
		if rate, marks := r.Rate.In(unit.PoundPerThousand), r.PerMark.In(unit.PoundPerThousand); math.Abs(r.Setting-c.setting) > 1e-9 || math.Abs(rate-c.rate) > 1e-9 || math.Abs(marks-c.marks) > 0.02 {
			t.Errorf("%s: got mark %v, %v lb/1000 sq ft, %v a mark; want %v, %v, %v", c.name, r.Setting, rate, marks, c.setting, c.rate, c.marks)
		}
		sound(t, c.name, r)
	}
}

func TestSettingProblems(t *testing.T) {
	nan := math.NaN()
	lb := unit.PoundPerThousand
	for _, c := range []struct {
		name string
		q    calibrate.SettingSearch
		want string
	}{
		{"empty", calibrate.SettingSearch{}, "rate-zero too-few-settings"},
		{"one", calibrate.SettingSearch{Tried: tried(4, 4), Wanted: 4 * lb}, "too-few-settings"},
		{"beyond", calibrate.SettingSearch{Tried: tried(4, 4, 6, 6.5), Wanted: 6.6 * lb}, "beyond-tried"},
		{"below", calibrate.SettingSearch{Tried: tried(4, 4, 6, 6.5), Wanted: 3.9 * lb}, "beyond-tried"},
		{"twice", calibrate.SettingSearch{Tried: tried(4, 4, 4, 5, 6, 6.5), Wanted: 5 * lb}, "setting-twice"},
		{"flat", calibrate.SettingSearch{Tried: tried(4, 5, 6, 5), Wanted: 5 * lb}, "settings-crossed"},
		{"up and down", calibrate.SettingSearch{Tried: tried(4, 4, 5, 6, 6, 5), Wanted: 5 * lb}, "settings-crossed"},
		{"NaN mark", calibrate.SettingSearch{Tried: tried(nan, 4, 5, 6), Wanted: 5 * lb}, "setting-negative"},
		{"zero mark and rate", calibrate.SettingSearch{Tried: tried(0, 4, 5, 0), Wanted: 5 * lb}, "setting-negative rate-zero"},
		{"NaN rate", calibrate.SettingSearch{Tried: tried(4, nan, 5, 6), Wanted: 5 * lb}, "rate-zero"},
		{"step", calibrate.SettingSearch{Tried: tried(4, 4, 5, 6), Wanted: 5 * lb, Step: -1}, "step-zero"},
		{"wanted NaN", calibrate.SettingSearch{Tried: tried(4, 4, 5, 6), Wanted: unit.MassPerArea(nan)}, "rate-zero"},
		{"wanted per acre", calibrate.SettingSearch{Tried: tried(4, 4, 5, 6), Wanted: 218 * lb}, "absurd"},
	} {
		r, problems := c.q.Result("here")
		if got := codes(t, c.name, problems); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, problems, c.want)
		}
		if r.Setting != 0 || r.Rate != 0 {
			t.Errorf("%s: setting %v beside %v", c.name, r.Setting, problems)
		}
	}
	_, above := calibrate.SettingSearch{Tried: tried(4, 6.5, 6, 4), Wanted: 7 * lb}.Result("here")
	if got, want := above[0].Fix, "Try a setting below 4, and search again with what it gives."; got != want {
		t.Errorf("on a falling scale: got %q, want %q", got, want)
	}
}

// What is found lies between the marks and the rates tried, and gives the wanted rate but for the rounding.
func TestSettingBetween(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := []calibrate.SettingTrial{{Setting: rapid.Float64Range(0.5, 5).Draw(t, "first"), Rate: unit.MassPerArea(rapid.Float64Range(0.005, 0.02).Draw(t, "rate"))}}
		for range rapid.IntRange(1, 4).Draw(t, "more") {
			last := list[len(list)-1]
			list = append(list, calibrate.SettingTrial{Setting: last.Setting + rapid.Float64Range(0.1, 3).Draw(t, "marks"), Rate: last.Rate + unit.MassPerArea(rapid.Float64Range(0.0005, 0.02).Draw(t, "rise"))})
		}
		first, last := list[0], list[len(list)-1]
		wanted := first.Rate + unit.MassPerArea(rapid.Float64Range(0, 1).Draw(t, "share"))*(last.Rate-first.Rate)
		step := rapid.SampledFrom([]float64{0, 0.1, 0.25, 1}).Draw(t, "step")
		r, problems := calibrate.SettingSearch{Tried: list, Wanted: wanted, Step: step}.Result("here")
		if problems.HasErrors() {
			t.Fatal(problems)
		}
		const hair = 1e-9
		if r.Setting < first.Setting-hair || r.Setting > last.Setting+hair || r.Rate < first.Rate*(1-hair) || r.Rate > last.Rate*(1+hair) {
			t.Fatalf("mark %v gives %v, tried %v", r.Setting, r.Rate, list)
		}
		if step == 0 {
			step = calibrate.ScaleStep
		}
		if math.Abs(r.Setting-r.Between) > step+hair {
			t.Fatalf("mark %v for %v, with a step of %v", r.Setting, r.Between, step)
		}
		sound(t, "drawn", r)
	})
}

// By hand: 5 lb in two passes is 2.5 each, the marks of 2.5 and 5 lie on the line; Ohio State and LSU against UMass and Minnesota.
func TestPassPlan(t *testing.T) {
	p := calibrate.PassPlan{Wanted: 5 * unit.PoundPerThousand, Spacing: 12 * unit.Foot, Tried: tried(2, 2, 4, 3.5, 6, 5.5)}
	r, problems := p.Result("here")
	if got := codes(t, "plan", problems); got != "" {
		t.Errorf("got %v", problems)
	}
	sound(t, "plan", r)
	for i, want := range []struct {
		passes                 int
		rate, spacing, setting float64
	}{{1, 5, 12, 5.5}, {2, 2.5, 6, 2.7}, {2, 2.5, 12, 2.7}} {
		o := r.Options[i]
		if o.Passes != want.passes || math.Abs(o.Rate.In(unit.PoundPerThousand)-want.rate) > 1e-9 || math.Abs(o.Spacing.In(unit.Foot)-want.spacing) > 1e-9 || o.Setting == nil || math.Abs(o.Setting.Setting-want.setting) > 1e-9 {
			t.Errorf("%s: got %+v, want %+v", o.Name, o, want)
		}
	}
	for _, c := range []struct {
		name  string
		spoil func(*calibrate.PassPlan)
		want  string
	}{
		{"no marks", func(p *calibrate.PassPlan) { p.Tried = nil }, ""},
		{"half is beyond", func(p *calibrate.PassPlan) { p.Tried = tried(4, 3.5, 6, 5.5) }, "beyond-tried"},
		{"both are beyond", func(p *calibrate.PassPlan) { p.Tried = tried(4, 3.5, 6, 4.5) }, "beyond-tried beyond-tried"},
		{"crossed", func(p *calibrate.PassPlan) { p.Tried = tried(4, 3.5, 6, 3.5) }, "settings-crossed"},
		{"swath", func(p *calibrate.PassPlan) { p.Spacing = 700 * unit.Foot }, "absurd"},
		{"no swath", func(p *calibrate.PassPlan) { p.Spacing = 0 }, "swath-zero"},
		{"no rate", func(p *calibrate.PassPlan) { p.Wanted = 0 }, "rate-zero"},
	} {
		q := p
		c.spoil(&q)
		r, problems := q.Result("here")
		if got := codes(t, c.name, problems); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, problems, c.want)
		}
		if given := len(r.Options) > 0; given == problems.HasErrors() {
			t.Errorf("%s: %+v beside %v", c.name, r, problems)
		}
		if len(r.Options) > 0 {
			sound(t, c.name, r)
		}
	}
}
