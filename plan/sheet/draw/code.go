package draw

import (
	"fmt"
	"image/color"

	"github.com/boombuler/barcode/qr"
	"github.com/tdewolff/canvas"
)

// codeSide is the side of a QR code with its quiet zone, in millimetres: 33 squares of 0.5 mm and more for an address of up to
// 100 characters at level M, which a phone reads at arm's length.
const (
	codeSide = 26.0
	quiet    = 4 // squares of white all round (ISO/IEC 18004, from memory)
)

// code is a QR code as one path in a square of side mm, its lower left corner at 0, 0.
func code(text string, side float64) (*canvas.Path, error) {
	bars, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return nil, fmt.Errorf("draw the code of %q: %w", text, err)
	}
	n := bars.Bounds().Dx()
	unit := side / float64(n+2*quiet)
	dark := func(x, y int) bool { return color.GrayModel.Convert(bars.At(x, y)).(color.Gray).Y < 128 }
	p := &canvas.Path{}
	for y := range n {
		for x := 0; x < n; x++ {
			if !dark(x, y) {
				continue
			}
			from := x
			for x < n && dark(x, y) {
				x++
			}
			p = p.Append(canvas.Rectangle(float64(x-from)*unit, unit).Translate(float64(quiet+from)*unit, float64(n+quiet-1-y)*unit))
		}
	}
	return p, nil
}

// code draws a QR code with its top left corner at x, y.
func (e *engine) code(text string, x, y float64) {
	p, err := code(text, codeSide)
	if err != nil {
		e.err = err
		return
	}
	e.pen.fill(p.Translate(x, e.pen.h-y-codeSide), ink)
}
