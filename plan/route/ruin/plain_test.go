package ruin

import (
	"math"
	"slices"
	"testing"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// plainDay is a day of n stops on a grid with few legs.
func plainDay(n, legs int) *route.Day {
	d := &route.Day{Mixes: []route.Mix{{}}, Weights: route.Usual, Fills: []route.Fill{{HookUp: 4, PerTick: 1}},
		Shifts: []route.Shift{{Legs: legs, Tanks: []route.Tank{{Usable: 20}}}, {Legs: legs, Tanks: []route.Tank{{Usable: 20}}}}}
	at := func(i int) (float64, float64) { return float64(i * 7 % 11), float64(i * 5 % 13) }
	for i := range n + 1 {
		d.Drive = append(d.Drive, make([]unit.Time, n+1))
		for j := range n + 1 {
			ax, ay := at(i)
			bx, by := at(j)
			d.Drive[i][j] = unit.Time(math.Abs(ax-bx) + 1.5*math.Max(0, ay-by) + math.Max(0, by-ay)) // longer down than up
		}
		if i > 0 {
			d.Stops = append(d.Stops, route.Stop{Place: i, Site: i, Passes: []route.Ticks{route.Ticks(1 + i%8)}, Work: 30, SetUp: 2})
		}
	}
	return d
}

// After every trial the sums are those of the trips, and a trial that is taken back leaves everything as it was.
func TestPlainKeepsItsSums(t *testing.T) {
	for _, c := range []struct{ n, legs int }{{1, 0}, {2, 0}, {9, 1}, {40, 0}, {60, 5}} {
		d := plainDay(c.n, c.legs)
		d.Weights.Load = 0
		m := newModel(d)
		if !m.isPlain() {
			t.Fatalf("%d stops: not plain", c.n)
		}
		p := newPlain(m, 3)
		s := newState(m, 3)
		s.begin(nil)
		p.read(s)
		if rest := float64(c.n-p.absent)*30 + sumOf(m); p.absent == 0 && math.Abs(p.cost+rest-s.value()) > 1e-6 {
			t.Errorf("%d stops: costs %v besides the work, the state %v", c.n, p.cost, s.value()-rest)
		}
		for k := range 500 {
			next, prev, trip, cost := slices.Clone(p.next), slices.Clone(p.prev), slices.Clone(p.trip), p.cost
			free := len(p.free)
			p.mark()
			p.ruin()
			p.recreate()
			p.checkSums(t)
			if k%3 > 0 {
				p.keep(p.value())
				continue
			}
			p.takeBack()
			p.checkSums(t)
			if p.cost != cost || !slices.Equal(trip, p.trip) || len(p.free) != free {
				t.Fatalf("%d stops, trial %d: not taken back", c.n, k)
			}
			for v := range c.n {
				if trip[v] != none && (next[v] != p.next[v] || prev[v] != p.prev[v]) {
					t.Fatalf("%d stops, trial %d: the ways of node %d are not taken back", c.n, k, v)
				}
			}
		}
	}
}

func sumOf(m *model) float64 {
	sum := 0.0
	for _, v := range m.vol {
		sum += float64(v) * m.shift[0].per
	}
	return sum
}

func (p *plain) checkSums(t *testing.T) {
	t.Helper()
	w := p.n + 1
	cost, live, in := 0.0, 0, 0
	for k := range p.head {
		if p.count[k] == 0 {
			continue
		}
		live++
		cost += p.perTrip
		load, a := int32(0), int32(p.n)
		for v := p.head[k]; ; v = p.next[v] {
			cost += p.arc[int(a)*w+int(v)]
			if int(a) < p.n && p.onward[a] != p.arc[int(a)*w+int(v)] {
				t.Fatalf("the way on from %d is %v", a, p.onward[a])
			}
			if int(v) == p.n {
				break
			}
			if p.prev[v] != a || p.trip[v] != int32(k) {
				t.Fatalf("node %d of trip %d: before it %d, in trip %d", v, k, p.prev[v], p.trip[v])
			}
			load += p.m.vol[v]
			in++
			a = v
		}
		if p.tail[k] != a || load != p.load[k] || load > p.hold {
			t.Fatalf("trip %d ends with %d, said %d; holds %d, said %d, of %d", k, a, p.tail[k], load, p.load[k], p.hold)
		}
	}
	if live != p.live || live > p.legs || in != p.n-p.absent || math.Abs(cost-p.cost) > 1e-9*(1+cost) {
		t.Fatalf("%d trips of at most %d, said %d; %d nodes, said %d; cost %v, said %v", live, p.legs, p.live, in, p.n-p.absent, cost, p.cost)
	}
}

// The draft that comes out has the trips that were best, within the legs of each shift.
func TestPlainWritesItsBest(t *testing.T) {
	d := plainDay(40, 6)
	got := Search(d, Options{Seed: 1, Trials: 3000})
	p, err := d.Clock(got)
	if err != nil || len(p.Left) > 0 {
		t.Fatalf("%v, %d left out", err, len(p.Left))
	}
	for i := range got {
		if len(got[i]) > 6 {
			t.Errorf("shift %d has %d trips", i, len(got[i]))
		}
	}
	m := newModel(d)
	s := newState(m, 1)
	s.begin(nil)
	begun, err := d.Clock(s.draft())
	if err != nil || p.Cost(d.Weights) >= begun.Cost(d.Weights) {
		t.Errorf("costs %v, the beginning %v", p.Cost(d.Weights), begun.Cost(d.Weights))
	}
}
