package cut

import "tankful/plan/route"

// The sizes of one mix's tankfuls, for one tank that holds U of mix above its heel and whose agitator asks for fillings of m or more; D is what is to be sprayed.

// Fewest is the fewest tankfuls for a need: any plan has L >= ceil(D/U), because D is the sum of L loads of at most U each.
func Fewest(need, usable route.Ticks) int {
	if need <= 0 || usable <= 0 {
		return 0
	}
	return int((need + usable - 1) / usable)
}

// Exact reports whether loads of between least and usable can add up to the need when stops may be split, and how many there are then. L loads
// in [m, U] with the sum D exist if and only if L*m <= D <= L*U (take D/L each). L*m grows with L, so that when the fewest loads are too many for their
// least, every larger number is as well. When m <= U/2 every need of m or more is met: for L = ceil(D/U) >= 2, D > (L-1)*U >= (L-1)*2m >= L*m.
func Exact(need, usable, least route.Ticks) (loads int, ok bool) {
	loads = Fewest(need, usable)
	return loads, need == 0 || usable > 0 && route.Ticks(loads)*least <= need
}

// Balanced are loads of like size: of all that add up to the need their smallest is the largest and their largest the smallest.
func Balanced(need route.Ticks, loads int) []route.Ticks {
	out := make([]route.Ticks, loads)
	for i := range out {
		out[i] = need/route.Ticks(loads) + boolTick(route.Ticks(i) < need%route.Ticks(loads))
	}
	return out
}

func boolTick(x bool) route.Ticks {
	if x {
		return 1
	}
	return 0
}

// Choices are what is left where no loads add up to the need: one load fewer, full, which leaves Short of turf undone; or all loads at their
// least, with Over left in the tank. Loads is the number of the latter.
type Choices struct {
	Loads       int
	Short, Over route.Ticks
}

// Nearest are the choices for a need that Exact refuses.
func Nearest(need, usable, least route.Ticks) Choices {
	l := Fewest(need, usable)
	return Choices{Loads: l, Short: need - route.Ticks(l-1)*usable, Over: route.Ticks(l)*least - need}
}

// Greedy are the loads when each takes whole stops in order until the next does not fit. For a fixed order, no splitting and no least volume no plan has
// fewer: by induction greedy has, after k loads, done at least as many stops as any plan; and any two loads in a row are over U together, so that there are at most
// 2*ceil(D/U)-1. It gives false when a stop is over a tankful.
func Greedy(needs []route.Ticks, usable route.Ticks) ([]route.Ticks, bool) {
	var out []route.Ticks
	for _, n := range needs {
		if n > usable {
			return nil, false
		}
		if k := len(out); k > 0 && out[k-1]+n <= usable {
			out[k-1] += n
			continue
		}
		out = append(out, n)
	}
	return out, true
}
