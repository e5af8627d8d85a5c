package calibrate

import "tankful/calc/unit"

// Accepted is how far what goes out may be from what a calibration says: "Spray Gun" (calibration page), Pesticide Environmental Stewardship, NC State, no date.
const Accepted = 0.05

// Drift is how much went out by the gauge for each volume that was planned for the same ground, 1 for as planned, and whether that is over
// Accepted. It is 1 when either is not over zero.
func Drift(sprayed, planned unit.Volume) (factor float64, over bool) {
	if !(sprayed > 0) || !(planned > 0) {
		return 1, false
	}
	factor = float64(sprayed / planned)
	const snap = 1e-9 // 5 % exactly is not over
	return factor, factor > 1+Accepted+snap || factor < 1-Accepted-snap
}
