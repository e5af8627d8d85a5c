package route

import (
	"fmt"
	"math"
	"slices"

	"tankful/calc/unit"
)

// Clock reckons what a draft comes to: every tankful, every time of the clock, every sum. A window, a fill point's hours or a
// shift's end that is not kept is counted, not refused. The error tells a draft that cannot be done: a tank over its volume, a
// stop done twice or half, a change of mix that is forbidden.
func (d *Day) Clock(draft Draft) (*Plan, error) {
	if len(draft) != len(d.Shifts) {
		return nil, fmt.Errorf("%d shifts drafted of %d", len(draft), len(d.Shifts))
	}
	p := &Plan{Runs: make([]Run, len(d.Shifts))}
	c := clock{day: d, done: make([]Ticks, len(d.Stops)), by: make([]int, len(d.Stops)), legs: make([]int, len(d.Stops))}
	for i := range c.by {
		c.by[i] = -1
	}
	for s, trips := range draft {
		if err := c.shift(s, trips); err != nil {
			return nil, fmt.Errorf("shift %d: %w", s, err)
		}
		p.Runs[s] = c.run
	}
	for i := range d.Stops {
		switch {
		case c.by[i] < 0:
			p.Left = append(p.Left, i)
		case c.done[i] != d.Stops[i].Need():
			return nil, fmt.Errorf("stop %d gets %d of %d ticks", i, c.done[i], d.Stops[i].Need())
		default:
			p.Splits += c.legs[i] - 1
		}
	}
	p.sum()
	return p, nil
}

func (p *Plan) sum() {
	for i := range p.Runs {
		r := &p.Runs[i]
		p.Drive, p.Fill, p.Rinse, p.Work = p.Drive+r.Drive, p.Fill+r.Fill, p.Rinse+r.Rinse, p.Work+r.Work
		p.Wait, p.Over, p.Late, p.LunchLate = p.Wait+r.Wait, p.Over+r.Over, p.Late+r.Late, p.LunchLate+r.LunchLate
		p.Leftover += r.Leftover
		p.Toll += r.Toll
		for k := range r.Legs {
			p.Loads += len(r.Legs[k].Loads)
		}
	}
}

// clock runs one shift after the other.
type clock struct {
	day  *Day
	done []Ticks // of each stop
	by   []int   // which shift a stop is done in, -1 for none yet
	legs []int   // in how many legs

	shiftNo int
	sh      *Shift
	run     Run
	at      int
	now     unit.Time
	rank    int
	tanks   []content
	eaten   bool
	leg     *Leg
}

// content is what a tank has in it: its heel and Left ticks of a mix, or nothing.
type content struct {
	mix  int // NoMix when clean
	left Ticks
}

func (c *clock) shift(s int, trips []Trip) error {
	sh := &c.day.Shifts[s]
	c.shiftNo, c.sh, c.at, c.now, c.run, c.eaten, c.rank = s, sh, sh.Start, sh.From, Run{}, sh.Lunch.Length == 0, math.MinInt
	c.tanks = c.tanks[:0]
	for i := range sh.Tanks {
		k := content{mix: NoMix}
		if h := sh.Tanks[i].Held; h != nil {
			k = content{h.Mix, h.Left}
		}
		c.tanks = append(c.tanks, k)
	}
	if sh.Legs > 0 && len(trips) > sh.Legs {
		return fmt.Errorf("%d legs of at most %d", len(trips), sh.Legs)
	}
	for k := range trips {
		if err := c.trip(k, &trips[k]); err != nil {
			return fmt.Errorf("leg %d: %w", k, err)
		}
	}
	c.run.Finish = sh.From
	if len(trips) > 0 {
		c.run.Home = c.drive(sh.End)
		c.run.Finish = c.now
	}
	if over := c.run.Finish - sh.Until; sh.Until > 0 && over > 0 {
		if sh.Hard {
			c.run.Late += over
		} else {
			c.run.Over = over
		}
	}
	for _, k := range c.tanks {
		c.run.Leftover += k.left
	}
	return nil
}

