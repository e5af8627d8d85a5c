package pass

import (
	"math"
	"testing"

	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"

	"tankful/calc/unit"
	"tankful/geo"
)

// A fixed width of 14 ft over turf 100 x 10 ft, walked along its middle: 2 ft of it fall on either side. Above the turf a bed
// fills the first 50 ft; water lies from 1 ft above it, over the bed's second half too, and counts first there. By hand:
//
//	bed      25 x 2 + 25 x 1 = 75 sq ft
//	water    75 x 1 = 75 sq ft
//	neither  50 x 1 above and 100 x 2 below = 250 sq ft
func TestOntoBySurface(t *testing.T) {
	l := lawn([][]geom.Coord{rect(0, 0, 100, 10)})
	l.LeftOut = map[geo.Surface]*geom.MultiPolygon{
		geo.Bed:   lawn([][]geom.Coord{rect(0, 10, 50, 10)}).Net,
		geo.Water: lawn([][]geom.Coord{rect(25, 11, 75, 9)}).Net,
	}
	s, east := gun(14*unit.Foot), 90.0
	s.Bearing = &east
	if p, err := Lay(l, s); err != nil || p.Onto != nil || p.Overspray != 0 {
		t.Errorf("trimmed: %v, overspray %v, onto %v", err, p.Overspray, p.Onto)
	}
	s.Trims = false
	p, err := Lay(l, s)
	if err != nil {
		t.Fatal(err)
	}
	want := map[geo.Surface]float64{geo.Bed: 75, geo.Water: 75, "": 250}
	if len(p.Onto) != len(want) {
		t.Errorf("onto %v, want %v", p.Onto, want)
	}
	sum := unit.Area(0)
	for k, a := range want {
		if got := p.Onto[k].In(unit.SquareFoot); math.Abs(got-a) > 1 { // 0.1 % of what is sprayed
			t.Errorf("onto %q: %.2f sq ft, want %.0f", k, got, a)
		}
		sum += p.Onto[k]
	}
	if math.Abs(float64(sum-p.Overspray)) > 1e-9 {
		t.Errorf("by surface %v, in all %v", sum, p.Overspray)
	}
}

// walked is a plan by hand on turf so large that nothing falls beside it, but for one side at x = 0.
func walked(swath unit.Length, passes ...Pass) (Plan, Lawn) {
	ft := 1 / 0.3048
	l := lawn([][]geom.Coord{rect(0, -100*ft, 200*ft, 200*ft)})
	return Plan{Setup: Setup{Swath: swath}, Net: turfArea(l.Net), Passes: passes}, l
}

func checkCover(t *testing.T, p *Plan, l *Lawn, covered, double, beside float64) {
	t.Helper()
	p.cover(l, regions(l.Net))
	for _, c := range []struct {
		what      string
		got, want float64
	}{{"covered", float64(p.Covered), covered}, {"double", float64(p.Double), double}, {"beside", float64(p.Overspray), beside}} {
		if math.Abs(c.got-c.want) > 0.001*covered {
			t.Errorf("%s: got %.3f m2, want %.3f", c.what, c.got, c.want)
		}
	}
}

// A walk of 40 m with a swath of 2 m, its gun off from 10 to 20 m: 2 x 30 m2. The bend at 30 m is round: 1 m2 is reached twice
// and counts once, a quarter disc comes on top.
func TestCoverLeavesOutWhatIsOff(t *testing.T) {
	p, l := walked(2, Pass{Line: []geom.Coord{{10, 0}, {40, 0}, {40, 10}}, Off: []Stretch{{10, 20}}})
	checkCover(t, &p, &l, 60-1+math.Pi/4, 0, 0)
	p, l = walked(2, Pass{Line: []geom.Coord{{10, 0}, {40, 0}, {40, 10}}, Off: []Stretch{{25, 32}}})
	checkCover(t, &p, &l, 2*25+2*8, 0, 0) // off round the bend: both ends square
}

