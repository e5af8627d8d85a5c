package pass_test

import (
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/plan/pass"
)

// The same input has the same plan to the last bit, on one core and on two. Where its parts come in another order and its rings
// begin and run otherwise, the plan is the same to a tenth of a millimetre.
func TestSameInputSamePlan(t *testing.T) {
	cores := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(cores)
	rng := rand.New(rand.NewPCG(3, 5))
	for k, ref := range referenceLawns(t) {
		if k%3 > 0 && ref.lawn.Net.NumPolygons() < 2 {
			continue
		}
		for _, f := range []family{{"gun", gunWith(func(*pass.Setup) {})}, {"boom, 1 lap", boom(7*unit.Foot, 1)},
			{"far end first", gunWith(func(s *pass.Setup) { s.FarFirst, s.GunOff = true, 30*unit.Foot })}} {
			l := ref.lawn
			if f.setup().FarFirst {
				l.Trucks = []geom.Coord{southOf(l.Net)}
			}
			var plans []*pass.Plan
			for _, n := range []int{1, 2} {
				runtime.GOMAXPROCS(n)
				plans = append(plans, laid(t, l, f.setup()))
			}
			if !reflect.DeepEqual(plans[0], plans[1]) {
				t.Errorf("%s, %s: the second plan differs from the first", ref.name, f.name)
			}
			m := moved(l, 0, 0, 0, rng)
			m.Net, m.Trucks = backwards(m.Net), l.Trucks
			sameWalks(t, ref.name+", "+f.name, plans[0], laid(t, m, f.setup()))
		}
	}
}

func laid(t *testing.T, l pass.Lawn, s pass.Setup) *pass.Plan {
	t.Helper()
	p, err := pass.Lay(l, s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func sameWalks(t *testing.T, name string, a, b *pass.Plan) {
	t.Helper()
	if len(a.Passes) != len(b.Passes) {
		t.Errorf("%s: %d passes, and %d with the parts in another order", name, len(a.Passes), len(b.Passes))
		return
	}
	for i := range a.Passes {
		same := slices.EqualFunc(a.Passes[i].Line, b.Passes[i].Line, func(p, q geom.Coord) bool {
			return max(p[0]-q[0], q[0]-p[0], p[1]-q[1], q[1]-p[1]) < 1e-4
		})
		if !same {
			t.Errorf("%s: pass %d is %v, and %v with the parts in another order", name, i+1, a.Passes[i].Line, b.Passes[i].Line)
			return
		}
	}
}

// backwards is the polygons in the opposite order.
func backwards(mp *geom.MultiPolygon) *geom.MultiPolygon {
	out := geom.NewMultiPolygon(geom.XY)
	for i := mp.NumPolygons() - 1; i >= 0; i-- {
		if err := out.Push(mp.Polygon(i)); err != nil {
			panic(err)
		}
	}
	return out
}
