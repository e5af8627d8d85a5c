package draw

import (
	"fmt"
	"image/color"
	"strings"
	"unicode"

	"github.com/go-fonts/dejavu/dejavusans"
	"github.com/go-fonts/dejavu/dejavusansbold"
	"github.com/tdewolff/canvas"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// Our palette: ink on white, with tints that a photocopier may drop.
var (
	ink      = color.NRGBA{0x10, 0x14, 0x12, 0xff}
	faint    = color.NRGBA{0x8a, 0x90, 0x8c, 0xff}
	paleTurf = color.NRGBA{0xea, 0xf2, 0xe2, 0xff}
	paleBand = color.NRGBA{0xee, 0xee, 0xea, 0xff}
	white    = color.NRGBA{0xff, 0xff, 0xff, 0xff}
)

const mmPerPoint = 25.4 / 72

// Sizes of type in points.
const (
	sizeTitle   = 17.0
	sizeHeading = 12.5
	sizeBody    = 9.5
	sizeSmall   = 8.5
	sizeFine    = 8.0
	sizeFigure  = 18.0
	sizeAmount  = 16.0
)

// fonts are the Go fonts (BSD-3): digits of one width, a slashed zero. A text with a letter that they lack is set whole in DejaVu Sans, which has
// the rest of Latin, and Hebrew and Arabic among others; it is loaded when the first such text comes.
type fonts struct {
	regular, bold *canvas.Font
	faces         map[faceKey]*canvas.FontFace
	widths        map[widthKey]float64
	// wide are the fonts for other scripts, by weight; others their faces, by the face that they stand in for.
	wide   map[bool]*canvas.Font
	keys   map[*canvas.FontFace]faceKey
	others map[*canvas.FontFace]*canvas.FontFace
}

type faceKey struct {
	size float64
	bold bool
	col  color.NRGBA
}

type widthKey struct {
	face *canvas.FontFace
	s    string
}

func newFonts() (*fonts, error) {
	regular, err := canvas.LoadFont(goregular.TTF, 0, canvas.FontRegular)
	if err != nil {
		return nil, fmt.Errorf("load font: %w", err)
	}
	bold, err := canvas.LoadFont(gobold.TTF, 0, canvas.FontBold)
	if err != nil {
		return nil, fmt.Errorf("load font: %w", err)
	}
	return &fonts{regular: regular, bold: bold, faces: map[faceKey]*canvas.FontFace{}, widths: map[widthKey]float64{}, wide: map[bool]*canvas.Font{},
		keys: map[*canvas.FontFace]faceKey{}, others: map[*canvas.FontFace]*canvas.FontFace{}}, nil
}

// wideFont is DejaVu Sans, regular or bold; nil when it cannot be loaded, which a test would show.
func (f *fonts) wideFont(bold bool) *canvas.Font {
	if font, ok := f.wide[bold]; ok {
		return font
	}
	data, style := dejavusans.TTF, canvas.FontRegular
	if bold {
		data, style = dejavusansbold.TTF, canvas.FontBold
	}
	font, err := canvas.LoadFont(data, 0, style)
	if err != nil {
		font = nil
	}
	f.wide[bold] = font
	return font
}

// has reports whether the Go fonts have a letter.
func (f *fonts) has(r rune) bool {
	return f.regular.SFNT.GlyphIndex(r) != 0 && f.bold.SFNT.GlyphIndex(r) != 0
}

// hasWide reports whether the fonts for other scripts have a letter.
func (f *fonts) hasWide(r rune) bool {
	a, b := f.wideFont(false), f.wideFont(true)
	return a != nil && b != nil && a.SFNT.GlyphIndex(r) != 0 && b.SFNT.GlyphIndex(r) != 0
}

// of is the face in which a text is set: the one asked for, or that for other scripts in its place.
func (f *fonts) of(face *canvas.FontFace, s string) *canvas.FontFace {
	k, ours := f.keys[face]
	if !ours || !strings.ContainsFunc(s, func(r rune) bool { return !f.has(r) }) {
		return face
	}
	if f.others[face] == nil {
		font := f.wideFont(k.bold)
		if font == nil {
			return face
		}
		f.others[face] = font.Face(k.size, k.col)
	}
	return f.others[face]
}

func (f *fonts) face(size float64, bold bool) *canvas.FontFace { return f.colored(size, bold, ink) }

func (f *fonts) colored(size float64, bold bool, col color.NRGBA) *canvas.FontFace {
	k := faceKey{size, bold, col}
	if f.faces[k] == nil {
		font := f.regular
		if bold {
			font = f.bold
		}
		f.faces[k] = font.Face(size, col)
		f.keys[f.faces[k]] = k
	}
	return f.faces[k]
}

// width is the width of s in millimetres.
func (f *fonts) width(face *canvas.FontFace, s string) float64 {
	k := widthKey{face, s}
	w, ok := f.widths[k]
	if !ok && s != "" {
		w = f.of(face, s).TextWidth(s)
		f.widths[k] = w
	}
	return w
}

// clean makes a text printable: one line, and a question mark for what the fonts lack,
// which is better seen than a gap.
func (f *fonts) clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r):
			return -1
		case !f.has(r) && !f.hasWide(r):
			return '?'
		}
		return r
	}, s)
}

