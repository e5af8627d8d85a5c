package dayfile

import (
	"fmt"
	"strings"
	"testing"

	"tankful/calc/unit"
	"tankful/plan"
)

// weighed is the small day with weights on its last line but the stops.
func weighed(t *testing.T, weights string) string {
	return edited(t, "set_up: 6 min\n", "set_up: 6 min\nweights: "+weights+"\n")
}

// An hour of overtime counts for half an hour more, so a minute for 30 s; 2 km of road for 5 min, so a mile (1.609344 km) for 4.02336 min.
func TestWeights(t *testing.T) {
	d, problems := parse(weighed(t, "{overtime: {each: 1 h, counts: 30 min}, refill: 5 min, split: 90 s, drive: {each: 2 km, counts: 5 min}}"))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	w := &d.Weights
	near := func(a, b unit.Time) bool { return a > b-1e-9 && a < b+1e-9 }
	if !near(w.PerOvertime(), 30) || w.Refill != 5*unit.Minute || w.Split != 90 || !near(w.PerMile(), 4.02336*unit.Minute) {
		t.Errorf("got %+v: overtime %v a minute, %v a mile", *w, w.PerOvertime(), w.PerMile())
	}
	if d, _ := parse(small); d.Weights != (plan.Weights{}) || d.Weights.PerOvertime() != unit.Minute || d.Weights.PerMile() != 0 {
		t.Errorf("without weights: %+v", d.Weights)
	}
}

// A bad weight each, and all that must then be found; the last line has them all.
func TestBadWeights(t *testing.T) {
	for _, c := range []struct{ weights, want string }{
		{"{refill: 5}", "missing-unit weights.refill"},
		{"{refill: 2 h}", "out-of-range weights.refill"},
		{"{refill: -1 min}", "not-positive weights.refill"},
		{"{split: 5 ft}", "bad-quantity weights.split"},
		{"{split: 61 min}", "out-of-range weights.split"},
		{"{overtime: 2}", "wrong-type weights.overtime"},
		{"{overtime: {each: 1 h}}", "missing-key weights.overtime.counts"},
		{"{overtime: {counts: 1 h}}", "missing-key weights.overtime.each"},
		{"{overtime: {each: 0 min, counts: 1 h}}", "not-positive weights.overtime.each"},
		{"{overtime: {each: 1 min, counts: 61 min}}", "weight-too-large weights.overtime.counts"},
		{"{drive: 2 min}", "wrong-type weights.drive"},
		{"{drive: {each: 1, counts: 2 min}}", "missing-unit weights.drive.each"},
		{"{drive: {each: 1 min, counts: 2 min}}", "bad-quantity weights.drive.each"},
		{"{drive: {each: 1 mi, counts: 2 mi}}", "bad-quantity weights.drive.counts"},
		{"{drive: {each: 0.5 mi, counts: 31 min}}", "weight-too-large weights.drive.counts"},
		{"{fuel: 2 min}", "unknown-key weights.fuel, empty-value weights"},
		{"{}", "empty-value weights"},
		{"5 min", "wrong-type weights"},
		{"{refill: 5, split: 61 min, overtime: {each: 1 h}, drive: 3}", "missing-unit weights.refill, out-of-range weights.split, missing-key weights.overtime.counts, wrong-type weights.drive"},
	} {
		text := weighed(t, c.weights)
		_, problems := parse(text)
		line := lineWith(t, text, "weights:")
		left := strings.Split(c.want, ", ")
		for _, p := range problems {
			found := false
			for i, w := range left {
				code, path, _ := strings.Cut(w, " ")
				if p.Code == code && p.Where == fmt.Sprintf("day.yaml:%d %s", line, path) && p.What != "" && p.Fix != "" {
					left, found = append(left[:i:i], left[i+1:]...), true
					break
				}
			}
			if !found {
				t.Errorf("%s: not expected: %v", c.weights, p)
			}
		}
		if len(left) > 0 {
			t.Errorf("%s: not found: %v", c.weights, left)
		}
	}
}
