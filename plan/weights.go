package plan

import (
	"tankful/calc/unit"
	"tankful/plan/route"
	"tankful/plan/route/bound"
)

// Weights are what the user says that things cost besides their time, so that of two plans the one with fewer minutes need not be the better. The zero value is the usual: a
// minute of overtime counts as two, and tankfuls and splits decide between plans of like time. What must not be weighs more than all of it, whatever is said here.
type Weights struct {
	// Overtime is what OvertimeEach of overtime counts for beside itself. OvertimeEach 0 is the usual.
	Overtime, OvertimeEach unit.Time
	// Refill is for each tankful, Split for each further tankful that a stop is spread over; 0 is the usual.
	Refill, Split unit.Time
	// Drive is for each DriveEach of road. DriveEach 0 is the usual, nothing.
	Drive     unit.Time
	DriveEach unit.Length
	Where     string
}

// The most that weights may be: what must not be is to weigh more. MostWeight is for a tankful or a split and for each mile, MostOvertime for each minute of overtime. A tick of mix left over weighs an hour.
const (
	MostWeight   = unit.Hour
	MostOvertime = 60 * unit.Minute
)

// PerOvertime is what a minute of overtime counts for beside itself.
func (w *Weights) PerOvertime() unit.Time {
	if w.OvertimeEach == 0 {
		return unit.Minute
	}
	share := float64(unit.Minute) / float64(w.OvertimeEach)
	return unit.Time(share) * w.Overtime
}

// PerMile is what a mile of road counts for beside its time.
func (w *Weights) PerMile() unit.Time { return w.toll(unit.Mile) }

// toll is what a way by road counts for beside its time.
func (w *Weights) toll(road unit.Length) unit.Time {
	if w.DriveEach == 0 {
		return 0
	}
	times := float64(road) / float64(w.DriveEach)
	return unit.Time(times) * w.Drive
}

// checkWeights refuses weights that are none, or so large that what must not be would be the cheaper.
func (m *maker) checkWeights() {
	w := &m.day.Weights
	where := orElse(w.Where, m.day.Where)
	m.duration(w.Overtime, where, "the weight of overtime")
	m.duration(w.OvertimeEach, where, "the overtime that its weight is for")
	m.duration(w.Refill, where, "the weight of a refill")
	m.duration(w.Split, where, "the weight of a split")
	m.duration(w.Drive, where, "the weight of driving")
	if w.DriveEach != 0 && !positive(w.DriveEach) {
		m.problems.Errorf("weight-invalid", where, "Enter a length such as 1 mi.", "the road that the weight of driving is for is no length")
		return
	}
	for _, x := range []struct {
		is, most unit.Time
		what     string
	}{
		{w.Refill, MostWeight, "a refill"}, {w.Split, MostWeight, "a split"}, {w.PerMile(), MostWeight, "a mile of road"}, {w.PerOvertime(), MostOvertime, "a minute of overtime"},
	} {
		if x.is > x.most*(1+1e-9) {
			m.problems.Errorf("weight-too-large", where, "Enter no more than "+unit.Minutes(x.most)+" for it.", "%s counts for %s: it would weigh as much as mix that is left over", x.what, unit.Minutes(x.is))
		}
	}
}

// weigh states the weights for the solver; the drives must be known.
func (r *router) weigh() {
	w := &r.maker.day.Weights
	r.day.Weights.Over = float64(w.PerOvertime() / unit.Minute)
	r.day.Weights.Load, r.day.Weights.Split = max(w.Refill, route.Usual.Load), max(w.Split, route.Usual.Split)
	if !(w.PerMile() > 0) {
		return
	}
	for i := range r.cells {
		row := make([]unit.Time, len(r.cells))
		for j := range row {
			row[j] = w.toll(r.cells[i][j].road)
		}
		r.day.Toll = append(r.day.Toll, row)
	}
}

// weighed states what the plan weighs beside its bound, where the user has weights.
func (r *router) weighed(b bound.Bound) {
	if !r.day.Weighed() {
		return
	}
	is, least := r.answer.Plan.Weighed(r.day.Weights), b.Weighed
	if over := least - is; over > 0 && over < 1e-9*is { // the same sum in another order
		least = is
	}
	r.plan.WeighedMinutes, r.plan.BoundWeighedMinutes = is.In(unit.Minute), least.In(unit.Minute)
	r.plan.Bound += " " + bound.SayWeighed(is, least)
}
