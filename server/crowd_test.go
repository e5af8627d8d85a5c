package server_test

import (
	"strings"
	"testing"
)

// A program that has sixteen things under way is told to wait; somebody else is answered meanwhile, what only reads is too, and so is it once one has ended.
func TestOnePersonDoesNotTakeAll(t *testing.T) {
	o := newOffice(t)
	est, other := o.with("estimator"), o.with("sales")
	small := func(v *visitor) int {
		answer, _ := v.do("POST", "/api/tape", map[string]string{"Content-Type": "application/json"}, strings.NewReader(`{"text":"square 9 ft"}`), 0)
		return answer.StatusCode
	}
	leave := o.s.UnderWay("estimator", 15)
	if got := small(est); got != 200 {
		t.Errorf("beside 15 things the sixteenth is answered %d", got)
	}
	one := o.s.UnderWay("estimator", 1)
	if got := small(est); got != 429 {
		t.Errorf("beside 16 things another is answered %d", got)
	}
	if got := small(other); got != 200 {
		t.Errorf("somebody else is answered %d", got)
	}
	est.get("/properties", 200)
	one()
	if got := small(est); got != 200 {
		t.Errorf("after one has ended another is answered %d", got)
	}
	leave()
}
