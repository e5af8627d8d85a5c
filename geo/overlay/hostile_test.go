package overlay_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/twpayne/go-geom"

	"tankful/geo/geotest"
	"tankful/geo/overlay"
)

// Outlines made to waste time are refused or done within seconds.
func TestHostileOutlines(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	rnd := rand.New(rand.NewPCG(13, 14))
	scribble := make([]float64, 2*geotest.Fewer(200_000))
	for i := range scribble {
		scribble[i] = 1000 * rnd.Float64()
	}
	n := geotest.Fewer(100_000)
	comb, burst := []float64{0, -1, 1000, -1}, []float64{}
	for i := range n { // teeth side by side
		x := 1000 - float64(i)*0.01
		comb = append(comb, x, 0, x-0.005, 50)
	}
	for i := range 2 * n { // spikes from a middle
		s, c := math.Sincos(math.Pi * float64(i) / float64(n))
		r := 1000.0
		if i%2 == 1 {
			r = 900
		}
		burst = append(burst, r*c, r*s)
	}
	var specks, piles [][][]float64
	for range geotest.Fewer(20_000) {
		specks = append(specks, [][]float64{box(1000*rnd.Float64(), 1000*rnd.Float64(), 0.5, 0.5)})
	}
	for i := range 300 {
		piles = append(piles, [][]float64{box(float64(i)*0.01, float64(i)*0.013, 500, 400)})
	}
	holed := [][]float64{box(-1, -1, 1002, 1002)}
	holes := geotest.Fewer(40_000)
	for i := range holes {
		holed = append(holed, box(float64(i%200)*5, float64(i/200)*5, 3, 3))
	}
	for _, c := range []struct {
		name string
		mp   *geom.MultiPolygon
		area float64 // 0 when it may be refused
	}{
		{"scribble of 200,000 corners", polygon(scribble), 0},
		{"comb of 100,000 teeth", polygon(comb), 0},
		{"burst of 100,000 spikes", polygon(burst), 0},
		{"the same with a loop", polygon(append([]float64{1100, 0, 1100, 10, 1105, 0, 1105, 10}, burst...)), 0},
		{"20,000 specks", parts(specks...), 0},
		{"300 sheets in a pile", parts(piles...), 0},
		{"40,000 holes", polygon(holed...), 1002*1002 - 9*float64(holes)},
	} {
		start := time.Now()
		got, _, err := overlay.Repair(c.mp)
		t.Logf("%s: %v, %v", c.name, time.Since(start).Round(time.Millisecond), err)
		if c.area > 0 {
			near(t, c.name, got, err, c.area)
		}
	}
}
