package calibrate

import (
	"fmt"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Boom is a boom caught nozzle by nozzle and driven over a course.
type Boom struct {
	Setup Setup
	Use   Use
	// Spacing is the distance between nozzles; the boom covers as many spacings as it has nozzles.
	Spacing unit.Length
	// Catches are one of each nozzle, from the left, each in CatchTime.
	Catches   []unit.Volume
	CatchTime unit.Time
	// Course and Runs time the speed, both ways; Speed is one read off an instrument instead.
	Course unit.Length
	Runs   []unit.Time
	Speed  unit.Speed
	// NewFlow is what a new nozzle gives at this pressure, 0 when not known.
	NewFlow unit.Flow
}

// RideOn is a ride-on or pulled machine with one gun, a boomless nozzle or several outlets, whose
// swath is the spacing of its passes.
type RideOn struct {
	Setup Setup
	Use   Use
	// Swath is the pass spacing. Instead of it, Wetted is what a boomless nozzle wets and Share how
	// much of that counts; Share 0 is BoomlessShare.
	Swath, Wetted unit.Length
	Share         float64
	// Catches are one of each outlet, each in CatchTime. Unlike says that the outlets are not meant
	// to give the same, so that they are not compared.
	Catches   []unit.Volume
	CatchTime unit.Time
	Unlike    bool
	// Course and Runs time the speed, both ways; Speed is one read off an instrument instead.
	Course unit.Length
	Runs   []unit.Time
	Speed  unit.Speed
	// NewFlow is what a new outlet gives at this pressure, 0 when not known.
	NewFlow unit.Flow
}

// BoomlessShare is how much of the wetted width of a boomless nozzle is its effective swath, where
// nobody measured it: 80 % (Calibrating a cluster nozzle, LSU AgCenter, 2020).
const BoomlessShare = 0.80

const boomlessSource = "80 % of the wetted width (Calibrating a cluster nozzle / boomless sprayer, LSU AgCenter, 2020)"

// EffectiveSwath is the swath of a boomless nozzle that wets wetted: 24 ft of 30 ft.
func EffectiveSwath(wetted unit.Length, share float64) unit.Length {
	return wetted * unit.Length(share)
}

// A nozzle's catch against the mean of its boom: over WatchNozzle off it is watched (a county
// worksheet of Idaho and an Australian label guide: 5 %), over RejectNozzle off it is cleaned or
// replaced (Spray the Right Rate, reprint of Ohio State University Extension's 1/128-acre method, 2016: 10 %).
// NewFlow is held against RejectNozzle too.
const (
	WatchNozzle  = 0.05
	RejectNozzle = 0.10
)

// NozzleLimits are the least and the most that a nozzle may give when the mean is mean: 18 and 22 of 20.
func NozzleLimits(mean unit.Volume) (least, most unit.Volume) {
	return mean * (1 - RejectNozzle), mean * (1 + RejectNozzle)
}

// NozzleVerdict is what to do with a nozzle.
type NozzleVerdict string

// The verdicts: within 5 % of the mean, over 5 to 10 %, over 10 %.
const (
	NozzleGood   NozzleVerdict = "good"
	NozzleWatch  NozzleVerdict = "watch"
	NozzleReject NozzleVerdict = "clean or replace"
)

// Nozzle is one nozzle of a test: what it gave, how far that is off the mean of all (0.08 is 8 % over),
// and what to do.
type Nozzle struct {
	Caught  unit.Volume   `json:"caught_l"`
	Flow    unit.Flow     `json:"flow_l_per_min"`
	Off     float64       `json:"off"`
	Verdict NozzleVerdict `json:"verdict"`
}

// CheckNozzles judges each nozzle against the mean of all. It works on a boom that Result refuses,
// so that the table can be shown with the refusal; nil when a catch or the time is no size.
func CheckNozzles(catches []unit.Volume, in unit.Time) []Nozzle {
	if len(catches) == 0 || !unit.Positive(in) || len(checkVolumes(catches, "", "")) > 0 {
		return nil
	}
	mean, _ := statsOf(catches)
	var list []Nozzle
	for _, v := range catches {
		n := Nozzle{Caught: v, Flow: v.During(in), Off: float64((v - mean) / mean), Verdict: NozzleReject}
		switch {
		case n.Off >= -WatchNozzle-adviceNoise && n.Off <= WatchNozzle+adviceNoise:
			n.Verdict = NozzleGood
		case n.Off >= -RejectNozzle-adviceNoise && n.Off <= RejectNozzle+adviceNoise:
			n.Verdict = NozzleWatch
		}
		list = append(list, n)
	}
	return list
}

// BoomResult is what the test of a boom or of a ride-on machine says.
type BoomResult struct {
	Result
	Nozzles []Nozzle    `json:"nozzles"`
	Caught  unit.Volume `json:"caught_l"` // by all outlets together

	test swept
}

// swept is what both machines have in common: outlets, a width, a speed.
type swept struct {
	setup     Setup
	use       Use
	caught    []unit.Volume
	catchTime unit.Time
	alike     bool
	newFlow   unit.Flow
	course    unit.Length
	runs      []unit.Time
	speed     unit.Speed
	width     unit.Length
	spacing   unit.Length // between nozzles, 0 of a ride-on
	wetted    unit.Length
	share     float64
	byDefault bool // share is BoomlessShare
}

// Result works the test out: carrier rate = flow of all nozzles / (nozzles x spacing x speed), with
// every nozzle held against their mean (Low-pressure boom sprayers, Bulletin 817-00, Ohio State
// University Extension, 2000). A nozzle that is over 10 % off refuses the boom: its rate is right
// nowhere under it. When the list has errors the result is zero.
func (b Boom) Result(where string) (BoomResult, problem.List) {
	s := swept{setup: b.Setup, use: b.Use, caught: b.Catches, catchTime: b.CatchTime, alike: true, newFlow: b.NewFlow,
		course: b.Course, runs: b.Runs, speed: b.Speed, spacing: b.Spacing, width: b.Spacing * unit.Length(len(b.Catches))}
	return s.result(checkWidth(b.Spacing, "the nozzle spacing", "Enter the distance between nozzles, such as 20 in.", where), where)
}

// Result works the test out: carrier rate = flow of all outlets / (swath x speed) (Calibrating Your
// Sprayer, Albany County (WY) Weed & Pest, n.d.). When the list has errors the result is zero.
func (o RideOn) Result(where string) (BoomResult, problem.List) {
	s := swept{setup: o.Setup, use: o.Use, caught: o.Catches, catchTime: o.CatchTime, alike: !o.Unlike, newFlow: o.NewFlow,
		course: o.Course, runs: o.Runs, speed: o.Speed, width: o.Swath}
	if o.Wetted == 0 {
		ps := checkWidth(o.Swath, "the pass spacing", "Enter the distance between neighbouring driving lines, such as 10 ft.", where)
		if o.Share != 0 {
			ps.Errorf("share-alone", where, "Enter the wetted width that the share is of, or leave the share out.", "a share of %s is given, and no wetted width", percent(o.Share))
		}
		return s.result(ps, where)
	}
	s.wetted, s.share = o.Wetted, o.Share
	if s.byDefault = o.Share == 0; s.byDefault {
		s.share = BoomlessShare
	}
	s.width = EffectiveSwath(s.wetted, s.share)
	ps := checkWidth(o.Wetted, "the wetted width", "Enter the width that the nozzle wets, such as 30 ft.", where)
	if !(s.share > 0 && s.share <= 1) {
		ps.Errorf("share-bad", where, "Enter the share of the wetted width that counts, such as 80 %, or leave it out.", "the share of the wetted width is %s", percent(s.share))
	}
	if o.Swath != 0 {
		ps.Errorf("swath-twice", where, "Enter the pass spacing or the wetted width.", "the pass spacing is %s and the wetted width %s", unit.US.Length(o.Swath), unit.US.Length(o.Wetted))
	}
	return s.result(ps, where)
}

// checkWidth finds a width that is none, or no machine's.
func checkWidth(l unit.Length, name, fix, where string) (ps problem.List) {
	switch {
	case !unit.Positive(l):
		ps.Errorf("swath-zero", where, fix, "%s is %s", name, unit.US.Length(l))
	case l < leastSpacing || l > mostSpacing:
		ps.Errorf("absurd", where, "Check the width and its unit: feet for inches, or metres for feet, is the usual slip.",
			"%s of %s is outside 0.5 ft to 60 ft", name, bothLengths(l))
	}
	return ps
}

// result works out what is common to both machines; ps is what was found before.
func (s swept) result(ps problem.List, where string) (BoomResult, problem.List) {
	ps = append(ps, s.entries(where)...)
	if ps.HasErrors() {
		return BoomResult{}, ps
	}
	r := BoomResult{test: s, Nozzles: CheckNozzles(s.caught, s.catchTime)}
	r.Swath, r.Pace = s.width, s.speed
	if len(s.runs) > 0 {
		r.Mean, r.Times = statsOf(s.runs)
		r.Spread, r.Within = r.Times.Spread, r.Times.Half
		r.Pace, r.Area = s.course.Per(r.Mean), s.course.By(s.width)
	}
	for _, v := range s.caught {
		r.Caught += v
	}
	r.Flow = r.Caught.During(s.catchTime)
	r.CarrierRate = r.Flow.Sweeping(r.Swath, r.Pace)
	ps = append(ps, s.doubts(r.Nozzles, where)...)
	ps = append(ps, r.finish(s.setup, s.use, where)...)
	if ps.HasErrors() {
		return BoomResult{}, ps
	}
	return r, ps
}

// entries finds what is wrong with the figures one at a time.
func (s swept) entries(where string) (ps problem.List) {
	ps = checkVolumes(s.caught, "the catch of nozzle", where)
	if len(s.caught) == 0 {
		ps.Errorf("catch-zero", where, "Catch every nozzle for the same time and enter the volumes.", "no catch is given")
	}
	if !unit.Positive(s.catchTime) {
		ps.Errorf("catch-time-zero", where, "Enter for how long each nozzle was caught, such as 30 s.", "the catches took %s", secondsText(s.catchTime))
	}
	if s.newFlow != 0 && !unit.Positive(s.newFlow) {
		ps.Errorf("new-flow-negative", where, "Enter what a new nozzle gives at this pressure, or leave it out.", "a new nozzle gives %s", flowText(unit.US, s.newFlow))
	}
	if s.width > mostSpacing && s.spacing != 0 && s.spacing <= mostSpacing {
		ps.Errorf("absurd", where, "Check the nozzle spacing and the number of catches.", "%d nozzles %s apart cover %s, over 60 ft", len(s.caught), unit.US.Length(s.spacing), bothLengths(s.width))
	}
	ps = append(ps, s.checkSpeed(where)...)
	return append(ps, append(s.setup.check(where), s.use.check(where)...)...)
}

// checkSpeed wants the speed once: timed or read.
func (s swept) checkSpeed(where string) (ps problem.List) {
	timed := s.course != 0 || len(s.runs) > 0
	switch {
	case timed && s.speed != 0:
		ps.Errorf("speed-twice", where, "Enter the course and its runs, or the speed.", "the speed is read as %s and timed over a course", unit.US.Speed(s.speed))
	case timed:
		if !unit.Positive(s.course) {
			ps.Errorf("course-zero", where, "Enter the length of the course with its unit, such as 200 ft.", "the course is %s long", unit.US.Length(s.course))
		}
		ps = append(ps, checkRuns(s.runs, where)...)
	case !unit.Positive(s.speed):
		ps.Errorf("speed-missing", where, "Time the machine over a course, such as 200 ft, at least three times.", "neither a timed course nor a speed is given")
	}
	return ps
}

// fix is what to do with a nozzle that is off: one that gives too little may be clogged, one that gives too much is worn.
func (n Nozzle) fix() string {
	if n.Off > 0 {
		return "Replace the nozzle"
	}
	return "Clean or replace the nozzle"
}

// doubts finds nozzles that do not do as the others, or as new ones.
func (s swept) doubts(list []Nozzle, where string) (ps problem.List) {
	for i, n := range list {
		if s.newFlow != 0 && n.Flow > s.newFlow*unit.Flow(1+RejectNozzle+adviceNoise) {
			ps.Warnf("nozzle-worn", where, "Replace the nozzle.", "nozzle %d gives %s and a new one %s: %s over", i+1,
				flowText(unit.US, n.Flow), flowText(unit.US, s.newFlow), percent(float64((n.Flow-s.newFlow)/s.newFlow)))
		}
		if !s.alike {
			continue
		}
		what := fmt.Sprintf("nozzle %d of %d gave %s (%s), %s the mean of all", i+1, len(list), caughtText(unit.US, n.Caught), caughtText(unit.Metric, n.Caught), offText(n.Off))
		switch n.Verdict {
		case NozzleWatch:
			ps.Warnf("nozzle-uneven", where, n.fix()+" and catch it again.", "%s; up to %s is even", what, wholePercent(WatchNozzle))
		case NozzleReject:
			ps.Errorf("nozzle-off", where, n.fix()+", and catch all nozzles again: the mean counts this one too.", "%s; over %s a nozzle is not used", what, wholePercent(RejectNozzle))
		}
	}
	return ps
}
