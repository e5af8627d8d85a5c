// Package problem says what a user can fix: a code that programs may match, the
// place, what is wrong there with its numbers, and one thing to do about it.
//
// It knows nothing of outlines, tanks or files; every layer above it reports
// through it. Faults of the program itself are ordinary errors, not problems.
package problem

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Severity says what a problem does to the figures.
type Severity string

const (
	// Error means that no figure is given for the thing at this place.
	Error Severity = "error"
	// Warning means that a figure is given and the reader must know something about it.
	Warning Severity = "warning"
	// Note means that something was tidied without moving a figure.
	Note Severity = "note"
)

// Problem is one thing that a user can fix.
type Problem struct {
	// Code is a stable lower-case name with hyphens, such as "ring-crosses-itself".
	Code string `json:"code"`
	// Severity is never empty in a list that leaves a package.
	Severity Severity `json:"severity"`
	// Where is the place as the user knows it: "lots.geojson: feature 3 (back bed)",
	// "day.yaml:41 mixes[0].products[1].rate".
	Where string `json:"where"`
	// What is the finding, with its numbers and units.
	What string `json:"what"`
	// Fix is one imperative sentence.
	Fix string `json:"fix"`
}

// String is the problem on one line, for terminals and logs.
func (p Problem) String() string {
	return fmt.Sprintf("%s: %s: %s [%s]. %s", p.Where, p.Severity, p.What, p.Code, p.Fix)
}

// List is every problem found in one input. The zero value is an empty list.
// A List is an error only through Err, so that a list of notes never reads as a failure.
type List []Problem

// Errorf adds a problem that stops the figure at its place.
func (l *List) Errorf(code, where, fix, format string, args ...any) {
	l.add(code, Error, where, fix, format, args...)
}

// Warnf adds a problem that leaves the figure standing.
func (l *List) Warnf(code, where, fix, format string, args ...any) {
	l.add(code, Warning, where, fix, format, args...)
}

// Notef adds a remark on something that was tidied.
func (l *List) Notef(code, where, fix, format string, args ...any) {
	l.add(code, Note, where, fix, format, args...)
}

func (l *List) add(code string, s Severity, where, fix, format string, args ...any) {
	*l = append(*l, Problem{Code: code, Severity: s, Where: where, What: fmt.Sprintf(format, args...), Fix: fix})
}

// HasErrors reports whether any problem in the list is an Error.
func (l List) HasErrors() bool {
	return slices.ContainsFunc(l, func(p Problem) bool { return p.Severity == Error })
}

// Sort orders the list by place, then severity (errors first), then code; equal
// problems keep their order.
func (l List) Sort() {
	rank := map[Severity]int{Error: 0, Warning: 1, Note: 2}
	slices.SortStableFunc(l, func(a, b Problem) int {
		return cmp.Or(comparePlaces(a.Where, b.Where), cmp.Compare(rank[a.Severity], rank[b.Severity]), cmp.Compare(a.Code, b.Code))
	})
}

// Distinct is the list sorted, each problem once: two places may report the same one, such as two mixes that share a catch test. It is never nil, so that it
// is [] in JSON.
func (l List) Distinct() List {
	out, seen := List{}, map[Problem]bool{}
	for _, p := range l {
		if !seen[p] {
			seen[p] = true
			out = append(out, p)
		}
	}
	out.Sort()
	return out
}

// comparePlaces orders "day.yaml:9" before "day.yaml:41": runs of digits compare as numbers.
func comparePlaces(a, b string) int {
	for a != "" && b != "" {
		da, db := leadingDigits(a), leadingDigits(b)
		if da != "" && db != "" {
			na, nb := strings.TrimLeft(da, "0"), strings.TrimLeft(db, "0")
			if c := cmp.Or(cmp.Compare(len(na), len(nb)), cmp.Compare(na, nb)); c != 0 {
				return c
			}
			a, b = a[len(da):], b[len(db):]
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

func leadingDigits(s string) string {
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	return s[:i]
}

// Failed carries a list that stopped the work. Its text is every problem, a line each.
type Failed struct{ Problems List }

func (f *Failed) Error() string {
	lines := make([]string, len(f.Problems))
	for i, p := range f.Problems {
		lines[i] = p.String()
	}
	return strings.Join(lines, "\n")
}

// Err is a *Failed when the list has an error in it, else nil.
func (l List) Err() error {
	if !l.HasErrors() {
		return nil
	}
	return &Failed{Problems: l}
}
