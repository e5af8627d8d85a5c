package unit

import "math"

// Positive reports whether q is a size: over zero and finite. NaN is none.
func Positive[Q ~float64](q Q) bool { return q > 0 && !math.IsInf(float64(q), 1) }

// Sound reports whether q may stand as a limit or a part: zero or a size.
func Sound[Q ~float64](q Q) bool { return q >= 0 && !math.IsInf(float64(q), 1) }

// Exceeds reports whether q is over limit by more than the noise of floating arithmetic, 1e-9 of the limit: a rate
// entered in one unit and a limit entered in another may differ in the last bits and are still the same rate.
func Exceeds[Q ~float64](q, limit Q) bool { return q > limit*(1+1e-9) }

// Percent prints a share of 1 in per cent: Percent(0.032, 1) is "3.2 %".
func Percent(share float64, decimals int) string { return Number(100*share, decimals) + " %" }

// SignedPercent prints a difference with its sign: "+6.0 %", "-3.2 %". What rounds to nothing has none: "0.0 %".
func SignedPercent(share float64, decimals int) string {
	t := Percent(share, decimals)
	if share > 0 && t != Percent(0, decimals) {
		return "+" + t
	}
	return t
}