// wrap breaks s into lines no wider than width, within a word only when it has to.
func (f *fonts) wrap(face *canvas.FontFace, s string, width float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(f.clean(s)) {
		next := word
		if line != "" {
			next = line + " " + word
		}
		if f.width(face, next) <= width {
			line = next
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		line = word
		for f.width(face, line) > width {
			cut := f.fits(face, line, width)
			if cut == len(line) {
				break
			}
			lines = append(lines, line[:cut])
			line = line[cut:]
		}
	}
	if line != "" || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// fits is how many bytes of s, at least one character, fit into width.
func (f *fonts) fits(face *canvas.FontFace, s string, width float64) int {
	last := 0
	for i := range s {
		if i > 0 {
			if f.width(face, s[:i]) > width && last > 0 {
				return last
			}
			last = i
		}
	}
	if last > 0 && f.width(face, s) > width {
		return last
	}
	return len(s)
}

// fit is the largest of the sizes at which s takes one line; the smallest if none.
func (f *fonts) fit(s string, bold bool, width float64, sizes ...float64) *canvas.FontFace {
	for _, size := range sizes {
		if face := f.face(size, bold); f.width(face, f.clean(s)) <= width {
			return face
		}
	}
	return f.face(sizes[len(sizes)-1], bold)
}

// clip shortens s to width with an ellipsis.
func (f *fonts) clip(face *canvas.FontFace, s string, width float64) string {
	s = f.clean(s)
	if f.width(face, s) <= width {
		return s
	}
	return s[:f.fits(face, s, width-f.width(face, "…"))] + "…"
}

// pen draws on one page in millimetres from its top left corner.
type pen struct {
	ctx *canvas.Context
	h   float64
	f   *fonts
}

// text draws one line of text with its baseline at y.
func (p *pen) text(face *canvas.FontFace, s string, x, y float64) {
	if s = p.f.clean(s); s != "" {
		p.ctx.DrawText(x, p.h-y, canvas.NewTextLine(p.f.of(face, s), s, canvas.Left))
	}
}

// textRight draws a line of text that ends at x.
func (p *pen) textRight(face *canvas.FontFace, s string, x, y float64) {
	p.text(face, s, x-p.f.width(face, p.f.clean(s)), y)
}

// line strokes from one point to another.
func (p *pen) line(x0, y0, x1, y1, width float64, col color.NRGBA) {
	l := &canvas.Path{}
	l.MoveTo(x0, p.h-y0)
	l.LineTo(x1, p.h-y1)
	p.stroke(l, width, col)
}

// rect fills or strokes a rectangle whose top left corner is x, y.
func (p *pen) rect(x, y, w, h float64, fill, edge color.NRGBA, width float64) {
	r := canvas.Rectangle(w, h).Translate(x, p.h-y-h)
	if fill.A > 0 {
		p.fill(r, fill)
	}
	if width > 0 {
		p.stroke(r, width, edge)
	}
}

// fill and stroke take paths in the canvas's own coordinates, from the bottom left.
func (p *pen) fill(path *canvas.Path, col color.NRGBA) {
	p.ctx.SetFillColor(col)
	p.ctx.SetStrokeColor(canvas.Transparent)
	p.ctx.DrawPath(0, 0, path)
}

func (p *pen) stroke(path *canvas.Path, width float64, col color.NRGBA) {
	p.ctx.SetFillColor(canvas.Transparent)
	p.ctx.SetStrokeColor(col)
	p.ctx.SetStrokeWidth(width)
	p.ctx.SetStrokeCapper(canvas.ButtCap)
	p.ctx.SetStrokeJoiner(canvas.RoundJoin)
	p.ctx.DrawPath(0, 0, path)
}

// leading is the distance between baselines, ascent that from a line's top to its baseline.
func leading(size float64) float64 { return size * mmPerPoint * 1.22 }
func ascent(size float64) float64  { return size * mmPerPoint * 0.94 }
