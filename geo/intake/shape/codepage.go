package shape

import (
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"

	"tankful/calc/problem"
	"tankful/geo/intake/raw"
)

// byDriver are code pages by the language driver byte of a table's header (from memory of the published list).
var byDriver = map[byte]*charmap.Charmap{
	0x01: charmap.CodePage437, 0x02: charmap.CodePage850, 0x03: charmap.Windows1252, 0x04: charmap.Macintosh,
	0x08: charmap.CodePage865, 0x09: charmap.CodePage437, 0x0a: charmap.CodePage850, 0x0b: charmap.CodePage437, 0x0d: charmap.CodePage437,
	0x0e: charmap.CodePage850, 0x0f: charmap.CodePage437, 0x10: charmap.CodePage850, 0x11: charmap.CodePage437, 0x12: charmap.CodePage850,
	0x14: charmap.CodePage850, 0x15: charmap.CodePage437, 0x16: charmap.CodePage850, 0x17: charmap.CodePage865, 0x18: charmap.CodePage437,
	0x19: charmap.CodePage437, 0x1a: charmap.CodePage850, 0x1b: charmap.CodePage437, 0x1c: charmap.CodePage863, 0x1d: charmap.CodePage850,
	0x1f: charmap.CodePage852, 0x24: charmap.CodePage860, 0x25: charmap.CodePage850, 0x26: charmap.CodePage866, 0x37: charmap.CodePage850,
	0x40: charmap.CodePage852, 0x57: charmap.Windows1252, 0x58: charmap.Windows1252, 0x59: charmap.Windows1252,
	0x64: charmap.CodePage852, 0x65: charmap.CodePage866, 0x66: charmap.CodePage865, 0x6c: charmap.CodePage863,
	0xc8: charmap.Windows1250, 0xc9: charmap.Windows1251, 0xca: charmap.Windows1254, 0xcb: charmap.Windows1253, 0xcc: charmap.Windows1257,
}

// byName are code pages by what a .cpg file says, capitals, letters and digits only. ISO 8859-1 is read as windows-1252, which
// has printed characters where the other has none.
var byName = map[string]*charmap.Charmap{
	"437": charmap.CodePage437, "850": charmap.CodePage850, "852": charmap.CodePage852, "855": charmap.CodePage855, "858": charmap.CodePage858,
	"860": charmap.CodePage860, "862": charmap.CodePage862, "863": charmap.CodePage863, "865": charmap.CodePage865, "866": charmap.CodePage866,
	"1250": charmap.Windows1250, "1251": charmap.Windows1251, "1252": charmap.Windows1252, "1253": charmap.Windows1253, "1254": charmap.Windows1254,
	"1255": charmap.Windows1255, "1256": charmap.Windows1256, "1257": charmap.Windows1257, "1258": charmap.Windows1258,
	"88591": charmap.Windows1252, "88592": charmap.ISO8859_2, "88593": charmap.ISO8859_3, "88594": charmap.ISO8859_4, "88595": charmap.ISO8859_5,
	"88596": charmap.ISO8859_6, "88597": charmap.ISO8859_7, "88598": charmap.ISO8859_8, "88599": charmap.ISO8859_9, "885910": charmap.ISO8859_10,
	"885913": charmap.ISO8859_13, "885914": charmap.ISO8859_14, "885915": charmap.ISO8859_15, "885916": charmap.ISO8859_16,
	"LATIN1": charmap.Windows1252, "KOI8R": charmap.KOI8R, "KOI8U": charmap.KOI8U,
}

// decoder reads the table's texts as the .cpg file says, else as the language driver byte says, else as UTF-8
// when a text is that, else as windows-1252.
func decoder(cpg []byte, driver byte, where string, ps *problem.List) func([]byte) string {
	said := strings.TrimSpace(string(raw.UTF8(cpg)))
	name := strings.Map(func(r rune) rune {
		switch {
		case r >= '0' && r <= '9' || r >= 'A' && r <= 'Z':
			return r
		case r >= 'a' && r <= 'z':
			return r - 'a' + 'A'
		}
		return -1
	}, said)
	for _, prefix := range []string{"ISO", "WINDOWS", "ANSI", "OEM", "CP", "IBM"} {
		name = strings.TrimPrefix(name, prefix)
	}
	page := byName[name]
	switch {
	case name == "UTF8" || name == "65001":
		return utf8OrWestern
	case page == nil && said != "":
		ps.Warnf("unknown-encoding", where, "Export the shapefile again in UTF-8 if names look wrong.",
			"the .cpg file says %q, which is not known; texts are read as UTF-8 or windows-1252", raw.Clip(said))
		return utf8OrWestern
	case page == nil:
		page = byDriver[driver]
	}
	if page == nil {
		return utf8OrWestern
	}
	return func(b []byte) string { return decodeAs(page, b) }
}

func decodeAs(page *charmap.Charmap, b []byte) string {
	var s strings.Builder
	for _, c := range b {
		if c < 0x80 {
			s.WriteByte(c)
		} else {
			s.WriteRune(page.DecodeByte(c))
		}
	}
	return s.String()
}

// utf8OrWestern reads UTF-8, of which the last character may be cut off by the column's end, or windows-1252.
func utf8OrWestern(b []byte) string {
	whole := b
	for cut := 0; cut < 3 && len(whole) > 0; cut++ {
		if r, n := utf8.DecodeLastRune(whole); r != utf8.RuneError || n != 1 {
			break
		}
		whole = whole[:len(whole)-1]
	}
	if utf8.Valid(whole) && (len(whole) == len(b) || !utf8.FullRune(b[len(whole):])) {
		return string(whole)
	}
	return decodeAs(charmap.Windows1252, b)
}
