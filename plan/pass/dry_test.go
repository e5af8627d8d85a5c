package pass

import (
	"math"
	"testing"

	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"

	"tankful/calc/unit"
)

// eastward is a pass over the turf between four corners, in feet: from u0 to u1, its floor at v, its roof at v + h0 where it
// begins and v + h1 where it ends; the walk goes east at half of the greater height.
func eastward(n int, s Setup, u0, u1, v, h0, h1 float64) Pass {
	const ft = 0.3048
	c := cell{u0: u0 * ft, u1: u1 * ft, lo0: v * ft, lo1: v * ft, hi0: (v + h0) * ft, hi1: (v + h1) * ft}
	mid := (v + max(h0, h1)/2) * ft
	p := Pass{N: n, Kind: Straight, legs: []leg{{axis: newAxis(0), cells: []cell{c}, line: []point{{c.u0, mid}, {c.u1, mid}}}}}
	p.fill(s)
	return p
}

const squareFeet = unit.Area(0.3048 * 0.3048)

// A sports field of 225 x 360 ft at 2 gal/1,000 sq ft and a swath of 7 ft, the worked example of the reference notes: 33 passes
// of 360 ft, 2,520 sq ft each but the last. 100 gal cover 50,000 sq ft: 19 passes are 47,880, and 2,120 / 7 = 302.86 ft are left
// for the 20th. Another 20 gal cover 10,000: 60,000 - 23 x 2,520 = 2,040, so 291.43 ft into the 24th.
func TestDryPointsOfTheExample(t *testing.T) {
	p := Plan{Setup: gun(7 * unit.Foot)}
	for i := range 33 {
		h := min(7, 225-7*float64(i))
		p.Passes = append(p.Passes, eastward(i+1, p.Setup, 0, 360, 7*float64(i), h, h))
		if i%2 == 1 {
			p.Passes[i].reverse()
		}
	}
	got := p.DryPoints(50_000*squareFeet, 10_000*squareFeet)
	if len(got) != 4 { // at 50,000, 60,000, 70,000 and 80,000 of 81,000 sq ft
		t.Fatalf("got %d points, want 4: %v", len(got), got)
	}
	checkDry(t, got[0], 20, 302.857, 360-302.857, 136.5, 1) // an even pass is walked westward
	checkDry(t, got[1], 24, 291.429, 360-291.429, 164.5, 2)
	checkDry(t, got[3], 32, (80_000-31*2520)/7.0, 360-(80_000-31*2520)/7.0, 220.5, 4)
}

func checkDry(t *testing.T, d DryPoint, pass int, into, x, y float64, load int) {
	t.Helper()
	at := func(a, b float64) bool { return math.Abs(a-b) < 1e-3 }
	if d.Pass != pass || d.Load != load || !at(d.Into.In(unit.Foot), into) || !at(d.At[0]/0.3048, x) || !at(d.At[1]/0.3048, y) {
		t.Errorf("got pass %d, %.3f ft into it at %.3f, %.3f ft, load %d; want pass %d, %.3f ft at %.3f, %.3f, load %d",
			d.Pass, d.Into.In(unit.Foot), d.At[0]/0.3048, d.At[1]/0.3048, d.Load, pass, into, x, y, load)
	}
}

// One pass of 100 ft whose roof falls from 7 ft to nothing treats 350 sq ft: by s ft it has treated 7s - 0.035 s2. 262.5 sq ft are
// three quarters of it: the rest is a triangle of half the length, so at 50 ft; 341.25 leave a sixteenth of that: at 100 - 100/6.3246 ft.
// By length it would be 75 ft. A tank of 78.75 sq ft is dry four times in the pass.
func TestDryPointsOnASlantedEnd(t *testing.T) {
	p := Plan{Setup: gun(7 * unit.Foot)}
	p.Passes = []Pass{eastward(1, p.Setup, 0, 100, 0, 7, 0)}
	got := p.DryPoints(262.5*squareFeet, 78.75*squareFeet)
	if len(got) != 2 {
		t.Fatalf("got %v, want two points", got)
	}
	checkDry(t, got[0], 1, 50, 50, 3.5, 1)
	checkDry(t, got[1], 1, 100-100*math.Sqrt(8.75/350), 100-100*math.Sqrt(8.75/350), 3.5, 2)
	if got := p.DryPoints(78.75*squareFeet, 78.75*squareFeet); len(got) != 4 {
		t.Errorf("a quarter tank: got %d points in the pass, want 4", len(got))
	}
}

