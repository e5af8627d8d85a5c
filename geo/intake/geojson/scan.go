package geojson

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/geo/intake/raw"
)

const (
	recordMark    = 0x1e // begins each text of a sequence (RFC 8142)
	byteOrderMark = "\ufeff"
	blanks        = " \t\r\n"
)

// scan is one reading of the file from end to end.
type scan struct {
	*source
	visit   func(int64, *raw.Feature) bool
	stopped bool
	found   problem.List
}

// Scan reads the file once through.
func (s *source) Scan(visit func(int64, *raw.Feature) bool) problem.List {
	c := &scan{source: s, visit: visit}
	s.places, s.lone, s.to = nil, false, nil
	if s.in.CRS != nil {
		c.use(s.in.CRS)
	}
	head := make([]byte, min(s.in.Size, 4096))
	n, err := s.in.Data.ReadAt(head, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		c.found.Errorf("unreadable", s.in.Name, "Check the file.", "the file can not be read: %v", err)
		return c.found
	}
	base := int64(0)
	if head = head[:n]; bytes.HasPrefix(head, []byte(byteOrderMark)) {
		base = int64(len(byteOrderMark))
	}
	if !c.looksLikeJSON(head, base) {
		return c.found
	}
	switch trimmed := bytes.TrimLeft(head[base:], blanks); {
	case trimmed[0] == recordMark:
		c.sequence(base, recordMark)
	case c.isLines(base):
		c.sequence(base, '\n')
	default:
		c.document(base)
	}
	return c.found
}

// looksLikeJSON tells the files apart that are something else altogether.
func (c *scan) looksLikeJSON(head []byte, base int64) bool {
	const fix = "Export the outlines as GeoJSON in UTF-8."
	switch trimmed := bytes.TrimLeft(head[base:], blanks); {
	case len(trimmed) == 0 && int64(len(head)) == c.in.Size:
		c.found.Errorf("empty-file", c.in.Name, fix, "the file is empty")
	case len(trimmed) == 0:
		c.found.Errorf("not-json", c.in.Name, fix, "the file begins with %d blanks", len(head))
	case bytes.HasPrefix(head, []byte("\xff\xfe")) || bytes.HasPrefix(head, []byte("\xfe\xff")):
		c.found.Errorf("not-json", c.in.Name, fix, "the file is in UTF-16")
	default:
		return true
	}
	return false
}

// isLines reports whether the first line is an object by itself and another begins after it.
func (c *scan) isLines(base int64) bool {
	r := bufio.NewReaderSize(c.section(base), 1<<16)
	first, err := firstByte(r)
	if err != nil || first != '{' {
		return false
	}
	// A line that does not end in a closing brace is no object; nearly all files stop here.
	line, err := readUntil(r, '\n', Largest)
	if err != nil || !bytes.HasSuffix(bytes.TrimRight(line, blanks), []byte("}")) {
		return false
	}
	if !json.Valid(append([]byte{'{'}, line...)) {
		return false
	}
	next, err := firstByte(r)
	return err == nil && next == '{'
}

// firstByte is the next byte that is no blank.
func firstByte(r *bufio.Reader) (byte, error) {
	for {
		b, err := r.ReadByte()
		if err != nil || b > ' ' {
			return b, err
		}
	}
}

var errLong = errors.New("the text is too long")

// readUntil reads up to and with the mark; what is read ends with an error at the end of the file.
func readUntil(r *bufio.Reader, mark byte, most int) (line []byte, err error) {
	for {
		part, err := r.ReadSlice(mark)
		if line = append(line, part...); !errors.Is(err, bufio.ErrBufferFull) {
			return line, err
		}
		if len(line) > most {
			return line, errLong
		}
	}
}

// sequence reads text by text; a bad one does not stop the others.
func (c *scan) sequence(base int64, mark byte) {
	r := bufio.NewReaderSize(c.section(base), 1<<16)
	for offset, n := base, 0; !c.stopped; {
		line, err := readUntil(r, mark, Largest)
		if errors.Is(err, errLong) {
			c.found.Errorf("feature-too-large", fmt.Sprintf("%s: text %d", c.in.Name, n+1), "Split the file.", "a text is longer than %d MB", Largest>>20)
			return
		}
		if t := bytes.Trim(line, blanks+string(rune(recordMark))); len(t) > 0 {
			n++
			c.text(t, offset+int64(bytes.Index(line, t)), n)
		}
		if offset += int64(len(line)); err != nil {
			return
		}
	}
}

