package geo

import (
	"fmt"
	"slices"
	"strings"

	"tankful/calc/unit"
)

// ParseStrips reads the widths of keep-off strips, "water=10 ft,building=1 ft": along the inside of turf,
// round the others. "" gives none.
func ParseStrips(s string) (map[Surface]unit.Length, error) {
	out := map[Surface]unit.Length{}
	for _, part := range strings.Split(s, ",") {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		name, width, ok := strings.Cut(part, "=")
		surface := Surface(strings.ToLower(strings.TrimSpace(name)))
		if !ok {
			return nil, fmt.Errorf("%q is not surface=width; write for example %q", part, "water=10 ft")
		}
		if surface != Turf && !slices.Contains(LeftOut, surface) {
			return nil, fmt.Errorf("%q is not a surface: write turf, %s", strings.TrimSpace(name), surfaceNames())
		}
		if _, twice := out[surface]; twice {
			return nil, fmt.Errorf("%s has two widths", surface)
		}
		w, err := unit.ParseLength(width)
		if err != nil {
			return nil, err
		}
		if !(w > 0 && w <= widestStrip) {
			return nil, fmt.Errorf("a strip of %s is not wider than zero and at most %s", strings.TrimSpace(width), unit.US.Length(widestStrip))
		}
		out[surface] = w
	}
	return out, nil
}

// widestStrip is the widest keep-off strip.
const widestStrip = 100 * unit.Metre
