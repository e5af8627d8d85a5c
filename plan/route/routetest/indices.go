package routetest

import "tankful/plan/route"

// indices reports whether all that a plan points to is there: stops, tanks, mixes, passes, fill points.
func (c *checker) indices() bool {
	for s := range c.p.Runs {
		c.s, c.sh = s, &c.d.Shifts[s]
		for k := range c.p.Runs[s].Legs {
			leg := &c.p.Runs[s].Legs[k]
			if leg.Fill != route.NoFill || k > 0 { // only the first leg may be without a fill visit
				c.index("fill point", leg.Fill, len(c.d.Fills))
			}
			for _, v := range leg.Visits {
				c.index("stop visited", v.Stop, len(c.d.Stops))
			}
			for _, x := range leg.Rinsed {
				c.index("tank rinsed", x.Tank, len(c.sh.Tanks))
				c.index("mix rinsed out", x.From, len(c.d.Mixes))
				c.index("mix rinsed for", x.To, len(c.d.Mixes))
			}
			for i := range leg.Loads {
				c.load(&leg.Loads[i])
			}
		}
	}
	for _, i := range c.p.Left {
		c.index("stop left out", i, len(c.d.Stops))
	}
	return len(c.errs) == 0
}

func (c *checker) load(l *route.Load) {
	c.index("tank filled", l.Tank, len(c.sh.Tanks))
	c.index("mix filled", l.Mix, len(c.d.Mixes))
	for _, q := range l.Parts {
		if c.index("stop of a part", q.Stop, len(c.d.Stops)) {
			c.index("first pass", q.From, len(c.d.Stops[q.Stop].Passes))
			c.index("last pass", q.To, len(c.d.Stops[q.Stop].Passes))
		}
	}
}

func (c *checker) index(what string, i, n int) bool {
	if i < 0 || i >= n {
		c.errorf("%s: %d of %d", what, i, n)
		return false
	}
	return true
}