func (c *clock) trip(k int, t *Trip) error {
	switch {
	case len(t.Mixes) != len(c.sh.Tanks):
		return fmt.Errorf("%d tanks have their mix told of %d", len(t.Mixes), len(c.sh.Tanks))
	case len(t.Takes) == 0:
		return fmt.Errorf("no work")
	case t.Fill == NoFill && k > 0:
		return fmt.Errorf("only the first leg is without a fill visit")
	}
	for _, k := range t.Takes {
		if k.Stop < 0 || k.Stop >= len(c.day.Stops) {
			return fmt.Errorf("stop %d of %d", k.Stop, len(c.day.Stops))
		}
	}
	for _, m := range t.Mixes {
		if m != NoMix && (m < 0 || m >= len(c.day.Mixes)) {
			return fmt.Errorf("mix %d of %d", m, len(c.day.Mixes))
		}
	}
	c.run.Legs = append(c.run.Legs, Leg{Fill: t.Fill, Mixes: slices.Clone(t.Mixes), Arrive: c.now, Begin: c.now, End: c.now})
	c.leg = &c.run.Legs[k]
	if t.Fill != NoFill {
		if err := c.reach(t.Fill); err != nil {
			return err
		}
		if err := c.rinse(t.Mixes); err != nil {
			return err
		}
	}
	if err := c.deal(t); err != nil {
		return err
	}
	seen := map[int]bool{}
	for i, take := range t.Takes {
		if err := c.visit(i, take, t.Takes[:i], seen); err != nil {
			return fmt.Errorf("stop %d: %w", take.Stop, err)
		}
	}
	return nil
}

// drive goes to a place; the pause, when it is due, comes first.
func (c *clock) drive(place int) unit.Time {
	t := c.day.Drive[c.at][place]
	c.run.Drive += t
	if c.day.Toll != nil {
		c.run.Toll += c.day.Toll[c.at][place]
	}
	c.now += t
	c.at = place
	return t
}

// wait lets the clock run on until t, with the pause in it where that is due.
func (c *clock) wait(t unit.Time) {
	if from := max(c.now, c.sh.Lunch.From); !c.eaten && from < t {
		c.run.Wait += from - c.now
		c.now = from
		c.pause()
	}
	if idle := t - c.now; idle > 0 {
		c.run.Wait += idle
		c.now = t
	}
}

// pause takes the lunch when its time has come.
func (c *clock) pause() {
	l := c.sh.Lunch
	if c.eaten || c.now < l.From {
		return
	}
	c.eaten = true
	c.run.Lunch = &Pause{At: c.now, Until: c.now + l.Length, Leg: len(c.run.Legs) - 1, Visit: len(c.leg.Visits)}
	if c.leg.Fill != NoFill && c.leg.End == 0 {
		c.run.Lunch.Visit = -1
	}
	if late := c.now - l.Until; l.Until > 0 && late > 0 {
		c.run.LunchLate = late
	}
	c.now += l.Length
}

// reach drives to the fill point and waits for it to open.
func (c *clock) reach(fill int) error {
	if fill < 0 || fill >= len(c.day.Fills) || !Allows(c.day.Fills[fill].Shifts, c.shiftNo) {
		return fmt.Errorf("fill point %d is not for this shift", fill)
	}
	f := &c.day.Fills[fill]
	c.leg.End = 0
	c.pause()
	c.leg.DriveTo = c.drive(f.Place)
	c.leg.Arrive = c.now
	c.wait(f.Open)
	if late := c.now - f.Close; f.Close > 0 && late > 0 {
		c.run.Late += late
		c.run.Shut = append(c.run.Shut, len(c.run.Legs)-1)
	}
	c.leg.Begin = c.now
	return nil
}

