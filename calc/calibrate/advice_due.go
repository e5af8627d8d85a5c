package calibrate

import (
	"fmt"

	"tankful/calc/date"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// CalibrationAge asks whether a calibration still holds.
type CalibrationAge struct {
	// Last is the setup of the last calibration, with its Date; without a date there was none. Now is
	// the setup of today's work, its Date is today's. A figure that is not noted in both is not compared.
	Last, Now Setup
	// Since is how many applications were made since the last calibration.
	Since int
	// Granules is true for a spreader: each product is calibrated by itself.
	Granules bool
	// HoseChanged is true when hose, pump speed or screens are not what they were.
	HoseChanged bool
}

// When a calibration is due.
const (
	// MostApplications is after how many applications it is due again: every 4th (The Calibration of Turfgrass Boom
	// Sprayers and Spreaders, NC State Extension, n.d.).
	MostApplications = 4
	// MostDays is the age in days at which it is due: at least yearly (Ohio State University Extension).
	MostDays = 365
	// CheckDays is the age in days at which a check is due: monthly (common practice, no source).
	CheckDays = 30
	// PressureMoves is the share by which the pressure may differ: 10 % moves the flow by 5 %, the most that is accepted.
	PressureMoves = 0.10
)

// DueReason is one reason, with where the rule comes from.
type DueReason struct {
	Text   string `json:"text"`
	Source string `json:"source"`
}

// DueResult says whether to calibrate. Days is the age, 0 when there was no calibration.
type DueResult struct {
	Due     bool        `json:"due"`
	Check   bool        `json:"check"` // a month old: clean the nozzles and catch once
	Days    int         `json:"days"`
	Reasons []DueReason `json:"reasons"`

	asked CalibrationAge
}

const notSourced = "common practice, no source"

// Due says whether a calibration is due, with every reason: at first use, after every 4th application, at least
// yearly, for every product of granules, and when operator, applicator, nozzle, pressure or hose changed; a check is
// due monthly. Dates are ISO 8601 (YYYY-MM-DD); one that is not, a missing one for today, or a calibration of
// tomorrow is an error and the result zero.
func (a CalibrationAge) Due(where string) (DueResult, problem.List) {
	var ps problem.List
	r := DueResult{asked: a}
	today, errToday := date.Parse(a.Now.Date)
	if errToday != nil {
		ps.Errorf("date-unreadable", where, "Write today's date as year, month and day, such as 2026-05-04.", "today: %v", errToday)
	}
	last, errLast := date.Parse(a.Last.Date)
	if a.Last.Date != "" && errLast != nil {
		ps.Errorf("date-unreadable", where, "Write the date of the last calibration as year, month and day, such as 2026-05-04, or leave it out.", "the last calibration: %v", errLast)
	}
	if errToday == nil && errLast == nil {
		if r.Days = int(today - last); r.Days < 0 {
			ps.Errorf("date-order", where, "Correct one of the two dates.", "the last calibration, %s, is after today, %s", a.Last.Date, a.Now.Date)
		}
	}
	if a.Since < 0 {
		ps.Errorf("count-negative", where, "Enter how many applications were made since the last calibration, 0 for none.", "%d applications since the last calibration", a.Since)
	}
	if ps.HasErrors() {
		return DueResult{}, ps
	}
	if a.Last.Date == "" {
		r.because("no calibration is noted: at first use", "The Calibration of Turfgrass Boom Sprayers and Spreaders, NC State Extension")
	} else {
		r.age()
		r.changes()
	}
	r.Due = len(r.Reasons) > 0
	if r.Check = !r.Due && r.Days >= CheckDays; r.Check {
		r.because(fmt.Sprintf("%d days old: clean and check once a month", r.Days), notSourced)
	}
	return r, ps
}

func (r *DueResult) because(text, source string) {
	r.Reasons = append(r.Reasons, DueReason{text, source})
}

func (r *DueResult) age() {
	if n := r.asked.Since; n >= MostApplications {
		r.because(fmt.Sprintf("%d applications since the last: after every %dth", n, MostApplications), "The Calibration of Turfgrass Boom Sprayers and Spreaders, NC State Extension")
	}
	if r.Days >= MostDays {
		r.because(fmt.Sprintf("%d days old: at least once a year", r.Days), "Ohio State University Extension")
	}
}

// changes compares the two setups, and both must have noted what is compared.
func (r *DueResult) changes() {
	last, now := r.asked.Last, r.asked.Now
	for _, c := range []struct{ what, last, now string }{
		{"operator", last.Operator, now.Operator}, {"applicator", last.Applicator, now.Applicator}, {"nozzle", last.Nozzle, now.Nozzle},
	} {
		if c.last != "" && c.now != "" && c.last != c.now {
			r.because(fmt.Sprintf("the %s changed from %q to %q", c.what, c.last, c.now), notSourced)
		}
	}
	if p, q := last.Pressure, now.Pressure; unit.Positive(p) && unit.Positive(q) {
		if moved := float64((q - p) / p); moved > PressureMoves+adviceNoise || moved < -PressureMoves-adviceNoise {
			r.because(fmt.Sprintf("the pressure changed from %s to %s", bothPressures(p), bothPressures(q)), notSourced)
		}
	}
	if r.asked.HoseChanged {
		r.because("hose, pump speed or screens changed", notSourced)
	}
	if r.asked.Granules && last.Product != now.Product {
		r.because(fmt.Sprintf("calibrated with %s, and %s is to be spread: granules of each product flow otherwise", named(last.Product), named(now.Product)),
			"Rotary Spreader Calibration Procedures, UMass Extension; University of Missouri WQ551")
	}
}

func named(product string) string {
	if product == "" {
		return "no product noted"
	}
	return fmt.Sprintf("%q", product)
}

// Facts are the lines that every page and sheet prints.
func (r DueResult) Facts(unit.System) []working.Fact {
	state := "not due"
	switch {
	case r.Due:
		state = "due: calibrate before the next lawn"
	case r.Check:
		state = "not due; check it"
	}
	fs := []working.Fact{{Name: "calibration", Text: state}}
	if r.asked.Last.Date != "" {
		fs = append(fs, working.Fact{Name: "last", Text: fmt.Sprintf("%s, %d days ago, %d applications since", r.asked.Last.Date, r.Days, r.asked.Since)})
	}
	for _, why := range r.Reasons {
		fs = append(fs, working.Fact{Name: "because", Text: why.Text + " (" + why.Source + ")"})
	}
	return fs
}

// Working shows the days and each rule.
func (r DueResult) Working(unit.System) working.Working {
	var w working.Working
	if a := r.asked; a.Last.Date != "" {
		today, _ := date.Parse(a.Now.Date)
		last, _ := date.Parse(a.Last.Date)
		w.AddNumber("days since the last", working.Number(a.Now.Date+" as a day number", float64(today)).Minus(working.Number(a.Last.Date+" as a day number", float64(last))),
			float64(r.Days), "", "Days are counted from the year 1.")
		w.Say("rules of age", fmt.Sprintf("after %d applications, after %d days; checked after %d days", MostApplications, MostDays, CheckDays),
			"NC State Extension; Ohio State University Extension; common practice, no source")
	}
	for _, f := range r.Facts(unit.US) {
		w.Say(f.Name, f.Text)
	}
	return w
}
