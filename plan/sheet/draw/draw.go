// Package draw puts a sheet.Document on paper: PDF, SVG and PNG.
//
// It knows fonts, millimetres, page breaks, map scales and hatches, and it is the only
// importer of canvas. It leaves out every word and figure, which come from plan/sheet, except
// page numbers, map scales and scale bars, legends and empty backs, which only exist on paper.
//
// Surfaces, kinds of pass and marks differ by hatch, dash and shape, so that a photocopy
// loses nothing; the pale tints only help.
package draw

import (
	"bytes"
	"errors"
	"fmt"
	"image/png"
	"io"

	"github.com/tdewolff/canvas"
	"github.com/tdewolff/canvas/renderers/pdf"
	"github.com/tdewolff/canvas/renderers/rasterizer"
	"github.com/tdewolff/canvas/renderers/svg"

	"tankful/calc/unit"
	"tankful/plan/sheet"
)

// The files' coordinates are in millimetres and points to five digits, 0.01 mm on a sheet of paper: half the bytes of the library's eight.
// It is the only knob of the library for this.
func init() { canvas.Precision = 5 }

// Sheets is a document laid out on sheets of paper, ready to be written in any format, many
// times. It is not safe for concurrent use.
type Sheets struct {
	title, subject string
	pages          []*canvas.Canvas
	marks          []bookmark
}

// Layout puts a document on paper.
func Layout(d *sheet.Document) (*Sheets, error) {
	pages, marks, err := render(d)
	if err != nil {
		return nil, err
	}
	return &Sheets{title: d.Title, subject: "Work sheets, " + d.Number(), pages: pages, marks: marks}, nil
}

// Len is the number of sheets of paper, at least 1.
func (s *Sheets) Len() int { return len(s.pages) }

// PDF writes all sheets, fonts subset and embedded, text selectable, with a list of contents. The file carries the
// time of writing, so two runs differ in their bytes, not in their pages.
func (s *Sheets) PDF(w io.Writer) error {
	var b bytes.Buffer
	out := pdf.New(&b, s.pages[0].W, s.pages[0].H, nil)
	out.SetInfo(s.title, s.subject, "", "", "Tankful")
	out.SetLang("en")
	for i, c := range s.pages {
		if i > 0 {
			out.NewPage(c.W, c.H)
		}
		c.RenderTo(out)
	}
	if err := out.Close(); err != nil {
		return fmt.Errorf("write sheet as PDF: %w", err)
	}
	file := b.Bytes()
	if len(s.marks) > 0 {
		var err error
		if file, err = withContents(file, s.pages[0].H, s.marks); err != nil {
			return err
		}
	}
	if _, err := w.Write(file); err != nil {
		return fmt.Errorf("write sheet as PDF: %w", err)
	}
	return nil
}

// SVG writes one sheet, counted from 1, its text as outlines: the same bytes every time.
func (s *Sheets) SVG(w io.Writer, page int) error {
	if err := s.check(page); err != nil {
		return err
	}
	return writeSVG(w, s.pages[page-1])
}

// PNG writes one sheet, counted from 1; dpi is from 36 to 600.
func (s *Sheets) PNG(w io.Writer, page int, dpi float64) error {
	if err := s.check(page); err != nil {
		return err
	}
	return writePNG(w, s.pages[page-1], dpi)
}

func (s *Sheets) check(page int) error {
	if page < 1 || page > len(s.pages) {
		return fmt.Errorf("draw: no page %d: the document has %d", page, len(s.pages))
	}
	return nil
}

// PDF is Layout and Sheets.PDF in one.
func PDF(w io.Writer, d *sheet.Document) error {
	s, err := Layout(d)
	if err != nil {
		return err
	}
	return s.PDF(w)
}

// Pages is the number of sheets of paper that the document takes.
func Pages(d *sheet.Document) (int, error) {
	s, err := Layout(d)
	if err != nil {
		return 0, err
	}
	return s.Len(), nil
}

// SVG is Layout and Sheets.SVG in one; for several pages, lay out once.
func SVG(w io.Writer, d *sheet.Document, page int) error {
	s, err := Layout(d)
	if err != nil {
		return err
	}
	return s.SVG(w, page)
}

