package route

import (
	"math"

	"tankful/calc/unit"
)

// Bound is a time that no plan for the day can go below: the work, the least filling, and
// the least drive that reaches every stop and comes home. It holds for every order, every
// split and every place to fill, and ignores windows.
//
// The drive is the Held-Karp bound (Held and Karp, The traveling-salesman problem and minimum
// spanning trees, Operations Research 18, 1970; from memory) over the yard and the stops, in
// the shortest-path closure of the driving times, each pair at the quicker of its directions.
func Bound(d *Day) unit.Time {
	if d.Check() != nil {
		return 0
	}
	work := unit.Time(0)
	for i := range d.Stops {
		work += d.Stops[i].Service
	}
	return work + d.leastFill() + d.leastDrive()
}

// leastFill is hooking up as often as the fullest tanks make needful, at the quickest point,
// and taking on all mix and the least heels at the strongest one.
func (d *Day) leastFill() unit.Time {
	best := unit.Time(math.Inf(1))
	hook, tick := unit.Time(math.Inf(1)), unit.Time(math.Inf(1))
	for _, f := range d.Fills {
		hook, tick = min(hook, f.HookUp), min(tick, f.PerTick)
	}
	for _, mixes := range d.assignments() {
		visits, total := Ticks(1), Ticks(0)
		for m, h := range d.holds(mixes) {
			if n := d.demand(m); n > 0 {
				visits = max(visits, (n+h-1)/h)
				total += n + d.leastHeel(mixes, m)
			}
		}
		best = min(best, unit.Time(visits)*hook+unit.Time(total)*tick)
	}
	return best
}

// leastHeel is the smallest heel of the tanks that carry mix m: one of them is wetted at least.
func (d *Day) leastHeel(tankMix []int, m int) Ticks {
	least := Ticks(math.MaxInt)
	for t, tm := range tankMix {
		if tm == m && d.Tanks[t].Usable > 0 {
			least = min(least, d.Tanks[t].Heel)
		}
	}
	return least
}

func (d *Day) leastDrive() unit.Time {
	t := closure(d.Drive)
	places := []int{d.Yard}
	seen := map[int]bool{d.Yard: true}
	for i := range d.Stops {
		if p := d.Stops[i].Place; !seen[p] {
			seen[p] = true
			places = append(places, p)
		}
	}
	n := len(places)
	w := make([][]float64, n)
	for i := range w {
		w[i] = make([]float64, n)
		for j := range w[i] {
			w[i][j] = float64(min(t[places[i]][places[j]], t[places[j]][places[i]]))
		}
	}
	switch n {
	case 1:
		return 0
	case 2:
		return t[places[0]][places[1]] + t[places[1]][places[0]]
	}
	return unit.Time(heldKarp(w))
}

// closure is the shortest driving times when detours over other places are allowed.
func closure(drive [][]unit.Time) [][]unit.Time {
	t := make([][]unit.Time, len(drive))
	for i := range t {
		t[i] = append([]unit.Time(nil), drive[i]...)
	}
	for k := range t {
		for i := range t {
			for j := range t {
				t[i][j] = min(t[i][j], t[i][k]+t[k][j])
			}
		}
	}
	return t
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
