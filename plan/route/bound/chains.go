package bound

import (
	"math"
	"math/bits"

	"tankful/calc/unit"
)

// layers are costs by set: without a trip that ends a shift, and with one.
type layers [2][]float64

// least is the cheapest way to spray all stops of the group, without and with a trip that ends a shift, where begin is what each shift brings besides.
func (g *group) least(price []float64, begin float64, split bool) (no, one float64) {
	c, e := g.trips(price, begin)
	if split && g.split {
		g.pairs(c, e)
		g.threes(c, e)
	}
	all := len(g.volume) - 1
	f := infinite(all + 1)
	f[0] = 0
	for s := 1; s <= all; s++ {
		low := s & -s
		for r := s &^ low; ; r = (r - 1) & (s &^ low) {
			if x := e[0][low|r] + f[s&^(low|r)]; x < f[s] {
				f[s] = x
			}
			if r == 0 {
				break
			}
		}
	}
	one = math.Inf(1)
	for s := 1; s <= all; s++ {
		one = min(one, e[1][s]+f[all&^s])
	}
	return f[all], one
}

// trips are the costs of one trip by set, at prices of fill points: c of any that leads through it, e of those that spray it whole.
func (g *group) trips(price []float64, begin float64) (c, e layers) {
	n, d := len(g.volume), g.b.d
	tick := unit.Time(math.Inf(1))
	for f := range d.Fills {
		tick = min(tick, d.Fills[f].PerTick)
	}
	for k := range c {
		c[k], e[k] = infinite(n), infinite(n)
	}
	for s := 1; s < n; s++ {
		if !g.reached[s] {
			continue
		}
		whole := [2]float64{math.Inf(1), math.Inf(1)}
		for f := range d.Fills {
			on, end := math.Inf(1), g.home[f][s]+price[f]+begin
			for x := range d.Fills {
				on = min(on, g.between[f][x][s]+price[f]-price[x])
			}
			if len(d.Shifts) > 1 {
				on = min(on, end)
			}
			slow := float64(d.Fills[f].PerTick-tick) * float64(g.volume[s]) // beyond what Of counts
			for k, x := range [2]float64{on, end} {
				c[k][s], whole[k] = min(c[k][s], x), min(whole[k], x+slow)
			}
		}
		if g.fits[s] {
			e[0][s], e[1][s] = whole[0], whole[1]
		}
	}
	return c, e
}

// pairs enters what two trips cost that share a stop x, one with p besides and the other with q.
func (g *group) pairs(c, e layers) {
	all, cut := len(g.volume)-1, g.b.split
	for p := 0; p <= all; p++ {
		if g.volume[p] > g.hold {
			continue
		}
		free := all &^ p
		for q := free; ; q = (q - 1) & free {
			if q <= p && g.volume[q] <= g.hold {
				for r := free &^ q; r > 0; r &= r - 1 {
					x := r & -r
					if s := p | q | x; g.volume[s] <= 2*g.hold {
						e[0][s] = min(e[0][s], c[0][p|x]+c[0][q|x]+cut)
						e[1][s] = min(e[1][s], c[1][p|x]+c[0][q|x]+cut, c[0][p|x]+c[1][q|x]+cut)
					}
				}
			}
			if q == 0 {
				break
			}
		}
	}
}

// threes enters what three trips cost that are linked by stops x and y, which may be one. The first trip, with p, is full and leaves a part of x, the
// second, with q, is full and leaves a part of y: what is to be shared is sprayed by the earlier trip as far as it can.
func (g *group) threes(c, e layers) {
	all, n := len(g.volume)-1, len(g.stops)
	var two layers // by set that is done, and stop of which a part is
	for k := range two {
		two[k] = infinite((all + 1) * n)
	}
	for p := 0; p <= all; p++ {
		if g.volume[p] > g.hold {
			continue
		}
		free := all &^ p
		for q := free; ; q = (q - 1) & free {
			if g.volume[q] <= g.hold {
				g.twoTrips(c, two, p, q)
			}
			if q == 0 {
				break
			}
		}
	}
	for s := 0; s <= all; s++ {
		free := all &^ s
		for y := range n {
			is, end := two[0][s*n+y]+2*g.b.split, two[1][s*n+y]+2*g.b.split // two splits link three trips
			if math.IsInf(is, 1) && math.IsInf(end, 1) {
				continue
			}
			rest := free &^ (1 << y)
			for r := rest; ; r = (r - 1) & rest {
				if k := s | r | 1<<y; g.volume[k] <= 3*g.hold {
					e[0][k] = min(e[0][k], is+c[0][r|1<<y])
					e[1][k] = min(e[1][k], is+c[1][r|1<<y], end+c[0][r|1<<y])
				}
				if r == 0 {
					break
				}
			}
		}
	}
}

// twoTrips enters what the first two of three trips cost.
func (g *group) twoTrips(c, two layers, p, q int) {
	n, u := len(g.stops), g.hold
	out := (len(g.volume) - 1) &^ (p | q)
	for r := out; r > 0; r &= r - 1 {
		x := r & -r
		if g.volume[p|x] <= u {
			continue
		}
		for z := out; z > 0; z &= z - 1 {
			y := z & -z
			if g.volume[p|q|x|y] <= 2*u || y != x && g.volume[p|q|x] > 2*u {
				continue
			}
			k := (p|q|x)&^y*n + bits.TrailingZeros(uint(y))
			two[0][k] = min(two[0][k], c[0][p|x]+c[0][q|x|y])
			two[1][k] = min(two[1][k], c[1][p|x]+c[0][q|x|y], c[0][p|x]+c[1][q|x|y])
		}
	}
}
