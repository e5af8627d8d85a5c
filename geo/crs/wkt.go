package crs

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// Bounds of the parser: real texts nest 9 deep and have 100 nodes.
const (
	maxDepth  = 40
	maxNodes  = 5000
	maxNumber = 100 // characters
)

// node is KEYWORD[value, ..., NODE[...], ...] of a well-known text.
type node struct {
	key  string // upper case
	vals []value
	kids []*node
}

// value is a quoted text, a number, or a bare word such as east.
type value struct {
	text   string
	number float64
	isNum  bool
}

// wktStart is a keyword with a bracket behind it; a round one also stands in names such as "NAD83(2011)".
var wktStart = regexp.MustCompile(`^(?:[A-Za-z][A-Za-z_0-9]*\s*\[|[A-Za-z_]*(?:CS|CRS|cs|crs)\s*\()`)

// isWKT looks at the beginning only: no keyword is longer than 100 bytes.
func isWKT(s string) bool { return wktStart.MatchString(s[:min(len(s), 100)]) }

// parser reads well-known text of OGC 01-009 and OGC 18-010r7, and what passes for it in .prj files.
type parser struct {
	s     string
	at    int
	nodes int
}

// parseWKT reads all nodes that stand side by side: a .prj file may have a vertical system behind the horizontal one.
func parseWKT(s string) ([]*node, error) {
	p := &parser{s: s}
	var all []*node
	for {
		n, err := p.node(1)
		if err != nil {
			return nil, fmt.Errorf("its well-known text can not be read at byte %d: %w", p.at+1, err)
		}
		all = append(all, n)
		p.blank()
		if p.peek() == ',' {
			p.at++
			p.blank()
		}
		if p.at >= len(p.s) {
			return all, nil
		}
	}
}

func (p *parser) blank() {
	for p.at < len(p.s) && strings.IndexByte(" \t\r\n\x00", p.s[p.at]) >= 0 {
		p.at++
	}
}

func (p *parser) peek() byte {
	if p.at < len(p.s) {
		return p.s[p.at]
	}
	return 0
}

// word reads letters, digits and underscores.
func (p *parser) word() string {
	from := p.at
	for p.at < len(p.s) {
		c := p.s[p.at]
		if c != '_' && (c < '0' || c > '9') && (c|0x20 < 'a' || c|0x20 > 'z') {
			break
		}
		p.at++
	}
	return p.s[from:p.at]
}

func (p *parser) node(depth int) (*node, error) {
	p.blank()
	w := p.word()
	if w == "" {
		return nil, errors.New("a keyword is missing")
	}
	p.blank()
	if c := p.peek(); c != '[' && c != '(' {
		return nil, fmt.Errorf("%s has no bracket", clip(w))
	}
	return p.body(w, depth)
}

// body reads from the bracket behind the keyword to the one that closes it.
func (p *parser) body(key string, depth int) (*node, error) {
	if p.nodes++; p.nodes > maxNodes {
		return nil, fmt.Errorf("it has more than %d parts", maxNodes)
	}
	if depth > maxDepth {
		return nil, fmt.Errorf("it is nested more than %d deep", maxDepth)
	}
	n := &node{key: strings.ToUpper(key)}
	closing := byte(']')
	if p.peek() == '(' {
		closing = ')'
	}
	p.at++
	for {
		p.blank()
		if p.peek() != closing || len(n.vals)+len(n.kids) > 0 {
			if err := p.item(n, depth); err != nil {
				return nil, err
			}
		}
		p.blank()
		switch p.peek() {
		case ',':
			p.at++
		case closing:
			p.at++
			return n, nil
		default:
			return nil, fmt.Errorf("%s is not closed", clip(key))
		}
	}
}

// item reads one value or node between commas.
func (p *parser) item(n *node, depth int) error {
	if len(n.vals) > maxNodes {
		return fmt.Errorf("%s has more than %d values", clip(n.key), maxNodes)
	}
	switch c := p.peek(); {
	case c == '"':
		t, err := p.quoted()
		n.vals = append(n.vals, value{text: t})
		return err
	case c >= '0' && c <= '9' || c == '-' || c == '+' || c == '.':
		x, err := p.number()
		n.vals = append(n.vals, value{number: x, isNum: true})
		return err
	}
	w := p.word()
	if w == "" {
		return errors.New("a value is missing")
	}
	p.blank()
	if c := p.peek(); c == '[' || c == '(' {
		k, err := p.body(w, depth+1)
		n.kids = append(n.kids, k)
		return err
	}
	n.vals = append(n.vals, value{text: w})
	return nil
}

// quoted reads a text in double quotes; two of them inside stand for one.
func (p *parser) quoted() (string, error) {
	var b strings.Builder
	for p.at++; p.at < len(p.s); p.at++ {
		if p.s[p.at] != '"' {
			b.WriteByte(p.s[p.at])
			continue
		}
		p.at++
		if p.peek() != '"' {
			return strings.TrimSpace(b.String()), nil
		}
		b.WriteByte('"')
	}
	return "", errors.New("a quotation is not closed")
}

func (p *parser) number() (float64, error) {
	from := p.at
	for p.at < len(p.s) && strings.IndexByte("+-.0123456789eE", p.s[p.at]) >= 0 {
		if p.at++; p.at-from > maxNumber {
			return 0, fmt.Errorf("a number has more than %d characters", maxNumber)
		}
	}
	x, err := strconv.ParseFloat(p.s[from:p.at], 64)
	if err != nil || !finite(x) {
		return 0, fmt.Errorf("%q is not a number", clip(p.s[from:p.at]))
	}
	return x, nil
}

// child is the first node of one of the keywords, nil for none.
func (n *node) child(keys ...string) *node {
	for _, k := range n.kids {
		if k.is(keys...) {
			return k
		}
	}
	return nil
}

func (n *node) is(keys ...string) bool {
	for _, k := range keys {
		if n.key == k {
			return true
		}
	}
	return false
}

// text is the i-th value as text, "" when it is absent or a number.
func (n *node) text(i int) string {
	if n == nil || i >= len(n.vals) {
		return ""
	}
	return n.vals[i].text
}

// number is the i-th value as a number; numbers in quotes count (OGC codes are written both ways).
func (n *node) number(i int) (float64, bool) {
	if n == nil || i >= len(n.vals) {
		return 0, false
	}
	if v := n.vals[i]; !v.isNum {
		x, err := strconv.ParseFloat(strings.TrimSpace(v.text), 64)
		return x, err == nil && finite(x)
	}
	return n.vals[i].number, true
}
