package travel

import (
	"errors"
	"math"

	"tankful/calc/unit"
)

// Known is a drive that somebody timed: its straight distance on the ellipsoid, and how long it took.
type Known struct {
	Straight unit.Length
	Time     unit.Time
}

// Fitted is an estimate that suits known drives best: Access, and Speed over the straight distance. Off is by drive how much longer
// it took than the estimate has it.
type Fitted struct {
	Speed  unit.Speed // over the straight distance
	Access unit.Time
	Off    []unit.Time
}

// Errors of Fit.
var (
	ErrFewDrives = errors.New("no known drive over a distance")
	ErrPace      = errors.New("the known drives take no longer the farther they are")
)

// Fit finds the time by straight distance, and from three drives of different distances on also the time that every drive costs besides, by least squares. With fewer drives
// access stays as it is given. A fit that would have access below zero keeps zero.
func Fit(drives []Known, access unit.Time) (Fitted, error) {
	n, sx, sy, sxx, sxy := 0.0, 0.0, 0.0, 0.0, 0.0
	least, longest := math.Inf(1), 0.0
	for _, d := range drives {
		x, y := float64(d.Straight), float64(d.Time)
		if !(x > 0) || !(y > 0) || math.IsInf(x, 0) || math.IsInf(y, 0) {
			continue
		}
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
		least, longest = math.Min(least, x), math.Max(longest, x)
	}
	if n == 0 {
		return Fitted{}, ErrFewDrives
	}
	f, per := Fitted{Access: access}, 0.0 // s a metre
	if n >= 3 && longest > 1.5*least {
		per = (n*sxy - sx*sy) / (n*sxx - sx*sx)
		f.Access = unit.Time((sy - per*sx) / n)
	}
	if f.Access < 0 || n < 3 || longest <= 1.5*least {
		f.Access = max(f.Access, 0)
		per = (sxy - float64(f.Access)*sx) / sxx
	}
	if !(per > 0) {
		return Fitted{}, ErrPace
	}
	f.Speed = unit.Speed(1 / per)
	for _, d := range drives {
		f.Off = append(f.Off, d.Time-f.Access-unit.Time(per*float64(d.Straight)))
	}
	return f, nil
}
