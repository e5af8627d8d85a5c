package calibrate

import (
	"fmt"
	"strings"

	"tankful/calc/unit"
)

// The printers of this package, for spreaders and sprayers alike: figures finer than a plan prints, because a test is
// read off a watch and a measuring jug.

// secondsText is "78.0 s".
func secondsText(t unit.Time) string { return unit.Number(t.In(unit.Second), 1) + " s" }

// clockList is "77.0, 79.0, 78.0 s".
func clockList(ts []unit.Time) string {
	var parts []string
	for _, t := range ts {
		parts = append(parts, unit.Number(t.In(unit.Second), 1))
	}
	return strings.Join(parts, ", ") + " s"
}

// percent is "3.2 %" of 0.032.
func percent(share float64) string { return unit.Percent(share, 1) }

// caughtText is a caught volume: "5.25 gal", under a gallon "14.0 fl oz"; "8.20 L", under a litre "414 mL".
func caughtText(u unit.System, v unit.Volume) string {
	if in := volumeUnit(u, v); in == "gal" {
		return unit.Number(v.In(unit.Gallon), 2) + " gal"
	} else if in == "L" {
		return unit.Number(v.In(unit.Litre), 2) + " L"
	}
	return u.Liquid(v)
}

// caughtList is "14.0, 14.2, 13.9 fl oz", all in the unit of the first.
func caughtList(u unit.System, vs []unit.Volume) string {
	in, one, decimals := volumeUnit(u, vs[0]), volumeOne(u, vs[0]), 1
	switch in {
	case "gal", "L":
		decimals = 2
	case "mL":
		decimals = 0
	}
	var parts []string
	for _, v := range vs {
		parts = append(parts, unit.Number(v.In(one), decimals))
	}
	return strings.Join(parts, ", ") + " " + in
}

// volumeUnit is the unit that a caught volume is read in; volumeOne is one of it.
func volumeUnit(u unit.System, v unit.Volume) string {
	switch {
	case u == unit.Metric && v < unit.Litre:
		return "mL"
	case u == unit.Metric:
		return "L"
	case v < unit.Gallon:
		return "fl oz"
	}
	return "gal"
}

func volumeOne(u unit.System, v unit.Volume) unit.Volume {
	switch volumeUnit(u, v) {
	case "mL":
		return unit.Millilitre
	case "L":
		return unit.Litre
	case "fl oz":
		return unit.FluidOunce
	}
	return unit.Gallon
}

// flowText is "4.04 gal/min"; a small flow has a third decimal and fluid ounces beside it: "0.156
// gal/min (20.0 fl oz/min)".
func flowText(u unit.System, f unit.Flow) string {
	switch {
	case u == unit.Metric && f < 10*unit.LitrePerMinute:
		return unit.Number(f.In(unit.LitrePerMinute), 3) + " L/min"
	case u == unit.US && f < unit.GallonPerMinute:
		return fmt.Sprintf("%s gal/min (%s fl oz/min)", unit.Number(f.In(unit.GallonPerMinute), 3),
			unit.Number(f.For(unit.Minute).In(unit.FluidOunce), 1))
	}
	return u.Flow(f)
}

// rateText is a carrier rate in the ways that the trade says it: "2.05 gal/1000 sq ft (89.3
// gal/acre, 835 L/ha)", "835 L/ha (2.05 gal/1000 sq ft)".
func rateText(u unit.System, r unit.VolumePerArea) string {
	if u == unit.Metric {
		return fmt.Sprintf("%s (%s)", u.CarrierRate(r), unit.US.CarrierRate(r))
	}
	return fmt.Sprintf("%s (%s gal/acre, %s)", u.CarrierRate(r), unit.Number(r.In(unit.GallonPerAcre), 1), unit.Metric.CarrierRate(r))
}

// paceText is a pace with a decimal more than a drive has: "1.75 mph".
func paceText(u unit.System, v unit.Speed) string {
	if u == unit.Metric {
		return unit.Number(v.In(unit.KilometrePerHour), 2) + " km/h"
	}
	return unit.Number(v.In(unit.MilePerHour), 2) + " mph"
}

// usual is the plot that a test is usually laid out on: 1,000 sq ft or 100 m2.
func usual(u unit.System) unit.Area {
	if u == unit.Metric {
		return 100 * unit.SquareMetre
	}
	return unit.Thousand
}

// numbered puts "1. " and so on before the steps, leaving out empty ones.
func numbered(steps ...string) (out []string) {
	for _, s := range steps {
		if s != "" {
			out = append(out, fmt.Sprintf("%d. %s", len(out)+1, s))
		}
	}
	return out
}

// narrowText is a width as it is read: nozzle spacings in inches, "20.0 in", from 6 ft on in feet.
func narrowText(u unit.System, l unit.Length) string {
	if u == unit.US && l < 6*unit.Foot {
		return unit.Number(l.In(unit.Inch), 1) + " in"
	}
	return u.Length(l)
}
