package dayfile

import (
	"strings"

	"github.com/goccy/go-yaml/ast"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/plan"
)

// Entry is one value of a flat file, as written, with its place.
type Entry struct{ Text, Where string }

// Flat reads a file of plain keys: each has one text or a list of texts. keys are the known ones,
// apart by spaces; an unknown key is an error. It is read as strictly as a day file, and what
// the texts mean is the caller's to say. A key that is not there is not in the map.
func Flat(name string, data []byte, keys string) (map[string][]Entry, problem.List) {
	r := &reader{file: name, day: &plan.Day{Where: name}}
	entries := map[string][]Entry{}
	if root, ok := r.syntax(data); ok {
		if o, ok := root.object(keys); ok {
			for key := range strings.FieldsSeq(strings.ReplaceAll(keys, "!", "")) {
				if c := o.at(key); c.node != nil {
					entries[key] = c.entries()
				}
			}
		}
	}
	r.problems.Sort()
	return entries, r.problems
}

// entries is one text, or a list of them.
func (c cursor) entries() []Entry {
	if _, ok := c.node.(*ast.SequenceNode); ok {
		return list(c, func(c cursor) Entry { return Entry{c.text(), c.where()} })
	}
	return []Entry{{c.text(), c.where()}}
}

// Labels reads the entries "products" and "limits" of a file and nothing else of it: a day file serves, and so
// does a list of products with the local limits kept apart.
func Labels(name string, data []byte) ([]label.Product, []label.Limit, problem.List) {
	r := &reader{file: name, day: &plan.Day{Where: name}, names: map[kind][]string{}}
	var limits []label.Limit
	if root, ok := r.syntax(data); ok {
		if o, ok := root.pairs(); ok {
			if !o.has("products") {
				o.at("products").fail("missing-key", "Add products, as in a day file.", "products is missing")
			}
			r.day.Products = list(o.at("products"), r.readProduct)
			limits = r.readLimits(o.at("limits"))
		}
	}
	r.problems.Sort()
	return r.day.Products, limits, r.problems
}

// readLimits reads the local limits; the products must have been read.
func (r *reader) readLimits(c cursor) []label.Limit {
	return list(c, func(c cursor) (l label.Limit) {
		if r.clean(func() { l = r.readLimit(c, r.day.Products, nil, "", "") }) {
			r.problems = append(r.problems, l.Validate(r.day.Products)...)
		}
		return l
	})
}
