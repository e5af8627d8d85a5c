package markup

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"golang.org/x/text/encoding/unicode"

	"tankful/calc/problem"
	"tankful/geo/intake/raw"
)

// names reads a file of <a name=...>text</a> elements, and what is wrong with it.
func names(text string, limit int64) (out []string, ps problem.List) {
	r, ps := NewReader("a.xml", strings.NewReader(text), limit)
	if r == nil {
		return nil, ps
	}
	err := r.Children(func(xml.StartElement) error {
		return r.Children(func(e xml.StartElement) error {
			s, err := r.Text()
			out = append(out, Attr(e, "n")+s)
			return err
		})
	})
	if err != nil {
		r.Fault(&ps, err)
	}
	r.Stray(&ps)
	return out, ps
}

func TestEncodings(t *testing.T) {
	const plain = `<r><a n="é">ü€</a></r>`
	utf16 := func(e unicode.Endianness, b unicode.BOMPolicy) string {
		s, err := unicode.UTF16(e, b).NewEncoder().String(`<?xml version="1.0" encoding="UTF-16"?>` + plain)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	latin := "<r><a n=\"\xe9\">\xfc\x80</a></r>" // 0x80 is the euro in Windows-1252
	for name, text := range map[string]string{
		"bare":                 plain,
		"byte order mark":      "\xef\xbb\xbf<?xml version='1.0' encoding='utf-8'?>\r\n" + plain,
		"mark beats claim":     "\xef\xbb\xbf<?xml version='1.0' encoding='iso-8859-1'?>" + plain,
		"utf-16 big":           utf16(unicode.BigEndian, unicode.UseBOM),
		"utf-16 little":        utf16(unicode.LittleEndian, unicode.UseBOM),
		"utf-16 no mark":       utf16(unicode.LittleEndian, unicode.IgnoreBOM),
		"latin-1":              `<?xml version="1.0" encoding="ISO-8859-1"?>` + latin,
		"windows-1252":         `<?xml version="1.0" encoding="Windows-1252" standalone="yes"?>` + latin,
		"claims utf-8 and not": `<?xml version="1.0" encoding="UTF-8"?>` + latin,
		"padded with zeros":    plain + "\x00\x00\x00",
	} {
		got, ps := names(text, 1000)
		if len(got) != 1 || got[0] != "éü€" || ps.HasErrors() {
			t.Errorf("%s: got %q, %v", name, got, ps)
		}
		if mended := name == "claims utf-8 and not" || name == "padded with zeros"; mended != (len(ps) == 1) {
			t.Errorf("%s: notes %v", name, ps)
		}
	}
}

func TestFaults(t *testing.T) {
	// Bombs of entities, and a file outside: encoding/xml expands and fetches nothing, so that the entity is a fault.
	bomb := `<!DOCTYPE r [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c SYSTEM "file:///etc/passwd">]>`
	for _, c := range []struct{ name, text, code, where, what string }{
		{"entity bomb", bomb + "\n<r><a>&b;</a></r>", "not-xml", "a.xml:2", "entity &b;"},
		{"outside entity", bomb + "<r><a>&c;</a></r>", "not-xml", "a.xml:1", "entity &c;"},
		{"bare ampersand", "<r>\n\n<a>Smith & Son</a></r>", "not-xml", "a.xml:3", "entity"},
		{"cut short", "<r>\n<a>x</a>", "not-xml", "a.xml:2", "ends in the middle"},
		{"cut in a tag", "<r>\n<a", "not-xml", "a.xml:2", "ends in the middle"},
		{"wrong end", "<r><a></b></r>", "not-xml", "a.xml:1", "closed by </b>"},
		{"deep", strings.Repeat("<a>", MaxDepth+1), "nested-too-deep", "a.xml:1", "100 deep"},
		{"long", "<r>" + strings.Repeat("<a/>", 300000) + "</r>", "file-too-large", "a.xml", "more than 1 MB"},
		{"unknown encoding", `<?xml version="1.0" encoding="ebcdic-37"?><r/>`, "unknown-encoding", "a.xml", "ebcdic-37"},
	} {
		_, ps := names(c.text, 1<<20)
		if len(ps) != 1 || ps[0].Code != c.code || ps[0].Where != c.where || !strings.Contains(ps[0].What, c.what) || !ps.HasErrors() {
			t.Errorf("%s: got %v, want %s at %s: %s", c.name, ps, c.code, c.where, c.what)
		}
	}
	if got, ps := names(bomb+"<r><a>x&nbsp;y</a></r>", 1000); len(got) != 1 || got[0] != "x\u00a0y" || len(ps) > 0 {
		t.Errorf("a document type that is not used: got %q, %v", got, ps)
	}
}

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		in       string
		x        float64
		decimals int
		code     string
	}{
		{"-93.250", -93.25, 3, ""}, {" +1 ", 1, 0, ""}, {"1.", 1, 0, ""}, {".5", 0.5, 1, ""}, {"1.25e1", 12.5, 1, ""},
		{"1e-7", 1e-7, 7, ""}, {"", 0, 0, "coordinate-missing"}, {"1,5", 0, 0, "coordinate-not-a-number"},
		{"nan", 0, 0, "coordinate-not-a-number"}, {"Inf", 0, 0, "coordinate-not-a-number"}, {"0x10", 0, 0, "coordinate-not-a-number"},
		{"1_0", 0, 0, "coordinate-not-a-number"}, {"-", 0, 0, "coordinate-not-a-number"}, {"1e", 0, 0, "coordinate-not-a-number"},
		{"1e999", 0, 0, "coordinate-out-of-range"}, {"1.2.3", 0, 0, "coordinate-not-a-number"}, {"1-2", 0, 0, "coordinate-not-a-number"},
	} {
		x, d, code, what := Number(c.in)
		if x != c.x || d != c.decimals || code != c.code || (code == "") != (what == "") {
			t.Errorf("%q: got %v, %d decimals, %q %q", c.in, x, d, code, what)
		}
	}
}

