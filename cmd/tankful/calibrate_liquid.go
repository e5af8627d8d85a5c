package main

import (
	"fmt"
	"strconv"
	"strings"

	"tankful/calc/calibrate"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// asOutcome hides the type of a method's result. The test is looked at when it is filled in.
func asOutcome[T any, R working.Outcome](test *T, result func(T, string) (R, problem.List)) func(string) (working.Outcome, problem.List) {
	return func(where string) (working.Outcome, problem.List) { return result(*test, where) }
}

// steps is a test's procedure, with what is filled in by then.
func steps[T any](test *T, procedure func(T, unit.System) []string) func(unit.System) []string {
	return func(u unit.System) []string { return procedure(*test, u) }
}

// setupEntries are those of the test, and last whose it is and with what.
func setupEntries(s *calibrate.Setup, test ...entry) []entry {
	return append(test,
		entry{name: "operator", usage: "who did the test", set: into(&s.Operator, word)},
		entry{name: "applicator", usage: "which gun, machine or spreader", set: into(&s.Applicator, word)},
		entry{name: "date", usage: "date of the test", example: "2027-04-05", set: into(&s.Date, isoDate)},
	)
}

// sprayerEntries are the setup of what sprays, and what the rate is wanted for.
func sprayerEntries(s *calibrate.Setup, u *calibrate.Use) []entry {
	return setupEntries(s,
		entry{name: "wanted", usage: "carrier rate wanted", example: "2 gal/1000 sq ft", set: into(&u.Wanted, unit.ParseVolumePerArea)},
		entry{name: "pressure", usage: "pressure at the gun or boom", example: "40 psi", set: into(&s.Pressure, unit.ParsePressure)},
		entry{name: "nozzle", quiet: true, usage: "which nozzle", set: into(&s.Nozzle, word)},
		entry{name: "planned-spacing", usage: "pass spacing that the lawns are planned with", example: "7 ft", set: into(&u.Spacing, unit.ParseLength)},
		entry{name: "thrown", quiet: true, usage: "width that the spray wets", example: "12 ft", set: into(&s.Thrown, unit.ParseLength)},
		entry{name: "pump-flow", quiet: true, usage: "flow that the pump is rated for", example: "12 gal/min", set: into(&s.PumpFlow, unit.ParseFlow)},
		entry{name: "caught-product", quiet: true, usage: "what was caught, when it was not water", set: into(&s.Product, word)},
		entry{name: "caught-density", quiet: true, usage: "density of what was caught", example: "10.65 lb/gal", set: into(&s.Density, unit.ParseDensity)},
		entry{name: "spray-product", quiet: true, usage: "what will be sprayed, when it is another liquid", set: into(&u.Product, word)},
		entry{name: "spray-density", quiet: true, usage: "density of what will be sprayed", example: "10.65 lb/gal", set: into(&u.Density, unit.ParseDensity)},
	)
}

// counted is the parser of a whole number.
func counted(text string) (int, error) {
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil || n < 0 {
		return 0, fmt.Errorf("%q is not a count: write a whole number such as 3", text)
	}
	return n, nil
}

// decimal is the parser of a number without a unit: a mark of a scale, turns of a wheel.
func decimal(text string) (float64, error) {
	x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil || x-x != 0 {
		return 0, fmt.Errorf("%q is not a plain number such as 5.5", text)
	}
	return x, nil
}

var liquidMethods = []method{
	{
		kind: "gun", short: "a hose gun, by a timed catch over a course",
		examples: []string{
			`--course "143 ft" --spacing "7 ft" --run "33 s" --run "32 s" --run "34 s" --caught "2.1 gal"`,
			`--units metric --course-area "100 m2" --spacing "2 m" --run "48 s, 50 s, 49 s" --caught "8.2 L" --caught-in "60 s"`,
		},
		make: func() bench {
			c := new(calibrate.Catch)
			return bench{setup: &c.Setup, procedure: steps(c, calibrate.Catch.Procedure), result: asOutcome(c, calibrate.Catch.Outcome),
				entries: append([]entry{
					{name: "course", usage: "length walked in one pass", example: "143 ft", set: into(&c.Course, unit.ParseLength)},
					{name: "spacing", usage: "pass spacing that the course stands for", example: "7 ft", set: into(&c.Spacing, unit.ParseLength)},
					{name: "passes", usage: "passes side by side that make the course", example: "3", note: "Enter for one", skip: func() bool { return c.Course == 0 }, set: into(&c.Passes, counted)},
					{name: "course-area", usage: "area of the course, when it was measured instead of its length or spacing", example: "342 sq ft",
						skip: func() bool { return c.Course != 0 && c.Spacing != 0 }, set: into(&c.Area, unit.ParseArea)},
					{name: "run", usage: "time of one walk over the course; three at least", example: "33 s", need: true, several: true, set: onto(&c.Runs, unit.ParseTime)},
					{name: "caught", usage: "volume caught at the gun, or of each of several catches", example: "2.1 gal", need: true, several: true, set: onto(&c.Catches, unit.ParseVolume)},
					{name: "caught-in", usage: "time of the catch", example: "60 s", note: "Enter for the mean of the walks", set: into(&c.CaughtIn, unit.ParseTime)},
				}, sprayerEntries(&c.Setup, &c.Use)...),
			}
		},
	},
	{
		kind: "refill", short: "any sprayer, by filling it up again after a known area",
		examples: []string{`--area "250 sq ft" --refilled "1.25 gal" --took "20 s"`, `--units metric --course "50 m" --spacing "2 m" --refilled "6.1 L, 6.3 L"`},
		make: func() bench {
			c, took := new(calibrate.Refill), new([]unit.Time)
			var refilled []unit.Volume
			return bench{setup: &c.Setup, procedure: steps(c, calibrate.Refill.Procedure),
				entries: append([]entry{
					{name: "area", usage: "area sprayed", example: "1000 sq ft", note: "Enter to give a course instead", set: into(&c.Area, unit.ParseArea)},
					{name: "course", usage: "length sprayed in one pass", example: "143 ft", skip: func() bool { return c.Area != 0 }, set: into(&c.Course, unit.ParseLength)},
					{name: "spacing", usage: "pass spacing", example: "7 ft", skip: func() bool { return c.Area != 0 }, set: into(&c.Spacing, unit.ParseLength)},
					{name: "passes", usage: "passes side by side", example: "3", note: "Enter for one", skip: func() bool { return c.Area != 0 }, set: into(&c.Passes, counted)},
					{name: "refilled", usage: "volume that brought it back to the mark, of each trial", example: "2.1 gal", need: true, several: true, set: onto(&refilled, unit.ParseVolume)},
					{name: "took", usage: "time sprayed in each trial, in the same order", example: "33 s", several: true, set: onto(took, unit.ParseTime)},
				}, sprayerEntries(&c.Setup, &c.Use)...),
				result: func(where string) (working.Outcome, problem.List) {
					var ps problem.List
					if n := len(*took); n > 0 && n != len(refilled) {
						ps.Errorf("trials-uneven", where, "Give a time for every trial, or for none.", "%d refills and %d times are given", len(refilled), n)
						return nil, ps
					}
					for i, v := range refilled {
						t := calibrate.RefillTrial{Refilled: v}
						if len(*took) > 0 {
							t.Took = (*took)[i]
						}
						c.Trials = append(c.Trials, t)
					}
					return c.Result(where)
				},
			}
		},
	},
	{
		kind: "boom", short: "a boom, nozzle by nozzle",
		examples: []string{`--nozzle-spacing "20 in" --caught "19.5, 20, 20.5, 20 fl oz" --caught-in "30 s" --course "200 ft" --run "34 s, 34.5 s, 34 s"`},
		make: func() bench {
			c := new(calibrate.Boom)
			return bench{setup: &c.Setup, procedure: steps(c, calibrate.Boom.Procedure), result: asOutcome(c, calibrate.Boom.Result),
				entries: append([]entry{
					{name: "nozzle-spacing", usage: "distance between nozzles", example: "20 in", need: true, set: into(&c.Spacing, unit.ParseLength)},
					{name: "caught", usage: "volume caught at each nozzle, from the left", example: "20 fl oz", need: true, several: true, set: onto(&c.Catches, unit.ParseVolume)},
					{name: "caught-in", usage: "time of each catch", example: "30 s", need: true, set: into(&c.CatchTime, unit.ParseTime)},
				}, append(speedEntries(&c.Course, &c.Runs, &c.Speed, &c.NewFlow), sprayerEntries(&c.Setup, &c.Use)...)...),
			}
		},
	},
	{
		kind: "nozzle", short: "one nozzle of a boom on 1/128 acre, where fluid ounces are gallons an acre",
		examples: []string{`--nozzle-spacing "40 in" --course "102 ft" --run "17 s, 17 s, 17 s" --caught "14 fl oz"`},
		make: func() bench {
			c := new(calibrate.Ounces)
			return bench{setup: &c.Setup, procedure: steps(c, calibrate.Ounces.Procedure), result: asOutcome(c, calibrate.Ounces.Result),
				entries: append(ounceEntries(c, "nozzle-spacing", "distance between nozzles", "40 in"), sprayerEntries(&c.Setup, &c.Use)...)}
		},
	},
	{
		kind: "backpack", short: "a backpack or hand can, on 1/128 acre or any measured plot",
		examples: []string{`--spacing "6 ft" --run "38 s, 40 s, 39 s" --caught "7.5 fl oz"`},
		make: func() bench {
			c := new(calibrate.Ounces)
			return bench{setup: &c.Setup, procedure: func(u unit.System) []string { return calibrate.Backpack(*c).Procedure(u) },
				result:  func(where string) (working.Outcome, problem.List) { return calibrate.Backpack(*c).Result(where) },
				entries: append(ounceEntries(c, "spacing", "pass spacing", "6 ft"), sprayerEntries(&c.Setup, &c.Use)...)}
		},
	},
	{
		kind: "ride-on", short: "a ride-on or pulled machine, by its outlets and its speed",
		examples: []string{`--swath "18.5 ft" --caught "240 fl oz" --caught-in "30 s" --course "200 ft" --run "27 s, 27.5 s, 27 s"`},
		make: func() bench {
			c := new(calibrate.RideOn)
			share := func(text string) error {
				s, err := shareOf(text)
				c.Share = s
				return err
			}
			return bench{setup: &c.Setup, procedure: steps(c, calibrate.RideOn.Procedure), result: asOutcome(c, calibrate.RideOn.Result),
				entries: append([]entry{
					{name: "swath", usage: "pass spacing", example: "10 ft", note: "Enter to give what a boomless nozzle wets instead", set: into(&c.Swath, unit.ParseLength)},
					{name: "wetted", usage: "width that a boomless nozzle wets", example: "30 ft", skip: func() bool { return c.Swath != 0 }, set: into(&c.Wetted, unit.ParseLength)},
					{name: "wetted-share", quiet: true, usage: "how much of that counts as swath", example: "80 %", set: share},
					{name: "caught", usage: "volume caught at each outlet", example: "60 fl oz", need: true, several: true, set: onto(&c.Catches, unit.ParseVolume)},
					{name: "caught-in", usage: "time of each catch", example: "30 s", need: true, set: into(&c.CatchTime, unit.ParseTime)},
					{name: "unlike", quiet: true, usage: "yes when the outlets are not meant to give the same", example: "no", set: into(&c.Unlike, yesNo)},
				}, append(speedEntries(&c.Course, &c.Runs, &c.Speed, &c.NewFlow), sprayerEntries(&c.Setup, &c.Use)...)...),
			}
		},
	},
	{
		kind: "formula", short: "a rate from flow, speed and width as read, without a test",
		examples: []string{`--flow "3.75 gal/min" --speed "5 mph" --width "222 in"`, `--units metric --flow "1.2 L/min" --speed "6 km/h" --width "50 cm"`},
		make: func() bench {
			c := new(calibrate.Formula)
			return bench{setup: &c.Setup, procedure: steps(c, calibrate.Formula.Procedure), result: asOutcome(c, calibrate.Formula.Result),
				entries: append([]entry{
					{name: "flow", usage: "flow of what covers the width", example: "3.75 gal/min", need: true, set: into(&c.Flow, unit.ParseFlow)},
					{name: "speed", usage: "speed", example: "5 mph", need: true, set: into(&c.Speed, unit.ParseSpeed)},
					{name: "width", usage: "width covered: a nozzle's spacing, a boom or the pass spacing", example: "222 in", need: true, set: into(&c.Width, unit.ParseLength)},
				}, sprayerEntries(&c.Setup, &c.Use)...),
			}
		},
	},
	{
		kind: "hose-end", short: "a hose-end sprayer, by what its container loses on a known area",
		examples: []string{`--area "500 sq ft" --used "8 fl oz, 8.4 fl oz" --took "61 s, 63 s" --bucket "2.4 gal" --bucket-time "60 s"`},
		make: func() bench {
			c := new(calibrate.HoseEnd)
			var used []unit.Volume
			var took []unit.Time
			return bench{setup: &c.Setup, procedure: steps(c, calibrate.HoseEnd.Procedure),
				entries: append([]entry{
					{name: "area", usage: "area sprayed", example: "500 sq ft", need: true, set: into(&c.Area, unit.ParseArea)},
					{name: "used", usage: "product used from the container, of each trial", example: "8 fl oz", need: true, several: true, set: onto(&used, unit.ParseVolume)},
					{name: "took", usage: "time sprayed in each trial, in the same order", example: "61 s", need: true, several: true, set: onto(&took, unit.ParseTime)},
					{name: "bucket", usage: "spray caught in a bucket", example: "2.4 gal", set: into(&c.Bucket, unit.ParseVolume)},
					{name: "bucket-time", usage: "time of that catch", example: "60 s", skip: func() bool { return c.Bucket == 0 }, set: into(&c.BucketTime, unit.ParseTime)},
					{name: "wanted-product", usage: "product rate wanted", example: "16 fl oz/1000 sq ft", set: into(&c.Wanted, unit.ParseVolumePerArea)},
				}, sprayerEntries(&c.Setup, &c.Use)...),
				result: func(where string) (working.Outcome, problem.List) {
					var ps problem.List
					if n := len(took); n != len(used) {
						ps.Errorf("trials-uneven", where, "Give a time for every trial.", "%d amounts and %d times are given", len(used), n)
						return nil, ps
					}
					for i, v := range used {
						c.Draws = append(c.Draws, calibrate.Draw{Start: v, Took: took[i]})
					}
					return c.Result(where)
				},
			}
		},
	},
}

func speedEntries(course *unit.Length, runs *[]unit.Time, speed *unit.Speed, newFlow *unit.Flow) []entry {
	return []entry{
		{name: "course", usage: "length driven to time the speed", example: "200 ft", note: "Enter to give the speed instead", set: into(course, unit.ParseLength)},
		{name: "run", usage: "time of one drive over it, as often one way as the other; three at least", example: "34 s", several: true, skip: func() bool { return *course == 0 }, set: onto(runs, unit.ParseTime)},
		{name: "speed", usage: "speed read off an instrument instead", example: "4 mph", skip: func() bool { return *course != 0 }, set: into(speed, unit.ParseSpeed)},
		{name: "new-flow", quiet: true, usage: "what a new nozzle gives at this pressure", example: "0.4 gal/min", set: into(newFlow, unit.ParseFlow)},
	}
}

func ounceEntries(c *calibrate.Ounces, width, usage, example string) []entry {
	return []entry{
		{name: width, usage: usage, example: example, need: true, set: into(&c.Width, unit.ParseLength)},
		{name: "course", usage: "length of the course", example: "102 ft", note: "Enter for the length that makes 1/128 acre", set: into(&c.Course, unit.ParseLength)},
		{name: "passes", usage: "passes side by side that make the plot", example: "3", note: "Enter for one", skip: func() bool { return c.Course == 0 }, set: into(&c.Passes, counted)},
		{name: "course-area", usage: "area of the plot, when it was measured", example: "342 sq ft", skip: func() bool { return c.Course != 0 }, set: into(&c.Area, unit.ParseArea)},
		{name: "run", usage: "time of one run over the course; three at least", example: "17 s", need: true, several: true, set: onto(&c.Runs, unit.ParseTime)},
		{name: "caught", usage: "volume caught, or of each of several catches", example: "14 fl oz", need: true, several: true, set: onto(&c.Catches, unit.ParseVolume)},
		{name: "caught-in", usage: "time of the catch", example: "17 s", note: "Enter for the mean of the runs", set: into(&c.CaughtIn, unit.ParseTime)},
	}
}

// shareOf reads "80 %".
func shareOf(text string) (float64, error) {
	number, ok := strings.CutSuffix(strings.TrimSpace(text), "%")
	x, err := decimal(number)
	if !ok || err != nil || x < 0 || x > 100 {
		return 0, fmt.Errorf("%q is not a share such as 80 %%", text)
	}
	return x / 100, nil
}

func yesNo(text string) (bool, error) {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "yes", "true":
		return true, nil
	case "no", "false":
		return false, nil
	}
	return false, fmt.Errorf("%q is neither yes nor no", text)
}
