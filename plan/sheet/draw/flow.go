package draw

import (
	"errors"
	"fmt"

	"github.com/tdewolff/canvas"

	"tankful/plan/sheet"
)

const (
	margin   = 12.0 // mm, all round
	footer   = 7.0
	gap      = 2.2 // between blocks
	smallest = 85  // the least height for a map before it takes a page of its own
)

// box is a piece of a page that is not broken. Draw is called with its top left corner.
type box struct {
	h    float64
	draw func(x, y float64)
	// glue keeps the next box on the same sheet of paper; br starts a new sheet.
	glue, br bool
	// again is drawn once more at the head of a new sheet when a table is broken before this box.
	again []box
}

type engine struct {
	f       *fonts
	d       *sheet.Document
	pen     *pen
	w, h    float64 // of the paper
	mapRoom float64 // height that a map with its legend may take
	canvas  []*canvas.Canvas
	err     error // of a code that cannot be made
	marks   []bookmark
	// parts are those of the map of the page that is being laid out, and firstPass is where its walk begins.
	parts     []mapPart
	firstPass int
}

func render(d *sheet.Document) ([]*canvas.Canvas, []bookmark, error) {
	if d == nil || len(d.Pages) == 0 {
		return nil, nil, errors.New("draw: the document has no pages")
	}
	f, err := newFonts()
	if err != nil {
		return nil, nil, err
	}
	e := &engine{f: f, d: d}
	e.w, e.h = paper(d)
	for i := range d.Pages {
		if len(e.canvas)%2 == 1 { // printed on both sides, a page begins on a front
			e.leftEmpty()
		}
		e.page(&d.Pages[i])
	}
	e.footers()
	return e.canvas, e.marks, e.err
}

func (e *engine) newSheet() {
	c := canvas.New(e.w, e.h)
	e.canvas = append(e.canvas, c)
	e.pen = &pen{ctx: canvas.NewContext(c), h: e.h, f: e.f}
}

// leftEmpty is a back with nothing on it but the reason.
func (e *engine) leftEmpty() {
	e.newSheet()
	face := e.f.face(sizeBody, false)
	const why = "Left empty, so that every stop begins on the front of a sheet of paper."
	e.pen.text(face, why, margin+(e.inner()-e.f.width(face, why))/2, e.h/2)
}

func (e *engine) inner() float64 { return e.w - 2*margin }

// page lays one page of the document out on as many sheets of paper as it takes.
func (e *engine) page(p *sheet.Page) {
	e.newSheet()
	top := e.header(p, false)
	bottom := e.h - margin - footer
	e.mapRoom = e.roomForMap(p, bottom-top)
	boxes := e.flow(p.Blocks, bottom-top)
	y := top
	for i := 0; i < len(boxes); {
		n, need := chunk(boxes[i:])
		if boxes[i].br || y+need > bottom && y > top {
			e.newSheet()
			top = e.header(p, true)
			y = top
			y = e.place(boxes[i].again, margin, y)
		}
		y = e.place(boxes[i:i+n], margin, y)
		i += n
	}
	e.partSheets(p)
}

// chunk is the number of boxes up to the first that is not glued to its next, and their height.
func chunk(boxes []box) (n int, h float64) {
	for n = range boxes {
		h += boxes[n].h
		if !boxes[n].glue {
			break
		}
	}
	return n + 1, h
}

func (e *engine) place(boxes []box, x, y float64) float64 {
	for _, b := range boxes {
		if b.draw != nil {
			b.draw(x, y)
		}
		y += b.h
	}
	return y
}

func height1(boxes []box) float64 {
	h := 0.0
	for _, b := range boxes {
		h += b.h
	}
	return h
}

// flow turns blocks into boxes with room heights of paper at a time; a Heading keeps
// its part together when it fits.
func (e *engine) flow(blocks []sheet.Block, room float64) []box {
	var out []box
	for i := 0; i < len(blocks); i++ {
		h, ok := blocks[i].(sheet.Heading)
		if !ok {
			out = append(out, e.boxesOf(blocks, i, e.inner())...)
			continue
		}
		part := e.boxes(h, e.inner())
		for i+1 < len(blocks) && !opens(blocks[i+1]) {
			i++
			part = append(part, e.boxesOf(blocks, i, e.inner())...)
		}
		if h.Together && height1(part) <= room {
			for j := range part[:len(part)-1] {
				part[j].glue = true
			}
		}
		out = append(out, part...)
	}
	return out
}

