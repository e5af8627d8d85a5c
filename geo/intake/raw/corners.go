package raw

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"tankful/geo/crs"
)

// Fault is what is wrong with a shape, in the parts of a problem.
type Fault struct{ Code, Fix, What string }

// Error is the finding alone.
func (f *Fault) Error() string { return f.What }

// Faultf is a *Fault as an error.
func Faultf(code, fix, format string, args ...any) error {
	return &Fault{code, fix, fmt.Sprintf(format, args...)}
}

// Corners takes the corners of one feature, which its file holds as binary numbers, to lon/lat degrees,
// and finds how finely they were written. The zero value takes degrees as they are.
type Corners struct {
	// CRS is the system of the coordinates; nil is lon/lat degrees.
	CRS     *crs.CRS
	heights Heights
	// decimals is the most that a coordinate needed, over mostDecimals when the file does not tell.
	decimals int
}

// mostDecimals is how far a binary number is taken for a rounded one: beyond 9 decimals of a degree (0.1 mm) or
// of a metre, the number is not what anybody wrote.
const mostDecimals = 9

// At is the corner at x (easting or longitude) and y (northing or latitude); its error is a *Fault.
func (c *Corners) At(x, y float64) (orb.Point, error) {
	if !finite(x) || !finite(y) {
		return orb.Point{}, Faultf("coordinate-not-a-number", "Correct that coordinate.", "the corner %v, %v is not a place", x, y)
	}
	for _, v := range [2]float64{x, y} {
		for c.decimals <= mostDecimals && !rounded(v, c.decimals) {
			c.decimals++
		}
	}
	if c.CRS == nil {
		return orb.Point{x, y}, nil
	}
	p, ok := c.CRS.ToDegrees(x, y)
	if ok && finite(p[0]) && finite(p[1]) {
		return p, nil
	}
	if c.CRS.Geographic() { // which intake judges: it knows longitude and latitude the wrong way round
		return orb.Point{x, y}, nil
	}
	return orb.Point{}, Faultf("coordinate-out-of-range", "Name the system that the coordinates are in with --crs.",
		"the corner %.12g, %.12g lies outside the reach of %s", x, y, Clip(c.CRS.Name()))
}

// Height takes in the third coordinate of a corner, in the unit of the first two (metres beside degrees). Numbers
// that stand for "none" (not finite, or below -1e38) are passed over.
func (c *Corners) Height(z float64) {
	if !finite(z) || z < -1e38 {
		return
	}
	if c.CRS != nil && c.CRS.UnitMetres() > 0 {
		z *= c.CRS.UnitMetres()
	}
	c.heights.Add(z)
}

// Finish puts heights and fineness into the feature.
func (c *Corners) Finish(f *Feature) {
	f.Heights = c.heights
	if c.decimals > mostDecimals {
		return
	}
	if c.CRS == nil || c.CRS.Geographic() {
		f.Decimals = c.decimals
	} else if f.HasShapes() {
		f.Step = c.CRS.UnitMetres() * math.Pow10(-c.decimals)
	}
}

// HasShapes reports whether the feature has any shape.
func (f *Feature) HasShapes() bool { return len(f.Areas)+len(f.Lines)+len(f.Points) > 0 }

// Break takes the shapes away and says why: ground stands here which can not be read.
func (f *Feature) Break(err error) {
	f.Areas, f.Lines, f.Points, f.Heights = nil, nil, nil, Heights{}
	f.Decimals, f.Step, f.Broken = 0, 0, true
	if bad, ok := err.(*Fault); ok {
		f.Problems.Errorf(bad.Code, f.Where, bad.Fix, "%s", bad.What)
		return
	}
	f.Problems.Errorf("not-a-geometry", f.Where, "Export the file again.", "%v", err)
}

// rounded reports whether x is the number nearest to one of d decimals: the division of two whole numbers below
// 2^53 is rounded correctly, so equality is exact.
func rounded(x float64, d int) bool {
	p := math.Pow10(d)
	n := math.Round(x * p)
	return math.Abs(n) < 1<<53 && n/p == x
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// WithoutCRS decides whether the coordinates of a file that names no system may be taken for lon/lat degrees: box is the file's own (least
// x and y, most x and y). Its error is a *Fault, of code no-prj.
func WithoutCRS(box [4]float64) error {
	const fix = "Name the system with --crs, or bring the .prj file along."
	for _, v := range box {
		if !finite(v) {
			return Faultf("no-prj", fix, "the file names no coordinate system, and its box is not of numbers")
		}
	}
	if box[0] < -180 || box[2] > 360 || box[1] < -90 || box[3] > 90 {
		return Faultf("no-prj", fix, "the file names no coordinate system, and its coordinates (%.10g to %.10g, %.10g to %.10g) are not degrees",
			box[0], box[2], box[1], box[3])
	}
	return nil
}
