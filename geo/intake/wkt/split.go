package wkt

import "strings"

// statement is one geometry's text: bytes from to to of the file, beginning on a line counted from 1.
type statement struct{ from, to, line int }

// split cuts a file into geometries without understanding them: one ends with the bracket that closes its first,
// with EMPTY, or where a line begins with a geometry's word that no comma or bracket before it calls for, so that
// a bracket left open does not swallow the geometries after it.
func split(text string) (out []statement) {
	s := splitter{text: text, line: 1, fresh: true, from: -1}
	for s.i < len(text) {
		s.step()
	}
	s.end(len(text))
	return s.out
}

type splitter struct {
	text  string
	i     int
	line  int
	fresh bool // nothing but blanks stands before i on its line
	last  byte // the last byte that is no blank
	depth int
	from  int // where the geometry at hand begins, -1 for none
	start int // its line
	out   []statement
}

func (s *splitter) end(at int) {
	if s.from >= 0 {
		for at > s.from && strings.IndexByte(" \t\r\n\f\v", s.text[at-1]) >= 0 {
			at--
		}
		s.out = append(s.out, statement{s.from, at, s.start})
	}
	s.from, s.depth, s.last = -1, 0, 0
}

func (s *splitter) step() {
	c := s.text[s.i]
	switch {
	case c == '\n':
		s.line++
		s.fresh = true
		s.i++
		return
	case strings.IndexByte(" \t\r\f\v", c) >= 0:
		s.i++
		return
	case c == '#' && s.fresh:
		if n := strings.IndexByte(s.text[s.i:], '\n'); n >= 0 {
			s.i += n
		} else {
			s.i = len(s.text)
		}
		return
	case s.from < 0 && (c == ';' || c == ','): // between geometries
		s.i++
		return
	}
	if isLetter(c) {
		s.word()
		return
	}
	s.begin()
	s.fresh, s.last = false, c
	s.i++
	switch c {
	case '(':
		s.depth++
	case ')':
		if s.depth--; s.depth <= 0 {
			s.end(s.i)
		}
	}
}

func (s *splitter) begin() {
	if s.from < 0 {
		s.from, s.start = s.i, s.line
	}
}

// word takes a word whole.
func (s *splitter) word() {
	to := s.i
	for to < len(s.text) && isLetter(s.text[to]) {
		to++
	}
	known := false
	if to-s.i <= len("GEOMETRYCOLLECTIONZM") {
		w := strings.ToUpper(s.text[s.i:to])
		_, _, known = splitWord(w)
		known = known || w == "SRID"
	}
	if s.fresh && known && s.last != ',' && s.last != '(' && s.last != ';' {
		s.end(s.i)
	}
	s.begin()
	s.fresh, s.last = false, 'a'
	empty := strings.EqualFold(s.text[s.i:to], "EMPTY")
	s.i = to
	if empty && s.depth == 0 {
		s.end(s.i)
	}
}
