package main

import (
	"fmt"
	"regexp"
	"strings"

	"tankful/calc/calibrate"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

var spreaderMethods = []method{
	{
		kind: "rotary", short: "a rotary spreader, by what it loses over a course or leaves on a tarp",
		examples: []string{
			`--width "8 ft" --course "125 ft" --lost "4.9 lb, 5.1 lb, 5.0 lb" --wanted "5 lb/1000 sq ft" --setting 6`,
			`--area "100 sq ft" --caught "0.5 lb, 0.5 lb, 0.52 lb"`,
		},
		make: func() bench { return weighing(calibrate.Rotary) },
	},
	{
		kind: "drop", short: "a drop spreader, by what it loses over a course or drops into pans",
		examples: []string{
			`--width "3 ft" --course "100 ft" --lost "1.5 lb, 1.5 lb, 1.6 lb"`,
			`--width "8 ft" --wheel "9 ft" --turns 43 --caught "20 lb, 20 lb, 20 lb"`,
		},
		make: func() bench { return weighing(calibrate.Drop) },
	},
	{
		kind: "pattern", short: "how wide and how evenly a spreader throws, by a row of pans",
		examples: []string{`--pan "-6 ft=2 in" --pan "-3 ft=3.5 in" --pan "0 ft=4 in" --pan "3 ft=3.5 in" --pan "6 ft=2 in" --pan "-9 ft=0.5 in" --pan "9 ft=0.5 in" --passes 3`},
		make: func() bench {
			t := new(calibrate.PanTest)
			return bench{setup: &t.Setup, procedure: steps(t, calibrate.PanTest.Procedure), result: asOutcome(t, calibrate.PanTest.Result),
				entries: setupEntries(&t.Setup,
					entry{name: "pan", usage: "where a pan stood and what it caught, `place=catch`; left of the line is below zero, a catch is a weight or a depth",
						example: "-3 ft=12 g", need: true, several: true, set: onto(&t.Pans, pan)},
					entry{name: "passes", usage: "passes over the row, all in one direction", example: "3", need: true, set: into(&t.Passes, counted)},
					entry{name: "pan-area", usage: "opening of one pan; with weights it gives the rate", example: "1 sq ft", set: into(&t.PanArea, unit.ParseArea)},
					entry{name: "spacing", usage: "pass spacing to look at", example: "12 ft", note: "Enter for the effective swath", set: into(&t.Spacing, unit.ParseLength)},
					entry{name: "setting", usage: "mark of the spreader's scale", example: "6", set: into(&t.Setting, decimal)},
					entry{name: "product", usage: "what was spread", set: into(&t.Setup.Product, word)},
				)}
		},
	},
	{
		kind: "setting", short: "the spreader setting for a wanted rate, between settings that were tried",
		examples: []string{`--tried "5=3.1 lb/1000 sq ft" --tried "6=4.4 lb/1000 sq ft" --wanted "4 lb/1000 sq ft" --step 0.25`},
		make: func() bench {
			q := new(calibrate.SettingSearch)
			return bench{setup: &q.Setup, procedure: steps(q, calibrate.SettingSearch.Procedure), result: asOutcome(q, calibrate.SettingSearch.Result),
				entries: setupEntries(&q.Setup, append([]entry{
					{name: "wanted", usage: "product rate wanted", example: "4 lb/1000 sq ft", need: true, set: into(&q.Wanted, unit.ParseMassPerArea)},
				}, triedEntries(&q.Tried, &q.Step, true)...)...)}
		},
	},
	{
		kind: "half-rate", short: "one full pass, or two of half the rate: rate, setting and spacing of each",
		examples: []string{`--wanted "5 lb/1000 sq ft" --spacing "12 ft" --tried "3=2 lb/1000 sq ft" --tried "6=4.4 lb/1000 sq ft" --tried "7=5.6 lb/1000 sq ft"`},
		make: func() bench {
			p := new(calibrate.PassPlan)
			return bench{setup: &p.Setup, procedure: steps(p, calibrate.PassPlan.Procedure), result: asOutcome(p, calibrate.PassPlan.Result),
				entries: setupEntries(&p.Setup, append([]entry{
					{name: "wanted", usage: "product rate wanted on the turf", example: "5 lb/1000 sq ft", need: true, set: into(&p.Wanted, unit.ParseMassPerArea)},
					{name: "spacing", usage: "pass spacing that the settings were tried for", example: "12 ft", need: true, set: into(&p.Spacing, unit.ParseLength)},
				}, triedEntries(&p.Tried, &p.Step, false)...)...)}
		},
	},
}

func triedEntries(tried *[]calibrate.SettingTrial, step *float64, need bool) []entry {
	return []entry{
		{name: "tried", usage: "a setting that was tried and the rate it gave, `mark=rate`", example: "5=3.1 lb/1000 sq ft", need: need, several: true, set: onto(tried, triedSetting)},
		{name: "step", usage: "the least that the scale can be set to", example: "0.25", note: "Enter for a tenth of a mark", set: into(step, decimal)},
	}
}

// weighing is the test of a spreader by weight.
func weighing(kind calibrate.SpreaderKind) bench {
	t := &calibrate.SpreaderTest{Kind: kind}
	var before, after, lost, caught []unit.Mass
	return bench{setup: &t.Setup, procedure: steps(t, calibrate.SpreaderTest.Procedure),
		entries: setupEntries(&t.Setup,
			entry{name: "width", usage: "pass spacing: the effective swath, or a drop spreader's hopper", example: "8 ft", set: into(&t.Width, unit.ParseLength)},
			entry{name: "course", usage: "length walked in each trial", example: "125 ft", note: "Enter to give an area or wheel turns instead", set: into(&t.Course, unit.ParseLength)},
			entry{name: "area", usage: "area covered in each trial, such as a tarp", example: "100 sq ft", skip: func() bool { return t.Course != 0 }, set: into(&t.Area, unit.ParseArea)},
			entry{name: "turns", usage: "turns of the wheel", example: "43", skip: func() bool { return t.Course != 0 || t.Area != 0 }, set: into(&t.Turns, decimal)},
			entry{name: "wheel", usage: "circumference of the wheel", example: "9 ft", skip: func() bool { return t.Turns == 0 }, set: into(&t.Wheel, unit.ParseLength)},
			entry{name: "lost", usage: "weight that the spreader lost, of each trial", example: "5 lb", note: "Enter to give other weights instead", several: true, set: onto(&lost, unit.ParseMass)},
			entry{name: "before", usage: "or the weights before each trial", example: "25 lb", several: true, skip: func() bool { return len(lost) > 0 }, set: onto(&before, unit.ParseMass)},
			entry{name: "after", usage: "and after, in the same order", example: "20 lb", several: true, skip: func() bool { return len(before) == 0 }, set: onto(&after, unit.ParseMass)},
			entry{name: "caught", usage: "or the weights swept up or caught", example: "0.5 lb", several: true,
				skip: func() bool { return len(lost)+len(before) > 0 }, set: onto(&caught, unit.ParseMass)},
			entry{name: "time", usage: "time of one trial, for the pace", example: "30 s", set: into(&t.Time, unit.ParseTime)},
			entry{name: "setting", usage: "mark of the spreader's scale", example: "6", set: into(&t.Setting, decimal)},
			entry{name: "wanted", usage: "product rate wanted", example: "5 lb/1000 sq ft", set: into(&t.Wanted, unit.ParseMassPerArea)},
			entry{name: "product", usage: "what was spread", set: into(&t.Setup.Product, word)},
		),
		result: func(where string) (working.Outcome, problem.List) {
			var ps problem.List
			ways := 0
			for _, n := range []int{len(lost), max(len(before), len(after)), len(caught)} {
				if n > 0 {
					ways++
				}
			}
			if len(before) != len(after) || ways != 1 {
				ps.Errorf("trials-unclear", where, "Give --lost, or --before and --after of each trial, or --caught.",
					"%d lost, %d before, %d after and %d caught are given", len(lost), len(before), len(after), len(caught))
				return nil, ps
			}
			t.Trials = nil
			for _, m := range append(lost, caught...) {
				t.Trials = append(t.Trials, calibrate.SpreaderTrial{Caught: m})
			}
			for i := range before {
				t.Trials = append(t.Trials, calibrate.SpreaderTrial{Before: before[i], After: after[i]})
			}
			return t.Result(where)
		},
	}
}

// pan reads "-3 ft=12 g".
func pan(text string) (p calibrate.Pan, err error) {
	at, catch, ok := strings.Cut(text, "=")
	if !ok {
		return p, fmt.Errorf("%q has no place and catch: write for example \"-3 ft=12 g\"", text)
	}
	if p.At, err = unit.ParseLength(at); err != nil {
		return p, err
	}
	var depthErr error
	if p.Weight, err = unit.ParseMass(catch); err != nil {
		if p.Depth, depthErr = unit.ParseLength(catch); depthErr == nil {
			err = nil
		}
	}
	return p, err
}

var markRE = regexp.MustCompile(`^[^=]+=`)

// triedSetting reads "5=3.1 lb/1000 sq ft".
func triedSetting(text string) (t calibrate.SettingTrial, err error) {
	if !markRE.MatchString(text) {
		return t, fmt.Errorf("%q has no mark and rate: write for example \"5=3.1 lb/1000 sq ft\"", text)
	}
	mark, rate, _ := strings.Cut(text, "=")
	if t.Setting, err = decimal(mark); err != nil {
		return t, err
	}
	t.Rate, err = unit.ParseMassPerArea(rate)
	return t, err
}

var adviceMethods = []method{
	{
		kind: "adjust", short: "what to change (pace, pressure or nozzle) to reach a wanted carrier rate",
		examples: []string{`--rate "2.4 gal/1000 sq ft" --wanted "2 gal/1000 sq ft" --course "143 ft" --time "33 s" --spacing "7 ft" --pressure "40 psi"`},
		make: func() bench {
			a := new(calibrate.RateAdvice)
			return bench{setup: &a.Setup, procedure: steps(a, calibrate.RateAdvice.Procedure), result: asOutcome(a, calibrate.RateAdvice.Result),
				entries: setupEntries(&a.Setup,
					entry{name: "rate", usage: "carrier rate measured", example: "2.4 gal/1000 sq ft", need: true, set: into(&a.Rate, unit.ParseVolumePerArea)},
					entry{name: "wanted", usage: "carrier rate wanted", example: "2 gal/1000 sq ft", need: true, set: into(&a.Wanted, unit.ParseVolumePerArea)},
					entry{name: "course", usage: "length of the course", example: "143 ft", need: true, set: into(&a.Course, unit.ParseLength)},
					entry{name: "time", usage: "time for the course", example: "33 s", need: true, set: into(&a.Time, unit.ParseTime)},
					entry{name: "spacing", usage: "pass spacing", example: "7 ft", need: true, set: into(&a.Spacing, unit.ParseLength)},
					entry{name: "pressure", usage: "pressure at the gun", example: "40 psi", set: into(&a.Setup.Pressure, unit.ParsePressure)},
					entry{name: "ridden", usage: "yes where nobody walks", example: "no", set: into(&a.Ridden, yesNo)},
				)}
		},
	},
	{
		kind: "adjust-spreader", short: "what to change (setting or pace) to reach a wanted product rate",
		examples: []string{`--rate "5.6 lb/1000 sq ft" --wanted "5 lb/1000 sq ft" --tried "6=4.4 lb/1000 sq ft" --tried "7=5.6 lb/1000 sq ft"`},
		make: func() bench {
			a := new(calibrate.SpreaderAdvice)
			return bench{setup: &a.Setup, procedure: steps(a, calibrate.SpreaderAdvice.Procedure), result: asOutcome(a, calibrate.SpreaderAdvice.Result),
				entries: setupEntries(&a.Setup, append([]entry{
					{name: "rate", usage: "product rate measured", example: "5.6 lb/1000 sq ft", need: true, set: into(&a.Rate, unit.ParseMassPerArea)},
					{name: "wanted", usage: "product rate wanted", example: "5 lb/1000 sq ft", need: true, set: into(&a.Wanted, unit.ParseMassPerArea)},
					{name: "course", usage: "length of the course", example: "125 ft", set: into(&a.Course, unit.ParseLength)},
					{name: "time", usage: "time for the course", example: "30 s", set: into(&a.Time, unit.ParseTime)},
					{name: "ridden", usage: "yes where nobody walks", example: "no", set: into(&a.Ridden, yesNo)},
				}, triedEntries(&a.Tried, &a.Step, false)...)...)}
		},
	},
	{
		kind: "pressure", short: "the flow at another pressure, or the pressure for another flow",
		examples: []string{`--flow "6.41 gal/min" --pressure "40 psi" --to-pressure "50 psi"`, `--flow "1 gal/min" --pressure "20 psi" --to-flow "2 gal/min"`},
		make: func() bench {
			c := new(calibrate.PressureChange)
			return bench{procedure: steps(c, calibrate.PressureChange.Procedure), result: asOutcome(c, calibrate.PressureChange.Result),
				entries: []entry{
					{name: "flow", usage: "flow measured", example: "6.41 gal/min", need: true, set: into(&c.Flow, unit.ParseFlow)},
					{name: "pressure", usage: "pressure that it was measured at", example: "40 psi", need: true, set: into(&c.Pressure, unit.ParsePressure)},
					{name: "to-flow", usage: "flow wanted", example: "7 gal/min", note: "Enter to give a pressure instead", set: into(&c.ToFlow, unit.ParseFlow)},
					{name: "to-pressure", usage: "or another pressure", example: "50 psi", skip: func() bool { return c.ToFlow != 0 }, set: into(&c.ToPressure, unit.ParsePressure)},
				}}
		},
	},
	{
		kind: "speed", short: "the rate at another pace, or the pace for another rate",
		examples: []string{`--rate "20 gal/acre" --pace "3 mph" --to-pace "6 mph"`, `--units metric --rate "400 L/ha" --pace "5 km/h" --to-rate "320 L/ha" --course "50 m"`},
		make: func() bench {
			c := new(calibrate.SpeedChange)
			return bench{procedure: steps(c, calibrate.SpeedChange.Procedure), result: asOutcome(c, calibrate.SpeedChange.Result),
				entries: []entry{
					{name: "rate", usage: "carrier rate measured", example: "20 gal/acre", need: true, set: into(&c.Rate, unit.ParseVolumePerArea)},
					{name: "pace", usage: "pace or speed that it was measured at", example: "3 mph", need: true, set: into(&c.Pace, unit.ParseSpeed)},
					{name: "to-rate", usage: "carrier rate wanted", example: "16 gal/acre", note: "Enter to give a pace instead", set: into(&c.ToRate, unit.ParseVolumePerArea)},
					{name: "to-pace", usage: "or another pace", example: "4 mph", skip: func() bool { return c.ToRate != 0 }, set: into(&c.ToPace, unit.ParseSpeed)},
					{name: "course", usage: "length to give a time for", example: "200 ft", set: into(&c.Course, unit.ParseLength)},
				}}
		},
	},
	{
		kind: "due", short: "whether a calibration still holds: its age, its count, what was changed since",
		examples: []string{`--last 2027-04-05 --today 2027-04-20 --since 3`, `--last 2026-04-05 --today 2027-04-20 --since 2 --granules yes`},
		make: func() bench {
			a := &calibrate.CalibrationAge{}
			return bench{
				procedure: func(unit.System) []string {
					return []string{"A calibration holds for one operator, gun or spreader, nozzle, pressure and product, and not for ever."}
				},
				result: func(where string) (working.Outcome, problem.List) {
					if a.Now.Date == "" {
						a.Now.Date = today()
					}
					return a.Due(where)
				},
				entries: []entry{
					{name: "last", usage: "date of the last calibration", example: "2027-04-05", note: "Enter when there was none", set: into(&a.Last.Date, isoDate)},
					{name: "today", usage: "date to judge for", example: "2027-05-05", note: "Enter for today", set: into(&a.Now.Date, isoDate)},
					{name: "since", usage: "applications made since", example: "3", set: into(&a.Since, counted)},
					{name: "granules", usage: "yes for a spreader: each product is calibrated by itself", example: "no", set: into(&a.Granules, yesNo)},
					{name: "hose-changed", usage: "yes when hose, pump speed or screens are not what they were", example: "no", set: into(&a.HoseChanged, yesNo)},
					{name: "last-operator", usage: "who did the last calibration", set: into(&a.Last.Operator, word)},
					{name: "operator", usage: "who works now", set: into(&a.Now.Operator, word)},
					{name: "last-nozzle", usage: "the nozzle then", set: into(&a.Last.Nozzle, word)},
					{name: "nozzle", usage: "the nozzle now", set: into(&a.Now.Nozzle, word)},
					{name: "last-pressure", usage: "the pressure then", example: "40 psi", set: into(&a.Last.Pressure, unit.ParsePressure)},
					{name: "pressure", usage: "the pressure now", example: "40 psi", set: into(&a.Now.Pressure, unit.ParsePressure)},
					{name: "last-product", usage: "the product then", set: into(&a.Last.Product, word)},
					{name: "product", usage: "the product now", set: into(&a.Now.Product, word)},
				}}
		},
	},
}
