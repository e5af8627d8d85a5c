package pass

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/plan/pass/ground"
)

// stroke is a pass from a to b without turf.
func stroke(section int, a, b geom.Coord) Pass {
	return Pass{Kind: Straight, Section: section, Line: []geom.Coord{a, b}}
}

// tourOf orders passes as walkOrder does.
func tourOf(ps []Pass, g *ground.Ground, trucks ...geom.Coord) *tour {
	t := newTour(newPassEnds(ps, g, trucks))
	t.nearFirst()
	t.improve()
	return t
}

// cheapest tries every order and every direction.
func cheapest(t *tour) float64 {
	n, best := len(t.pos), math.Inf(1)
	var used [16]bool
	var try func(last int32, done int, cost float64)
	try = func(last int32, done int, cost float64) {
		if cost >= best {
			return
		}
		if done == n {
			best = cost
			return
		}
		for end := range int32(2 * n) {
			if !used[end>>1] {
				used[end>>1] = true
				try(end^1, done+1, cost+t.step(last, end))
				used[end>>1] = false
			}
		}
	}
	try(none, 0, 0)
	return best
}

// Up to eight passes at random, in up to three sections, obstacles between them: the tour is the best of all orders.
func TestTourAgainstAllOrders(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	at := func() geom.Coord { return geom.Coord{rng.Float64() * 60, rng.Float64() * 60} }
	missed := 0
	for trial := range 300 {
		var beds []*geom.MultiPolygon
		for range trial % 4 {
			c := at()
			beds = append(beds, lawn([][]geom.Coord{rect(c[0]/0.3048, c[1]/0.3048, 20, 30)}).Net)
		}
		var ps []Pass
		for range 1 + trial%8 {
			ps = append(ps, stroke(rng.IntN(3), at(), at()))
		}
		var trucks []geom.Coord
		if trial%2 == 1 {
			trucks = append(trucks, at())
		}
		tr := tourOf(ps, ground.New(beds...), trucks...)
		sum := 0.0
		for i := range tr.seq {
			sum += tr.step(tr.leave(i-1), tr.enter(i))
			if tr.pos[tr.seq[i]>>1] != i {
				t.Fatalf("trial %d: pass %d is not where it is said to be", trial, tr.seq[i]>>1)
			}
		}
		if math.Abs(sum-tr.cost()) > 1e-6 {
			t.Fatalf("trial %d: the walk is %.6f m, kept as %.6f", trial, sum, tr.cost())
		}
		if best := cheapest(tr); sum > best+1e-6 {
			missed++
			t.Logf("trial %d: %d passes, %.3f m, the best is %.3f", trial, len(ps), sum, best)
		}
	}
	if missed > 3 {
		t.Errorf("%d of 300 tours are not the best", missed)
	}
}

// rows is n strips of 30 m, 2 m apart.
func rows(n int) (ps []Pass) {
	for i := range n {
		y := 2 * float64(i)
		ps = append(ps, stroke(0, geom.Coord{0, y}, geom.Coord{30, y}))
	}
	return ps
}

// By hand: strips side by side are walked one after the other, to and fro: one spacing between each.
func TestNeighbourIsNext(t *testing.T) {
	ps := rows(12)
	for _, trucks := range [][]geom.Coord{nil, {{-1, -1}}, {{31, 23}}} {
		tr := tourOf(ps, ground.New(), trucks...)
		for i := 1; i < len(tr.seq); i++ {
			a, b := tr.e.at[tr.leave(i-1)], tr.e.at[tr.enter(i)]
			if distance(a, b) > 2+1e-9 {
				t.Errorf("trucks %v: from %v to %v", trucks, a, b)
			}
		}
		if len(trucks) > 0 && distance(trucks[0], tr.e.at[tr.seq[0]]) > 2 {
			t.Errorf("truck at %v: begins at %v", trucks[0], tr.e.at[tr.seq[0]])
		}
	}
	w := work{passes: rows(4), lawn: &Lawn{}, plan: &Plan{}}
	w.walkOrder()
	if c := w.plan.Passes[0].Line[0]; c[1] != 0 { // both ends of the walk are on one side of the strips
		t.Errorf("without a truck it begins at %v, not in the south", c)
	}
}

// Two fields side by side, whose strips run on in each other: each is finished before the next, though going on straight
// ahead is the nearest.
func TestSectionsAreFinished(t *testing.T) {
	var ps []Pass
	for i := range 8 {
		y := 2 * float64(i)
		ps = append(ps, stroke(0, geom.Coord{0, y}, geom.Coord{20, y}), stroke(1, geom.Coord{21, y}, geom.Coord{41, y}))
	}
	tr := tourOf(ps, ground.New())
	changes := 0
	for i := 1; i < len(tr.seq); i++ {
		if tr.e.section[tr.seq[i]>>1] != tr.e.section[tr.seq[i-1]>>1] {
			changes++
		}
	}
	if changes != 1 {
		t.Errorf("%d changes of section, want 1", changes)
	}
}