// text reads the n-th text of a sequence, which may be a collection.
func (c *scan) text(b []byte, offset int64, n int) {
	if err := validate(b); err != nil {
		// An outline may stand there whose property can not be told: nothing is measured without it.
		c.found.Errorf("not-json", fmt.Sprintf("%s: text %d", c.in.Name, n), damaged, "text %d of the sequence is not JSON: %s", n, plain(err))
		return
	}
	o := objectOf(b)
	c.knownCRS(o.crs)
	if o.typeOf() != "FeatureCollection" {
		c.element(b, offset)
		return
	}
	from := offset + offsetIn(b, o.features)
	eachElement(o.features, func(at int, value []byte) { c.element(value, from+int64(at)) })
}

// offsetIn is where part, a slice of b, begins in it.
func offsetIn(b, part []byte) int64 { return int64(cap(b) - cap(part)) }

func validate(b []byte) error {
	var any json.RawMessage
	return json.Unmarshal(b, &any)
}

// document reads a file that is one JSON text.
func (c *scan) document(base int64) {
	d := json.NewDecoder(c.section(base))
	t, err := d.Token()
	if err != nil {
		c.notJSON(base, d, err)
		return
	}
	if t != json.Delim('{') {
		c.found.Errorf("not-geojson", c.in.Name, notGeoJSON, "the file holds a JSON %s, not an object", nameOf(t))
		return
	}
	var root object
	var seen keys
	lists := 0
	for d.More() {
		t, err := d.Token()
		if err != nil {
			c.notJSON(base, d, err)
			return
		}
		key, _ := t.(string)
		if seen.add(key) {
			root.repeated = append(root.repeated, key)
		}
		if key == "features" {
			isList, err := c.features(base, d)
			if err != nil {
				c.notJSON(base, d, err)
				return
			}
			if isList {
				lists++
			}
			continue
		}
		var value json.RawMessage
		if err := d.Decode(&value); err != nil {
			c.notJSON(base, d, err)
			return
		}
		switch key {
		case "type":
			root.kind = value
		case "crs":
			root.crs = value
		}
	}
	if _, err := d.Token(); err != nil {
		c.notJSON(base, d, err)
		return
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		c.notJSON(base, d, errors.New("something follows after the end of the text"))
		return
	}
	c.knownCRS(root.crs)
	c.conclude(base, &root, lists)
}

// conclude says what a whole document is.
func (c *scan) conclude(base int64, root *object, lists int) {
	name, list := c.in.Name, &c.found
	switch kind := root.typeOf(); {
	case lists > 1:
		list.Errorf("member-repeated", name, "Keep the one that is meant.", "the file has %d lists of features", lists)
		return
	case kind == "FeatureCollection" && lists == 0:
		list.Errorf("not-geojson", name, notGeoJSON, "the FeatureCollection has no list of features")
	case kind == "FeatureCollection":
	case lists > 0:
		list.Errorf("not-geojson", name, "Give it the type \"FeatureCollection\".", "the file has a list of features and the type %s", quoteType(root.kind))
	case kind == "Feature" || slices.Contains(geometryTypes, kind):
		if c.in.Size-base > Largest {
			list.Errorf("feature-too-large", name, "Split the file.", "the one feature is longer than %d MB", Largest>>20)
			return
		}
		b, err := io.ReadAll(c.section(base))
		if err != nil {
			list.Errorf("unreadable", name, "Check the file.", "the file can not be read: %v", err)
			return
		}
		c.places, c.lone = nil, true
		c.element(b, base)
		return // the feature says what it repeats
	default:
		list.Errorf("not-geojson", name, notGeoJSON, "the file's type is %s, not FeatureCollection, Feature or a geometry", quoteType(root.kind))
	}
	warnRepeated(list, root.repeated, name)
}

