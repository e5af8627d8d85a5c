package geo_test

import (
	"math"
	"testing"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/local"
)

// round is a circle drawn with so many corners that it falls short of one by 1e-7 of its area.
func round(radius float64) (xy []float64) {
	const corners = 7200
	for i := range corners {
		s, c := math.Sincos(2 * math.Pi * float64(i) / corners)
		xy = append(xy, radius*c, radius*s)
	}
	return xy
}

// offsets is a shape drawn from widths at equal stations along a line, with no width at its ends.
func offsets(interval float64, widths ...float64) (xy []float64) {
	xy = append(xy, 0, 0)
	for i, w := range widths {
		xy = append(xy, interval*float64(i+1), -w/2)
	}
	xy = append(xy, interval*float64(len(widths)+1), 0)
	for i := len(widths) - 1; i >= 0; i-- {
		xy = append(xy, interval*float64(i+1), widths[i]/2)
	}
	return xy
}

// Published areas of plain shapes, drawn as outlines and measured back. Tolerances are those of the
// published rounding (pi taken as 3.14, halves cut off).
func TestHandbookAreas(t *testing.T) {
	foot, metre := unit.Foot.In(unit.Metre), 1.0
	tests := []struct {
		source    string
		scale     float64
		xy        []float64
		want, tol float64
		in        unit.Area
	}{
		{"Grounds Maintenance magazine, Calculate areas: rectangle 90 x 50 ft", foot, box(0, 0, 90, 50), 4500, 0.1, unit.SquareFoot},
		{"Grounds Maintenance magazine, Calculate areas: offset method, 32, 50, 45, 17 ft at 10 ft", foot, offsets(10, 32, 50, 45, 17), 1440, 0.1, unit.SquareFoot},
		{"Grounds Maintenance magazine, Calculate areas: triangle 125 x 75 ft", foot, []float64{0, 0, 125, 0, 40, 75}, 4687, 0.6, unit.SquareFoot},
		{"Grounds Maintenance magazine, Calculate areas: circle of radius 30 ft", foot, round(30), 2826, 2, unit.SquareFoot},
		{"National Pesticide Applicator Certification Core Manual, chapter 11 (summary): 1,320 x 120 ft", foot, box(0, 0, 1320, 120), 158_400, 1, unit.SquareFoot},
		{"National Pesticide Applicator Certification Core Manual, chapter 11 (summary): the same in acres", foot, box(0, 0, 1320, 120), 3.6, 0.05, unit.Acre},
		{"National Pesticide Applicator Certification Core Manual, chapter 11 (summary): circle of diameter 90 ft", foot, round(45), 6358.5, 4, unit.SquareFoot},
		{"Golf Course Industry magazine, Golf course maintenance math: circle of radius 44 ft", foot, round(44), 6082, 0.5, unit.SquareFoot},
		{"WestOne, Fertilisers and nutrients fn27: rectangle 30 x 20 m", metre, box(0, 0, 30, 20), 600, 0.1, unit.SquareMetre},
		{"WestOne, Fertilisers and nutrients fn27: mean radius 15 m", metre, round(15), 706.5, 0.5, unit.SquareMetre},
		{"WestOne, Fertilisers and nutrients fn27: triangle 50 x 80 m", metre, []float64{0, 0, 50, 0, 10, 80}, 2000, 0.1, unit.SquareMetre},
		{"Oklahoma State University-OKC, Calibrating Application Equipment, 2013: circle of diameter 80 ft", foot, round(40), 5024, 3, unit.SquareFoot},
		{"University of Tennessee PSEP, Common Calculations: circle of diameter 20 ft", foot, round(10), 314.159, 0.001, unit.SquareFoot},
	}
	for _, at := range []orb.Point{{-97.5, 35.5}, {24.9, 60.2}, {-179.99995, -17}} {
		f := local.NewFrame(at)
		for _, tt := range tests {
			xy := make([]float64, len(tt.xy))
			for i, v := range tt.xy {
				xy[i] = v * tt.scale
			}
			s := geo.Measure(property(outline(f, geo.Turf, "lawn", xy...)), geo.MeasureOptions{})
			if got := s.NetArea.In(tt.in); math.Abs(got-tt.want) > tt.tol {
				t.Errorf("at %v: %s: got %.4f, published %v", at, tt.source, got, tt.want)
			}
		}
	}
}
