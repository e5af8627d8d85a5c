package pass

const (
	// blocks is the most passes that are moved together.
	blocks = 8
	// kicks is how many trials are made for each pass, mostKicks in all.
	kicks, mostKicks = 12, 800
	// better is the least gain in metres that counts.
	better = 1e-6
	// early is what a strip before the lap of its part costs in metres: more than any walk saves.
	early = 10_000.0
	// wet is how many metres are walked to keep the hose off sprayed turf for one pass (common practice, no source).
	wet = 50.0
	// none stands for the truck before the first pass, and for what comes after the last.
	none = int32(-1)
)

// tour is an order of the passes, and at which of its ends each begins.
type tour struct {
	e   *passEnds
	seq []int32 // the ends at which the passes begin, in order
	pos []int   // where each pass is in seq
	// laps is nil when there are none.
	laps *laps
	// under is the passes on whose turf the hose to each pass lies; nil when that does not matter.
	under [][]int32
	done  []flip  // what was turned, for turning it back
	now   float64 // the penalty of the order as it is,
	walk  float64 // and its walking
	queue []int32 // passes whose neighbourhood has changed
	in    []bool
}

// flip is a stretch of the order that was turned round.
type flip struct{ i, j int }

func newTour(e *passEnds) *tour {
	n := len(e.at) / 2
	return &tour{e: e, pos: make([]int, n), in: make([]bool, n)}
}

// set makes seq the order.
func (t *tour) set(seq []int32) {
	t.seq = seq
	for i, end := range seq {
		t.pos[end>>1] = i
	}
	t.now, t.walk = t.penalty(), 0
	for i := range seq {
		t.walk += t.step(t.leave(i-1), t.enter(i))
	}
}

// enter is where the i-th pass begins, leave where it ends; none beyond the ends of the tour.
func (t *tour) enter(i int) int32 {
	if i < 0 || i >= len(t.seq) {
		return none
	}
	return t.seq[i]
}

func (t *tour) leave(i int) int32 {
	if i < 0 || i >= len(t.seq) {
		return none
	}
	return t.seq[i] ^ 1
}

// step is the cost of going on from a to b: the tour may begin anywhere but for the walk from the truck, and end anywhere.
func (t *tour) step(a, b int32) float64 {
	switch {
	case b == none:
		return 0
	case a == none:
		return t.e.approach(b)
	}
	return t.e.cost(a, b)
}

// least is what step is at least.
func (t *tour) least(a, b int32) float64 {
	if a == none || b == none {
		return t.step(a, b)
	}
	return t.e.least(a, b)
}

// cost is that of the whole tour.
func (t *tour) cost() float64 { return t.walk + t.now }

// penalty is what an order costs beside walking.
func (t *tour) penalty() float64 {
	if t.laps == nil && t.under == nil {
		return 0
	}
	sum := 0.0
	if t.laps != nil {
		last := make([]int, t.laps.parts)
		for p, lap := range t.laps.lap {
			if lap {
				last[t.laps.part[p]] = max(last[t.laps.part[p]], t.pos[p])
			}
		}
		for p, lap := range t.laps.lap {
			if !lap && t.pos[p] < last[t.laps.part[p]] {
				sum += early
			}
		}
	}
	return sum + wet*float64(t.onWet(t.under))
}

// onWet is how many passes are walked with the hose on turf that is sprayed.
func (t *tour) onWet(under [][]int32) (n int) {
	for p := range under {
		for _, q := range under[p] {
			if t.pos[q] < t.pos[p] {
				n++
				break
			}
		}
	}
	return n
}

// flip turns the i-th to the j-th pass round.
func (t *tour) flip(i, j int) {
	for a, b := i, j; a <= b; a, b = a+1, b-1 {
		t.seq[a], t.seq[b] = t.seq[b]^1, t.seq[a]^1
		t.pos[t.seq[a]>>1], t.pos[t.seq[b]>>1] = a, b
	}
	t.done = append(t.done, flip{i, j})
}

// back undoes what was turned since.
func (t *tour) back(since int) {
	for k := len(t.done) - 1; k >= since; k-- {
		f := t.done[k]
		t.flip(f.i, f.j)
	}
	t.done = t.done[:since]
}

// hop is two ends that follow on each other.
type hop [2]int32

// change is the hops that a change of the tour opens, and those that it makes.
type change struct{ opens, makes [3]hop }

// saves is what the change saves in walking.
func (t *tour) saves(c *change) (gain float64) {
	for i := range c.opens {
		gain += t.step(c.opens[i][0], c.opens[i][1]) - t.step(c.makes[i][0], c.makes[i][1])
	}
	return gain
}

// pays is what the change saves if that is more than better, found with as few ways as that takes.
func (t *tour) pays(c *change) (gain float64, ok bool) {
	for i := range c.opens {
		gain += t.step(c.opens[i][0], c.opens[i][1]) - t.least(c.makes[i][0], c.makes[i][1])
	}
	for i := 0; i < len(c.makes) && gain > better; i++ {
		gain += t.least(c.makes[i][0], c.makes[i][1]) - t.step(c.makes[i][0], c.makes[i][1])
	}
	return gain, gain > better
}

// flipping is the change of turning the i-th to the j-th pass round.
func (t *tour) flipping(i, j int) change {
	a, b, c, d := t.leave(i-1), t.enter(i), t.leave(j), t.enter(j+1)
	return change{opens: [3]hop{{a, b}, {c, d}, {none, none}}, makes: [3]hop{{a, c}, {b, d}, {none, none}}}
}

