// Package markup reads XML that people bring: any common encoding, bounded depth and size, and
// coordinates that are written in it as text.
//
// It knows elements, their text and numbers. It leaves out what the elements mean: geo/intake/gpx,
// kml and osm know that. Entities that a file declares are never expanded and nothing is ever fetched.
package markup

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"

	"tankful/calc/problem"
)

// MaxDepth is how far elements may be nested. Deeply sorted map files reach about 20.
const MaxDepth = 100

var errTooDeep = fmt.Errorf("elements are nested more than %d deep", MaxDepth)

// Reader walks through the elements of one file.
type Reader struct {
	name  string
	d     *xml.Decoder
	src   *source
	depth int
}

// NewReader reads what r gives, at most limit bytes of it; name is what the user calls the file. The list has an
// error when the text's encoding is not known.
func NewReader(name string, r io.Reader, limit int64) (*Reader, problem.List) {
	var ps problem.List
	src, err := newSource(r, limit)
	if err != nil {
		ps.Errorf("unknown-encoding", name, "Save the file in UTF-8.", "%v", err)
		return nil, ps
	}
	d := xml.NewDecoder(src)
	d.Entity = xml.HTMLEntity // descriptions copied from web pages: &nbsp;
	d.CharsetReader = func(_ string, in io.Reader) (io.Reader, error) { return in, nil }
	return &Reader{name: name, d: d, src: src}, nil
}

// token is the next token; an element that ends takes the depth down.
func (r *Reader) token() (xml.Token, error) {
	t, err := r.d.Token()
	switch t.(type) {
	case xml.StartElement:
		if r.depth++; r.depth > MaxDepth {
			return nil, errTooDeep
		}
	case xml.EndElement:
		r.depth--
	}
	return t, err
}

// Children calls visit with every element inside the one that has just begun, and leaves that one. What
// visit does not read of an element is passed over. At the start of a file it visits the root.
func (r *Reader) Children(visit func(xml.StartElement) error) error {
	base := r.depth
	for {
		t, err := r.token()
		if err == io.EOF && base == 0 {
			return nil
		}
		if err != nil {
			return err
		}
		if r.depth < base {
			return nil
		}
		if start, ok := t.(xml.StartElement); ok {
			if err := visit(start); err != nil {
				return err
			}
			if err := r.leave(base); err != nil {
				return err
			}
		}
	}
}

// leave passes over what is left until only depth elements are open.
func (r *Reader) leave(depth int) error {
	for r.depth > depth {
		if _, err := r.token(); err != nil {
			return err
		}
	}
	return nil
}

// Text is the text of the element that has just begun, with the text of elements inside, and leaves it.
func (r *Reader) Text() (string, error) {
	s, _, err := r.leaf()
	return s, err
}

// leaf is the element's text, and whether it has no elements inside.
func (r *Reader) leaf() (string, bool, error) {
	base, simple := r.depth, true
	var b strings.Builder
	for r.depth >= base {
		t, err := r.token()
		if err != nil {
			return "", false, err
		}
		switch t := t.(type) {
		case xml.CharData:
			b.Write(t)
		case xml.StartElement:
			simple = false
		}
	}
	return b.String(), simple, nil
}

// Leaves calls visit with every element without elements inside, at any depth in the one that has just
// begun, or with that one itself when it is such: its local name and its text.
func (r *Reader) Leaves(start xml.StartElement, visit func(name, text string)) error {
	type open struct {
		name  string
		text  strings.Builder
		inner bool
	}
	base := r.depth
	stack := []*open{{name: start.Name.Local}}
	for r.depth >= base {
		t, err := r.token()
		if err != nil {
			return err
		}
		top := stack[len(stack)-1]
		switch t := t.(type) {
		case xml.CharData:
			if !top.inner {
				top.text.Write(t)
			}
		case xml.StartElement:
			top.inner = true
			top.text.Reset()
			stack = append(stack, &open{name: t.Name.Local})
		case xml.EndElement:
			if !top.inner {
				visit(top.name, top.text.String())
			}
			stack = stack[:len(stack)-1]
		}
	}
	return nil
}

// Line is the line of the file that was read last, from 1.
func (r *Reader) Line() int { n, _ := r.d.InputPos(); return n }

// Stray is a note when characters had to be mended, in ps.
func (r *Reader) Stray(ps *problem.List) {
	if n := r.src.mend.stray; n > 0 {
		ps.Notef("stray-characters", r.name, "Save the file in UTF-8.",
			"%d bytes are no text in the encoding that the file claims; they are read as Windows-1252 or as blanks", n)
	}
}

// Fault adds to ps why the file could not be read to its end.
func (r *Reader) Fault(ps *problem.List, err error) {
	where := fmt.Sprintf("%s:%d", r.name, r.Line())
	var syntax *xml.SyntaxError
	var big *tooLargeError
	switch {
	case errors.Is(err, errTooDeep):
		ps.Errorf("nested-too-deep", where, "Export the file with fewer folders inside folders.", "%v", err)
	case errors.As(err, &big):
		ps.Errorf("file-too-large", r.name, "Export a smaller area.", "%v", err)
	case errors.Is(err, io.ErrUnexpectedEOF), errors.As(err, &syntax) && strings.Contains(syntax.Msg, "unexpected EOF"):
		ps.Errorf("not-xml", where, "Export the file again; it is cut short.", "not XML: the file ends in the middle")
	case errors.As(err, &syntax) && strings.Contains(syntax.Msg, "character entity"):
		ps.Errorf("not-xml", where, "Write &amp; where the text means the character &.", "not XML: %s", clean(syntax.Msg))
	case errors.As(err, &syntax):
		ps.Errorf("not-xml", where, "Export the file again; it is damaged at that place.", "not XML: %s", clean(syntax.Msg))
	default:
		ps.Errorf("not-xml", where, "Export the file again; it is damaged at that place.", "not XML: %s", clean(err.Error()))
	}
}

// clean keeps bytes of the file that an error repeats short and printable.
func clean(s string) string {
	s = strings.Map(func(c rune) rune {
		if c < ' ' || c == 0x7f {
			return ' '
		}
		return c
	}, strings.ToValidUTF8(s, "?"))
	if r := []rune(s); len(r) > 100 {
		return string(r[:100]) + "..."
	}
	return s
}

// Attr is an attribute by its local name, "" when it is absent.
func Attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}
