// Package screen turns a sheet.Document into HTML: one file that a phone keeps and reads without a network.
//
// It knows the page's layout for a small screen, boxes to tick and blanks to fill in that stay on the phone, and which part of a page follows which. It
// leaves out every word and figure of the plan, which come from plan/sheet as on paper, and how a map is drawn: the caller
// hands that in. The script in the file keeps ticks and entries and reckons nothing.
package screen

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	"tankful/plan/sheet"
)

//go:embed page.html
var page string

//go:embed page.css
var style string

//go:embed page.js
var script string

// Drawer gives a map or an overview as an <svg> element: draw.MapSVG and draw.OverviewSVG, seen from here.
type Drawer func(sheet.Block) (string, error)

// Write writes a document as one HTML file that needs nothing else, each page of the document a part of it with its own anchor.
func Write(w io.Writer, d *sheet.Document, drawing Drawer) error {
	if d == nil || len(d.Pages) == 0 {
		return fmt.Errorf("screen: the document has no pages")
	}
	r, err := newRenderer(drawing)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	data := map[string]any{"D": d, "Mark": sheet.InventedMark, "CSS": template.CSS(style), "JS": template.JS(script)}
	if err := r.t.ExecuteTemplate(&b, "page.html", data); err != nil {
		return fmt.Errorf("screen: write %s: %w", d.Title, err)
	}
	if _, err := w.Write(b.Bytes()); err != nil {
		return fmt.Errorf("screen: write %s: %w", d.Title, err)
	}
	return nil
}

// Fragments are the pages of a document as HTML without head, style or script, for a page of a server: headings, figures, tables, boxes to tick. What can be ticked or filled in
// has a number of its own in data-keep, as in Write.
func Fragments(d *sheet.Document, drawing Drawer) ([]template.HTML, error) {
	r, err := newRenderer(drawing)
	if err != nil {
		return nil, err
	}
	out := make([]template.HTML, 0, len(d.Pages))
	for i := range d.Pages {
		var b strings.Builder
		for _, block := range d.Pages[i].Blocks {
			text, err := r.block(block)
			if err != nil {
				return nil, fmt.Errorf("screen: write %s: %w", d.Pages[i].Title, err)
			}
			b.WriteString(string(text))
		}
		out = append(out, template.HTML(b.String()))
	}
	return out, nil
}

func newRenderer(drawing Drawer) (*renderer, error) {
	r := &renderer{drawing: drawing}
	r.t = template.New("page.html").Funcs(template.FuncMap{"blockOf": r.block, "next": func() int { r.n++; return r.n }, "plus": func(a, b int) int { return a + b },
		"cell": func(row sheet.Row, i int) string {
			if i < len(row.Cells) {
				return row.Cells[i]
			}
			return ""
		}, "short": short})
	if _, err := r.t.Parse(page); err != nil {
		return nil, fmt.Errorf("screen: %w", err)
	}
	return r, nil
}

// renderer writes the blocks of one document; n counts what can be ticked or filled in, so that the phone knows them again.
type renderer struct {
	t       *template.Template
	drawing Drawer
	n       int
}

// block is one block as HTML.
func (r *renderer) block(b sheet.Block) (template.HTML, error) {
	name := ""
	switch b := b.(type) {
	case sheet.Heading:
		name = "heading"
	case sheet.Text:
		name = "text"
	case sheet.Table:
		name = "table"
	case sheet.Figures:
		name = "figures"
	case sheet.Steps:
		name = "steps"
	case sheet.Facts:
		name = "facts"
	case sheet.Fields:
		name = "fields"
	case sheet.Beside:
		name = "beside"
	case sheet.Break:
		return `<hr>`, nil
	case sheet.Map, sheet.Overview:
		svg, err := r.drawing(b)
		if err != nil {
			return "", err
		}
		return template.HTML(`<button class="map" type="button" aria-label="Make the map larger or smaller">` + fluid(svg) + `</button>`), nil
	default:
		return "", fmt.Errorf("screen: a block of type %T is not known", b)
	}
	var out bytes.Buffer
	if err := r.t.ExecuteTemplate(&out, name, b); err != nil {
		return "", err
	}
	return template.HTML(out.String()), nil
}

// fluid takes the size in millimetres off an <svg> element, so that it is as wide as the screen.
func fluid(svg string) string {
	head, rest, ok := strings.Cut(svg, ">")
	if !ok {
		return svg
	}
	for _, attribute := range []string{"width", "height"} {
		before, after, found := strings.Cut(head, " "+attribute+`="`)
		if !found {
			continue
		}
		if _, behind, closed := strings.Cut(after, `"`); closed {
			head = before + behind
		}
	}
	return head + ` role="img">` + rest
}

// short is a page's name in the list of contents.
func short(p sheet.Page) string {
	title, _, _ := strings.Cut(p.Title, ": ")
	if p.Stop > 0 {
		_, name, ok := strings.Cut(p.Title, ": ")
		if ok {
			return fmt.Sprintf("%d  %s", p.Stop, name)
		}
	}
	return title
}