// move puts the i-th to the j-th pass behind the k-th, outside of them; -1 is before all.
func (t *tour) move(i, j, k int, turned bool) {
	n := j - i // one less than the passes moved
	if k > j {
		t.flip(i, k)
		t.flip(i, k-n-1)
		if !turned {
			t.flip(k-n, k)
		}
		return
	}
	t.flip(k+1, j)
	t.flip(k+n+2, j)
	if !turned {
		t.flip(k+1, k+1+n)
	}
}

// moving is the change that this is.
func (t *tour) moving(i, j, k int, turned bool) change {
	first, last := t.enter(i), t.leave(j)
	a, d, c, f := t.leave(i-1), t.enter(j+1), t.leave(k), t.enter(k+1)
	opens := [3]hop{{a, first}, {last, d}, {c, f}}
	if turned {
		first, last = last, first
	}
	return change{opens, [3]hop{{a, d}, {c, first}, {last, f}}}
}

// attempt makes a change if it saves something, penalties included.
func (t *tour) attempt(c change, make func()) bool {
	gain, ok := t.pays(&c)
	if !ok {
		return false
	}
	since := len(t.done)
	make()
	p := t.penalty()
	if p-t.now > gain-better {
		t.back(since)
		return false
	}
	t.now = p
	t.walk -= gain
	return true
}

// touch has the passes at and beside these places looked at again.
func (t *tour) touch(places ...int) {
	for _, i := range places {
		for k := max(i, 0); k <= min(i+1, len(t.seq)-1); k++ {
			if p := t.seq[k] >> 1; !t.in[p] {
				t.in[p] = true
				t.queue = append(t.queue, p)
			}
		}
	}
}

// settle makes changes until none that is tried saves anything.
func (t *tour) settle() {
	for len(t.queue) > 0 {
		p := t.queue[0]
		t.queue = t.queue[1:]
		t.in[p] = false
		for t.improveAt(p) {
		}
	}
	t.queue = t.queue[:0]
}

// improveAt tries to join the ends of pass p to ends near them, by turning a stretch of the tour
// (2-opt) or by moving some passes (Or 1976; both from memory), and reports whether that saved anything.
func (t *tour) improveAt(p int32) bool {
	for end := 2 * p; end <= 2*p+1; end++ {
		i := t.pos[p]
		enters := t.enter(i) == end
		now := 0.0
		if enters {
			now = t.step(t.leave(i-1), end)
		} else {
			now = t.step(end, t.enter(i+1))
		}
		for _, c := range t.e.near[end] {
			if t.e.least(end, c) >= now-better {
				if t.e.straight(end, c) >= now {
					break
				}
				continue
			}
			if t.join(i, enters, c) {
				return true
			}
		}
	}
	return false
}

// join tries the changes after which the i-th pass is entered from c, or c follows on it.
func (t *tour) join(i int, enters bool, c int32) bool {
	m := t.pos[c>>1]
	if entersToo := t.enter(m) == c; entersToo == enters {
		lo, hi := min(i, m), max(i, m)
		if enters {
			hi--
		} else {
			lo++
		}
		if t.attempt(t.flipping(lo, hi), func() { t.flip(lo, hi) }) {
			t.touch(lo-1, hi)
			return true
		}
	}
	k := m // behind c, or before it
	if t.enter(m) == c {
		k = m - 1
	}
	turned := enters == (k == m-1)
	for n := range min(blocks, len(t.seq)-1) {
		a, b := i, i+n
		if !enters {
			a, b = i-n, i
		}
		if a < 0 || b >= len(t.seq) || m >= a && m <= b {
			break
		}
		if k == a-1 || k == b {
			continue
		}
		if t.attempt(t.moving(a, b, k, turned), func() { t.move(a, b, k, turned) }) {
			t.touch(a-1, b, k, k-(b-a)-1, k+(b-a)+1)
			return true
		}
	}
	return false
}

// improve makes the tour shorter: changes until none helps, then kicks and changes again, each kept where it saved something
// (iterated local search, Lourenco, Martin and Stuetzle 2003; from memory).
func (t *tour) improve() {
	n := len(t.seq)
	for i := range n {
		t.touch(i)
	}
	t.settle()
	if n < 4 {
		return
	}
	for k := range min(kicks*n, mostKicks) {
		walk, penalty := t.walk, t.now
		t.done = t.done[:0]
		t.kick(uint64(k))
		t.settle()
		if t.cost() > walk+penalty-better {
			t.back(0)
			t.walk, t.now = walk, penalty
		}
	}
}

// kick swaps two stretches that follow each other; the places come from its number.
func (t *tour) kick(k uint64) {
	draw := func(n int) int { // a number below n (Steele, Lea and Flood 2014: SplitMix64; from memory)
		k += 0x9e3779b97f4a7c15
		z := k
		z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
		z = (z ^ z>>27) * 0x94d049bb133111eb
		return int((z ^ z>>31) % uint64(n))
	}
	k <<= 32
	n := len(t.seq)
	far := min(n-1, 10)
	a := draw(n - 1)
	b := a + draw(min(far, n-1-a))
	c := b + 1 + draw(min(far, n-1-b))
	turned := draw(2) == 1
	ch := t.moving(a, b, c, turned)
	t.walk -= t.saves(&ch)
	t.move(a, b, c, turned)
	t.now = t.penalty()
	t.touch(a-1, a+c-b-1, c)
}
