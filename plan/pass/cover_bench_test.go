package pass

import (
	"math"
	"testing"

	"github.com/twpayne/go-geom"
)

// BenchmarkCover scans a lawn of 400 corners, some 90 passes and 60 beds.
func BenchmarkCover(b *testing.B) {
	for _, trims := range []bool{true, false} {
		name, s := "fixed width", gun(2.1336)
		if s.Trims = trims; trims {
			name = "trims"
		}
		b.Run(name, func(b *testing.B) {
			var shell []geom.Coord
			for i := range 400 {
				r := 300 + 20*float64(i%2)
				sin, cos := math.Sincos(2 * math.Pi * float64(i) / 400)
				shell = append(shell, geom.Coord{r * cos, 0.7 * r * sin})
			}
			rings := [][]geom.Coord{shell}
			for i := range 60 {
				rings = append(rings, rect(float64(i%10)*40-200, float64(i/10)*40-100, 5, 5))
			}
			l := lawn(rings)
			p, err := Lay(l, s)
			if err != nil {
				b.Fatal(err)
			}
			parts := regions(l.Net)
			for b.Loop() {
				p.cover(&l, parts)
			}
			b.ReportMetric(float64(len(p.Passes)), "passes")
		})
	}
}
