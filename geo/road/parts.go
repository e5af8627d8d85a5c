package road

// returning gives each junction the number of its part, in which every junction is reached from every other: of the largest, and of others of at least a twentieth
// of it; -1 for junctions of smaller ones, so that no place comes to lie on a street that leads nowhere. The parts are found by Tarjan's algorithm (Depth-first search and linear graph algorithms,
// SIAM Journal on Computing 1, 1972; from memory), with a stack of its own.
func (g *Graph) returning() []int32 {
	n := len(g.nodes)
	index, low, part := make([]int32, n), make([]int32, n), make([]int32, n)
	for i := range part {
		part[i] = -1
	}
	type frame struct{ node, next int32 }
	var open []int32
	var stack []frame
	var sizes []int
	count := int32(0)
	for root := range n {
		if index[root] != 0 {
			continue
		}
		stack = append(stack[:0], frame{int32(root), g.first[root]})
		count++
		index[root], low[root] = count, count
		open = append(open, int32(root))
		for len(stack) > 0 {
			f := &stack[len(stack)-1]
			v := f.node
			if f.next < g.first[v+1] {
				w := g.arcs[f.next].to
				f.next++
				switch {
				case index[w] == 0:
					count++
					index[w], low[w] = count, count
					open = append(open, w)
					stack = append(stack, frame{w, g.first[w]})
				case part[w] < 0:
					low[v] = min(low[v], index[w])
				}
				continue
			}
			stack = stack[:len(stack)-1]
			if len(stack) > 0 {
				u := stack[len(stack)-1].node
				low[u] = min(low[u], low[v])
			}
			if low[v] == index[v] {
				size := 0
				for w := int32(-1); w != v; size++ {
					w = open[len(open)-1]
					open = open[:len(open)-1]
					part[w] = int32(len(sizes))
				}
				sizes = append(sizes, size)
			}
		}
	}
	largest := 0
	for _, s := range sizes {
		largest = max(largest, s)
	}
	for i, p := range part {
		if 20*sizes[p] < largest {
			part[i] = -1
		}
	}
	return part
}
