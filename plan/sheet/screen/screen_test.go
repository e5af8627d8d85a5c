package screen

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"tankful/plan"
	"tankful/plan/sheet"
	"tankful/plan/sheet/sheettest"
)

func written(t *testing.T, p *plan.Plan, opt sheet.Options) (*sheet.Document, string) {
	t.Helper()
	d, err := sheet.Truck(p, "T1", opt)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	n := 0
	if err := Write(&b, d, func(sheet.Block) (string, error) {
		n++
		return fmt.Sprintf(`<svg width="10mm" height="10mm" viewBox="0 0 10 10"><path d="M0 %d"/></svg>`, n), nil
	}); err != nil {
		t.Fatal(err)
	}
	return d, b.String()
}

// texts is what a reader sees, and the addresses that the file asks for.
func texts(t *testing.T, page string) (seen string, asks []string) {
	t.Helper()
	root, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for n := range root.Descendants() {
		if n.Type == html.TextNode && n.Parent.Data != "script" && n.Parent.Data != "style" {
			b.WriteString(n.Data + " ")
		}
		for _, a := range n.Attr {
			if a.Key == "src" || a.Key == "href" || a.Key == "srcset" || a.Key == "action" {
				asks = append(asks, a.Val)
			}
		}
	}
	return strings.Join(strings.Fields(b.String()), " "), asks
}

// Every word that is on paper is on the screen too, but for the words of drawings and blanks.
func TestEveryWordIsThere(t *testing.T) {
	p := sheettest.Plan()
	p.Stops[0].Notes = `Gate <b>2</b> & "dog" שלום žluťoučký`
	d, page := written(t, p, sheet.Options{})
	seen, asks := texts(t, page)
	words := map[string]bool{}
	for w := range strings.FieldsSeq(seen) {
		words[w] = true
	}
	checked := 0
	for line := range strings.Lines(d.Text()) {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "(map:") || strings.HasPrefix(line, "(overview:") {
			continue
		}
		for w := range strings.FieldsSeq(line) {
			w = strings.Trim(w, "[]")
			if w == "" || w == "==" || strings.HasPrefix(w, "______") || words[w] || words[strings.TrimSuffix(w, ":")] || strings.Contains(seen, strings.TrimSuffix(w, ":")) {
				checked++
				continue
			}
			t.Errorf("%q of %q is not on the screen", w, line)
		}
	}
	if checked < 500 {
		t.Errorf("%d words were checked, want 500 at least", checked)
	}
	for _, a := range asks {
		if !strings.HasPrefix(a, "#part-") {
			t.Errorf("the file asks for %q", a)
		}
	}
	if n := strings.Count(page, "<svg "); n != 4 {
		t.Errorf("%d drawings, want those of 3 stops and the overview", n)
	}
	if strings.Contains(page, "10mm") {
		t.Error("a drawing keeps its size on paper")
	}
}

// What can be ticked or filled in has a number of its own, or one entry would show in two places.
func TestEntriesAreToldApart(t *testing.T) {
	_, page := written(t, sheettest.Plan(), sheet.Options{})
	seen, n := map[string]bool{}, 0
	for _, part := range strings.Split(page, `data-keep="`)[1:] {
		key, _, _ := strings.Cut(part, `"`)
		if n++; seen[key] {
			t.Errorf("entry %s is there twice", key)
		}
		seen[key] = true
	}
	if n < 30 {
		t.Errorf("%d entries, want 30 at least", n)
	}
}

func TestLink(t *testing.T) {
	p := sheettest.Plan()
	_, page := written(t, p, sheet.Options{Server: "http://office.example/", Property: "P-02", Only: []sheet.Part{sheet.Stops}})
	if want := `href="http://office.example/plan/3f2a9c41/truck/1/stop/2"`; strings.Count(page, want) != 1 || strings.Count(page, "<section") != 1 {
		t.Errorf("the page has not one %s in one section", want)
	}
}

func TestErrors(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, &sheet.Document{}, nil); err == nil || b.Len() > 0 {
		t.Errorf("a document without pages: got %v and %d bytes", err, b.Len())
	}
	d := &sheet.Document{Pages: []sheet.Page{{Blocks: []sheet.Block{sheet.Map{}}}}}
	err := Write(&b, d, func(sheet.Block) (string, error) { return "", fmt.Errorf("no ink") })
	if err == nil || !strings.Contains(err.Error(), "no ink") || b.Len() > 0 {
		t.Errorf("a drawing that fails: got %v and %d bytes", err, b.Len())
	}
}
