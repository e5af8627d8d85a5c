package draw

import (
	"github.com/tdewolff/canvas"

	"tankful/plan/sheet"
)

// boxes lays a block out in a width; the last box carries the gap below the block.
func (e *engine) boxes(b sheet.Block, width float64) []box {
	var out []box
	switch b := b.(type) {
	case sheet.Heading:
		out = e.heading(b, width)
	case sheet.Text:
		out = e.paragraph(b, width)
	case sheet.Table:
		out = e.table(b, width)
	case sheet.Figures:
		out = e.figures(b, width)
	case sheet.Steps:
		out = e.steps(b, width)
	case sheet.Facts:
		out = e.facts(b, width)
	case sheet.Fields:
		out = e.fields(b, width)
	case sheet.Beside:
		out = e.beside(b, width)
	case sheet.Map:
		out = e.mapBlock(b, width)
	case sheet.Overview:
		out = e.overviewBlock(b, width)
	case sheet.Break:
		return []box{{br: true}}
	}
	if _, ok := b.(sheet.Heading); !ok && len(out) > 0 {
		out[len(out)-1].h += gap
	}
	return out
}

func (e *engine) heading(b sheet.Heading, width float64) []box {
	face := e.f.face(sizeHeading, true)
	lines := e.f.wrap(face, b.Text, width)
	h := 2 + float64(len(lines))*leading(sizeHeading) + 1.2
	return []box{{h: h, glue: true, draw: func(x, y float64) {
		e.content(b.Text, y, true)
		e.lines(face, sizeHeading, lines, x, y+2)
		e.pen.line(x, y+h-0.9, x+width, y+h-0.9, 0.35, ink)
	}}}
}

// lines draws lines of text from their top.
func (e *engine) lines(face *canvas.FontFace, size float64, lines []string, x, y float64) {
	for i, l := range lines {
		e.pen.text(face, l, x, y+ascent(size)+float64(i)*leading(size))
	}
}

func (e *engine) paragraph(b sheet.Text, width float64) []box {
	size, bold, pad := sizeBody, false, 0.0
	switch b.Style {
	case sheet.Strong:
		bold = true
	case sheet.Small:
		size = sizeSmall
	case sheet.Warned:
		bold, pad = true, 1.6
	case sheet.Huge:
		return e.huge(b.Text, width)
	}
	face := e.f.face(size, bold)
	lines := e.f.wrap(face, b.Text, width-2*pad)
	if b.Style == sheet.Warned && len(lines) <= 40 {
		h := float64(len(lines))*leading(size) + 2*pad
		return []box{{h: h, draw: func(x, y float64) {
			e.pen.rect(x, y, width, h, paleBand, ink, 0.5)
			e.lines(face, size, lines, x+pad, y+pad)
		}}}
	}
	var out []box
	for i := range lines {
		l := lines[i : i+1]
		out = append(out, box{h: leading(size), draw: func(x, y float64) { e.lines(face, size, l, x+pad, y) }})
	}
	return out
}

// huge is a line as large as the width allows, white on black.
func (e *engine) huge(text string, width float64) []box {
	const pad, most, least = 3.0, 44.0, 14.0
	size := most
	for size > least && e.f.width(e.f.colored(size, true, white), text) > width-2*pad {
		size--
	}
	face := e.f.colored(size, true, white)
	lines := e.f.wrap(face, text, width-2*pad)
	h := float64(len(lines))*leading(size) + pad
	return []box{{h: h, draw: func(x, y float64) {
		e.pen.rect(x, y, width, h, ink, ink, 0)
		for i, l := range lines {
			e.pen.text(face, l, x+(width-e.f.width(face, l))/2, y+pad/2+ascent(size)+float64(i)*leading(size))
		}
	}}}
}

func (e *engine) figures(b sheet.Figures, width float64) []box {
	const between, pad = 2.0, 1.6
	n := float64(len(b.Items))
	if n == 0 {
		return nil
	}
	w := (width - between*(n-1)) / n
	h := leading(sizeSmall) + leading(sizeFigure) + 2*pad - 0.6
	return []box{{h: h, draw: func(x, y float64) {
		for i, it := range b.Items {
			left := x + float64(i)*(w+between)
			e.pen.rect(left, y, w, h, white, ink, 0.5)
			label := e.f.face(sizeSmall, false)
			e.pen.text(label, e.f.clip(label, it.Label, w-2*pad), left+pad, y+pad+ascent(sizeSmall))
			face := e.f.fit(it.Value, true, w-2*pad, sizeFigure, 16, 14, 12, 10, 8)
			e.pen.text(face, e.f.clip(face, it.Value, w-2*pad), left+pad, y+h-pad-1.2)
		}
	}}}
}

