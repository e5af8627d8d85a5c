package shape

import (
	"strings"
	"testing"

	"tankful/calc/problem"
)

// The bytes of "Grünfläche" by the published tables of each code page (from memory), and what is read of them.
func TestCodePages(t *testing.T) {
	for _, c := range []struct {
		name, cpg string
		driver    byte
		cell      string
		want      string
		problems  string
	}{
		{"utf-8 by cpg", "UTF-8", 0, "Grünfläche", "Grünfläche", ""},
		{"utf-8 by number", "65001\r\n", 0x57, "Grünfläche", "Grünfläche", ""},
		{"utf-8 not said", "", 0, "Grünfläche", "Grünfläche", ""},
		{"windows-1252 not said", "", 0, "Gr\xfcnfl\xe4che \x96 1", "Grünfläche – 1", ""},
		{"windows-1252 by driver", "", 0x03, "Gr\xfcnfl\xe4che", "Grünfläche", ""},
		{"driver 57h", "", 0x57, "Gr\xfcnfl\xe4che", "Grünfläche", ""},
		{"437 by driver", "", 0x01, "Gr\x81nfl\x84che", "Grünfläche", ""},
		{"850 by driver", "", 0x02, "Gr\x81nfl\x84che \xb8", "Grünfläche ©", ""},
		{"850 by cpg", "OEM 850", 0x57, "Gr\x81nfl\x84che", "Grünfläche", ""},
		{"437 by cpg", "cp437", 0, "Gr\x81nfl\x84che", "Grünfläche", ""},
		{"latin-1 by cpg", "ISO-8859-1", 0, "Gr\xfcnfl\xe4che", "Grünfläche", ""},
		{"latin-1 as some write it", "88591", 0, "Gr\xfcnfl\xe4che", "Grünfläche", ""},
		{"ansi by cpg", "ANSI 1252", 0x01, "Gr\xfcnfl\xe4che", "Grünfläche", ""},
		{"said utf-8 and is not", "UTF-8", 0, "Gr\xfcnfl\xe4che", "Grünfläche", ""},
		{"cut in a character", "UTF-8", 0, strings.Repeat("x", 39) + "\xc3", strings.Repeat("x", 39), ""},
		{"unknown", "BIG5", 0, "Gr\xfcnfl\xe4che", "Grünfläche", "unknown-encoding"},
	} {
		var ps problem.List
		tab := readTable(tableFile(c.driver, []column{{"T", 'C', 40}}, []string{c.cell}), []byte(c.cpg), "a.dbf", &ps)
		if got := tab.row(0)[0].Value; got != c.want || codes(ps) != c.problems {
			t.Errorf("%s: got %q, %v, want %q, %s", c.name, got, ps, c.want, c.problems)
		}
	}
}

func TestCells(t *testing.T) {
	for _, c := range []struct {
		kind       byte
		cell, want string
	}{
		{'C', "  Back bed ", "Back bed"}, {'C', "bed\x00rubbish", "bed"}, {'C', "", ""},
		{'N', "       12", "12"}, {'N', "*********", ""}, {'N', "", ""}, {'N', "1.50", "1.50"}, {'F', "1.0e+003", "1.0e+003"},
		{'L', "T", "true"}, {'L', "y", "true"}, {'L', "F", "false"}, {'L', "n", "false"}, {'L', "?", ""}, {'L', "", ""},
		{'D', "20260501", "2026-05-01"}, {'D', "00000000", ""}, {'D', "", ""}, {'D', "05/01/26", "05/01/26"},
	} {
		var ps problem.List
		tab := readTable(tableFile(0, []column{{"T", c.kind, 20}}, []string{c.cell}), nil, "a.dbf", &ps)
		if got := tab.row(0)[0].Value; got != c.want || len(ps) != 0 {
			t.Errorf("%c %q: got %q, %v, want %q", c.kind, c.cell, got, ps, c.want)
		}
	}
}

func TestTables(t *testing.T) {
	long := strings.Repeat("long ", 60)
	for _, c := range []struct {
		name     string
		cols     []column
		row      []string
		edit     func([]byte) []byte
		want     string
		problems string
	}{
		{"texts over 255", []column{{"A", 'C', 300}, {"B", 'C', 5}}, []string{long, "b"}, nil, "A=" + strings.TrimSpace(long) + " B=b", ""},
		{"memo", []column{{"A", 'C', 3}, {"M", 'M', 10}, {"B", 'C', 3}}, []string{"a", "12", "b"}, nil, "A=a B=b", "column-not-read"},
		{"twice", []column{{"A", 'C', 3}, {"A", 'C', 3}}, []string{"a", "b"}, nil, "A=a A=b", "member-repeated"},
		{"no columns", nil, []string{}, nil, "", ""},
		{"rows not counted", []column{{"A", 'C', 3}}, []string{"a"}, func(b []byte) []byte { b[4] = 0; return b }, "A=a", ""},
		{"rows that are not there", []column{{"A", 'C', 3}}, []string{"a"}, func(b []byte) []byte { b[7] = 0xff; return b }, "A=a", ""},
		{"row too short", []column{{"A", 'C', 3}}, []string{"a"}, func(b []byte) []byte { b[10] = 2; return b }, "none", "not-a-table"},
		{"row of nothing", []column{{"A", 'C', 3}}, []string{"a"}, func(b []byte) []byte { b[10] = 0; return b }, "none", "not-a-table"},
		{"header too long", []column{{"A", 'C', 3}}, []string{"a"}, func(b []byte) []byte { b[9] = 9; return b }, "none", "not-a-table"},
		{"level 7", []column{{"A", 'C', 3}}, []string{"a"}, func(b []byte) []byte { b[0] = 4; return b }, "none", "not-a-table"},
	} {
		data := tableFile(0, c.cols, c.row)
		if c.edit != nil {
			data = c.edit(data)
		}
		var ps problem.List
		got := "none"
		if tab := readTable(data, nil, "a.dbf", &ps); tab != nil {
			var out []string
			for _, m := range tab.row(0) {
				out = append(out, m.Key+"="+m.Value)
			}
			got = strings.Join(out, " ")
		}
		if got != c.want || codes(ps) != c.problems {
			t.Errorf("%s: got %q, %v, want %q, %s", c.name, got, ps, c.want, c.problems)
		}
	}
}
