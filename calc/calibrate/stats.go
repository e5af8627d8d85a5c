package calibrate

import (
	"math"
	"slices"
	"strings"

	"tankful/calc/unit"
	"tankful/calc/working"
)

// Stats says how repeated measurements of one thing agree, each figure as a share of their mean.
// With fewer than two there is nothing to compare: Deviation, Spread and Half are then 0.
type Stats struct {
	N         int     `json:"n"`
	Deviation float64 `json:"deviation"` // standard deviation of one measurement / mean
	Spread    float64 `json:"spread"`    // (largest - smallest) / mean
	Half      float64 `json:"half_95"`   // half-width of the 95 % interval of the mean / mean
}

// studentT is the two-sided 95 % value of Student's t for 1, 2, ... 30 degrees of freedom, and
// studentTail for more; a million stands for "infinity" (NIST/SEMATECH e-Handbook of Statistical
// Methods, section 1.3.6.7.2, upper 0.025 point, seen in a copy; the same to two decimals as
// NIST Technical Note 1297, Table B.1, 1994).
var (
	studentT = []float64{12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228,
		2.201, 2.179, 2.160, 2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086,
		2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042}
	studentTail = []struct {
		freedom int
		t       float64
	}{{30, 2.042}, {40, 2.021}, {60, 2.000}, {100, 1.984}, {1_000_000, 1.960}}
)

// tSource is where the working says that t comes from.
const tSource = "Student's t, two-sided 95 %, at one less than the number of measurements (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2)"

// StudentT is the factor by which the standard error of a mean of freedom + 1 measurements is
// multiplied for a 95 % interval: 4.303 for three runs. Between tabled values above 30 it is
// interpolated in 1 / freedom. freedom must be at least 1.
func StudentT(freedom int) float64 {
	if freedom <= len(studentT) {
		return studentT[freedom-1]
	}
	last := studentTail[0]
	for _, next := range studentTail[1:] {
		if freedom <= next.freedom {
			inverse := func(n int) float64 { return 1 / float64(n) }
			share := (inverse(last.freedom) - inverse(freedom)) / (inverse(last.freedom) - inverse(next.freedom))
			return last.t + share*(next.t-last.t)
		}
		last = next
	}
	return last.t
}

// statsOf is the mean of xs, which must not be empty, and how they agree.
func statsOf[Q ~float64](xs []Q) (mean Q, s Stats) {
	for _, x := range xs {
		mean += x
	}
	mean /= Q(len(xs))
	s.N = len(xs)
	if s.N < 2 || slices.Max(xs)-slices.Min(xs) <= Q(adviceNoise)*mean {
		return mean, s
	}
	squares := 0.0
	for _, x := range xs {
		d := float64(x - mean)
		squares += d * d
	}
	s.Spread = float64((slices.Max(xs) - slices.Min(xs)) / mean)
	s.Deviation = math.Sqrt(squares/float64(s.N-1)) / float64(mean)
	s.Half = s.halfOf(s.N)
	return mean, s
}

// halfOf is what Half would be of n measurements that scatter like these.
func (s Stats) halfOf(n int) float64 { return StudentT(n-1) * s.Deviation / math.Sqrt(float64(n)) }

// mostRuns is where RunsFor stops: nobody walks a course more often (common practice, no source).
const mostRuns = 60

// RunsFor is how many measurements that scatter like these give a mean within the share within at
// 95 %; 0 when it takes more than 60, or when there is no scatter to reckon from.
func (s Stats) RunsFor(within float64) int {
	if s.N < 2 || s.Deviation == 0 {
		return 0
	}
	for n := 2; n <= mostRuns; n++ {
		if s.halfOf(n) <= within {
			return n
		}
	}
	return 0
}

// measured is a quantity whose figures can be added up.
type measured interface {
	~float64
	unit.Quantity
}

// workStats shows how the half-width of the mean of xs is come by; one is what a measurement is
// called ("run"), in and u are the unit. It adds nothing where there is one measurement.
func workStats[Q measured](w *working.Working, one string, xs []Q, in string, u Q) {
	if len(xs) < 2 {
		return
	}
	mean, s := statsOf(xs)
	many := plural(one)
	if s.Deviation == 0 {
		w.Say("scatter of the "+many, "none: all read the same", "A finer reading would show one.")
		return
	}
	most, least := slices.Max(xs), slices.Min(xs)
	m := working.Of("mean "+one, mean, in)
	w.AddPercent("spread of the "+many, working.Of("most", most, in).Minus(working.Of("least", least, in)).Over(m), s.Spread, percent(s.Spread))

	total := 0.0
	var squares []working.Expr
	for _, x := range xs {
		d := float64((x - mean) / u)
		if math.Abs(d) < 1e-6*float64((most-least)/u) {
			d = 0 // the noise of the mean is not shown
		}
		total += d * d
		squares = append(squares, working.Number("("+working.Figures(float64(x/u))+" - mean) squared", d*d))
	}
	w.AddNumber("sum of the squares, in "+in+" x "+in, working.Sum(squares...), total, "")
	deviation := Q(s.Deviation) * mean
	w.AddNumber("standard deviation of one "+one+", in "+in,
		working.Root(working.Number("sum of the squares", total).Over(working.Number(many+" less one", float64(s.N-1)))), float64(deviation/u), "")
	e := working.Number("t", StudentT(s.N-1)).From(tSource).Times(working.Of("standard deviation", deviation, in)).
		Over(working.Root(working.Number(many, float64(s.N)))).Over(m)
	w.AddPercent("the mean "+one+" is known within, at 95 %", e, s.Half, percent(s.Half))
}

// plural is the name of several measurements: catches, amounts drawn, runs.
func plural(one string) string {
	noun, rest, _ := strings.Cut(one, " ")
	if strings.HasSuffix(noun, "ch") {
		noun += "e"
	}
	return strings.TrimSpace(noun + "s " + rest)
}

// workWithin shows how sure the carrier rate is.
func (r Result) workWithin(w *working.Working) {
	switch times, volumes := r.parts(); {
	case times > 0 && volumes > 0:
		e := working.Root(working.Number("share of the times squared", times*times).
			Plus(working.Number("share of the volumes squared", volumes*volumes)))
		w.AddPercent("the carrier rate is known within, at 95 %", e, r.Within, percent(r.Within),
			"Two scatters that know nothing of each other add by their squares.")
	case r.Within > 0:
		note := "Only what differed between the measurements is in this figure."
		if volumes == 0 && r.Catches.N < 2 {
			note = "The catch was measured once: how well it repeats is not in this figure."
		}
		w.Say("the carrier rate is known within, at 95 %", percent(r.Within), note)
	}
}