// A lap of 20 x 20 m whose legs run on to the edge, the gun shut from one to the next: 4 x 20 x 2 m2 less the four corners of
// 2 x 2 m2 that two legs reach, which are one pass and not sprayed twice by this count. As two passes they would be.
func TestCoverOfLapCorners(t *testing.T) {
	legs := [][2]geom.Coord{{{0, 1}, {20, 1}}, {{19, 0}, {19, 20}}, {{20, 19}, {0, 19}}, {{1, 20}, {1, 0}}}
	lap := Pass{Kind: Lap}
	at := unit.Length(0)
	for i, g := range legs {
		if i > 0 {
			step := unit.Length(distance(legs[i-1][1], g[0]))
			lap.Off = append(lap.Off, Stretch{at, at + step})
			at += step
		}
		lap.Line = append(lap.Line, g[0], g[1])
		at += 20
	}
	p, l := walked(2, lap)
	checkCover(t, &p, &l, 160-16, 0, 0)
	p, l = walked(2, Pass{Line: legs[0][:]}, Pass{Line: legs[1][:]})
	checkCover(t, &p, &l, 80-4, 4, 0)
}

// Even or widened spacing: the swath is what is thrown, so lines 1.5 m apart with a swath of 2 m overlap by 0.5 m, and lines
// 2.1 m apart leave 0.1 m. The first swath puts 0.25 m beside the turf over 10 m.
func TestCoverTakesTheSwathNotTheSpacing(t *testing.T) {
	northward := func(x float64) Pass { return Pass{Line: []geom.Coord{{x, 0}, {x, 10}}} }
	p, l := walked(2, northward(0.75), northward(2.25), northward(4.35))
	checkCover(t, &p, &l, 60-2.5-5, 5, 2.5)
}

// Whichever way a rectangle and the passes over it lie, what they spray is either first on turf, or a second time, or beside it: the
// three add up to passes x length x swath, as long as nothing lies in three swaths.
func TestCoverAddsUpToWhatIsSprayed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		long, wide := rapid.Float64Range(20, 200).Draw(t, "long, ft"), rapid.Float64Range(10, 60).Draw(t, "wide, ft")
		turn := newAxis(rapid.Float64Range(0, math.Pi).Draw(t, "turn"))
		ring := rect(0, 0, long, wide)
		for i, c := range ring {
			ring[i] = turn.from(c[0], c[1])
		}
		l := lawn([][]geom.Coord{ring})
		p := Plan{Setup: Setup{Swath: 7 * unit.Foot}, Net: turfArea(l.Net)}
		spacing := rapid.Float64Range(3.5, 8).Draw(t, "spacing, ft")
		for v := 2.0; v < wide; v += spacing {
			line := []geom.Coord{turn.from(-1*0.3048, v*0.3048), turn.from((long+2)*0.3048, v*0.3048)}
			p.Passes = append(p.Passes, Pass{Line: line, Length: lengthOf(line)})
			p.SprayedLength += lengthOf(line)
		}
		p.cover(&l, regions(l.Net))
		sprayed := float64(p.SprayedLength.By(p.Setup.Swath))
		onTurf := float64(p.Covered + p.Double)
		if got := onTurf + float64(p.Overspray); math.Abs(got-sprayed) > 0.001*sprayed {
			t.Fatalf("covered %v, double %v and beside %v add up to %.3f of %.3f m2", p.Covered, p.Double, p.Overspray, got, sprayed)
		}
	})
}

// A knot in a straight line changes nothing: 2 m walked with a swath of 4 m reach 8 m2, of which those beside turf 1 m wide are 6. A
// bend reaches to the outside of its corner, not past the square end of a short stretch.
func TestCoverOfAKnotThatDoesNotBend(t *testing.T) {
	p, l := walked(4, Pass{Line: []geom.Coord{{10, 0}, {11, 0}, {12, 0}}})
	checkCover(t, &p, &l, 8, 0, 0)
	p, l = walked(4, Pass{Line: []geom.Coord{{10, 0}, {12, 0}, {12, 0.5}}}) // 8 + 2, 2 x 0.5 of both, and the quarter disc of 2 m
	checkCover(t, &p, &l, 8+2-1+math.Pi, 0, 0)
}