// features reads the list of features one by one; a bad one does not stop the others.
func (c *scan) features(base int64, d *json.Decoder) (isList bool, err error) {
	t, err := d.Token()
	if err != nil {
		return false, err
	}
	if t != json.Delim('[') {
		if t == json.Delim('{') {
			for d.More() { // not a list: passed over
				var value json.RawMessage
				if _, err := d.Token(); err != nil {
					return false, err
				}
				if err := d.Decode(&value); err != nil {
					return false, err
				}
			}
			_, err = d.Token()
		}
		return false, err
	}
	var value json.RawMessage
	for d.More() {
		value = value[:0]
		if err := d.Decode(&value); err != nil {
			return true, err
		}
		if len(value) > Largest {
			c.found.Errorf("feature-too-large", c.where(int64(len(c.places))), "Split the file.", "the feature is longer than %d MB", Largest>>20)
			return true, nil
		}
		if !c.stopped {
			c.element(value, base+d.InputOffset()-int64(len(value)))
		}
	}
	_, err = d.Token()
	return true, err
}

// element visits a feature or bare geometry; anything else is told and keeps its number.
func (c *scan) element(b []byte, offset int64) {
	handle := int64(len(c.places))
	c.places = append(c.places, place{offset, int64(len(b))})
	where := c.where(handle)
	o := objectOf(b)
	switch kind := o.typeOf(); {
	case !o.is:
		c.found.Errorf("not-a-feature", where, "Remove it or replace it by a Feature.", "%s stands where a feature belongs", raw.Clip(string(b)))
		return
	case kind != "Feature" && !slices.Contains(geometryTypes, kind):
		c.found.Errorf("not-a-feature", where, `Give it the type "Feature".`, "the type is %s, not \"Feature\"", quoteType(o.kind))
		return
	}
	f := &raw.Feature{Where: where}
	if geometry := featureOf(b, f, c.in.Name); geometry != nil {
		g := objectOf(geometry)
		switch kind := g.typeOf(); kind {
		case "Point", "MultiPoint", "LineString", "MultiLineString":
		case "GeometryCollection":
			f.Ground = bytes.Contains(geometry, []byte("Polygon"))
		default:
			f.Ground = true
		}
		c.stopped = c.stopped || !c.visit(handle, f)
		return
	}
	c.stopped = c.stopped || !c.visit(handle, f)
}

// notJSON says where the text stops being JSON.
func (c *scan) notJSON(base int64, d *json.Decoder, err error) {
	offset := base + d.InputOffset()
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		offset = max(offset, base+syntax.Offset)
	}
	offset = min(offset, c.in.Size)
	line, column := c.position(offset)
	what, fix := plain(err), damaged
	near := make([]byte, 24)
	n, _ := c.in.Data.ReadAt(near, max(0, offset-12))
	for _, word := range []string{"NaN", "Infinity"} {
		if bytes.Contains(near[:n], []byte(word)) {
			what, fix = word+" is written where a number belongs", "Correct that coordinate."
		}
	}
	c.found.Errorf("not-json", fmt.Sprintf("%s:%d:%d", c.in.Name, line, column), fix, "not JSON: %s", what)
}

// position is the line and column of an offset.
func (c *scan) position(offset int64) (line, column int64) {
	r := bufio.NewReaderSize(io.NewSectionReader(c.in.Data, 0, offset), 1<<16)
	line = 1
	last := int64(0)
	for at := int64(0); ; {
		part, err := r.ReadSlice('\n')
		if at += int64(len(part)); err == nil {
			line, last = line+1, at
		} else if !errors.Is(err, bufio.ErrBufferFull) {
			return line, offset - last
		}
	}
}

// plain puts an error of the decoder in our words.
func plain(err error) string {
	what := err.Error()
	if errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) || strings.Contains(what, "unexpected end") {
		return "the text ends in the middle"
	}
	return what
}

func nameOf(t json.Token) string {
	switch t.(type) {
	case json.Delim:
		return "array"
	case string:
		return "string"
	case float64:
		return "number"
	case bool:
		return "bool"
	}
	return "null"
}
