package bound

import (
	"math"
	"slices"
)

// The most steps of the ascent, and the work, in looks at a way, after which it ends.
const mostSteps, mostWork = 300, 6e8

// ascend is the best bound found on the trips of a net, moving prices against what the cheapest trips do too much or too little of each stop.
func (n *net) ascend() float64 {
	k := len(n.parts)
	a := &ascent{net: n, to: newPaths(k, n.units), price: make([]float64, k), done: make([]float64, k), back: make([][]float64, k), forth: make([][]float64, k), left: make([][]float64, k)}
	a.even = slices.Equal(n.in, n.out)
	for i := range k {
		for j := range k {
			a.forth[i] = append(a.forth[i], n.way[j][i])
			a.back[i] = append(a.back[i], n.way[i][j])
			a.even = a.even && n.way[i][j] == n.way[j][i]
		}
		a.left[i] = make([]float64, len(n.parts[i]))
		a.price[i] = (n.in[i] + n.out[i]) * n.asked[i] / float64(n.units)
	}
	if a.from = a.to; !a.even {
		a.from = newPaths(k, n.units)
	}
	best, step, idle := 0.0, 1.0, 0
	goal := 0.8 * n.greedy()
	steps := min(mostSteps, int(mostWork/(float64(n.units)*float64(k*k)*2)))
	for range steps {
		bound := a.bound()
		if idle++; bound > best {
			if bound > best*1.0001 {
				idle = 0
			}
			best = bound
		}
		if idle > min(15, steps/20) {
			step, idle = step*0.7, 0
		}
		if !a.move(step * (max(best*1.02, goal) - bound)) {
			break
		}
	}
	return best
}

// ascent is the prices of the moment and what trips come of them.
type ascent struct {
	*net
	even        bool // ways are the same both ways
	to, from    *paths
	forth, back [][]float64
	price       []float64   // of each stop, for its whole need; not below 0
	trip        float64     // of a trip
	left        [][]float64 // of each part of a stop: what it costs less what it is paid
	done        []float64   // how often the cheapest trips do each stop
	trips       float64     // how many they are
}

// bound is a bound on the cost of all trips at the moment's prices.
//
// What a plan's trips cost is, prices taken off, at least the sum over its visits of the visit's share by volume in its trip. So each
// stop brings at least its volume times the least that any trip through it has left a unit: of a trip with less than nothing left, its
// rounded units are no more than it sprays; of one with more, it sprays no more than it may. Prices are not below 0, so
// doing a stop more than once only costs; that of a trip is counted by the fewest trips, or, below 0, by the most.
func (a *ascent) bound() float64 {
	for i := range a.parts {
		for k, x := range a.parts[i] {
			a.left[i][k] = x.cost - a.price[i]*x.share
		}
	}
	a.to.find(a.out, a.forth, a.parts, a.left)
	if !a.even {
		a.from.find(a.in, a.back, a.parts, a.left)
	}
	count := float64(a.least)
	if a.trip < 0 {
		count = float64(a.most)
	}
	sum := a.trip * count
	clear(a.done)
	a.trips = 0
	for i := range a.parts {
		t := a.through(i)
		if math.IsInf(t.value, 1) {
			return 0
		}
		sum += a.price[i] + t.value
		w := t.often
		a.trips += w / t.part.share
		at := func(i int, x part) { a.done[i] += w / t.part.share * x.share }
		at(i, t.part)
		a.to.walk(t.q1, i, t.e1, a.parts, at)
		a.from.walk(t.q2, i, t.e2, a.parts, at)
	}
	return sum
}

// through is the trip by way of a stop that has least left for it: a path to it, a part of it, and a path from it.
type through struct {
	value, often   float64 // often: how many such trips the stop stands for
	units          int
	q1, e1, q2, e2 int
	part           part
}

func (a *ascent) through(i int) through {
	best := through{value: math.Inf(1)}
	few := a.parts[i][0].units
	for q := 0; q+few <= a.units; q++ { // units before and after
		t := a.meet(i, q)
		ways := t.value
		if math.IsInf(t.value, 1) {
			continue
		}
		for k, x := range a.parts[i] {
			if t.units = q + x.units; t.units > a.units {
				break
			}
			left := ways + a.left[i][k] - a.trip
			t.often, t.part = a.weight[i]/float64(t.units), x
			if left > 0 && !a.exact {
				t.often = a.asked[i] / float64(a.units)
			}
			if t.value = left * t.often; t.value < best.value {
				best = t
			}
		}
	}
	return best
}

// meet is the cheapest pair of paths to and from a stop with q units on both; they do not come from the same stop.
func (a *ascent) meet(i, q int) through {
	n := len(a.parts)
	t := through{value: math.Inf(1)}
	most := q
	if a.even {
		most = q / 2
	}
	f, g := &a.to.come, &a.from.come
	for q1 := 0; q1 <= most; q1++ {
		x, y := q1*n+i, (q-q1)*n+i
		if f.cost[0][x]+g.cost[0][y] >= t.value {
			continue
		}
		for e1 := range 2 {
			for e2 := range 2 {
				if by := f.by[e1][x]; by != none && by == g.by[e2][y] {
					continue
				}
				if c := f.cost[e1][x] + g.cost[e2][y]; c < t.value {
					t = through{value: c, q1: q1, e1: e1, q2: q - q1, e2: e2}
				}
			}
		}
	}
	return t
}

// move changes the prices by a step whose length is for a gain that is hoped for. It gives false when there is nothing to change.
func (a *ascent) move(gain float64) bool {
	over := 0.0
	for _, x := range a.done {
		over += (x - 1) * (x - 1)
	}
	trips := a.trips - float64(a.least)
	if a.most > 0 && a.most < a.least+1 {
		over += trips * trips
	} else if trips < 0 || a.trip > 0 {
		over += trips * trips
	}
	if over < 1e-9 || gain <= 0 {
		return false
	}
	g := gain / over
	for i, x := range a.done {
		a.price[i] = max(0, a.price[i]-g*(x-1))
	}
	a.trip -= g * trips
	if a.most != a.least {
		a.trip = max(0, a.trip)
	}
	return true
}

// greedy is what trips cost that go on to the nearest stop as long as they have units for it: what the ascent hopes for, and no bound.
func (n *net) greedy() float64 {
	sum, todo := 0.0, len(n.parts)
	did := make([]bool, todo)
	at, left := none, n.units
	for todo > 0 {
		next, way := none, math.Inf(1)
		for i := range n.parts {
			w := n.out[i]
			if at != none {
				w = n.way[at][i]
			}
			if !did[i] && w < way && (at == none || int(n.weight[i]) <= left) {
				next, way = i, w
			}
		}
		if next == none {
			sum += n.in[at]
			at, left = none, n.units
			continue
		}
		did[next] = true
		todo--
		sum += way
		at, left = next, left-int(n.weight[next])
	}
	return sum + n.in[at]
}
