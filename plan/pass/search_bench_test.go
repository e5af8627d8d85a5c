package pass

import (
	"math"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
)

// bumpy is an invented lawn: a shell of corners on a wavy circle and round beds in rows, metres. It counts about
// corners + 25 x beds edges.
func bumpy(radius float64, corners, rows int) Lawn {
	ring := func(x, y, r, wave float64, n int) []geom.Coord {
		var cs []geom.Coord
		for i := range n {
			a := 2 * math.Pi * float64(i) / float64(n)
			d := r * (1 + wave*math.Sin(3*a+1))
			cs = append(cs, geom.Coord{(x + d*math.Cos(a)) / 0.3048, (y + 0.7*d*math.Sin(a)) / 0.3048})
		}
		return cs
	}
	rings := [][]geom.Coord{ring(0, 0, radius, 0.2, corners)}
	for i := range rows {
		for k := range rows {
			at := func(j int) float64 { return radius * (2*(float64(j)+0.5)/float64(rows) - 1) * 0.5 }
			rings = append(rings, ring(at(i), 0.7*at(k), radius/float64(8*rows)+1, 0.1, 25))
		}
	}
	return lawn(rings)
}

// One direction for all, every angle tried: about 500 edges with 16 beds.
func BenchmarkOneWay(b *testing.B) {
	l := bumpy(80, 120, 4)
	r := regions(l.Net)[0]
	n := 0
	for b.Loop() {
		lay := newLayout(gun(7*unit.Foot), nil)
		n = len(lay.lay(&r, lay.best(&r)).drafts)
	}
	b.ReportMetric(float64(n), "passes")
}

// A golf course of about 60 ha with 100 beds.
func BenchmarkGolf(b *testing.B) { benchmarkLay(b, bumpy(520, 600, 10)) }

// As large a ground with 1,936 beds, which are gone round, and a truck beside it: nothing may go with the square of the beds.
func BenchmarkManyBeds(b *testing.B) {
	l := bumpy(520, 600, 44)
	beds := geom.NewMultiPolygon(geom.XY)
	for k := 1; k < l.Net.Polygon(0).NumLinearRings(); k++ {
		if err := beds.Push(geom.NewPolygon(geom.XY).MustSetCoords([][]geom.Coord{l.Net.Polygon(0).LinearRing(k).Coords()})); err != nil {
			b.Fatal(err)
		}
	}
	l.LeftOut, l.Trucks = map[geo.Surface]*geom.MultiPolygon{geo.Bed: beds}, []geom.Coord{{-900, 0}}
	benchmarkLay(b, l)
}

func benchmarkLay(b *testing.B, l Lawn) {
	n, ha := 0, 0.0
	for b.Loop() {
		p, err := Lay(l, gun(7*unit.Foot))
		if err != nil {
			b.Fatal(err)
		}
		n, ha = len(p.Passes), float64(p.Net)/1e4
	}
	b.ReportMetric(float64(n), "passes")
	b.ReportMetric(ha, "ha")
}
