package pass

import (
	"math"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

func boom(laps int) Setup {
	return Setup{Swath: 7 * unit.Foot, SideStep: 6 * unit.Foot, TurnCost: 8 * unit.Metre, Laps: laps}
}

// By hand: half a swath inside of 100 x 49 ft is a walk of 2 x (93 + 42) = 270 ft. Where each leg runs on to the edge and
// the next begins beyond its swath, nothing is walked twice: a leg of 93 and one of 42 ft in turn. Inside are 86 x 35 ft, five
// passes of 86 ft.
func TestLapOfARectangle(t *testing.T) {
	l := lawn([][]geom.Coord{rect(0, 0, 100, 49)})
	p, err := Lay(l, boom(1))
	if err != nil {
		t.Fatal(err)
	}
	check(t, "one lap", l, p)
	if p.Laps != 1 || len(p.Passes) != 6 {
		t.Errorf("got %d laps and %d passes in all, want 1 and 6", p.Laps, len(p.Passes))
	}
	for _, q := range p.Passes {
		want := 86.0
		if q.Kind == Lap {
			want = 270
		}
		if got := q.Length.In(unit.Foot); math.Abs(got-want) > 0.02 {
			t.Errorf("pass %d (%s): %.3f ft, want %v", q.N, q.Kind, got, want)
		}
		t.Log(q.Kind, q.Line, q.Off)
	}
	t.Logf("turns %d covered %.5f double %.5f over %.5f", p.Turns, float64(p.Covered/p.Net), float64(p.Double/p.Net), float64(p.Overspray/p.Net))
}
