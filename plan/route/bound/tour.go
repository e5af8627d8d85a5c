package bound

import (
	"math"

	"tankful/calc/unit"
)

// drive is the Held-Karp bound on a closed walk through the base, all stops and as many fill visits as there must be (Held and Karp, The traveling-salesman
// problem and minimum spanning trees, Operations Research 18, 1970; from memory). The base is all places where shifts begin or end, made one, and a fill visit is at all fill points,
// made one; each pair of places is taken at the quicker of its directions in the shortest-path closure.
//
// The drives of any plan, joined at the base, are a closed walk from the base through its stops and fill visits. In the closure, leaving a repeated visit of a stop out, or a fill visit
// beyond the fewest, makes it no longer. Where that leaves a trip without a stop, two fill visits come to follow each other; the trip had been to some stop, so that this link is
// priced as the way to the stop that is nearest to a fill point and back. So no plan drives less than the best tour.
func (b *bounder) drive(visits int) unit.Time {
	t := closure(b.d.Drive)
	stops := b.stopPlaces()
	near := func(p int, to func(add func(q int))) float64 {
		best := math.Inf(1)
		to(func(q int) { best = min(best, t[p][q], t[q][p]) })
		return best
	}
	bases := func(add func(int)) {
		for s := range b.d.Shifts {
			add(b.d.Shifts[s].Start)
			add(b.d.Shifts[s].End)
		}
	}
	fills := func(add func(int)) {
		for f := range b.d.Fills {
			add(b.d.Fills[f].Place)
		}
	}
	n := 1 + visits + len(stops)
	w := make([][]float64, n)
	for i := range w {
		w[i] = make([]float64, n)
	}
	set := func(i, j int, x float64) { w[i][j], w[j][i] = x, x }
	between, home := math.Inf(1), math.Inf(1)
	for i, p := range stops {
		fill, base := near(p, fills), near(p, bases)
		between = min(between, 2*fill)
		set(0, 1+visits+i, base)
		for k := range visits {
			set(1+k, 1+visits+i, fill)
		}
		for j := range i {
			set(1+visits+j, 1+visits+i, min(t[p][stops[j]], t[stops[j]][p]))
		}
	}
	fills(func(f int) { home = min(home, near(f, bases)) })
	for k := range visits {
		set(0, 1+k, home)
		for j := range k {
			set(1+j, 1+k, between)
		}
	}
	b.through(w, visits)
	switch n {
	case 1:
		return 0
	case 2:
		return unit.Time(2 * w[0][1])
	}
	return unit.Time(heldKarp(w))
}

// through opens the ways that joining the ends of shifts to one base opens: from the last stop of one to the first of another. A fill visit that is left out opens none: it was at one place.
func (b *bounder) through(w [][]float64, visits int) {
	n := len(w)
	for i := 1 + visits; i < n; i++ {
		for j := 1 + visits; j < n; j++ {
			if i == j {
				continue
			}
			w[i][j] = min(w[i][j], w[i][0]+w[0][j])
		}
	}
}

// heldKarp is the best one-tree bound found on a closed tour of three or more places.
func heldKarp(w [][]float64) float64 {
	n := len(w)
	pi := make([]float64, n)
	degree := make([]int, n)
	best, step := 0.0, 0.0
	for i := range w { // a first step of a share of the mean time to the nearest place
		near := math.Inf(1)
		for j := range w {
			if i != j {
				near = min(near, w[i][j])
			}
		}
		step += near / float64(n)
	}
	last := make([]int, n)
	for range 600 {
		l := oneTree(w, pi, degree)
		best = max(best, l)
		tour := true
		for i := range pi {
			pi[i] += step * (0.7*float64(degree[i]-2) + 0.3*float64(last[i])) // with a part of the last step, which damps swinging
			last[i] = degree[i] - 2
			tour = tour && degree[i] == 2
		}
		if tour {
			break
		}
		step *= 0.99
	}
	return best
}

// oneTree is the weight of the least one-tree with node prices pi, less twice their sum: a
// spanning tree of all places but the first (Prim), and the first place's two best links.
func oneTree(w [][]float64, pi []float64, degree []int) float64 {
	n := len(w)
	total := 0.0
	for i := range degree {
		degree[i] = 0
		total -= 2 * pi[i]
	}
	link := make([]int, n)
	dist := make([]float64, n)
	in := make([]bool, n)
	for i := 2; i < n; i++ {
		dist[i], link[i] = w[1][i]+pi[1]+pi[i], 1
	}
	in[1] = true
	for range n - 2 {
		k := -1
		for i := 2; i < n; i++ {
			if !in[i] && (k < 0 || dist[i] < dist[k]) {
				k = i
			}
		}
		in[k] = true
		total += dist[k]
		degree[k]++
		degree[link[k]]++
		for i := 2; i < n; i++ {
			if c := w[k][i] + pi[k] + pi[i]; !in[i] && c < dist[i] {
				dist[i], link[i] = c, k
			}
		}
	}
	a, b := -1, -1
	for i := 1; i < n; i++ {
		c := w[0][i] + pi[i]
		switch {
		case a < 0 || c < w[0][a]+pi[a]:
			a, b = i, a
		case b < 0 || c < w[0][b]+pi[b]:
			b = i
		}
	}
	total += w[0][a] + w[0][b] + 2*pi[0] + pi[a] + pi[b]
	degree[0], degree[a], degree[b] = 2, degree[a]+1, degree[b]+1
	return total
}