// A fixed width of 7 ft along 40 ft, 20 ft over a drive with the gun off, and 40 ft puts out 560 sq ft: 280 are gone at 40 ft,
// before the drive; 350 at 50 ft of spraying, 70 ft along the walk; nothing is dry at 560.
func TestDryPointsSkipWhatIsOff(t *testing.T) {
	s := gun(7 * unit.Foot)
	s.Trims = false
	p := Plan{Setup: s}
	one, two := eastward(1, s, 0, 40, 0, 7, 7), eastward(1, s, 60, 100, 0, 7, 7)
	one.legs[0].off = true
	one.legs = append(one.legs, two.legs...)
	one.fill(s)
	p.Passes = []Pass{one}
	for _, c := range []struct{ area, into float64 }{{140, 20}, {280, 40}, {350, 70}} {
		got := p.DryPoints(unit.Area(c.area)*squareFeet, 0)
		if len(got) != 1 {
			t.Fatalf("%v sq ft: got %v, want one point", c.area, got)
		}
		checkDry(t, got[0], 1, c.into, c.into, 3.5, 1)
	}
	if got := p.DryPoints(560*squareFeet, 0); len(got) != 0 {
		t.Errorf("all of it: got %v, want none", got)
	}
	p.Passes[0].reverse()
	checkDry(t, p.DryPoints(350*squareFeet, 0)[0], 1, 70, 30, 3.5, 1)
}

// Even spacing: a gun at the same pace puts the mix of 7 ft on strips of 6 ft, so that 700 sq ft of mix are gone after 600 of turf.
func TestDryPointsOnEvenSpacing(t *testing.T) {
	p := Plan{Setup: gun(7 * unit.Foot)}
	p.Passes = []Pass{eastward(1, p.Setup, 0, 100, 0, 6, 6), eastward(2, p.Setup, 0, 100, 6, 6, 6)}
	for i := range p.Passes {
		p.Passes[i].Sprayed = 700 * squareFeet
	}
	got := p.DryPoints(1050*squareFeet, 0)
	checkDry(t, got[0], 2, 50, 50, 9, 1)
	if got := p.DryPoints(700*squareFeet, 0); len(got) != 1 || got[0].Pass != 1 || got[0].Into != lengthOf(p.Passes[0].Line) {
		t.Errorf("a load that ends with pass 1: got %v", got)
	}
}

func TestDryPointsOfNoTankfuls(t *testing.T) {
	p := Plan{Setup: gun(7 * unit.Foot)}
	p.Passes = []Pass{eastward(1, p.Setup, 0, 100, 0, 7, 7)}
	nan := unit.Area(math.NaN())
	for _, c := range [][2]unit.Area{{-1, 1}, {nan, 1}, {1, nan}, {1, -1}, {1, 1e-9}, {1e9, 1}, {700 * squareFeet, 1}} {
		if got := p.DryPoints(c[0], c[1]); len(got) != 0 {
			t.Errorf("%v then %v: got %v, want none", c[0], c[1], got)
		}
	}
	if got := p.DryPoints(0, 0); len(got) != 1 || got[0].Pass != 1 || got[0].Into != 0 {
		t.Errorf("nothing on board: got %v, want the start of pass 1", got)
	}
}

// However many tankfuls: what has been put out up to a point is what the loads so far cover.
func TestDryPointsFollowTheLoads(t *testing.T) {
	l := lawn([][]geom.Coord{{{0, 0}, {120, 0}, {90, 70}, {20, 40}}, rect(50, 20, 12, 9)})
	rapid.Check(t, func(t *rapid.T) {
		s := gun(unit.Length(rapid.Float64Range(1.5, 6).Draw(t, "swath")))
		s.Trims = rapid.Bool().Draw(t, "trims")
		p, err := Lay(l, s)
		if err != nil {
			t.Fatal(err)
		}
		whole := unit.Area(0)
		for i := range p.Passes {
			whole += p.Passes[i].Sprayed
		}
		first := unit.Area(rapid.Float64Range(0.01, 1).Draw(t, "first")) * whole
		each := unit.Area(rapid.Float64Range(0.02, 1).Draw(t, "each")) * whole
		got := p.DryPoints(first, each)
		for i, d := range got {
			want, q := first+unit.Area(i)*each, &p.Passes[d.Pass-1]
			for k := range d.Pass - 1 {
				want -= p.Passes[k].Sprayed
			}
			if want < -1e-6 || want > q.Sprayed*(1+1e-6) {
				t.Fatalf("point %d: %v is not within pass %d of %v", i, want, d.Pass, q.Sprayed)
			}
			if back := p.SprayedAt(d.Pass, want); math.Abs(float64(back-d.Into)) > 1e-6 {
				t.Fatalf("point %d at %v, pass %d reaches that at %v", i, d.Into, d.Pass, back)
			}
		}
		if last := first + unit.Area(len(got))*each; last < whole*(1-1e-6) {
			t.Fatalf("%d points and %v of %v are used", len(got), last, whole)
		}
	})
}

// 2 passes of 100 m, a dead walk of 20 m and one turn of 5 s at 2 m/s: 220 / 2 + 5 = 115 s.
func TestMinutes(t *testing.T) {
	p := Plan{SprayedLength: 200, DeadWalk: 20, Turns: 1}
	if got := p.Minutes(2*unit.MetrePerSecond, 5); math.Abs(float64(got)-115) > 1e-9 {
		t.Errorf("got %v s, want 115", float64(got))
	}
}