// rinse changes the mixes of the tanks; what they held above the heel is lost.
func (c *clock) rinse(mixes []int) error {
	for i, m := range mixes {
		k := &c.tanks[i]
		if m == NoMix || k.mix == NoMix || k.mix == m {
			continue
		}
		if c.day.Rinse == nil || c.day.Rinse[k.mix][m].Never {
			return fmt.Errorf("tank %d may not change from mix %d to %d", i, k.mix, m)
		}
		r := Rinsed{Tank: i, From: k.mix, To: m, Time: c.day.Rinse[k.mix][m].Time, Lost: k.left}
		c.leg.Rinsed = append(c.leg.Rinsed, r)
		c.run.Rinse += r.Time
		c.run.Leftover += r.Lost
		c.now += r.Time
		*k = content{mix: NoMix}
	}
	return nil
}

func (c *clock) visit(i int, t Take, before []Take, seen map[int]bool) error {
	st := &c.day.Stops[t.Stop]
	again := c.by[t.Stop] >= 0
	joined := i > 0 && c.day.Stops[before[i-1].Stop].Site == st.Site
	if err := c.may(t, st, again); err != nil {
		return err
	}
	if !joined {
		c.pause()
	}
	v := Visit{Stop: t.Stop, Again: again, Joined: joined, Volume: t.Volume, DriveTo: c.drive(st.Place)}
	v.Arrive = c.now
	if !again && !joined {
		c.wait(st.From)
		if late := c.now - st.Until; st.Until > 0 && late > 0 {
			c.run.Late += late
			c.run.Lates = append(c.run.Lates, t.Stop)
		}
	}
	v.Begin = c.now
	c.by[t.Stop] = c.shiftNo
	if seen[t.Stop] {
		return fmt.Errorf("it is visited twice on one leg")
	}
	c.legs[t.Stop]++
	seen[t.Stop] = true
	c.done[t.Stop] += t.Volume
	work := st.PartWork(c.done[t.Stop]-t.Volume, c.done[t.Stop])
	if !joined {
		work += st.SetUp
	}
	c.now += work
	c.run.Work += work
	v.Done = c.now
	c.leg.Visits = append(c.leg.Visits, v)
	return nil
}

// may tells why the take is not allowed.
func (c *clock) may(t Take, st *Stop, again bool) error {
	need := st.Need()
	switch {
	case again && c.by[t.Stop] != c.shiftNo:
		return fmt.Errorf("another shift has begun it")
	case !Allows(st.Shifts, c.shiftNo):
		return fmt.Errorf("it is not for this shift")
	case st.Rank < c.rank:
		return fmt.Errorf("work of a higher rank was done before")
	case need == 0 && (t.Volume != 0 || again) || need > 0 && t.Volume <= 0 || c.done[t.Stop]+t.Volume > need:
		return fmt.Errorf("%d ticks after %d of %d", t.Volume, c.done[t.Stop], need)
	}
	c.rank = st.Rank
	return nil
}

// PartWork is the walking for the ticks from one count of the stop's mix to another, with the way back to the truck where the work is broken off; no SetUp.
func (s *Stop) PartWork(from, to Ticks) unit.Time {
	need := s.Need()
	if need == 0 {
		return s.Work
	}
	work := s.Work * unit.Time(to-from) / unit.Time(need)
	if to < need {
		work += s.BackAt(to)
	}
	return work
}

// BackAt is the way back to the truck and out again from where the first n ticks end.
func (s *Stop) BackAt(n Ticks) unit.Time {
	if s.Back == nil {
		return 0
	}
	p, _ := s.passAt(n)
	return s.Back[p]
}

// passAt is the pass in which the first n ticks end, and how many ticks into it that is; a pass too small for a tick goes with the next.
func (s *Stop) passAt(n Ticks) (pass int, into Ticks) {
	at := Ticks(0)
	for k, q := range s.Passes {
		if at+q >= n {
			return k, n - at
		}
		at += q
	}
	return len(s.Passes) - 1, n - at
}
