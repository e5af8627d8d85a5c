package cut

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// The worked examples: a tank of 200 gal with a heel of 5 gal, so U = 195, in whole gallons here; worked by hand.
//
//	A: 60, 75, 48, 90, 33, 64 = 370: ceil(370/195) = 2, and greedy makes 60+75+48 = 183 and 90+33+64 = 187.
//	B: 60, 75, 70, 90, 33, 42 = 370: 2 at the least, but greedy makes 135, 193, 42: split stop 3, or another order, or a third load.
//	C: its agitator asks for 160 gal in the tank, m = 155: 200 gal are more than one load of 195 and less than two of 155.
func TestWorkedExamples(t *testing.T) {
	a, _ := Greedy([]route.Ticks{60, 75, 48, 90, 33, 64}, 195)
	if !slices.Equal(a, []route.Ticks{183, 187}) || Fewest(370, 195) != 2 {
		t.Errorf("A: got %v", a)
	}
	b, _ := Greedy([]route.Ticks{60, 75, 70, 90, 33, 42}, 195)
	if !slices.Equal(b, []route.Ticks{135, 193, 42}) {
		t.Errorf("B: got %v", b)
	}
	if l, ok := Exact(200, 195, 155); ok || l != 2 {
		t.Errorf("C: %d loads, exact %v", l, ok)
	}
	if got, want := Nearest(200, 195, 155), (Choices{Loads: 2, Short: 5, Over: 110}); got != want {
		t.Errorf("C: got %+v, want %+v", got, want)
	}
	if l, ok := Exact(370, 195, 35); !ok || l != 2 {
		t.Errorf("m = 35: %d loads, exact %v", l, ok)
	}
}

// row is a day of stops on one street, the fill point and the yard at its near end; seven 10-gal passes make stop 3 of example B.
func row(needs []route.Ticks, least route.Ticks) *route.Day {
	d := &route.Day{Mixes: []route.Mix{{}}, Weights: route.Usual, Fills: []route.Fill{{Place: 0, HookUp: 300, PerTick: 1}},
		Shifts: []route.Shift{{Tanks: []route.Tank{{Usable: 195, Heel: 5, Least: least}}}}}
	for i := range len(needs) + 1 {
		var r []unit.Time
		for j := range len(needs) + 1 {
			r = append(r, unit.Time(60*max(i-j, j-i)))
		}
		d.Drive = append(d.Drive, r)
	}
	for i, n := range needs {
		st := route.Stop{Place: i + 1, Site: i, Work: 600, SetUp: 120}
		for left := n; left > 0; left -= 10 {
			st.Passes = append(st.Passes, min(left, 10))
		}
		d.Stops = append(d.Stops, st)
	}
	return d
}

// inOrder does the stops one after the other.
func inOrder(d *route.Day) []route.Take {
	out := []route.Take{}
	for i := range d.Stops {
		out = append(out, Whole(d, i)...)
	}
	return out
}

func volumes(trips []route.Trip) []route.Ticks {
	var out []route.Ticks
	for _, t := range trips {
		n := route.Ticks(0)
		for _, k := range t.Takes {
			n += k.Volume
		}
		out = append(out, n)
	}
	return out
}

// Example A needs two loads and no split. Example B in its order: a split stop 3 costs the way 3 - fill - 3 and a set-up, 300 + 2 x 180 + 120 = 780 s; it may be cut
// after pass 4, 5 or 6, and of these equal ones after pass 5 the loads are balanced, 185 and 185. Three loads would cost a filling more: 300 + 240 + 300 + 480 = over 780.
func TestExamplesAreCut(t *testing.T) {
	exA := row([]route.Ticks{60, 75, 48, 90, 33, 64}, 35)
	a, ok := Shift(exA, 0, inOrder(exA))
	if got := volumes(a); !ok || !slices.Equal(got, []route.Ticks{183, 187}) {
		t.Errorf("A: got %v", got)
	}
	exB := row([]route.Ticks{60, 75, 70, 90, 33, 42}, 35)
	b, ok := Shift(exB, 0, inOrder(exB))
	if got := volumes(b); !ok || !slices.Equal(got, []route.Ticks{185, 185}) {
		t.Errorf("B: got %v", got)
	}
	c := row([]route.Ticks{110, 90}, 155)
	trips, ok := Shift(c, 0, inOrder(c))
	if !ok {
		t.Fatal("C: no trips")
	}
	p, err := c.Clock(route.Draft{trips})
	if err != nil {
		t.Fatal(err)
	}
	if p.Leftover != 110 {
		t.Errorf("C: %d left over, want 110", p.Leftover)
	}
}

// Against trying every number of loads and every size, for small tanks.
func TestExactAgainstTrying(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.IntRange(1, 40).Draw(t, "usable")
		m := rapid.IntRange(0, u).Draw(t, "least")
		need := rapid.IntRange(1, 8*u).Draw(t, "need")
		found := false
		for l := 1; l <= need && !found; l++ {
			found = l*m <= need && need <= l*u
		}
		loads, ok := Exact(route.Ticks(need), route.Ticks(u), route.Ticks(m))
		if ok != found {
			t.Fatalf("got %v, want %v", ok, found)
		}
		if 2*m <= u && need >= m && !ok {
			t.Fatal("a least of up to half a tank makes every need of it or more")
		}
		sum := route.Ticks(0)
		for _, v := range Balanced(route.Ticks(need), loads) {
			if sum += v; v > route.Ticks(u) || ok && v < route.Ticks(m) {
				t.Fatalf("a load of %d", v)
			}
		}
		if sum != route.Ticks(need) {
			t.Fatalf("loads add up to %d", sum)
		}
	})
}

// Greedy has no more loads than the best cuts of an order, nor more than twice the fewest less one.
func TestGreedy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		needs := rapid.SliceOfN(rapid.IntRange(1, 50), 1, 10).Draw(t, "needs")
		ticks, sum := []route.Ticks{}, route.Ticks(0)
		for _, n := range needs {
			ticks, sum = append(ticks, route.Ticks(n)), sum+route.Ticks(n)
		}
		best := make([]int, len(needs)+1)
		for i := 1; i <= len(needs); i++ {
			best[i] = 1 << 30
			for j, load := i, 0; j > 0; j-- {
				if load += needs[j-1]; load <= 50 {
					best[i] = min(best[i], best[j-1]+1)
				}
			}
		}
		got, ok := Greedy(ticks, 50)
		if !ok || len(got) != best[len(needs)] || len(got) > 2*Fewest(sum, 50)-1 {
			t.Fatalf("got %d loads, the best cuts %d, the fewest %d", len(got), best[len(needs)], Fewest(sum, 50))
		}
	})
}
