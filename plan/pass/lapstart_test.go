package pass

import (
	"math"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

// A lap begins at the corner that is nearest the truck, and is as long and treats as much whichever that is.
func TestLapBeginsAtTheTruck(t *testing.T) {
	s := gun(7 * unit.Foot)
	s.Laps = 1
	var length unit.Length
	var area unit.Area
	for i, c := range []geom.Coord{{-3, -3}, {103, -3}, {103, 52}, {-3, 52}} {
		truck := geom.Coord{c[0] * 0.3048, c[1] * 0.3048}
		l := lawn([][]geom.Coord{rect(0, 0, 100, 49)})
		l.Trucks = []geom.Coord{truck}
		p, err := Lay(l, s)
		if err != nil {
			t.Fatal(err)
		}
		lap := &p.Passes[0]
		if lap.Kind != Lap {
			t.Fatalf("truck at %v: begins with a pass of kind %s", c, lap.Kind)
		}
		if d := min(distance(truck, lap.Line[0]), distance(truck, lap.end())); d > 15*0.3048 { // the corner is 3 root 2 ft away, the line half a swath inside, and the leg begins beyond the other's swath
			t.Errorf("truck at %v ft: the lap begins %.1f ft away", c, d/0.3048)
		}
		if i == 0 {
			length, area = lap.Length, lap.Area
		}
		if math.Abs(float64(lap.Length-length)) > 1e-6 || math.Abs(float64(lap.Area-area)) > 1e-6 || len(lap.Off) != 3 {
			t.Errorf("truck at %v ft: a lap of %.4f m and %.4f m2 with %d stops; the first is %.4f m, %.4f m2, 3 stops", c, float64(lap.Length), float64(lap.Area), len(lap.Off), float64(length), float64(area))
		}
		last := unit.Length(0)
		for k := range 11 { // it goes on and ends with the walk
			at := lap.Along(lap.Area * unit.Area(k) / 10)
			if at < last {
				t.Errorf("truck at %v ft: %d tenths are treated at %.2f m, less at %.2f", c, k, float64(at), float64(last))
			}
			last = at
		}
	}
}
