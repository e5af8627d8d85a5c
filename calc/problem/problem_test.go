package problem_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"tankful/calc/problem"
)

func ExampleList_Err() {
	var ps problem.List
	ps.Warnf("pace-uneven", "day.yaml:12", "Practise until the runs agree.", "the runs range over %d %% of their mean", 14)
	fmt.Println(ps.Err())
	ps.Errorf("catch-zero", "day.yaml:9", "Enter the volume caught.", "the volume caught is %s", "0.0 fl oz")
	ps.Sort()
	fmt.Println(ps.Err())
	// Output:
	// <nil>
	// day.yaml:9: error: the volume caught is 0.0 fl oz [catch-zero]. Enter the volume caught.
	// day.yaml:12: warning: the runs range over 14 % of their mean [pace-uneven]. Practise until the runs agree.
}

func TestSort(t *testing.T) {
	var ps problem.List
	add := func(code, where string, s problem.Severity) {
		ps = append(ps, problem.Problem{Code: code, Where: where, Severity: s})
	}
	add("h", "b.yaml", problem.Error)
	add("g", "a.yaml:10", problem.Error)
	add("f", "a.yaml:9 mixes[10]", problem.Error)
	add("e", "a.yaml:9 mixes[2]", problem.Error)
	add("d", "a.yaml:9", problem.Note)
	add("c", "a.yaml:9", problem.Warning)
	add("b2", "a.yaml:9", problem.Error)
	add("b1", "a.yaml:09", problem.Error)
	add("a", "a.yaml", problem.Note)
	ps.Sort()
	var codes []string
	for _, p := range ps {
		codes = append(codes, p.Code)
	}
	if got, want := strings.Join(codes, " "), "a b1 b2 c d e f g h"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestErr(t *testing.T) {
	var ps problem.List
	ps.Notef("ring-closed", "a", "Close the ring.", "the ring was open")
	if ps.HasErrors() || ps.Err() != nil || (problem.List)(nil).Err() != nil {
		t.Error("notes read as a failure")
	}
	ps.Errorf("ring-open", "a", "Close the ring.", "the ring is open")
	var failed *problem.Failed
	if err := ps.Err(); !errors.As(err, &failed) || len(failed.Problems) != 2 {
		t.Errorf("got %v", ps.Err())
	}
}

func TestDistinct(t *testing.T) {
	a, b := problem.Problem{Code: "a", Where: "f:10"}, problem.Problem{Code: "b", Where: "f:9"}
	l := problem.List{a, b, a, b, a}
	if got := l.Distinct(); len(got) != 2 || got[0] != b || got[1] != a || len(l) != 5 {
		t.Errorf("got %v", got)
	}
	if got := problem.List(nil).Distinct(); got == nil || len(got) != 0 {
		t.Errorf("of nothing: %v, want an empty list", got)
	}
}
