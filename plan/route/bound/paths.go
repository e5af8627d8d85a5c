package bound

import "math"

// pairs are, for every number of units sprayed and every stop, the cheapest path and the cheapest that comes by way of another stop, so that no trip need go
// from a stop to another and straight back. The index is units*n + stop.
type pairs struct {
	cost [2][]float64
	by   [2][]int16 // the stop before, none at the trip's end
	part [2][]int16 // what is done at the stop; not set before that is done
}

const none = -1

func newPairs(size int) pairs {
	var p pairs
	for k := range 2 {
		p.cost[k], p.by[k], p.part[k] = make([]float64, size), make([]int16, size), make([]int16, size)
	}
	return p
}

func (p *pairs) clear() {
	for k := range 2 {
		for i := range p.cost[k] {
			p.cost[k][i], p.by[k][i] = math.Inf(1), none
		}
	}
}

// offer keeps a path when it is one of the two to keep.
func (p *pairs) offer(at int, c float64, by, part int) {
	if c >= p.cost[1][at] {
		return
	}
	k := 1
	switch first := p.cost[0][at]; {
	case int(p.by[0][at]) == by && !math.IsInf(first, 1):
		if c >= first {
			return
		}
		k = 0
	case c < first:
		p.cost[1][at], p.by[1][at], p.part[1][at] = first, p.by[0][at], p.part[0][at]
		k = 0
	}
	p.cost[k][at], p.by[k][at], p.part[k][at] = c, int16(by), int16(part)
}

// other is which of the two paths does not come from a stop.
func (p *pairs) other(at, stop int) int {
	if int(p.by[0][at]) == stop {
		return 1
	}
	return 0
}

// paths are the cheapest ways of a trip from its beginning to every stop, before (come) and after (done) what it does there; or, with all ways turned
// round, from a stop to the trip's end.
type paths struct {
	n, units   int
	come, done pairs
}

func newPaths(n, units int) *paths {
	return &paths{n: n, units: units, come: newPairs((units + 1) * n), done: newPairs((units + 1) * n)}
}

// find sets all paths: first is the way to a first stop, way[to][from] that between stops, left[i][k] what part k of stop i costs less what it is paid.
func (p *paths) find(first []float64, way [][]float64, parts [][]part, left [][]float64) {
	p.come.clear()
	p.done.clear()
	for q := range p.units {
		for i := range p.n {
			if q+parts[i][0].units > p.units {
				continue
			}
			at := q*p.n + i
			if q == 0 {
				p.come.offer(at, first[i], none, 0)
			} else {
				p.arrive(q, i, way[i])
			}
			for e := range 2 {
				c := p.come.cost[e][at]
				if math.IsInf(c, 1) {
					break
				}
				for k, x := range parts[i] {
					if q+x.units > p.units {
						break
					}
					p.done.offer(at+x.units*p.n, c+left[i][k], int(p.come.by[e][at]), k)
				}
			}
		}
	}
}

// arrive sets the paths to stop i after q units.
func (p *paths) arrive(q, i int, way []float64) {
	lo, hi := q*p.n, (q+1)*p.n
	cost, by, alt := p.done.cost[0][lo:hi], p.done.by[0][lo:hi], p.done.cost[1][lo:hi]
	a, b := math.Inf(1), math.Inf(1)
	aj, bj := none, none
	for j, c := range cost {
		if int(by[j]) == i {
			c = alt[j]
		}
		if c += way[j]; c < b && j != i {
			if c < a {
				a, b, aj, bj = c, a, j, aj
			} else {
				b, bj = c, j
			}
		}
	}
	p.come.cost[0][lo+i], p.come.by[0][lo+i] = a, int16(aj)
	p.come.cost[1][lo+i], p.come.by[1][lo+i] = b, int16(bj)
}

// walk tells what a path does before it comes to stop i, from its end.
func (p *paths) walk(q, i, e int, parts [][]part, visit func(i int, x part)) {
	for {
		j := int(p.come.by[e][q*p.n+i])
		if j == none {
			return
		}
		at := q*p.n + j
		e = p.done.other(at, i)
		x, from := parts[j][p.done.part[e][at]], p.done.by[e][at]
		visit(j, x)
		q, i = q-x.units, j
		e = 0
		if p.come.by[0][q*p.n+i] != from {
			e = 1
		}
	}
}
