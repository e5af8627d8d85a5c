package geojson

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/geo/intake/raw"
)

// The functions of this file walk JSON that is known to be well formed, without taking it
// apart into values: the decoder of the standard library has checked every feature before.

// blank skips white space.
func blank(b []byte, i int) int {
	for i < len(b) && (b[i] == ' ' || b[i] == '\t' || b[i] == '\n' || b[i] == '\r') {
		i++
	}
	return i
}

// skipString is the index after the text that begins at i with a quote.
func skipString(b []byte, i int) int {
	for i++; i < len(b); i++ {
		switch b[i] {
		case '\\':
			i++
		case '"':
			return i + 1
		}
	}
	return len(b)
}

// skipValue is the index after the value that begins at i.
func skipValue(b []byte, i int) int {
	if i >= len(b) {
		return len(b)
	}
	switch b[i] {
	case '"':
		return skipString(b, i)
	case '{', '[':
	default:
		for i < len(b) && b[i] != ',' && b[i] != ']' && b[i] != '}' && b[i] > ' ' {
			i++
		}
		return i
	}
	for depth := 0; i < len(b); i++ {
		switch b[i] {
		case '"':
			i = skipString(b, i) - 1
		case '{', '[':
			depth++
		case '}', ']':
			if depth--; depth == 0 {
				return i + 1
			}
		}
	}
	return len(b)
}

// eachMember calls f for every member of the object in b; anything else has none.
func eachMember(b []byte, f func(key string, value []byte)) {
	i := blank(b, 0)
	if i >= len(b) || b[i] != '{' {
		return
	}
	for i++; ; {
		for i = blank(b, i); i < len(b) && b[i] == ','; {
			i = blank(b, i+1)
		}
		if i >= len(b) || b[i] != '"' {
			return
		}
		end := skipString(b, i)
		key := text(b[i:end])
		i = blank(b, end)
		i = blank(b, i+1) // the colon
		end = skipValue(b, i)
		f(key, b[i:end])
		i = end
	}
}

// eachElement calls f for every element of the array in b with its offset; isArray says whether it is one.
func eachElement(b []byte, f func(offset int, value []byte)) (isArray bool) {
	i := blank(b, 0)
	if i >= len(b) || b[i] != '[' {
		return false
	}
	for i++; ; {
		for i = blank(b, i); i < len(b) && b[i] == ','; {
			i = blank(b, i+1)
		}
		if i >= len(b) || b[i] == ']' {
			return true
		}
		end := skipValue(b, i)
		f(i, b[i:end])
		i = end
	}
}

// text is a JSON string with its quotes, as text.
func text(b []byte) string {
	if len(b) >= 2 && bytes.IndexByte(b, '\\') < 0 {
		return strings.ToValidUTF8(string(b[1:len(b)-1]), "\ufffd")
	}
	var s string
	_ = json.Unmarshal(b, &s) // well formed
	return s
}

// scalar is a value as text: a string, a number as written, true or false; "" when it is
// absent, null or has a structure.
func scalar(b []byte) string {
	if len(b) == 0 {
		return ""
	}
	switch b[0] {
	case '"':
		return strings.TrimSpace(text(b))
	case '{', '[', 'n':
		return ""
	}
	return string(b)
}

// object is the members of a JSON object that a reader asks for. The last one of a name
// counts; readers differ on that, hence repeated (RFC 8259, The JavaScript Object Notation Data Interchange
// Format, 2017, section 4).
type object struct {
	id, kind, properties, geometry, geometries, coordinates, features, crs []byte
	repeated                                                               []string
	is                                                                     bool // it is an object
}

func objectOf(b []byte) (o object) {
	i := blank(b, 0)
	o.is = i < len(b) && b[i] == '{'
	var seen keys
	eachMember(b, func(key string, value []byte) {
		if seen.add(key) {
			o.repeated = append(o.repeated, key)
		}
		switch key {
		case "id":
			o.id = value
		case "type":
			o.kind = value
		case "properties":
			o.properties = value
		case "geometry":
			o.geometry = value
		case "geometries":
			o.geometries = value
		case "coordinates":
			o.coordinates = value
		case "features":
			o.features = value
		case "crs":
			o.crs = value
		}
	})
	return o
}

// typeOf is the type as text; anything but text is no type.
func (o *object) typeOf() string {
	if len(o.kind) == 0 || o.kind[0] != '"' {
		return ""
	}
	return text(o.kind)
}

// keys are the names seen in one object.
type keys struct {
	few  []string
	many map[string]bool
}

// add reports whether the name was there already.
func (k *keys) add(name string) bool {
	if k.many == nil {
		if slices.Contains(k.few, name) {
			return true
		}
		if k.few = append(k.few, name); len(k.few) > 32 {
			k.many = make(map[string]bool, 2*len(k.few))
			for _, s := range k.few {
				k.many[s] = true
			}
		}
		return false
	}
	old := k.many[name]
	k.many[name] = true
	return old
}

// warnRepeated warns of members that an object writes more than once: another program may
// show another outline.
func warnRepeated(list *problem.List, names []string, where string) {
	for _, name := range names {
		list.Warnf("member-repeated", where, "Keep the one that is meant.",
			"the member %q is written more than once; the last one counts here, and other programs may take the first", raw.Clip(name))
	}
}
