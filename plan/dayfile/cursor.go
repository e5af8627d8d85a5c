package dayfile

import (
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"tankful/calc/problem"
)

// cursor is a place in the file. Reading where nothing stands (node nil) gives the zero value
// and no problem: a missing required key was reported by object.
type cursor struct {
	r    *reader
	node ast.Node
	path string
	line int
}

// cursor steps to a node; what YAML can do beyond plain entries is refused here, so that the
// line that a reader sees is all that counts.
func (r *reader) cursor(n ast.Node, path string, line int) cursor {
	c := cursor{r: r, path: path, line: line}
	refuse := func(what string) {
		c.fail("yaml-feature", "Write the value out in full.", "%s is not read: each value must stand where it counts", what)
	}
	for {
		switch v := n.(type) {
		case *ast.AnchorNode:
			refuse("an anchor (&)")
			n = v.Value
		case *ast.TagNode:
			refuse("a tag (!)")
			n = v.Value
		case *ast.AliasNode:
			refuse("an alias (*)")
			return c
		case nil:
			return c
		default:
			c.node = n
			return c
		}
	}
}

// where is the place as problems and nouns give it: "day.yaml:41 mixes[0].products[1].rate".
func (c cursor) where() string {
	w := fmt.Sprintf("%s:%d", c.r.file, c.line)
	if c.path != "" {
		w += " " + c.path
	}
	return w
}

func (c cursor) fail(code, fix, format string, args ...any) {
	c.r.problems.Errorf(code, c.where(), fix, format, args...)
}

// key is the last part of the path, for texts: "rate".
func (c cursor) key() string {
	k := c.path[strings.LastIndexByte(c.path, '.')+1:]
	if k == "" {
		return "the file"
	}
	return k
}

// sort is what stands at the place, in a crew lead's words.
func (c cursor) sort() string {
	switch c.node.(type) {
	case *ast.MappingNode, *ast.MappingValueNode:
		return "a group of keys"
	case *ast.SequenceNode:
		return "a list"
	case *ast.NullNode:
		return "empty"
	case *ast.BoolNode:
		return "true or false"
	}
	return "a text"
}

func (c cursor) wrong(want string) {
	if c.sort() == "empty" {
		c.fail("empty-value", "Write "+want+" after the colon, or remove the key.", "%s is empty", c.key())
		return
	}
	c.fail("wrong-type", "Write "+want+" here.", "%s is %s, not %s", c.key(), c.sort(), want)
}

// object is a group of keys.
type object struct {
	cursor
	values map[string]cursor
	// meant are the known keys that an unknown one was taken to stand for.
	meant map[string]bool
}

// at is the value of a key; a key that is not there gives the place where it is missing.
func (o object) at(key string) cursor {
	if c, ok := o.values[key]; ok {
		return c
	}
	return cursor{r: o.r, path: o.child(key), line: o.line}
}

func (o object) has(key string) bool { return o.values[key].node != nil }

func (c cursor) child(key string) string {
	if c.path == "" {
		return key
	}
	return c.path + "." + key
}

// object reads a group of keys. keys lists those that it may have, a "!" behind those that it
// must have.
func (c cursor) object(keys string) (object, bool) {
	o, ok := c.pairs(strings.Fields(strings.ReplaceAll(keys, "!", ""))...)
	if !ok {
		return o, false
	}
	for k := range strings.FieldsSeq(keys) {
		name, must := strings.CutSuffix(k, "!")
		if _, given := o.values[name]; must && !given && !o.meant[name] {
			o.at(name).fail("missing-key", "Add "+name+" here.", "%s is missing", name)
		}
	}
	return o, true
}

// pairs reads a group of keys that are the known ones; with none given, any are taken.
func (c cursor) pairs(known ...string) (object, bool) {
	o := object{cursor: c, values: map[string]cursor{}, meant: map[string]bool{}}
	switch n := c.node.(type) {
	case nil:
		return o, false
	case *ast.MappingNode:
		for _, p := range n.Values {
			o.take(p, known)
		}
	case *ast.MappingValueNode:
		o.take(n, known)
	default:
		c.wrong("a group of keys (name: value)")
		return o, false
	}
	return o, true
}

// take adds one pair.
func (o *object) take(p *ast.MappingValueNode, known []string) {
	line := lineOf(p.Key, o.line)
	key := "?"
	if s, ok := p.Key.(ast.ScalarNode); ok {
		key = scalar(s)
	}
	at := cursor{r: o.r, path: o.child(clip(key)), line: line}
	switch _, twice := o.values[key]; {
	case p.Key.IsMergeKey():
		at.fail("yaml-feature", "Write the keys out in full.", "a merge key (<<) is not read: each value must stand where it counts")
	case len(known) > 0 && !slices.Contains(known, key):
		o.meant[nearest(key, known)] = true
		at.fail("unknown-key", suggest(key, known), "%q is not a key here", clip(key))
	case twice:
		at.fail("duplicate-key", "Keep one of the two.", "%s stands here a second time, first on line %d", key, o.values[key].line)
	default:
		o.values[key] = o.r.cursor(p.Value, at.path, line)
	}
}

// list reads each entry of a list with read. An empty list is an error: every list of the
// file must hold something.
func list[T any](c cursor, read func(cursor) T) []T {
	var out []T
	switch n := c.node.(type) {
	case nil:
	case *ast.SequenceNode:
		switch {
		case len(n.Values) == 0:
			c.fail("empty-list", "Add at least one entry.", "%s has no entries", c.key())
		case len(n.Values) > mostEntries:
			c.fail("too-many-entries", "Split the day into several files.", "%s has %d entries; up to %d are read", c.key(), len(n.Values), mostEntries)
			return nil
		}
		for i, v := range n.Values {
			item := c.r.cursor(v, fmt.Sprintf("%s[%d]", c.path, i), lineOf(v, c.line))
			if item.node != nil {
				out = append(out, read(item))
			}
		}
	default:
		c.wrong("a list (lines that begin with -)")
	}
	return out
}

// clean runs read and reports whether it found no error.
func (r *reader) clean(read func()) bool {
	n := len(r.problems)
	read()
	return !problem.List(r.problems[n:]).HasErrors()
}
