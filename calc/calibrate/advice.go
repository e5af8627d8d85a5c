package calibrate

import (
	"fmt"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// The rules by which a measured rate is judged.
const (
	// AcceptShare is how far a rate may be off the wanted one and still be accepted: 5 % (Spray Gun
	// calibration page, Pesticide Environmental Stewardship, NC State, n.d.; Rotary Spreader
	// Calibration Procedures, UMass Extension, n.d.: 4.75 to 5.25 for 5.00).
	AcceptShare = 0.05
	// RefuseShare is how far off it may be for a change and a repeat to be enough: over 10 %
	// nothing is put on a lawn (common practice, no source; Ohio State Extension's 10 % is for one nozzle against
	// the mean of its boom).
	RefuseShare = 0.10
	// adviceNoise is the share by which a figure may pass a bound through floating arithmetic alone.
	adviceNoise = 1e-9
)

// RateJudgement is what may be done with a rate that was measured against a wanted one. "" is no
// judgement: no rate was wanted.
type RateJudgement string

// The judgements: within 5 %, over 5 to 10 %, over 10 %.
const (
	RateAccepted RateJudgement = "accept"
	RateToAdjust RateJudgement = "adjust"
	RateRefused  RateJudgement = "refuse"
)

// JudgeRate judges a rate by how far it is off the wanted one, as a share: (measured - wanted) /
// wanted. A bound itself still belongs to the better side; what is not a number is refused.
func JudgeRate(off float64) RateJudgement {
	switch {
	case off >= -AcceptShare-adviceNoise && off <= AcceptShare+adviceNoise:
		return RateAccepted
	case off >= -RefuseShare-adviceNoise && off <= RefuseShare+adviceNoise:
		return RateToAdjust
	}
	return RateRefused
}

// Text is the judgement as a sentence for the sheet; "" for none.
func (j RateJudgement) Text() string {
	switch j {
	case RateAccepted:
		return "within 5 % of the wanted rate: accept"
	case RateToAdjust:
		return "5 % to 10 % off the wanted rate: adjust and repeat the catch"
	case RateRefused:
		return "more than 10 % off the wanted rate: do not treat a lawn; adjust and repeat the catch"
	}
	return ""
}

// Source is where the rule behind the judgement comes from; "" for none.
func (j RateJudgement) Source() string {
	switch j {
	case RateAccepted, RateToAdjust:
		return "within 5 %, Spray Gun calibration page, Pesticide Environmental Stewardship, NC State; Rotary Spreader Calibration Procedures, UMass Extension"
	case RateRefused:
		return "over 10 %, common practice, no source"
	}
	return ""
}

// AcceptBand is the least and the most rate that is accepted for a wanted one: 4.75 to 5.25 for 5.00
// (Rotary Spreader Calibration Procedures, UMass Extension, n.d.).
func AcceptBand(wanted unit.MassPerArea) (least, most unit.MassPerArea) {
	return wanted * (1 - AcceptShare), wanted * (1 + AcceptShare)
}

// SpacingTolerance is by how much a course's spacing may differ from the passes', as a share: so
// much that 2.13 m may stand for 7 ft and no more.
const SpacingTolerance = 0.003

// CheckSpacing refuses a calibration whose area was reckoned with another spacing than the passes
// are planned at: what goes on is then the calibrated rate times course / planned. It says nothing
// when one of the two is not a size; that is reported where it is entered.
func CheckSpacing(course, planned unit.Length, where string) (ps problem.List) {
	if !unit.Positive(course) || !unit.Positive(planned) {
		return nil
	}
	ratio := float64(course / planned)
	if ratio <= 1+SpacingTolerance && ratio >= 1-SpacingTolerance {
		return nil
	}
	slip := ""
	if (ratio > 1.8 && ratio < 2.2) || (ratio > 0.45 && ratio < 0.55) {
		slip = "; the thrown width taken for the pass spacing, or the other way round, is the usual slip"
	}
	ps.Errorf("spacing-differs", where, "Repeat the catch test at the spacing of the passes, or plan the passes at the spacing of the test.",
		"the course was walked for a spacing of %s and the passes are %s apart: the rate on the turf would be %.2f times the one measured%s",
		bothLengths(course), bothLengths(planned), ratio, slip)
	return ps
}

func bothLengths(l unit.Length) string {
	return fmt.Sprintf("%s (%s)", unit.US.Length(l), unit.Metric.Length(l))
}

// sayJudgement adds how far measured is off wanted and what follows; off is the same share as typed
// arithmetic gives it.
func sayJudgement(w *working.Working, measured, wanted working.Expr, off float64) {
	j := JudgeRate(off)
	w.AddPercent("off the wanted rate", measured.Minus(wanted).Over(wanted), off, percentText(off))
	w.Say("judgement", j.Text(), "Rule: "+j.Source()+".")
}

// percentText prints a share with its sign: "+6.0 %", "-3.2 %", "0.0 %".
func percentText(share float64) string { return unit.SignedPercent(share, 1) }

// wholePercent prints a share that is a whole number of per cent: "5 %".
func wholePercent(share float64) string { return unit.Percent(share, 0) }

// bothMassRates prints a dry rate with the unit that large areas go by: "5.00 lb/1000 sq ft (217.8
// lb/acre)"; in metric kg/ha is both.
func bothMassRates(s unit.System, r unit.MassPerArea) string {
	if s == unit.Metric {
		return s.MassRate(r)
	}
	return fmt.Sprintf("%s (%s lb/acre)", s.MassRate(r), unit.Number(r.In(unit.PoundPerAcre), 1))
}
