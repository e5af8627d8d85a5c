package geo

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// steepest is the steepest slope that turf is worked on, 100 % or 45 degrees.
const steepest = 1.0

// ParseSlope reads "10 %", "6 deg", "1:8" or "1 in 8" as rise over run, 0 to 1. A bare number is refused.
func ParseSlope(s string) (float64, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	number := func(t string) float64 {
		x, err := strconv.ParseFloat(strings.TrimSpace(t), 64)
		if err != nil {
			return math.NaN()
		}
		return x
	}
	slope := math.NaN()
	for _, ending := range []string{"%", "percent"} {
		if n, ok := strings.CutSuffix(t, ending); ok {
			slope = number(n) / 100
		}
	}
	for _, ending := range []string{"degrees", "degree", "deg", "°"} {
		if n, ok := strings.CutSuffix(t, ending); ok && math.IsNaN(slope) {
			if d := number(n); d < 90 {
				slope = math.Tan(d * math.Pi / 180)
			}
		}
	}
	for _, between := range []string{":", " in "} {
		if rise, run, ok := strings.Cut(t, between); ok {
			slope = number(rise) / number(run)
		}
	}
	if math.IsNaN(slope) {
		return 0, fmt.Errorf("%q is not a slope: write \"10 %%\", \"6 deg\" or \"1 in 8\"", s)
	}
	if !(slope >= 0 && slope <= steepest) {
		return 0, fmt.Errorf("the slope %q is not between level and 45 degrees", s)
	}
	return slope, nil
}
