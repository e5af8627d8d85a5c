package bound

import (
	"math"

	"tankful/calc/unit"
)

// tour is the Held-Karp bound on a closed walk through the base and all stops (Held and Karp, The traveling-salesman problem and minimum
// spanning trees, Operations Research 18, 1970; from memory). The base is all places where shifts begin or end, made one; each pair is taken at the
// quicker of its directions in the shortest-path closure. The drives of any plan, joined at the base, are a closed walk through all stops, and in
// the closure a walk is no shorter than the best tour.
func (b *bounder) tour() unit.Time {
	t := closure(b.d.Drive)
	stops := b.stopPlaces()
	n := len(stops) + 1
	w := make([][]float64, n)
	for i := range w {
		w[i] = make([]float64, n)
	}
	for i := 1; i < n; i++ {
		base := math.Inf(1)
		for s := range b.d.Shifts {
			base = min(base, t[b.d.Shifts[s].Start][stops[i-1]], t[stops[i-1]][b.d.Shifts[s].End])
		}
		w[0][i], w[i][0] = base, base
		for j := 1; j < i; j++ {
			w[i][j] = min(t[stops[i-1]][stops[j-1]], t[stops[j-1]][stops[i-1]])
			w[j][i] = w[i][j]
		}
	}
	for i := 1; i < n; i++ { // the base, being several places in one, opens shorter ways
		for j := 1; j < n; j++ {
			if i != j {
				w[i][j] = min(w[i][j], w[i][0]+w[0][j])
			}
		}
	}
	switch n {
	case 1:
		return 0
	case 2:
		return unit.Time(2 * w[0][1])
	}
	return unit.Time(heldKarp(w))
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
	for range 400 {
		l := oneTree(w, pi, degree)
		best = max(best, l)
		tour := true
		for i := range pi {
			pi[i] += step * float64(degree[i]-2)
			tour = tour && degree[i] == 2
		}
		if tour {
			break
		}
		step *= 0.985
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

// loads is a bound on driving by loads.
func (b *bounder) loads(int) unit.Time { return 0 }