// PNG is Layout and Sheets.PNG in one; for several pages, lay out once.
func PNG(w io.Writer, d *sheet.Document, page int, dpi float64) error {
	s, err := Layout(d)
	if err != nil {
		return err
	}
	return s.PNG(w, page, dpi)
}

// MapSVG writes a map alone with its scale bar and legend, at most width x height.
func MapSVG(w io.Writer, m sheet.Map, width, height unit.Length) error {
	c, err := mapAlone(m, width, height)
	if err != nil {
		return err
	}
	return writeSVG(w, c)
}

// BlockSVG writes a map or an overview alone, at most width x height, as MapSVG does; other blocks are an error.
func BlockSVG(w io.Writer, b sheet.Block, width, height unit.Length) error {
	switch b := b.(type) {
	case sheet.Map:
		return MapSVG(w, b, width, height)
	case sheet.Overview:
		s, err := LayoutOverview(b, width, height)
		if err != nil {
			return err
		}
		return s.SVG(w, 1)
	}
	return fmt.Errorf("draw: a block of type %T is no drawing", b)
}

// MapPNG writes a map alone, at most width x height; dpi is from 36 to 600.
func MapPNG(w io.Writer, m sheet.Map, width, height unit.Length, dpi float64) error {
	c, err := mapAlone(m, width, height)
	if err != nil {
		return err
	}
	return writePNG(w, c, dpi)
}

func paper(d *sheet.Document) (width, height float64) {
	w, h := d.Paper.Size()
	return w.In(unit.Millimetre), h.In(unit.Millimetre)
}

// outlined draws text as outlines.
type outlined struct{ canvas.Renderer }

func (o outlined) RenderText(t *canvas.Text, m canvas.Matrix) { t.RenderAsPath(o.Renderer, m, 0) }

func writeSVG(w io.Writer, c *canvas.Canvas) error {
	out := svg.New(w, c.W, c.H, &svg.Options{SizeUnits: "mm"})
	whiten(out, c)
	c.RenderTo(outlined{out})
	if err := out.Close(); err != nil {
		return fmt.Errorf("write sheet as SVG: %w", err)
	}
	return nil
}

func writePNG(w io.Writer, c *canvas.Canvas, dpi float64) error {
	if !(dpi >= 36 && dpi <= 600) {
		return fmt.Errorf("draw: %v dpi is not between 36 and 600", dpi)
	}
	out := rasterizer.New(c.W, c.H, canvas.DPI(dpi), canvas.DefaultColorSpace)
	whiten(out, c)
	c.RenderTo(out)
	out.Close()
	if err := png.Encode(w, out); err != nil {
		return fmt.Errorf("write sheet as PNG: %w", err)
	}
	return nil
}

// whiten puts white under a page, so that it reads on a dark screen too.
func whiten(r canvas.Renderer, c *canvas.Canvas) {
	style := canvas.DefaultStyle
	style.Fill = canvas.Paint{Color: canvas.White}
	r.RenderPath(canvas.Rectangle(c.W, c.H), style, canvas.Identity)
}

func mapAlone(m sheet.Map, width, height unit.Length) (*canvas.Canvas, error) {
	return alone(width, height, func(e *engine, w float64) []box { return e.mapBlock(m, w) })
}

// alone is one block on a canvas of its own.
func alone(width, height unit.Length, block func(e *engine, w float64) []box) (*canvas.Canvas, error) {
	w, h := width.In(unit.Millimetre), height.In(unit.Millimetre)
	if !(w >= 60 && h >= 60 && w <= 2000 && h <= 2000) {
		return nil, errors.New("draw: a map alone is at least 60 mm and at most 2 m wide and high")
	}
	f, err := newFonts()
	if err != nil {
		return nil, err
	}
	const rim = 2.0 // mm of white all round, so that no edge of a screen cuts a line
	e := &engine{f: f, mapRoom: h - 2*rim}
	boxes := block(e, w-2*rim)
	total := height1(boxes) + 2*rim
	c := canvas.New(w, total)
	e.pen = &pen{ctx: canvas.NewContext(c), h: total, f: f}
	e.place(boxes, rim, rim)
	return c, nil
}