// A wall between two of four strips: the way round it decides, not the straight line. By hand: the strips on its two
// sides are each walked to and fro, and the wall is rounded once, at its end (3 m away) and not across it.
func TestWaysRoundAWall(t *testing.T) {
	wall := lawn([][]geom.Coord{rect(-10/0.3048, 2.5/0.3048, 43/0.3048, 1/0.3048)}).Net // to 3 m beyond the strips' ends
	w := work{passes: rows(4), lawn: &Lawn{NoWalk: wall}, plan: &Plan{}}
	w.walkOrder()
	over := 0
	for _, p := range w.plan.Passes[1:] {
		if len(p.Way) > 2 {
			over++
			if want := math.Hypot(3, 0.5) + 1 + math.Hypot(3, 0.5); math.Abs(float64(p.WalkTo)-want) > 0.01 {
				t.Errorf("round the wall in %.3f m, want %.3f", float64(p.WalkTo), want)
			}
		}
		if l := lengthOf(p.Way); math.Abs(float64(l-p.WalkTo)) > 1e-9 {
			t.Errorf("pass %d: a way of %.4f m is given as %.4f", p.N, float64(l), float64(p.WalkTo))
		}
	}
	if over != 1 {
		t.Errorf("%d walks round the wall, want 1", over)
	}
}

// Two parts with a lap each: no strip comes before the lap of its part.
func TestLapsComeFirst(t *testing.T) {
	var polys [][][]geom.Coord
	var ps []Pass
	for part := range 2 {
		x := 40 * float64(part)
		polys = append(polys, [][]geom.Coord{rect(x/0.3048, 0, 30/0.3048, 20/0.3048)})
		for i := range 6 {
			ps = append(ps, stroke(2*part, geom.Coord{x + 3, 3 + 2*float64(i)}, geom.Coord{x + 27, 3 + 2*float64(i)}))
		}
		ps = append(ps, Pass{Kind: Lap, Section: 2*part + 1, Line: []geom.Coord{{x + 1, 1}, {x + 29, 1}, {x + 29, 19}, {x + 1, 19}, {x + 1, 1}}})
	}
	l := lawn(polys...)
	for _, trucks := range [][]geom.Coord{nil, {{15, -1}}, {{55, 21}}} {
		w := work{passes: ps, lawn: &Lawn{Net: l.Net, Trucks: trucks}, plan: &Plan{}, setup: gun(2)}
		w.walkOrder()
		seen := map[int]bool{}
		for _, p := range w.plan.Passes {
			part := p.Section / 2
			if p.Kind == Lap {
				seen[part] = true
			} else if !seen[part] {
				t.Errorf("trucks %v: pass %d comes before the lap of its part", trucks, p.N)
			}
		}
	}
}

// field is made-up strips over a square field with round beds between them, in turned axes.
func field(n int, turn float64) ([]Pass, []*geom.MultiPolygon) {
	s, c := math.Sincos(turn)
	at := func(x, y float64) geom.Coord { return geom.Coord{c*x - s*y + 100*turn, s*x + c*y} }
	rng := rand.New(rand.NewPCG(5, 5))
	side := 2 * math.Sqrt(float64(n)*15) // strips of about 30 m, 2 m apart
	var beds []*geom.MultiPolygon
	for range n / 12 {
		x, y := rng.Float64()*side, rng.Float64()*side
		bed := geom.NewMultiPolygon(geom.XY)
		var ring []geom.Coord
		for k := range 17 {
			b, a := math.Sincos(2 * math.Pi * float64(k%16) / 16)
			ring = append(ring, at(x+4*a, y+4*b))
		}
		beds = append(beds, bed.MustSetCoords([][][]geom.Coord{{ring}}))
	}
	var ps []Pass
	for y := 1.0; y < side && len(ps) < n; y += 2 {
		for x := rng.Float64() * 10; x < side && len(ps) < n; {
			l := 10 + 40*rng.Float64()
			ps = append(ps, stroke(int(y/side*4), at(x, y), at(min(x+l, side), y)))
			x += l + 3*rng.Float64()
		}
	}
	return ps, beds
}

// The same passes and beds in turned axes are walked in the same length, within 0.5 %.
func TestOrderIsTheSameTurned(t *testing.T) {
	for _, n := range []int{20, 60, 120} {
		var first float64
		for k := range 8 {
			ps, beds := field(n, float64(k)*0.77)
			w := work{passes: ps, lawn: &Lawn{}, plan: &Plan{}}
			for _, b := range beds {
				if w.lawn.NoWalk == nil {
					w.lawn.NoWalk = geom.NewMultiPolygon(geom.XY)
				}
				if err := w.lawn.NoWalk.Push(b.Polygon(0)); err != nil {
					t.Fatal(err)
				}
			}
			w.walkOrder()
			sum := 0.0
			for _, p := range w.plan.Passes {
				sum += float64(p.WalkTo)
			}
			if k == 0 {
				first = sum
			} else if math.Abs(sum/first-1) > 0.005 {
				t.Errorf("%d passes turned %d times: dead walk %.2f m, unturned %.2f", n, k, sum, first)
			}
		}
	}
}

func BenchmarkOrder(b *testing.B) {
	for _, n := range []int{30, 300, 1000} {
		b.Run(map[int]string{30: "30 passes", 300: "300 passes", 1000: "1000 passes"}[n], func(b *testing.B) {
			ps, beds := field(n, 0)
			walk := 0.0
			for b.Loop() {
				tr := tourOf(ps, ground.New(beds...))
				walk = tr.cost()
			}
			b.ReportMetric(walk/float64(n), "m/pass")
		})
	}
}
