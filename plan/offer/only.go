package offer

import "slices"

// Only is the quotes of one property alone, with a fingerprint of their own; nil when it is not among them.
func (q *Quotes) Only(property string) *Quotes {
	i := slices.IndexFunc(q.Quotes, func(x Quote) bool { return x.Property == property })
	if i < 0 {
		return nil
	}
	one := *q
	one.Quotes, one.Left = []Quote{q.Quotes[i]}, []string{}
	one.Problems = q.Quotes[i].Problems
	one.Fingerprint = one.fingerprint()
	return &one
}