// boxesOf lays out the i-th block in a width; paragraphs that follow each other stand close.
func (e *engine) boxesOf(blocks []sheet.Block, i int, width float64) []box {
	b := e.boxes(blocks[i], width)
	if i+1 < len(blocks) && isText(blocks[i]) && isText(blocks[i+1]) && len(b) > 0 {
		b[len(b)-1].h -= gap - 0.7
	}
	return b
}

func isText(b sheet.Block) bool {
	_, ok := b.(sheet.Text)
	return ok
}

func opens(b sheet.Block) bool {
	switch b.(type) {
	case sheet.Heading, sheet.Break:
		return true
	}
	return false
}

// roomForMap is what the other blocks up to the first Break leave, so that the map fills
// the front of a stop's page; when that is too little, the map goes on a sheet of its own.
func (e *engine) roomForMap(p *sheet.Page, room float64) float64 {
	rest := room
	for i, b := range p.Blocks {
		switch b.(type) {
		case sheet.Break:
			if rest < smallest {
				return room - 20
			}
			return rest
		case sheet.Map:
		default:
			rest -= height1(e.boxesOf(p.Blocks, i, e.inner()))
		}
	}
	return room / 2
}

// header draws the mark, the title and the subtitle, and returns where the page begins.
func (e *engine) header(p *sheet.Page, again bool) float64 {
	y := margin
	if e.d.Invented {
		e.inventedMark(margin, y, e.inner())
		y += markHeight + 2
	}
	if again {
		face := e.f.face(11, true)
		e.pen.text(face, e.f.clip(face, p.Title+" (continued)", e.inner()), margin, y+ascent(11))
		y += leading(11)
		small := e.f.face(sizeSmall, false)
		e.pen.text(small, e.f.clip(small, p.Subtitle, e.inner()), margin, y+ascent(sizeSmall))
		y += leading(sizeSmall) + 1
	} else {
		width := e.inner()
		if p.Link != "" {
			width -= codeSide + 3
			e.code(p.Link, margin+e.inner()-codeSide, y)
		}
		e.content(p.Title, y, false)
		if end := e.title(p, y, width); p.Link != "" {
			y = max(end, y+codeSide+1)
		} else {
			y = end
		}
	}
	e.pen.line(margin, y, margin+e.inner(), y, 0.6, ink)
	return y + gap
}

// markHeight is the height of the mark of invented data, in millimetres.
const markHeight = 8.0

// inventedMark draws the mark of invented data; where there is little room its letters are smaller.
func (e *engine) inventedMark(x, y, width float64) {
	size := 15.0
	for size > 8 && e.f.width(e.f.colored(size, true, white), sheet.InventedMark) > width {
		size--
	}
	face := e.f.colored(size, true, white)
	e.pen.rect(x, y, width, markHeight, ink, ink, 0)
	e.pen.text(face, sheet.InventedMark, x+(width-e.f.width(face, sheet.InventedMark))/2, y+5.8)
}

// content puts a line into the contents, for what stands at y of the sheet of paper that is being drawn.
func (e *engine) content(title string, y float64, part bool) {
	e.marks = append(e.marks, bookmark{title: title, sheet: max(len(e.canvas)-1, 0), top: y, part: part})
}

func (e *engine) title(p *sheet.Page, y, width float64) float64 {
	size := sizeTitle
	lines := e.f.wrap(e.f.face(size, true), p.Title, width)
	for len(lines) > 2 && size > 10 {
		size--
		lines = e.f.wrap(e.f.face(size, true), p.Title, width)
	}
	for _, l := range lines {
		e.pen.text(e.f.face(size, true), l, margin, y+ascent(size))
		y += leading(size)
	}
	for _, l := range e.f.wrap(e.f.face(sizeBody, false), p.Subtitle, width) {
		e.pen.text(e.f.face(sizeBody, false), l, margin, y+ascent(sizeBody))
		y += leading(sizeBody)
	}
	return y + 1
}

// footers number the sheets of paper once their number is known.
func (e *engine) footers() {
	small := e.f.face(sizeSmall, false)
	for i, c := range e.canvas {
		p := &pen{ctx: canvas.NewContext(c), h: e.h, f: e.f}
		y := e.h - margin
		right := fmt.Sprintf("%s   page %d of %d", e.d.Number(), i+1, len(e.canvas))
		right = e.f.clip(small, right, e.inner()*0.6)
		p.line(margin, y-4.5, margin+e.inner(), y-4.5, 0.2, ink)
		p.textRight(small, right, margin+e.inner(), y-0.6)
		p.text(small, e.f.clip(small, e.d.Title, e.inner()-e.f.width(small, right)-6), margin, y-0.6)
	}
}
