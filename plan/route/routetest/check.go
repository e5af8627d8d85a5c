package routetest

import (
	"fmt"
	"math"
	"slices"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// Check is everything that must hold of a plan and does not: it reads the plan as a crew would, event by event and tank by tank, and holds every
// figure in it against the day. It shares no code with route.Day.Clock.
func Check(d *route.Day, p *route.Plan) []error {
	c := checker{d: d, p: p, sprayed: make([]route.Ticks, len(d.Stops)), where: make([]int, len(d.Stops)), legs: make([]int, len(d.Stops))}
	for i := range c.where {
		c.where[i] = -1
	}
	if len(p.Runs) != len(d.Shifts) {
		return []error{fmt.Errorf("%d runs for %d shifts", len(p.Runs), len(d.Shifts))}
	}
	if !c.indices() { // what points nowhere can not be followed
		return c.errs
	}
	for s := range p.Runs {
		c.s, c.sh, c.r = s, &d.Shifts[s], &p.Runs[s]
		c.tanks()
		c.times()
		c.tolls()
	}
	c.stops()
	c.sums()
	return c.errs
}

type checker struct {
	d       *route.Day
	p       *route.Plan
	errs    []error
	s       int
	sh      *route.Shift
	r       *route.Run
	sprayed []route.Ticks
	where   []int
	legs    []int
	loads   int
	left    route.Ticks
	late    unit.Time
	toll    unit.Time
}

func (c *checker) errorf(format string, args ...any) {
	c.errs = append(c.errs, fmt.Errorf("shift %d: "+format, append([]any{c.s}, args...)...))
}

func near(a, b unit.Time) bool { return math.Abs(float64(a-b)) <= 1e-6*(1+math.Abs(float64(b))) }

// tanks follows what is in each tank, and which passes it goes on.
func (c *checker) tanks() {
	level, mix, left := make([]route.Ticks, len(c.sh.Tanks)), make([]int, len(c.sh.Tanks)), route.Ticks(0)
	for i, t := range c.sh.Tanks {
		mix[i] = route.NoMix
		if t.Held != nil {
			mix[i], level[i] = t.Held.Mix, t.Heel+t.Held.Left
		}
	}
	for k := range c.r.Legs {
		leg := &c.r.Legs[k]
		for _, x := range leg.Rinsed {
			if mix[x.Tank] != x.From || c.d.Rinse == nil || c.d.Rinse[x.From][x.To].Never || x.Time != c.d.Rinse[x.From][x.To].Time || x.Lost != level[x.Tank]-c.sh.Tanks[x.Tank].Heel {
				c.errorf("leg %d: rinse %+v of a tank with %d of mix %d", k, x, level[x.Tank], mix[x.Tank])
			}
			left += level[x.Tank] - c.sh.Tanks[x.Tank].Heel
			mix[x.Tank], level[x.Tank] = route.NoMix, 0
		}
		c.loads += len(leg.Loads)
		for i := range leg.Loads {
			l := &leg.Loads[i]
			t := &c.sh.Tanks[l.Tank]
			if mix[l.Tank] != route.NoMix && mix[l.Tank] != l.Mix {
				c.errorf("leg %d: mix %d goes into tank %d with mix %d, not rinsed", k, l.Mix, l.Tank, mix[l.Tank])
			}
			least := t.Least
			if t.Mark > 0 { // no fuller than the highest mark
				least = min(least, (t.Usable+t.Heel)/t.Mark*t.Mark-t.Heel)
			}
			if leg.Fill == route.NoFill && l.Put != 0 || l.Put > 0 && !route.Allows(t.Mixes, l.Mix) || l.Put < 0 || l.Volume <= 0 || l.Extra < 0 {
				c.errorf("leg %d: load %+v", k, l)
			}
			mix[l.Tank] = l.Mix
			level[l.Tank] += l.Put
			if level[l.Tank] > t.Usable+t.Heel {
				c.errorf("leg %d: tank %d holds %d, filled to %d", k, l.Tank, t.Usable+t.Heel, level[l.Tank])
			}
			if l.Put > 0 && l.Volume+l.Extra < least || l.Extra > max(0, least-l.Volume) {
				c.errorf("leg %d: a load of %d and %d more, the least is %d", k, l.Volume, l.Extra, least)
			}
			if t.Mark > 0 && l.Put > 0 && (level[l.Tank]-l.Extra)%t.Mark != 0 && l.Extra == 0 {
				c.errorf("leg %d: tank %d is filled to %d, the marks are %d apart", k, l.Tank, level[l.Tank], t.Mark)
			}
		}
		c.weight(k, level, mix)
		for i := range leg.Loads {
			l := &leg.Loads[i]
			level[l.Tank] -= l.Volume + l.Extra
			left += l.Extra
			if over := level[l.Tank] - c.sh.Tanks[l.Tank].Heel; over < 0 || leg.Fill != route.NoFill && l.Put > 0 && over > 0 && over >= max(1, c.sh.Tanks[l.Tank].Mark) {
				c.errorf("leg %d: tank %d is left with %d above its heel", k, l.Tank, over)
			}
			c.parts(k, l)
		}
	}
	for i := range level {
		if mix[i] != route.NoMix {
			left += level[i] - c.sh.Tanks[i].Heel
		}
	}
	if left != c.r.Leftover {
		c.errorf("%d are left over, stated %d", left, c.r.Leftover)
	}
	c.left += left
}

func (c *checker) weight(k int, level []route.Ticks, mix []int) {
	if c.sh.Payload == 0 || c.r.Legs[k].Fill == route.NoFill {
		return
	}
	mass := unit.Mass(0)
	for i := range level {
		if mix[i] != route.NoMix {
			mass += c.d.Mixes[mix[i]].PerTick * unit.Mass(level[i])
		}
	}
	if mass > c.sh.Payload*(1+1e-9) {
		c.errorf("leg %d: %v of mix over a payload of %v", k, mass, c.sh.Payload)
	}
}

// parts holds a load's parts against its volume and the passes that are next at each stop.
func (c *checker) parts(k int, l *route.Load) {
	sum := route.Ticks(0)
	for _, q := range l.Parts {
		st := &c.d.Stops[q.Stop]
		sum += q.Volume
		begin := c.sprayed[q.Stop]
		end := begin + q.Volume
		c.sprayed[q.Stop] = end
		at := route.Ticks(0)
		first, last := -1, -1
		for i, n := range st.Passes {
			if n > 0 && at < end && at+n > begin {
				if first < 0 {
					first = i
				}
				last = i
				if i == q.To && (q.Within != (at+n > end)) || i == q.To && q.Within && q.IntoLast != end-at {
					c.errorf("leg %d, stop %d: part %+v ends %d ticks into the stop", k, q.Stop, q, end)
				}
			}
			at += n
		}
		if st.Mix != l.Mix || q.From > first || q.To < last || q.Whole != (end == at) || slices.ContainsFunc(st.Passes[q.From:max(first, q.From)], positive) {
			c.errorf("leg %d, stop %d: part %+v, it covers passes %d to %d", k, q.Stop, q, first, last)
		}
	}
	if sum != l.Volume {
		c.errorf("leg %d: parts of %d in a load of %d", k, sum, l.Volume)
	}
}

func positive(n route.Ticks) bool { return n > 0 }

// times follows the clock.
func (c *checker) times() {
	now, at, rank := c.sh.From, c.sh.Start, math.MinInt
	var drive, fill, rinse, work, wait, late, lunch unit.Time
	var lates, shut []int
	done := map[int]route.Ticks{}
	pause := func(leg, visit int, arrive unit.Time) unit.Time { // what of the lunch lies before an arrival, or in the wait there
		if l := c.r.Lunch; l != nil && l.Leg == leg && l.Visit == visit {
			lunch += l.Until - l.At
			if l.At < c.sh.Lunch.From || !near(l.Until-l.At, c.sh.Lunch.Length) || l.At < now-1e-9 {
				c.errorf("lunch %+v at %v", l, now)
			}
			return l.Until - l.At
		}
		return 0
	}
	for k := range c.r.Legs {
		leg := &c.r.Legs[k]
		if leg.Fill != route.NoFill {
			f := &c.d.Fills[leg.Fill]
			ate := pause(k, -1, leg.Arrive)
			drive += c.d.Drive[at][f.Place]
			in := leg.Begin - now - c.d.Drive[at][f.Place] - ate // idle
			if !near(leg.DriveTo, c.d.Drive[at][f.Place]) || in < -1e-6 || in > 1e-6 && !near(leg.Begin, f.Open) && !(c.r.Lunch != nil && near(leg.Begin, c.r.Lunch.Until)) || leg.Begin < f.Open-1e-6 || !route.Allows(f.Shifts, c.s) {
				c.errorf("leg %d: filling begins at %v, free at %v", k, leg.Begin, now)
			}
			c.arrival(leg.Arrive, now+c.d.Drive[at][f.Place], now, ate)
			wait += max(in, 0)
			if over := leg.Begin - f.Close; f.Close > 0 && over > 0 {
				late += over
				shut = append(shut, k)
			}
			put, rinses := route.Ticks(0), unit.Time(0)
			for i := range leg.Loads {
				put += leg.Loads[i].Put
			}
			for _, x := range leg.Rinsed {
				rinses += x.Time
			}
			filling := f.HookUp + f.PerTick*unit.Time(put)
			if put == 0 || !near(leg.End-leg.Begin, filling+rinses) {
				c.errorf("leg %d: %v of filling, want %v and %v", k, leg.End-leg.Begin, filling, rinses)
			}
			fill, rinse = fill+filling, rinse+rinses
			now, at = leg.End, f.Place
		}
		for i := range leg.Visits {
			v := &leg.Visits[i]
			st := &c.d.Stops[v.Stop]
			ate := pause(k, i, v.Arrive)
			again := c.where[v.Stop] >= 0
			joined := i > 0 && c.d.Stops[leg.Visits[i-1].Stop].Site == st.Site
			way := c.d.Drive[at][st.Place]
			idle := v.Begin - now - way - ate
			want := now + way + ate
			if !again && !joined {
				want = max(want, st.From)
				if l := c.r.Lunch; ate > 0 && l.At >= now+way { // in the wait
					want = max(l.Until, st.From)
				}
			}
			if !near(v.DriveTo, way) || !near(v.Begin, want) || v.Again != again || v.Joined != joined {
				c.errorf("leg %d: visit %+v, free at %v, want to begin at %v", k, v, now, want)
			}
			c.arrival(v.Arrive, now+way, now, ate)
			if over := v.Begin - st.Until; st.Until > 0 && over > 0 && !again && !joined {
				late += over
				lates = append(lates, v.Stop)
			}
			if again && c.where[v.Stop] != c.s || !route.Allows(st.Shifts, c.s) || st.Rank < rank {
				c.errorf("leg %d: stop %d may not be done here", k, v.Stop)
			}
			rank = st.Rank
			need := route.Ticks(0)
			for _, n := range st.Passes {
				need += n
			}
			takes := st.Work
			if need > 0 {
				takes = st.Work * unit.Time(v.Volume) / unit.Time(need)
			}
			done[v.Stop] += v.Volume
			if !joined {
				takes += st.SetUp
			}
			if st.Back != nil && done[v.Stop] < need {
				sum := route.Ticks(0)
				for q, n := range st.Passes {
					if sum += n; sum >= done[v.Stop] {
						takes += st.Back[q]
						break
					}
				}
			}
			if !near(v.Done-v.Begin, takes) {
				c.errorf("stop %d takes %v, want %v", v.Stop, v.Done-v.Begin, takes)
			}
			if !slices.ContainsFunc(leg.Visits[:i], func(x route.Visit) bool { return x.Stop == v.Stop }) {
				c.legs[v.Stop]++
			}
			c.where[v.Stop] = c.s
			drive, work, wait = drive+way, work+takes, wait+max(idle, 0)
			now, at = v.Done, st.Place
		}
	}
	if len(c.r.Legs) > 0 {
		if !near(c.r.Home, c.d.Drive[at][c.sh.End]) {
			c.errorf("%v home, the drive is %v", c.r.Home, c.d.Drive[at][c.sh.End])
		}
		now += c.d.Drive[at][c.sh.End]
		drive += c.d.Drive[at][c.sh.End]
		if c.sh.Lunch.Length > 0 && c.r.Lunch == nil && c.missedLunch() {
			c.errorf("no lunch")
		}
	} else {
		now = c.sh.From
	}
	over := unit.Time(0)
	if c.sh.Until > 0 && now > c.sh.Until {
		if over = now - c.sh.Until; c.sh.Hard {
			late, over = late+over, 0
		}
	}
	for _, x := range [][2]unit.Time{{c.r.Drive, drive}, {c.r.Fill, fill}, {c.r.Rinse, rinse}, {c.r.Work, work}, {c.r.Wait, wait}, {c.r.Over, over}, {c.r.Late, late}, {c.r.Finish, now}} {
		if !near(x[0], x[1]) {
			c.errorf("stated %v of [drive fill rinse work wait over late finish], want %v", x[0], x[1])
		}
	}
	if !slices.Equal(lates, c.r.Lates) || !slices.Equal(shut, c.r.Shut) {
		c.errorf("late at %v and filled after hours on %v, stated %v and %v", lates, shut, c.r.Lates, c.r.Shut)
	}
	if c.sh.Legs > 0 && len(c.r.Legs) > c.sh.Legs {
		c.errorf("%d legs, the most is %d", len(c.r.Legs), c.sh.Legs)
	}
	after := unit.Time(0)
	if l := c.r.Lunch; l != nil && c.sh.Lunch.Until > 0 {
		after = max(0, l.At-c.sh.Lunch.Until)
	}
	if !near(c.r.LunchLate, after) {
		c.errorf("lunch %v after its window, stated %v", after, c.r.LunchLate)
	}
	if c.r.Lunch != nil && lunch == 0 {
		c.errorf("lunch %+v on no drive and in no wait", c.r.Lunch)
	}
	c.late += late
}

// arrival holds an arrival against the drive, and a lunch before it; a lunch in the wait comes after.
func (c *checker) arrival(got, drive, free, ate unit.Time) {
	if l := c.r.Lunch; !near(got, drive) && !(ate > 0 && l.At <= free+1e-6 && near(got, drive+ate)) {
		c.errorf("arrives at %v, free at %v, the drive ends at %v", got, free, drive)
	}
}

// missedLunch reports whether work was begun after the lunch was due.
func (c *checker) missedLunch() bool {
	for k := range c.r.Legs {
		for i := range c.r.Legs[k].Visits {
			v := &c.r.Legs[k].Visits[i]
			if !v.Joined && v.Arrive-v.DriveTo >= c.sh.Lunch.From {
				return true
			}
		}
	}
	return false
}

// stops holds what each stop got against what it needs.
func (c *checker) stops() {
	splits := 0
	for k, i := range c.p.Left {
		if k > 0 && i <= c.p.Left[k-1] {
			c.errorf("stops left out are not in order: %v", c.p.Left)
		}
	}
	for i := range c.d.Stops {
		need := route.Ticks(0)
		for _, n := range c.d.Stops[i].Passes {
			need += n
		}
		left := slices.Contains(c.p.Left, i)
		switch {
		case left && (c.where[i] >= 0 || c.sprayed[i] > 0):
			c.errorf("stop %d is left out and done", i)
		case !left && (c.where[i] < 0 || c.sprayed[i] != need):
			c.errorf("stop %d gets %d of %d", i, c.sprayed[i], need)
		case !left:
			splits += c.legs[i] - 1
		}
		if c.d.Stops[i].Whole && c.legs[i] > 1 && need <= c.most(c.where[i], c.d.Stops[i].Mix) {
			c.errorf("stop %d is split, and may not be", i)
		}
	}
	if splits != c.p.Splits {
		c.errorf("%d splits, stated %d", splits, c.p.Splits)
	}
}

// most is what all tanks of a shift hold of a mix on one trip.
func (c *checker) most(s, mix int) route.Ticks {
	sum := route.Ticks(0)
	for _, t := range c.d.Shifts[s].Tanks {
		if route.Allows(t.Mixes, mix) {
			sum += max(t.Room(), 0)
		}
	}
	if c.d.Shifts[s].Payload > 0 {
		return 0 // a payload may ask for it
	}
	return sum
}

// tolls adds up what the drives of a run cost besides, from place to place.
func (c *checker) tolls() {
	sum, places := unit.Time(0), []int{c.sh.Start}
	for k := range c.r.Legs {
		if f := c.r.Legs[k].Fill; f != route.NoFill {
			places = append(places, c.d.Fills[f].Place)
		}
		for _, v := range c.r.Legs[k].Visits {
			places = append(places, c.d.Stops[v.Stop].Place)
		}
	}
	if len(c.r.Legs) > 0 {
		places = append(places, c.sh.End)
	}
	for i := 1; i < len(places) && c.d.Toll != nil; i++ {
		sum += c.d.Toll[places[i-1]][places[i]]
	}
	if !near(c.r.Toll, sum) {
		c.errorf("a toll of %v, want %v", c.r.Toll, sum)
	}
	c.toll += sum
}

// sums holds the plan's sums against its runs.
func (c *checker) sums() {
	var drive, fill, rinse, work, wait, over, lunch unit.Time
	for i := range c.p.Runs {
		r := &c.p.Runs[i]
		drive, fill, rinse, work = drive+r.Drive, fill+r.Fill, rinse+r.Rinse, work+r.Work
		wait, over, lunch = wait+r.Wait, over+r.Over, lunch+r.LunchLate
	}
	for _, x := range [][2]unit.Time{{c.p.Drive, drive}, {c.p.Fill, fill}, {c.p.Rinse, rinse}, {c.p.Work, work}, {c.p.Wait, wait}, {c.p.Over, over}, {c.p.Late, c.late}, {c.p.LunchLate, lunch}} {
		if !near(x[0], x[1]) {
			c.errorf("stated %v of [drive fill rinse work wait over late lunch] in all, want %v", x[0], x[1])
		}
	}
	if !near(c.p.Toll, c.toll) {
		c.errorf("a toll of %v in all, want %v", c.p.Toll, c.toll)
	}
	if c.p.Loads != c.loads || c.p.Leftover != c.left {
		c.errorf("stated %d loads and %d left over, want %d and %d", c.p.Loads, c.p.Leftover, c.loads, c.left)
	}
}
