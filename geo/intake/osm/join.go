package osm

import "slices"

// join strings ways together by their end nodes. Rings begin and end with the same node; open holds what does not
// close. Where a chain comes back to one of its own joints, that part is a ring by itself.
func join(ways []*way) (rings, open [][]int64) {
	j := &joiner{at: map[int64][]int{}}
	for _, w := range ways {
		switch {
		case closed(w.refs):
			rings = append(rings, w.refs)
		case len(w.refs) > 1:
			n := len(j.ways)
			j.ways = append(j.ways, w.refs)
			j.at[w.refs[0]] = append(j.at[w.refs[0]], n)
			end := w.refs[len(w.refs)-1]
			j.at[end] = append(j.at[end], n)
		}
	}
	j.used = make([]bool, len(j.ways))
	for i := range j.ways {
		if j.used[i] {
			continue
		}
		j.used[i] = true
		if chain := j.follow(slices.Clone(j.ways[i])); len(chain) > 1 {
			open = append(open, chain)
		}
	}
	return append(rings, j.rings...), open
}

// joiner is the open ways of one relation.
type joiner struct {
	ways  [][]int64
	at    map[int64][]int // ways by end node
	used  []bool
	rings [][]int64
}

// follow lengthens a chain at its end, and then at its start, and cuts off every ring that closes. It gives back
// what is left: one node when all of it closed.
func (j *joiner) follow(chain []int64) []int64 {
	for range 2 {
		joints := map[int64]int{chain[0]: 0, chain[len(chain)-1]: len(chain) - 1}
		order := []int64{chain[0], chain[len(chain)-1]}
		for len(chain) > 1 {
			end := chain[len(chain)-1]
			next := j.next(end)
			if next == nil {
				break
			}
			chain = append(chain, next[1:]...)
			end = chain[len(chain)-1]
			from, back := joints[end]
			if !back {
				joints[end] = len(chain) - 1
				order = append(order, end)
				continue
			}
			j.rings = append(j.rings, slices.Clone(chain[from:]))
			chain = chain[:from+1]
			for order[len(order)-1] != end {
				delete(joints, order[len(order)-1])
				order = order[:len(order)-1]
			}
		}
		slices.Reverse(chain)
	}
	return chain
}

// next takes an unused way that ends at a node, and gives it running away from there; nil when there is none.
func (j *joiner) next(end int64) []int64 {
	list := j.at[end]
	for len(list) > 0 {
		i := list[len(list)-1]
		list = list[:len(list)-1]
		j.at[end] = list
		if j.used[i] {
			continue
		}
		j.used[i] = true
		refs := j.ways[i]
		if refs[0] != end {
			refs = slices.Clone(refs)
			slices.Reverse(refs)
		}
		return refs
	}
	return nil
}
