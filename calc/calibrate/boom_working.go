package calibrate

import (
	"fmt"
	"math"

	"tankful/calc/unit"
	"tankful/calc/working"
)

// Facts are the printed lines.
func (r BoomResult) Facts(u unit.System) []working.Fact {
	s := r.test
	first := []working.Fact{{Name: "width", Text: s.widthText(u)}, {Name: "caught", Text: fmt.Sprintf("%s in %s", caughtList(u, s.caught), secondsText(s.catchTime))}}
	if s.alike && len(s.caught) > 1 {
		first = append(first, r.nozzleFacts(u)...)
	}
	if len(s.runs) > 0 {
		first = append(first, working.Fact{Name: "course", Text: u.Length(s.course)}, working.Fact{Name: "runs", Text: timesText(s.runs, r.Mean, r.Times)})
	} else {
		first = append(first, working.Fact{Name: "speed", Text: "as read, not timed over a course"})
	}
	return r.facts(u, s.setup, s.use, first...)
}

// nozzleFacts name the nozzles to look at, or say that all are even.
func (r BoomResult) nozzleFacts(u unit.System) (fs []working.Fact) {
	for i, n := range r.Nozzles {
		if n.Verdict != NozzleGood {
			fs = append(fs, working.Fact{Name: fmt.Sprintf("nozzle %d", i+1), Text: fmt.Sprintf("%s, %s the mean: %s", caughtText(u, n.Caught), offText(n.Off), n.Verdict)})
		}
	}
	if len(fs) == 0 {
		fs = []working.Fact{{Name: "nozzles", Text: fmt.Sprintf("all %d within %s of their mean", len(r.Nozzles), wholePercent(WatchNozzle))}}
	}
	return fs
}

// widthText is "10 nozzles x 20.0 in = 16.7 ft", "80.0 % of 30 ft wetted = 24 ft", "10.0 ft between passes".
func (s swept) widthText(u unit.System) string {
	switch {
	case s.spacing != 0:
		return fmt.Sprintf("%d nozzles x %s = %s", len(s.caught), narrowText(u, s.spacing), u.Length(s.width))
	case s.wetted != 0:
		from := ""
		if s.byDefault {
			from = " (the share by default)"
		}
		return fmt.Sprintf("%s of %s wetted = %s%s", percent(s.share), u.Length(s.wetted), u.Length(s.width), from)
	}
	return u.Length(s.width) + " between passes"
}

// Working shows how the rate was come by: nozzles, flow, width, speed, rate.
func (r BoomResult) Working(u unit.System) (w working.Working) {
	s, in := r.test, working.UnitsOf(u)
	r.workNozzles(&w, u)
	volume := volumeUnit(u, s.caught[0])
	var all []working.Expr
	for i, v := range s.caught {
		all = append(all, working.Of(fmt.Sprintf("nozzle %d", i+1), v, volume))
	}
	w.Add("flow of all nozzles", working.Sum(all...).Over(working.Of("time of the catch", s.catchTime, "s")), r.Flow, in.Flow, "")
	width := s.workWidth(&w, u)
	if len(s.runs) > 0 {
		mean := workMean(&w, "mean time", "time of the run", "runs", s.runs, r.Mean, "s")
		w.Add("speed", working.Of("course", s.course, in.Length).Over(mean), r.Pace, in.Speed, "",
			"The mean of the times counts, not of the speeds: twice the time on the ground is twice the rate.")
	}
	speed := working.Of("speed", r.Pace, in.Speed)
	workSwept(&w, u, working.Of("flow", r.Flow, in.Flow), speed, width, r.CarrierRate)
	workStats(&w, "run", s.runs, "s", unit.Second)
	r.workEnd(&w, u, s.setup, s.use)
	return w
}

// workSwept shows a flow over a speed and a width, in US units also per acre.
func workSwept(w *working.Working, u unit.System, flow, speed, width working.Expr, rate unit.VolumePerArea) {
	e := flow.Over(speed.Times(width))
	if u == unit.US {
		w.Add("carrier rate per acre", e, rate, "gal/acre", "", "What flows in an hour falls on the speed of an hour times the width.")
	}
	w.Add("carrier rate", e, rate, working.UnitsOf(u).Carrier, u.CarrierRate(rate), "That is "+rateText(u, rate)+".")
}

