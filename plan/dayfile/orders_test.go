package dayfile

import (
	"strings"
	"testing"
)

// An order that contradicts what else the file says is refused, at the place in the order.
func TestOrderAgainstTheRest(t *testing.T) {
	const two = "trucks:\n  - name: Other\n    tanks:\n      - {name: tank, capacity: 50 gal, heel: 2 gal}\n"
	for _, c := range []struct {
		edits []string
		code  string
		path  string
	}{
		{[]string{"date: 2026-05-04", "date: 2026-05-04\noff: [Truck]\norders: [{truck: Truck, stops: [a, b]}]", "trucks:\n", two}, "order-off", "orders[0].truck"},
		{[]string{"date: 2026-05-04", "date: 2026-05-04\norders: [{truck: Other, stops: [a]}]", "trucks:\n", two, "    property: a\n", "    property: a\n    truck: Truck\n"}, "order-other-truck", "orders[0].stops[0]"},
		{[]string{"date: 2026-05-04", "date: 2026-05-04\norders: [{truck: Truck, stops: [b, a]}]", "    property: a\n", "    property: a\n    first: true\n"}, "order-and-place", "orders[0].stops[1]"},
		{[]string{"date: 2026-05-04", "date: 2026-05-04\norders: [{truck: Other, stops: [a]}]", "trucks:\n", two}, "", ""},
	} {
		_, problems := parse(strings.NewReplacer(c.edits...).Replace(small))
		problems = onlyErrors(problems)
		if c.code == "" {
			if len(problems) > 0 {
				t.Errorf("%v: %v", c.edits, problems)
			}
			continue
		}
		if len(problems) != 1 || problems[0].Code != c.code || !strings.Contains(problems[0].Where, c.path) {
			t.Errorf("%v, want %s at %s", problems, c.code, c.path)
		}
	}
}
