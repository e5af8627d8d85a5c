package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tankful/calc/calibrate"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

const calibrateHow = `Works out what an operator with a hand gun (or a backpack) really puts out, from a timed catch:

  1. Set the pressure. Lay out a course: 1,000 sq ft / pass spacing is its usual length,
     143 ft at 7 ft.
  2. Walk it at least three times, spraying as on a lawn, and time each walk.
  3. Catch what the gun gives in a bucket for the mean of those times, and measure it.

  carrier rate = caught / time of the catch x mean time / (course x spacing)

The spacing is the distance between neighbouring passes, not the thrown width: with the
wrong one of the two the rate is out by a factor of about 2.`

func calibrateCommand(e *env) *cobra.Command {
	var c calibrate.Catch
	var runs []string
	var course unit.Area
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "calibrate",
		Short: "Turn a timed catch into pace, flow and the carrier rate",
		Long:  calibrateHow,
		Example: `  tankful calibrate --course "143 ft" --spacing "7 ft" --run "33 s" --run "32 s" --run "34 s" --caught "2.1 gal"
  tankful calibrate --units metric --course-area "100 m2" --spacing "2 m" --run "48 s,50 s,49 s" --caught "8.2 L" --caught-in "60 s"`,
		Args: quotedArgs,
	}
	units := unitsFlag(cmd)
	fs := cmd.Flags()
	fs.Var(&c.Course, "course", "length walked")
	fs.Var(&course, "course-area", "area of the course, instead of its length")
	fs.Var(&c.Spacing, "spacing", "pass spacing that the course stands for")
	fs.StringSliceVar(&runs, "run", nil, "`time` of one walk; give at least three")
	fs.Var(&c.Caught, "caught", "volume caught")
	fs.Var(&c.CaughtIn, "caught-in", "time of the catch (default: the mean of the walks)")
	fs.Var(&c.Pressure, "pressure", "pressure at the gun")
	fs.StringVar(&c.Date, "date", "", "`date` of the test, such as 2027-04-05")
	fs.BoolVar(&asJSON, "json", false, "print JSON, in SI units")
	for _, f := range []string{"course", "course-area", "spacing", "caught", "caught-in", "pressure"} {
		fs.Lookup(f).DefValue = ""
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if err := oneOf(cmd, "course", "course-area"); err != nil {
			return err
		}
		if _, err := time.Parse(time.DateOnly, c.Date); c.Date != "" && err != nil {
			return &usageError{fmt.Sprintf("--date: %q is not a date such as 2027-04-05", c.Date), exampleLine(cmd)}
		}
		for _, name := range []string{"spacing", "run", "caught"} {
			if !fs.Changed(name) {
				return &usageError{"--" + name + " is missing", exampleLine(cmd)}
			}
		}
		if !fs.Changed("course") && !fs.Changed("course-area") {
			return &usageError{"--course or --course-area is missing", exampleLine(cmd)}
		}
		var list problem.List
		for i, text := range runs {
			t, err := unit.ParseTime(text)
			if err != nil {
				list.Errorf("quantity", fmt.Sprintf("--run %d", i+1), "Write each walk with its unit, such as 33 s.", "%v", err)
			}
			c.Runs = append(c.Runs, t)
		}
		if fs.Changed("course-area") && c.Spacing > 0 {
			c.Course = course.Divide(c.Spacing)
		}
		if err := list.Err(); err != nil {
			return refuse(e, err, asJSON)
		}
		r, found := c.Result("command line")
		if err := found.Err(); err != nil {
			return refuse(e, err, asJSON)
		}
		printProblems(e.err, found)
		if asJSON {
			return printJSON(e.out, struct {
				calibrate.Result
				Date     string        `json:"date,omitempty"`
				Pressure unit.Pressure `json:"pressure_kpa,omitempty"`
				Problems problem.List  `json:"problems"`
			}{r, c.Date, c.Pressure, append(problem.List{}, found...)})
		}
		return printCalibration(e.out, c, r, *units)
	}
	return cmd
}

func printCalibration(w io.Writer, c calibrate.Catch, r calibrate.Result, u unit.System) error {
	in := c.CaughtIn
	if in == 0 {
		in = r.Mean
	}
	other := unit.Metric
	if u == unit.Metric {
		other = unit.US
	}
	var times []string
	for _, t := range c.Runs {
		times = append(times, unit.Number(t.In(unit.Second), 1))
	}
	lines := []string{
		fmt.Sprintf("course        %s x %s = %s", u.Length(c.Course), u.Length(c.Spacing), u.Area(r.Area)),
		fmt.Sprintf("walks         %s s; mean %s s, spread %s %%", strings.Join(times, ", "), unit.Number(r.Mean.In(unit.Second), 1), unit.Number(100*r.Spread, 1)),
		fmt.Sprintf("pace          %s", u.Speed(r.Pace)),
		fmt.Sprintf("flow          %s (caught %s in %s s)", u.Flow(r.Flow), fine(u, c.Caught), unit.Number(in.In(unit.Second), 1)),
		fmt.Sprintf("carrier rate  %s (%s)", u.CarrierRate(r.CarrierRate), other.CarrierRate(r.CarrierRate)),
		fmt.Sprintf("              = %s x %s s / %s s / %s", fine(u, c.Caught), unit.Number(r.Mean.In(unit.Second), 1), unit.Number(in.In(unit.Second), 1), u.Area(r.Area)),
		"Good for this operator, gun, nozzle, pressure and spacing only. Over 5 % from the wanted rate: change pace, pressure or nozzle and repeat.",
	}
	if c.Pressure != 0 {
		lines = append([]string{"pressure      " + u.Pressure(c.Pressure)}, lines...)
	}
	if c.Date != "" {
		lines = append([]string{"date          " + c.Date}, lines...)
	}
	_, err := fmt.Fprintln(w, strings.Join(lines, "\n"))
	return err
}

// fine prints a caught volume to a hundredth, as a bucket is read.
func fine(u unit.System, v unit.Volume) string {
	if u == unit.Metric {
		return unit.Number(v.In(unit.Litre), 2) + " L"
	}
	return unit.Number(v.In(unit.Gallon), 2) + " gal"
}
