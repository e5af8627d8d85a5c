package draw

import (
	"strings"

	"github.com/tdewolff/canvas"

	"tankful/plan/sheet"
)

const (
	cellPad   = 1.3 // left and right of a cell
	rowPad    = 0.7 // above and below
	acrossGap = 5.0
)

// tableLayout is a table measured: every line of every cell fits its column.
type tableLayout struct {
	tall   bool
	broken bool // even in the smallest type a word or a figure is wider than its column
	size   float64
	widths []float64 // of the columns, padding included
	head   [][]string
	rows   [][][]string // row, column, line
}

// layoutTable finds the largest type and the column widths at which the table fits: columns
// keep their natural width while it does, then columns with words in them wrap, then the type
// shrinks, and at last words are broken.
func (f *fonts) layoutTable(t sheet.Table, width float64) tableLayout {
	sizes := []float64{sizeBody, 9, sizeSmall, sizeFine, 7.5, 7}
	if t.Fine {
		sizes = []float64{sizeFine, 7.5, 7}
	}
	avail := width - 2*cellPad*float64(len(t.Columns))
	l := tableLayout{tall: t.Tall}
	for _, size := range sizes {
		least, natural := f.columnNeeds(t, size)
		l.size = size
		if sum(least) <= avail {
			l.widths = share(t, least, natural, avail)
			break
		}
		l.widths, l.broken = scaled(least, avail/sum(least)), size == sizes[len(sizes)-1]
	}
	head, body, bold := f.face(l.size, true), f.face(l.size, false), f.face(l.size, true)
	for i, c := range t.Columns {
		l.head = append(l.head, f.wrap(head, c.Head, l.widths[i]))
	}
	for _, r := range t.Rows {
		face := body
		if r.Bold {
			face = bold
		}
		var cells [][]string
		for i := range t.Columns {
			cells = append(cells, f.wrap(face, cell(r, i), l.widths[i]))
		}
		l.rows = append(l.rows, cells)
	}
	for i := range l.widths {
		l.widths[i] += 2 * cellPad
	}
	return l
}

func cell(r sheet.Row, i int) string {
	if i < len(r.Cells) {
		return r.Cells[i]
	}
	return ""
}

// columnNeeds is, for each column, the width below which a word or a figure breaks, and
// the width at which nothing wraps. A single very long word does not count in full.
func (f *fonts) columnNeeds(t sheet.Table, size float64) (least, natural []float64) {
	const longWord = 28.0
	for i, c := range t.Columns {
		lo, hi := 0.0, 0.0
		if c.Blank {
			lo, hi = blankWide, blankWide
		}
		add := func(face *canvas.FontFace, s string) {
			s = f.clean(s)
			w := f.width(face, s)
			hi = max(hi, w)
			if c.Align == sheet.Right {
				lo = max(lo, min(w, longWord))
				return
			}
			for _, word := range strings.Fields(s) {
				lo = max(lo, min(f.width(face, word), longWord))
			}
		}
		for _, word := range strings.Fields(c.Head) {
			add(f.face(size, true), word)
		}
		hi = max(hi, f.width(f.face(size, true), f.clean(c.Head)))
		for _, r := range t.Rows {
			add(f.face(size, r.Bold), cell(r, i))
		}
		least, natural = append(least, lo+0.01), append(natural, hi+0.01)
	}
	return least, natural
}

// share gives every column its least width and the rest by what it would still take; what
// is then left goes to the columns of words.
func share(t sheet.Table, least, natural []float64, avail float64) []float64 {
	out := append([]float64(nil), least...)
	rest, want := avail-sum(least), sum(natural)-sum(least)
	part := 1.0
	if want > rest {
		part = rest / want
	}
	for i := range out {
		out[i] += (natural[i] - least[i]) * part
	}
	rest = avail - sum(out)
	words := 0.0
	for i, c := range t.Columns {
		if c.Align == sheet.Left {
			words += natural[i]
		}
	}
	for i, c := range t.Columns {
		switch {
		case words == 0:
			out[i] += rest / float64(len(out))
		case c.Align == sheet.Left:
			out[i] += rest * natural[i] / words
		}
	}
	return out
}

func scaled(x []float64, k float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = x[i] * k
	}
	return out
}

func sum(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s
}

// pad is the space above and below a row: less in fine print.
func (l tableLayout) pad() float64 {
	if l.size <= sizeFine {
		return rowPad / 2
	}
	return rowPad
}

func (l tableLayout) height(lines [][]string) float64 {
	n := 1
	for _, c := range lines {
		n = max(n, len(c))
	}
	return float64(n)*leading(l.size) + 2*l.pad()
}

// A column to write in is at least so wide, and a row to write in so high, in millimetres: a gauge reading with a carpenter's pencil.
const (
	blankWide = 20.0
	blankHigh = 8.0
)

// rowHeight is the height of a row of the table's body.
func (l tableLayout) rowHeight(lines [][]string) float64 {
	h := l.height(lines)
	if l.tall {
		h = max(h, blankHigh)
	}
	return h
}

// table lays a table out; its head is repeated on a new sheet of paper.
func (e *engine) table(t sheet.Table, width float64) []box {
	across, w, l := max(t.Across, 1), 0.0, tableLayout{}
	for ; ; across-- { // fewer beside each other before a figure is broken
		w = (width - acrossGap*float64(across-1)) / float64(across)
		if l = e.f.layoutTable(t, w); !l.broken || across == 1 {
			break
		}
	}
	perSet := (len(t.Rows) + across - 1) / across
	headH := l.height(l.head)
	head := box{h: headH, glue: true, draw: func(x, y float64) {
		for k := range across {
			if k > 0 && k*perSet >= len(t.Rows) {
				break
			}
			e.row(t, l, l.head, true, x+float64(k)*(w+acrossGap), y)
			left := x + float64(k)*(w+acrossGap)
			e.pen.line(left, y+headH, left+w, y+headH, 0.4, ink)
		}
	}}
	out := []box{head}
	for i := range perSet {
		h := 0.0
		for r := i; r < len(t.Rows); r += perSet {
			h = max(h, l.rowHeight(l.rows[r]))
		}
		b := box{h: h, draw: func(x, y float64) {
			for k := range across {
				if r := k*perSet + i; r < len(t.Rows) {
					left := x + float64(k)*(w+acrossGap)
					e.row(t, l, l.rows[r], t.Rows[r].Bold, left, y+(h-l.height(l.rows[r]))/2)
					e.blanks(t, t.Rows[r], l, left, y, h)
					e.pen.line(left, y+h, left+w, y+h, 0.15, faint)
				}
			}
		}}
		if i > 0 {
			b.again = []box{head}
		}
		out = append(out, b)
	}
	return out
}

// blanks frames the cells of a row that are to be written in.
func (e *engine) blanks(t sheet.Table, r sheet.Row, l tableLayout, x, y, h float64) {
	for i, c := range t.Columns {
		if c.Blank && cell(r, i) == "" {
			e.pen.rect(x+0.5, y+0.5, l.widths[i]-1, h-1, white, ink, 0.25)
		}
		x += l.widths[i]
	}
}

func (e *engine) row(t sheet.Table, l tableLayout, cells [][]string, bold bool, x, y float64) {
	face := e.f.face(l.size, bold)
	for i, c := range t.Columns {
		for j, s := range cells[i] {
			base := y + l.pad() + ascent(l.size) + float64(j)*leading(l.size)
			if c.Align == sheet.Right {
				e.pen.textRight(face, s, x+l.widths[i]-cellPad, base)
			} else {
				e.pen.text(face, s, x+cellPad, base)
			}
		}
		x += l.widths[i]
	}
}
