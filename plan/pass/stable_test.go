package pass_test

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/geo"
	"tankful/geo/intake"
	"tankful/plan/pass"
)

// The same lawn turned by any angle, moved, its rings begun elsewhere and wound the other way, has the same plan: as many
// passes, and as long within 0.5 %.
func TestSameLawnSamePlan(t *testing.T) {
	files, err := filepath.Glob(shared(t, "passes/*.geojson"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no lawns found: %v", err)
	}
	turns := 2
	if os.Getenv("TANKFUL_ALL") != "" {
		turns = 25
	}
	t.Logf("%d turns a lawn; TANKFUL_ALL makes it 25", turns)
	rng := rand.New(rand.NewPCG(7, 11))
	for _, f := range files {
		l := lawnOf(t, measured(t, f, intake.Options{})[0])
		want, err := pass.Lay(l, gun7)
		if err != nil {
			t.Fatal(err)
		}
		for range turns {
			angle := rng.Float64() * 2 * math.Pi
			m := moved(l, angle, rng.Float64()*200-100, rng.Float64()*200-100, rng)
			got, err := pass.Lay(m, gun7)
			if err != nil {
				t.Fatal(err)
			}
			if d := math.Abs(float64(got.SprayedLength/want.SprayedLength) - 1); len(got.Passes) != len(want.Passes) || d > 0.005 {
				t.Errorf("%s turned by %.6f: %d passes of %.1f m, want %d of %.1f m", filepath.Base(f), angle,
					len(got.Passes), float64(got.SprayedLength), len(want.Passes), float64(want.SprayedLength))
			}
		}
	}
}

// moved is the lawn turned and shifted, its rings begun at random corners and wound at random.
func moved(l pass.Lawn, angle, dx, dy float64, rng *rand.Rand) pass.Lawn {
	s, c := math.Sincos(angle)
	each := func(mp *geom.MultiPolygon) *geom.MultiPolygon {
		if mp == nil {
			return nil
		}
		out := geom.NewMultiPolygon(geom.XY)
		for i := range mp.NumPolygons() {
			p := geom.NewPolygon(geom.XY)
			for k := range mp.Polygon(i).NumLinearRings() {
				cs := mp.Polygon(i).LinearRing(k).Coords()
				cs = cs[:len(cs)-1]
				start := rng.IntN(len(cs))
				cs = append(slices.Clone(cs[start:]), cs[:start]...)
				if rng.IntN(2) == 0 {
					slices.Reverse(cs)
				}
				var turned []geom.Coord
				for _, q := range append(cs, cs[0]) {
					turned = append(turned, geom.Coord{c*q[0] - s*q[1] + dx, s*q[0] + c*q[1] + dy})
				}
				if err := p.Push(geom.NewLinearRing(geom.XY).MustSetCoords(turned)); err != nil {
					panic(err)
				}
			}
			if err := out.Push(p); err != nil {
				panic(err)
			}
		}
		return out
	}
	m := pass.Lawn{Net: each(l.Net), NoWalk: each(l.NoWalk), LeftOut: map[geo.Surface]*geom.MultiPolygon{}}
	for _, k := range geo.LeftOut {
		if l.LeftOut[k] != nil {
			m.LeftOut[k] = each(l.LeftOut[k])
		}
	}
	return m
}