func (e *engine) steps(b sheet.Steps, width float64) []box {
	const tick, pad = 5.0, 1.5
	var out []box
	for _, s := range b.Items {
		amount := e.f.fit(s.Amount, true, width*0.45, sizeAmount, 14, 12, 10, 8)
		amountText := e.f.clip(amount, s.Amount, width*0.45)
		left := tick + 3
		text := e.f.face(11.5, true)
		lines := e.f.wrap(text, s.Text, width-left-e.f.width(amount, amountText)-4)
		note := e.f.face(sizeSmall, false)
		var notes []string
		if s.Note != "" {
			notes = e.f.wrap(note, s.Note, width-left)
		}
		drop := (leading(sizeAmount) - leading(11.5)) / 2 // to stand level with the amount
		textH := max(drop+float64(len(lines))*leading(11.5), leading(sizeAmount))
		h := pad + textH + float64(len(notes))*leading(sizeSmall) + pad*0.6
		out = append(out, box{h: h, draw: func(x, y float64) {
			e.pen.rect(x, y+pad+0.6, tick, tick, white, ink, 0.5)
			e.lines(text, 11.5, lines, x+left, y+pad+drop)
			e.pen.textRight(amount, amountText, x+width, y+pad+ascent(sizeAmount))
			e.lines(note, sizeSmall, notes, x+left, y+pad+textH)
			e.pen.line(x, y+h, x+width, y+h, 0.15, faint)
		}})
	}
	return out
}

func (e *engine) facts(b sheet.Facts, width float64) []box {
	const cell, between = 42.0, 3.0
	cols := max(1, int((width+between)/(cell+between)))
	w := (width+between)/float64(cols) - between
	label, value := e.f.face(sizeSmall, false), e.f.face(10, true)
	var out []box
	for i := 0; i < len(b.Items); i += cols {
		row := b.Items[i:min(i+cols, len(b.Items))]
		labels, values := make([][]string, len(row)), make([][]string, len(row))
		nl, nv := 0, 0
		for j, it := range row {
			labels[j], values[j] = e.f.wrap(label, it.Label, w), e.f.wrap(value, it.Value, w)
			nl, nv = max(nl, len(labels[j])), max(nv, len(values[j]))
		}
		labelH := float64(nl) * leading(sizeSmall)
		out = append(out, box{h: labelH + float64(nv)*leading(10) + 1, draw: func(x, y float64) {
			for j := range row {
				left := x + float64(j)*(w+between)
				e.lines(label, sizeSmall, labels[j], left, y)
				e.lines(value, 10, values[j], left, y+labelH)
			}
		}})
	}
	return out
}

// blank is the height to write in, for a carpenter's pencil.
const blank = 9.0

func (e *engine) fields(b sheet.Fields, width float64) []box {
	const cols, pad = 4, 1.0
	w := width / cols
	label := e.f.face(sizeSmall, false)
	h := blank + leading(sizeSmall)
	var out []box
	var row []sheet.Field
	used := 0
	flush := func() {
		cells := row
		out = append(out, box{h: h, draw: func(x, y float64) {
			for _, c := range cells {
				cw := w * float64(wide(c))
				e.pen.rect(x, y, cw, h, white, ink, 0.25)
				e.pen.text(label, e.f.clip(label, c.Label, cw-2*pad), x+pad, y+ascent(sizeSmall)+0.3)
				x += cw
			}
		}})
		row, used = nil, 0
	}
	for _, it := range b.Items {
		if used+wide(it) > cols {
			flush()
		}
		row, used = append(row, it), used+wide(it)
	}
	if len(row) > 0 {
		flush()
	}
	return out
}

func wide(f sheet.Field) int { return min(max(f.Wide, 1), 4) }

// beside sets two columns in one box; when that would not fit on paper, one after the other.
func (e *engine) beside(b sheet.Beside, width float64) []box {
	const between = 6.0
	lw := (width - between) * b.Share
	rw := width - between - lw
	var left, right []box
	for i := range b.Left {
		left = append(left, e.boxesOf(b.Left, i, lw)...)
	}
	for i := range b.Right {
		right = append(right, e.boxesOf(b.Right, i, rw)...)
	}
	h := max(height1(left), height1(right))
	if e.h > 0 && h > (e.h-2*margin)/2 {
		var out []box
		for _, x := range append(append([]sheet.Block{}, b.Left...), b.Right...) {
			out = append(out, e.boxes(x, width)...)
		}
		return out
	}
	return []box{{h: h, draw: func(x, y float64) {
		e.place(left, x, y)
		e.place(right, x+lw+between, y)
	}}}
}
