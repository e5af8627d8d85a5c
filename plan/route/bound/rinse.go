package bound

import (
	"math"

	"tankful/calc/unit"
)

// mostMixes is how many mixes are put in every order.
const mostMixes = 10

// leastRinse is what changes of mix cost at the least: every mix that is asked for is in some tank, each tank begins with any of them, and what changes cost is closed, so that the
// cheapest way is a division of the mixes into no more orders than there are tanks. Beyond mostMixes it is the cheapest change for each mix too many.
func (b *bounder) leastRinse() unit.Time {
	var mixes []int
	tanks := 0
	for m := range b.d.Mixes {
		if b.need(m) > 0 {
			mixes = append(mixes, m)
		}
	}
	for s := range b.d.Shifts {
		tanks += len(b.d.Shifts[s].Tanks)
	}
	if len(mixes) <= tanks || b.d.Rinse == nil {
		return 0
	}
	cost := b.rinses()
	if len(mixes) > mostMixes {
		least := math.Inf(1)
		for _, from := range mixes {
			for _, to := range mixes {
				if from != to {
					least = min(least, cost[from][to])
				}
			}
		}
		if math.IsInf(least, 1) {
			return 0
		}
		return unit.Time(len(mixes)-tanks) * unit.Time(least)
	}
	least := leastOrders(mixes, cost, tanks)
	if math.IsInf(least, 1) {
		return 0 // no such plan
	}
	return unit.Time(least)
}

// rinses is what a change of mix costs when it may go by way of others; +Inf for never.
func (b *bounder) rinses() [][]float64 {
	n := len(b.d.Mixes)
	t := make([][]float64, n)
	for i := range t {
		t[i] = make([]float64, n)
		for j := range t[i] {
			switch r := b.d.Rinse[i][j]; {
			case i == j:
			case r.Never:
				t[i][j] = math.Inf(1)
			default:
				t[i][j] = float64(r.Time)
			}
		}
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

// leastOrders is the least sum of changes over at most so many orders that have all mixes.
func leastOrders(mixes []int, cost [][]float64, most int) float64 {
	n := len(mixes)
	at := make([][]float64, most) // by orders begun less one; by set and last
	for k := range at {
		at[k] = infinite(n << n)
	}
	for i := range n {
		at[0][(1<<i)*n+i] = 0
	}
	best := math.Inf(1)
	for k := range at {
		for s := 1; s < 1<<n; s++ {
			for last := range n {
				is := at[k][s*n+last]
				if math.IsInf(is, 1) {
					continue
				}
				if s == 1<<n-1 {
					best = min(best, is)
				}
				for next := range n {
					if s>>next&1 == 1 {
						continue
					}
					to := (s|1<<next)*n + next
					at[k][to] = min(at[k][to], is+cost[mixes[last]][mixes[next]])
					if k+1 < most {
						at[k+1][to] = min(at[k+1][to], is)
					}
				}
			}
		}
	}
	return best
}
