package unit

import (
	"math"
	"strconv"
	"strings"
)

// asEntered in a form stands for two decimals and as many more as keep the figure within 0.05 %.
const asEntered = -1

// form is a unit and the decimals that a quantity is printed with in it.
type form struct {
	unit     string
	si       float64
	decimals int
}

// fit is x, a number of the form's unit, rounded as it is printed, and the decimals it takes.
// As entered, a figure of four digits is printed whole, so that a text which is read back prints
// as itself; a longer one has the fewest decimals within 0.05 %, at most eight.
func (f form) fit(x float64) (float64, int) {
	if f.decimals != asEntered {
		return Round(x, step(f.decimals)), f.decimals
	}
	most := 2
	for most < 8 && math.Abs(x) < 10000*step(most+1) {
		most++
	}
	four, slack := Round(x, step(most)), 0.0005
	if math.Abs(four-x) <= 1e-9*math.Abs(x) {
		slack = 1e-9
	}
	for n := 2; n < most && four != 0; n++ {
		if r := Round(x, step(n)); math.Abs(r-x) <= slack*math.Abs(x) {
			return r, n
		}
	}
	if four == 0 {
		return 0, 2
	}
	for n := 2; n < most; n++ { // what is printed must print as itself when it is read back: no zeros at its end
		if r := Round(four, step(n)); math.Abs(r-four) <= 1e-9*math.Abs(four) {
			return r, n
		}
	}
	return four, most
}

// figure is q as a number of the form's unit, rounded as it is printed.
func (f form) figure(q Quantity) float64 {
	x, _ := f.fit(q.SI() / f.si)
	return x
}

// round is the SI value of what is printed.
func (f form) round(q Quantity) float64 { return f.figure(q) * f.si }

func (f form) print(q Quantity) string {
	x, decimals := f.fit(q.SI() / f.si)
	return Number(x, decimals) + " " + f.unit
}

// Short prints x with the decimals of a rate: two, and as many more as give four figures whole or keep longer ones
// within 0.05 %. "4.50", "0.1837".
func Short(x float64) string { return Number(form{si: 1, decimals: asEntered}.fit(x)) }

// step is the step of so many decimals: 0.01 of 2.
func step(decimals int) float64 {
	s := 1.0
	for range decimals {
		s /= 10
	}
	return s
}

// Round rounds x to the nearest multiple of step, halves away from zero. It first snaps
// by 1e-9 of a step (and two units in the last place of x), so that 2.675 held as
// 2.67499999999999982 rounds as written; plain rounding prints a wrong last digit in up to
// 5 % of rate-times-area cases. It never gives -0; NaN and infinities pass through. step
// must be positive.
func Round(x, step float64) float64 {
	const snap, ulps = 1e-9, 4.5e-16
	n := math.Abs(x) / step
	if !(n < 1<<50) { // no finer than a step, or no number
		return x
	}
	n = math.Floor(n + 0.5 + max(snap, ulps*n))
	if n == 0 {
		return 0
	}
	n = math.Copysign(n, x)
	if inv := math.Round(1 / step); step < 1 && math.Abs(inv*step-1) < 1e-12 {
		return n / inv // 3/10, not 3*0.1
	}
	return n * step
}

// Number prints x with the given decimals, rounded by Round, with commas between
// thousands and never as "-0". A NaN or infinity, which is a fault of the caller, prints as such.
func Number(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	t := strconv.FormatFloat(Round(x, step(decimals)), 'f', decimals, 64)
	sign := ""
	if t[0] == '-' {
		if sign, t = "-", t[1:]; strings.Trim(t, "0.") == "" {
			sign = ""
		}
	}
	whole, frac, has := strings.Cut(t, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if has {
		whole += "." + frac
	}
	return sign + whole
}

// Figures prints x with up to n figures, rounded by Round, with commas between thousands and
// no zeros at the end: "14.3247", "43,560". Whole figures are never cut; n must be positive.
// What is under a thousand millionth is printed with an exponent.
func Figures(x float64, n int) string {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return Number(x, 0)
	}
	if math.Abs(x) < 1e-9 {
		return strconv.FormatFloat(x, 'g', n, 64)
	}
	decimals := n - 1 - int(math.Floor(math.Log10(math.Abs(x))+1e-12))
	if decimals <= 0 {
		return Number(x, 0)
	}
	t := Number(x, decimals)
	if strings.Contains(t, ".") {
		t = strings.TrimRight(strings.TrimRight(t, "0"), ".")
	}
	return t
}