func TestMembers(t *testing.T) {
	var m Members
	for i := range MaxMembers + 5 {
		m.Add(strings.Repeat("k", i+1), "v")
	}
	m.Add("kk", " v ")
	m.Add("kk", "other")
	m.Add("kk", "")
	f := &raw.Feature{Where: "a.xml: thing 1"}
	m.Warn(f)
	if len(m.List) != MaxMembers || m.List.Text("kk") != "v" || len(f.Problems) != 2 || f.Problems[0].Code != "member-repeated" ||
		!strings.Contains(f.Problems[1].What, "5 members") {
		t.Errorf("got %d members, %v", len(m.List), f.Problems)
	}
}

func FuzzReader(f *testing.F) {
	for _, s := range []string{"<r><a n='1'>x</a></r>", "\xff\xfe<\x00r\x00/\x00>\x00", "<?xml version='1.0' encoding='koi8-r'?><r><a>\xc1</a></r>",
		"<!DOCTYPE r [<!ENTITY a 'b'>]><r>&a;</r>", "\xef\xbb\xbf<r><![CDATA[<]]></r>"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r, ps := NewReader("a.xml", strings.NewReader(string(data)), 1<<20)
		if r == nil {
			if !ps.HasErrors() {
				t.Fatal("no reader and no error")
			}
			return
		}
		err := r.Children(func(e xml.StartElement) error {
			return r.Leaves(e, func(name, text string) {
				if strings.ContainsAny(text, "\x00\x01\x1f") {
					t.Fatalf("a control character in %q", text)
				}
			})
		})
		if err == io.EOF {
			t.Fatal("the end of the file is no fault")
		}
		if err != nil {
			if r.Fault(&ps, err); !ps.HasErrors() {
				t.Fatalf("%v is not reported", err)
			}
		}
	})
}
