package picture

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"math"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
)

// cell is the side of the squares, in pixels of what is made, at whose corners places are reckoned; between them they are interpolated. Over a square of
// half a degree of UTM that is half a millimetre off (TestCells).
const cell = 16

// place warps the picture onto its grid.
func (r *reader) place(img image.Image, box orb.Bound, pixel unit.Length) *Placed {
	dx, dy := box.Right()-box.Left(), box.Top()-box.Bottom()
	mid := box.Center()
	east, north := ground(mid, orb.Point{mid[0] + dx, mid[1]}), ground(mid, orb.Point{mid[0], mid[1] + dy})
	size := math.Max(float64(pixel), math.Max(east, north)/mostSide) // metres of a pixel that is made
	wide, high := side(east/size), side(north/size)
	shrink := max(1, int(size/float64(pixel)))
	from := shrunk(img, shrink)
	out := image.NewNRGBA(image.Rect(0, 0, wide, high))
	back, _ := r.at.inverse() // extent has looked
	whole := true
	corner := func(i, j int) (col, row float64) {
		lon := box.Left() + dx*float64(i)/float64(wide)
		lat := box.Top() - dy*float64(j)/float64(high)
		x, y, ok := r.sys.FromDegrees(orb.Point{lon, lat})
		if !ok {
			return math.Inf(-1), math.Inf(-1)
		}
		col, row = back.apply(x, y)
		return (col+0.5)/float64(shrink) - 0.5, (row+0.5)/float64(shrink) - 0.5
	}
	for j := 0; j < high; j += cell {
		for i := 0; i < wide; i += cell {
			c00, r00 := corner(i, j)
			c10, r10 := corner(i+cell, j)
			c01, r01 := corner(i, j+cell)
			c11, r11 := corner(i+cell, j+cell)
			for y := j; y < min(j+cell, high); y++ {
				v := (float64(y-j) + 0.5) / cell
				for x := i; x < min(i+cell, wide); x++ {
					u := (float64(x-i) + 0.5) / cell
					col := (1-v)*((1-u)*c00+u*c10) + v*((1-u)*c01+u*c11)
					row := (1-v)*((1-u)*r00+u*r10) + v*((1-u)*r01+u*r11)
					px := sample(from, col, row)
					whole = whole && px.A == 0xff
					out.SetNRGBA(x, y, px)
				}
			}
		}
	}
	p := &Placed{Box: box, Wide: wide, High: high, Pixel: pixel, Note: r.sys.Note()}
	photo := opaque(img)
	p.Data, p.Type = encode(out, whole || photo)
	if photo && !whole {
		p.Edge = r.edge()
	}
	return p
}

func side(n float64) int { return int(math.Max(1, math.Min(mostSide, math.Round(n)))) }

// opaque reports whether a picture is a photograph: what lies outside of it may then be white, which JPEG can say.
func opaque(img image.Image) bool {
	switch m := img.(type) {
	case *image.YCbCr, *image.CMYK:
		return true
	case interface{ Opaque() bool }:
		_, drawn := img.(*image.Paletted)
		return !drawn && m.Opaque()
	}
	return false
}

// encode writes a photograph as JPEG, anything else as PNG.
func encode(img *image.NRGBA, photo bool) (data []byte, kind string) {
	var b bytes.Buffer
	if photo {
		flat := image.NewRGBA(img.Bounds())
		draw.Draw(flat, flat.Bounds(), image.White, image.Point{}, draw.Src)
		draw.Draw(flat, flat.Bounds(), img, image.Point{}, draw.Over)
		_ = jpeg.Encode(&b, flat, &jpeg.Options{Quality: 88}) // a buffer takes everything
		return b.Bytes(), "image/jpeg"
	}
	_ = png.Encode(&b, img)
	return b.Bytes(), "image/png"
}

// shrunk is the picture with so many pixels each way made one, their mean; strip by strip, so that a large picture is not in memory twice.
func shrunk(img image.Image, n int) *image.RGBA {
	b := img.Bounds()
	wide, high := (b.Dx()+n-1)/n, (b.Dy()+n-1)/n
	out := image.NewRGBA(image.Rect(0, 0, wide, high))
	if n == 1 {
		draw.Draw(out, out.Bounds(), img, b.Min, draw.Src)
		return out
	}
	strip := image.NewRGBA(image.Rect(0, 0, b.Dx(), n))
	for y := range high {
		rows := min(n, b.Dy()-y*n)
		draw.Draw(strip, image.Rect(0, 0, b.Dx(), rows), img, image.Pt(b.Min.X, b.Min.Y+y*n), draw.Src)
		for x := range wide {
			var sum [4]int
			cols := min(n, b.Dx()-x*n)
			for j := range rows {
				at := strip.PixOffset(x*n, j)
				for i := 0; i < 4*cols; i++ {
					sum[i&3] += int(strip.Pix[at+i])
				}
			}
			at, count := out.PixOffset(x, y), rows*cols
			for k, s := range sum {
				out.Pix[at+k] = uint8((s + count/2) / count)
			}
		}
	}
	return out
}

// sample is the picture between its pixels; outside of it, by more than half a pixel, there is nothing.
func sample(img *image.RGBA, col, row float64) color.NRGBA {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	if !(col >= -0.5 && row >= -0.5 && col <= float64(w)-0.5 && row <= float64(h)-0.5) {
		return color.NRGBA{}
	}
	c0, r0 := math.Floor(col), math.Floor(row)
	u, v := col-c0, row-r0
	x0, y0 := clamp(int(c0), w), clamp(int(r0), h)
	x1, y1 := clamp(int(c0)+1, w), clamp(int(r0)+1, h)
	p00, p10, p01, p11 := img.PixOffset(x0, y0), img.PixOffset(x1, y0), img.PixOffset(x0, y1), img.PixOffset(x1, y1)
	var px [4]float64
	for k := range px {
		px[k] = (1-v)*((1-u)*float64(img.Pix[p00+k])+u*float64(img.Pix[p10+k])) + v*((1-u)*float64(img.Pix[p01+k])+u*float64(img.Pix[p11+k]))
	}
	if px[3] < 0.5 {
		return color.NRGBA{}
	}
	part := func(x float64) uint8 { return uint8(math.Min(255, math.Round(x*255/px[3]))) } // RGBA is multiplied by its alpha
	return color.NRGBA{R: part(px[0]), G: part(px[1]), B: part(px[2]), A: uint8(math.Round(px[3]))}
}

func clamp(i, n int) int { return max(0, min(n-1, i)) }