// workWidth shows the width covered, where it is not as entered.
func (s swept) workWidth(w *working.Working, u unit.System) working.Expr {
	in := working.UnitsOf(u)
	switch {
	case s.spacing != 0:
		in = in.Narrow()
		e := working.Number("nozzles", float64(len(s.caught))).Times(working.Of("nozzle spacing", s.spacing, in.Width))
		w.Add("width of the boom", e, s.width, in.Width, "", "Each nozzle covers its spacing, also those at the ends.")
	case s.wetted != 0:
		share := working.Percent("share that counts", s.share)
		if s.byDefault {
			share = share.From("default, " + boomlessSource)
		}
		w.Add("effective swath", working.Of("wetted width", s.wetted, in.Width).Times(share), s.width, in.Width, "",
			"The edges of the throw get less, so passes are driven closer than it is wide.")
	}
	return working.Of("width", s.width, in.Width)
}

// workNozzles shows the limits and the nozzle farthest from the mean.
func (r BoomResult) workNozzles(w *working.Working, u unit.System) {
	s := r.test
	if !s.alike || len(s.caught) < 2 {
		return
	}
	mean, _ := statsOf(s.caught)
	in := volumeUnit(u, mean)
	e := workMean(w, "mean of the nozzles", "caught", "catches", s.caught, mean, in)
	least, most := NozzleLimits(mean)
	w.Add("least a nozzle may give", e.Times(working.Percent("(100 % - 10 %)", 1-RejectNozzle)), least, in, "")
	w.Add("most a nozzle may give", e.Times(working.Percent("(100 % + 10 %)", 1+RejectNozzle)), most, in, "")
	far := 0
	for i, n := range r.Nozzles {
		if math.Abs(n.Off) > math.Abs(r.Nozzles[far].Off) {
			far = i
		}
	}
	n := r.Nozzles[far]
	if n.Off == 0 {
		return
	}
	w.AddPercent(fmt.Sprintf("nozzle %d is farthest off", far+1), working.Of("its catch", n.Caught, in).Minus(e).Over(e), n.Off, offText(n.Off),
		"Over 5 % is watched, over 10 % cleaned or replaced.")
}

// Procedure is how the test is made (The Calibration of Turfgrass Boom Sprayers and Spreaders, NC
// State Extension, n.d.; Low-pressure boom sprayers, Bulletin 817-00, Ohio State University
// Extension, 2000).
func (b Boom) Procedure(u unit.System) []string {
	spread := "Count the nozzles and measure their spacing: the boom covers nozzles x spacing."
	if n := len(b.Catches); n > 0 && unit.Positive(b.Spacing) {
		spread = fmt.Sprintf("Check the boom: %s.", swept{spacing: b.Spacing, caught: b.Catches, width: b.Spacing * unit.Length(n)}.widthText(u))
	}
	return numbered(
		"Rinse the boom and clean screens and nozzles. Use nozzles of one make, angle and size. Half fill the tank with water.",
		spread,
		speedStep(u),
		"Standing, with the same pressure and engine speed, catch every nozzle for the same time, 30 s or a minute, and write them down from the left.",
		"Take their mean. Clean a nozzle that is over 5 % off it, and catch it again. Replace one that stays over 10 % off, and catch all again.",
		"Carrier rate = flow of all nozzles / (speed x width of the boom).",
		accept(u, b.Use),
	)
}

// Procedure is how the test is made.
func (o RideOn) Procedure(u unit.System) []string {
	swath := "Measure the pass spacing: the distance between neighbouring driving lines, not the width that gets wet. For a boomless nozzle it is 80 % of the wetted width, unless you measured the pattern."
	if unit.Positive(o.Wetted) && o.Share == 0 {
		swath = fmt.Sprintf("Drive passes %s apart: %s of the %s that the nozzle wets.", u.Length(EffectiveSwath(o.Wetted, BoomlessShare)), wholePercent(BoomlessShare), u.Length(o.Wetted))
	}
	return numbered(
		"Rinse the machine and clean the outlets. Half fill the tank with water and ride it yourself: your weight is part of its speed.",
		swath,
		speedStep(u),
		"Standing, with the same pressure and engine speed, catch every outlet for the same time, 30 s or a minute.",
		"Carrier rate = flow of all outlets / (speed x pass spacing).",
		accept(u, o.Use),
	)
}

// speedStep times a machine (200 ft, tank half full, on the same surface: The Calibration of
// Turfgrass Boom Sprayers and Spreaders, NC State Extension, n.d.).
func speedStep(u unit.System) string {
	course := "200 ft"
	if u == unit.Metric {
		course = "60 m"
	}
	return fmt.Sprintf("Mark out a course of %s on turf like that you spray. Come up to speed before the line, in the gear and at the engine speed of the work, and time the course at least twice each way. Take the mean of the times.", course)
}
