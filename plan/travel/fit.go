package travel

import (
	"errors"
	"math"

	"tankful/calc/unit"
)

// Known is a drive that somebody timed: what the estimate has for it without access, and how long it took.
type Known struct{ Estimate, Time unit.Time }

// Fitted is what makes an estimate suit known drives best: a factor of it, and Access. Off is by drive how much longer
// it took than the fitted estimate has it.
type Fitted struct {
	Factor float64
	Access unit.Time
	Off    []unit.Time
}

// Errors of Fit.
var (
	ErrFewDrives = errors.New("no known drive over a distance")
	ErrPace      = errors.New("the known drives take no longer the farther they are")
)

// Fit finds the factor, and from three drives of different lengths on also the time that every drive costs besides, by least squares. With fewer drives
// access stays as it is given. A fit that would have access below zero keeps zero.
func Fit(drives []Known, access unit.Time) (Fitted, error) {
	n, sx, sy, sxx, sxy := 0.0, 0.0, 0.0, 0.0, 0.0
	least, longest := math.Inf(1), 0.0
	for _, d := range drives {
		x, y := float64(d.Estimate), float64(d.Time)
		if !(x > 0) || !(y > 0) || math.IsInf(x, 0) || math.IsInf(y, 0) {
			continue
		}
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
		least, longest = math.Min(least, x), math.Max(longest, x)
	}
	if n == 0 {
		return Fitted{}, ErrFewDrives
	}
	f := Fitted{Access: access}
	if n >= 3 && longest > 1.5*least {
		f.Factor = (n*sxy - sx*sy) / (n*sxx - sx*sx)
		f.Access = unit.Time((sy - f.Factor*sx) / n)
	}
	if f.Access < 0 || n < 3 || longest <= 1.5*least {
		f.Access = max(f.Access, 0)
		f.Factor = (sxy - float64(f.Access)*sx) / sxx
	}
	if !(f.Factor > 0) {
		return Fitted{}, ErrPace
	}
	for _, d := range drives {
		f.Off = append(f.Off, d.Time-f.Access-unit.Time(f.Factor)*d.Estimate)
	}
	return f, nil
}
