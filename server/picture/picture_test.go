package picture

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"tankful/geo/crs"
)

var (
	black = color.NRGBA{A: 255}
	white = color.NRGBA{R: 255, G: 255, B: 255, A: 255}
)

// marked is a white picture with black squares of 5 pixels whose middles are given.
func marked(w, h int, marks ...[2]int) *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetNRGBA(x, y, white)
		}
	}
	for _, m := range marks {
		for y := m[1] - 2; y <= m[1]+2; y++ {
			for x := m[0] - 2; x <= m[0]+2; x++ {
				img.SetNRGBA(x, y, black)
			}
		}
	}
	return img
}

func pngOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// blacks are the middles of the black squares of what was made, in degrees: dark pixels by their nearest mark.
func blacks(t *testing.T, p *Placed, marks []orb.Point) []orb.Point {
	t.Helper()
	img, _, err := image.Decode(bytes.NewReader(p.Data))
	if err != nil {
		t.Fatal(err)
	}
	if img.Bounds().Dx() != p.Wide || img.Bounds().Dy() != p.High {
		t.Fatalf("%v, said to be %d by %d", img.Bounds(), p.Wide, p.High)
	}
	sums, n := make([]orb.Point, len(marks)), make([]float64, len(marks))
	for y := range p.High {
		for x := range p.Wide {
			r, g, _, a := img.At(x, y).RGBA()
			if a < 0xf000 || r+g > 0xffff { // JPEG keeps brightness by the pixel, and colour by four
				continue
			}
			at := orb.Point{p.Box.Left() + (float64(x)+0.5)/float64(p.Wide)*(p.Box.Right()-p.Box.Left()), p.Box.Top() - (float64(y)+0.5)/float64(p.High)*(p.Box.Top()-p.Box.Bottom())}
			best := 0
			for k, m := range marks {
				if ground(at, m) < ground(at, marks[best]) {
					best = k
				}
			}
			sums[best][0] += at[0]
			sums[best][1] += at[1]
			n[best]++
		}
	}
	for k := range sums {
		if n[k] == 0 {
			t.Fatalf("mark %d is not in the picture", k)
		}
		sums[k][0] /= n[k]
		sums[k][1] /= n[k]
	}
	return sums
}

// A picture turned by 30 degrees in UTM, one with pixels of two sizes in degrees and one in feet of a state plane: each mark comes to lie where crs, which has its own
// published checks, says that its pixel is, within half a pixel.
func TestWorldFiles(t *testing.T) {
	marks := [][2]int{{10, 12}, {150, 20}, {80, 60}, {15, 100}, {160, 110}}
	sin, cos := math.Sincos(30 * math.Pi / 180)
	for name, c := range map[string]struct {
		coordinates string
		at          affine
	}{
		"turned, UTM":       {"EPSG:26915", affine{0.1 * cos, 0.1 * sin, 481000, 0.1 * sin, -0.1 * cos, 4980000}},
		"degrees":           {"", affine{2e-6, 0, -93.1, 0, -1e-6, 45.02}},
		"state plane, feet": {"EPSG:2264", affine{0.25, 0, 1450000, 0, -0.25, 540000}},
		"web Mercator":      {"EPSG:3857", affine{0.3, 0, -10_360_000, 0, -0.3, 5_620_000}},
		"sheared":           {"UTM 15N", affine{0.1, 0.02, 481000, -0.01, -0.12, 4980000}},
	} {
		t.Run(name, func(t *testing.T) {
			world := fmt.Sprintf("%.12f\n%.12f\n%.12f\n%.12f\n%.6f\n%.6f\n", c.at.a, c.at.d, c.at.b, c.at.e, c.at.c, c.at.f)
			p, ps := Place(Source{Name: "lot.png", Data: pngOf(t, marked(180, 130, marks...)), World: world, Coordinates: c.coordinates})
			if p == nil {
				t.Fatal(ps)
			}
			sys := &crs.CRS{}
			if c.coordinates != "" {
				var err error
				if sys, err = crs.Parse(c.coordinates); err != nil {
					t.Fatal(err)
				}
			}
			want := make([]orb.Point, len(marks))
			for k, m := range marks {
				want[k], _ = sys.ToDegrees(c.at.apply(float64(m[0]), float64(m[1])))
			}
			for k, got := range blacks(t, p, want) {
				if off := ground(got, want[k]); off > 0.5*float64(p.Pixel) {
					t.Errorf("mark %d lies %.3f m off, a pixel is %.3f m", k, off, float64(p.Pixel))
				}
			}
			if p.Type != "image/jpeg" {
				t.Errorf("a picture without a transparent pixel becomes %s", p.Type)
			}
			// Only what fills its box needs no edge; the edge goes through the corners of the source.
			if whole := c.coordinates == "" || c.coordinates == "EPSG:3857"; whole != (p.Edge == nil) {
				t.Fatalf("its edge is %v", p.Edge)
			}
			for k, at := range [][2]float64{{-0.5, -0.5}, {179.5, -0.5}, {179.5, 129.5}, {-0.5, 129.5}, {-0.5, -0.5}} {
				if p.Edge == nil {
					break
				}
				corner, _ := sys.ToDegrees(c.at.apply(at[0], at[1]))
				if off := ground(p.Edge[k*ringSteps], corner); off > 1e-6 {
					t.Errorf("corner %d of its edge lies %g m off", k, off)
				}
			}
		})
	}
}

// Places between the corners of cells are interpolated: how far that is from exact, over the widest picture that is taken.
func TestCells(t *testing.T) {
	sys, err := crs.Parse("EPSG:26915")
	if err != nil {
		t.Fatal(err)
	}
	const n = mostSide / cell
	worst := 0.0
	at := func(i, j float64) (x, y float64) {
		x, y, _ = sys.FromDegrees(orb.Point{-96 + mostSpan*i/n, 49 - mostSpan*j/n})
		return x, y
	}
	for k := range n {
		x0, y0 := at(float64(k), float64(k))
		x1, y1 := at(float64(k)+1, float64(k)+1)
		x2, y2 := at(float64(k)+1, float64(k))
		x3, y3 := at(float64(k), float64(k)+1)
		x, y := at(float64(k)+0.5, float64(k)+0.5)
		worst = max(worst, math.Hypot((x0+x1+x2+x3)/4-x, (y0+y1+y2+y3)/4-y))
	}
	t.Logf("%.2f mm at the most", 1000*worst)
	if worst > 0.01 {
		t.Errorf("interpolation is %.4f m off", worst)
	}
}

// A picture larger than what is made is made smaller by the mean of its pixels; a drawing with nothing round it keeps that.
func TestLargeAndTransparent(t *testing.T) {
	img := marked(9000, 3000, [2]int{4000, 1500})
	for y := 1400; y < 1600; y++ {
		for x := 3900; x < 4100; x++ {
			img.SetNRGBA(x, y, black)
		}
	}
	world := "0.00000001\n0\n0\n-0.00000001\n-93.1\n45.02\n"
	p, ps := Place(Source{Name: "a.png", Data: pngOf(t, img), World: world})
	if p == nil {
		t.Fatal(ps)
	}
	if p.Wide > mostSide || p.High > mostSide || p.Wide < mostSide/2 {
		t.Errorf("%d by %d", p.Wide, p.High)
	}
	want := orb.Point{-93.1 + 3999.5e-8, 45.02 - 1499.5e-8}
	if off := ground(blacks(t, p, []orb.Point{want})[0], want); off > 0.01 {
		t.Errorf("the mark lies %g m off", off)
	}
	clear := image.NewNRGBA(image.Rect(0, 0, 60, 40))
	clear.SetNRGBA(30, 20, black)
	p, ps = Place(Source{Name: "b.png", Data: pngOf(t, clear), World: "0.000001\n0\n0\n-0.000001\n-93.1\n45.02\n"})
	if p == nil {
		t.Fatal(ps)
	}
	out, err := png.Decode(bytes.NewReader(p.Data))
	if err != nil {
		t.Fatal(err)
	}
	if _, _, _, a := out.At(1, 1).RGBA(); a != 0 || p.Type != "image/png" {
		t.Errorf("what is clear has alpha %d in a %s", a, p.Type)
	}
}

// field is an entry of a TIFF directory.
type field struct {
	tag, kind uint16
	values    any // []uint16, []uint32 or []float64
}

// tiffOf writes a TIFF with uncompressed RGB and further fields.
func tiffOf(order binary.AppendByteOrder, img *image.NRGBA, more ...field) []byte {
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	fields := append([]field{{256, 4, []uint32{uint32(w)}}, {257, 4, []uint32{uint32(h)}}, {258, 3, []uint16{8, 8, 8}}, {259, 3, []uint16{1}}, {262, 3, []uint16{2}}, {273, 4, []uint32{8}},
		{277, 3, []uint16{3}}, {278, 4, []uint32{uint32(h)}}, {279, 4, []uint32{uint32(3 * w * h)}}}, more...)
	slices.SortFunc(fields, func(a, b field) int { return int(a.tag) - int(b.tag) })
	b := []byte("II*\x00")
	if order.String() == "BigEndian" {
		b = []byte("MM\x00*")
	}
	b = order.AppendUint32(b, uint32(8+3*w*h))
	for y := range h {
		for x := range w {
			c := img.NRGBAAt(x, y)
			b = append(b, c.R, c.G, c.B)
		}
	}
	b = order.AppendUint16(b, uint16(len(fields)))
	after := len(b) + 12*len(fields) + 4
	var tail []byte
	for _, f := range fields {
		var v []byte
		n := 0
		switch x := f.values.(type) {
		case []uint16:
			n = len(x)
			for _, u := range x {
				v = order.AppendUint16(v, u)
			}
		case []uint32:
			n = len(x)
			for _, u := range x {
				v = order.AppendUint32(v, u)
			}
		case []float64:
			n = len(x)
			for _, u := range x {
				v = order.AppendUint64(v, math.Float64bits(u))
			}
		}
		b = order.AppendUint16(b, f.tag)
		b = order.AppendUint16(b, f.kind)
		b = order.AppendUint32(b, uint32(n))
		if len(v) <= 4 {
			b = append(b, append(v, 0, 0, 0, 0)[:4]...)
			continue
		}
		b = order.AppendUint32(b, uint32(after+len(tail)))
		tail = append(tail, v...)
	}
	return append(order.AppendUint32(b, 0), tail...)
}

// Examples 3.1.1 (UTM projected aerial photo), 3.1.2 (standard state plane) and 3.2.2 (rotated) of the GeoTIFF format specification, revision 1.0,
// http://geotiff.maptools.org/spec/geotiff3.html: tags as they stand there, and where pixels then lie by hand.
func TestSpecificationExamples(t *testing.T) {
	for name, c := range map[string]struct {
		fields     []field
		code       string
		col, row   float64 // of the raster, from the outer corner of the first pixel
		east, nrth float64
	}{
		"3.1.1": {[]field{{33922, 12, []float64{0, 0, 0, 350807.4, 5316081.3, 0}}, {33550, 12, []float64{100, 100, 0}}, {34735, 3, []uint16{1, 0, 2, 4, 1024, 0, 1, 1, 1025, 0, 1, 1, 3072, 0, 1, 32660, 3073, 34737, 25, 0}}},
			"EPSG:32660", 0, 0, 350807.4, 5316081.3},
		"3.1.2": {[]field{{33922, 12, []float64{50, 100, 0, 949465, 3070309.1, 0}}, {33550, 12, []float64{1000, 1000, 0}}, {34735, 3, []uint16{1, 0, 2, 3, 1024, 0, 1, 1, 1025, 0, 1, 1, 3072, 0, 1, 32139}}},
			"EPSG:32139", 50, 100, 949465, 3070309.1},
		"a matrix": {[]field{{34264, 12, []float64{0, 100, 0, 400000, 100, 0, 0, 500000, 0, 0, 0, 0, 0, 0, 0, 1}}, {34735, 3, []uint16{1, 0, 2, 3, 1024, 0, 1, 1, 1025, 0, 1, 1, 3072, 0, 1, 32660}}},
			"EPSG:32660", 3, 2, 400200, 500300},
		"pixel is point": {[]field{{33922, 12, []float64{0, 0, 0, 350807.4, 5316081.3, 0}}, {33550, 12, []float64{100, 100, 0}}, {34735, 3, []uint16{1, 0, 2, 3, 1024, 0, 1, 1, 1025, 0, 1, 2, 3072, 0, 1, 32660}}},
			"EPSG:32660", 0.5, 0.5, 350807.4, 5316081.3},
	} {
		for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
			r := &reader{where: name, src: Source{Data: tiffOf(order, marked(12, 10), c.fields...)}}
			tags := r.tags()
			if tags == nil || !r.model(tags) {
				t.Fatalf("%s: %v", name, r.ps)
			}
			if x, y := r.at.apply(c.col-0.5, c.row-0.5); math.Abs(x-c.east) > 1e-6 || math.Abs(y-c.nrth) > 1e-6 {
				t.Errorf("%s, %s: %g, %g, want %g, %g", name, order, x, y, c.east, c.nrth)
			}
			if code, own := tags.code(); code != c.code || own {
				t.Errorf("%s, %s: %s, %v, want %s", name, order, code, own, c.code)
			}
		}
	}
}

// A GeoTIFF of a lawn lies where the same picture lies with the world file that says the same.
func TestGeoTIFFIsTheWorldFile(t *testing.T) {
	img := marked(180, 130, [2]int{10, 12}, [2]int{150, 100})
	keys := []uint16{1, 1, 0, 3, 1024, 0, 1, 1, 1025, 0, 1, 1, 3072, 0, 1, 26915}
	p, ps := Place(Source{Name: "a.tif", Data: tiffOf(binary.LittleEndian, img, field{33922, 12, []float64{0, 0, 0, 481000, 4980000, 0}}, field{33550, 12, []float64{0.1, 0.1, 0}}, field{34735, 3, keys})})
	if p == nil {
		t.Fatal(ps)
	}
	q, ps := Place(Source{Name: "a.png", Data: pngOf(t, img), World: "0.1\n0\n0\n-0.1\n481000.05\n4979999.95\n", Coordinates: "UTM 15N"})
	if q == nil {
		t.Fatal(ps)
	}
	if ground(p.Box.Min, q.Box.Min) > 1e-3 || ground(p.Box.Max, q.Box.Max) > 1e-3 || p.Wide != q.Wide || p.High != q.High {
		t.Errorf("%v %d, %v %d", p.Box, p.Wide, q.Box, q.Wide)
	}
	own := []uint16{1, 1, 0, 2, 1024, 0, 1, 1, 3072, 0, 1, 32767}
	tie, scale := field{33922, 12, []float64{0, 0, 0, 481000, 4980000, 0}}, field{33550, 12, []float64{0.1, 0.1, 0}}
	if _, ps := Place(Source{Name: "a.tif", Data: tiffOf(binary.LittleEndian, img, tie, scale, field{34735, 3, own})}); !ps.HasErrors() {
		t.Error("a system of its own is taken for degrees")
	}
	if q, ps := Place(Source{Name: "a.tif", Data: tiffOf(binary.LittleEndian, img, tie, scale, field{34735, 3, own}), Coordinates: "EPSG:26915"}); q == nil || q.Box != p.Box {
		t.Errorf("told the system: %v", ps)
	}
}

// A GeoTIFF that contradicts itself or what is named is not put anywhere.
func TestCoordinatesOfGeoTIFF(t *testing.T) {
	utm := []uint16{1024, 0, 1, 1, 3072, 0, 1, 26915}
	carolina := []uint16{1024, 0, 1, 1, 3072, 0, 1, 32119} // metres
	for name, c := range map[string]struct {
		keys      []uint16
		east, nrt float64
		named     string
		code      string // of the problem
	}{
		"it says":                        {utm, 481000, 4980000, "", ""},
		"the same is named":              {utm, 481000, 4980000, "UTM 15N", ""},
		"another zone is named":          {utm, 481000, 4980000, "UTM 16N", "coordinates-differ"},
		"degrees are named":              {utm, 481000, 4980000, "EPSG:4326", "coordinates-differ"},
		"nonsense is named":              {utm, 481000, 4980000, "zone fifteen", "coordinates-unknown"},
		"its own unit":                   {append(utm, 3076, 0, 1, 9001), 481000, 4980000, "", ""},
		"feet of a system in metres":     {append(carolina, 3076, 0, 1, 9003), 1450000, 540000, "", "coordinates-differ"},
		"the one in feet is named":       {append(carolina, 3076, 0, 1, 9003), 1450000, 540000, "EPSG:2264", ""},
		"a system of its own":            {[]uint16{1024, 0, 1, 1, 3072, 0, 1, 32767}, 481000, 4980000, "", "coordinates-unknown"},
		"no system":                      {[]uint16{1024, 0, 1, 1}, 481000, 4980000, "", "coordinates-unknown"},
		"no keys, and it is not degrees": {nil, 481000, 4980000, "", "picture-off-the-map"},
		"a code that nobody knows":       {[]uint16{1024, 0, 1, 1, 3072, 0, 1, 9999}, 481000, 4980000, "", "coordinates-unknown"},
		"that, and it is named":          {[]uint16{1024, 0, 1, 1, 3072, 0, 1, 9999}, 481000, 4980000, "UTM 15N", ""},
		"grads":                          {[]uint16{1024, 0, 1, 2, 2048, 0, 1, 4326, 2054, 0, 1, 9105}, -93, 45, "", "coordinates-differ"},
	} {
		head := append([]uint16{1, 1, 0, uint16(len(c.keys) / 4)}, c.keys...)
		p, ps := Place(Source{Name: "a.tif", Data: tiffOf(binary.LittleEndian, marked(90, 80), field{33922, 12, []float64{0, 0, 0, c.east, c.nrt, 0}}, field{33550, 12, []float64{0.5, 0.5, 0}}, field{34735, 3, head}), Coordinates: c.named})
		switch {
		case c.code == "" && p == nil:
			t.Errorf("%s: %v", name, ps)
		case c.code != "" && (p != nil || len(ps) != 1 || ps[0].Code != c.code || ps[0].Fix == ""):
			t.Errorf("%s: %v, want %s", name, ps, c.code)
		}
	}
	if p, ps := Place(Source{Name: "a.tif", Data: append([]byte("II+\x00"), make([]byte, 40)...)}); p != nil || !strings.Contains(ps[0].What, "BigTIFF") {
		t.Errorf("a BigTIFF: %v", ps)
	}
}

// Everything that is wrong is told, in words that say what to do; nothing panics.
func TestBadPictures(t *testing.T) {
	good := pngOf(t, marked(40, 30))
	const world = "0.000001\n0\n0\n-0.000001\n-93.1\n45.02\n"
	var photo bytes.Buffer
	_ = jpeg.Encode(&photo, marked(40, 30), nil)
	bomb := slices.Clone(good)
	copy(bomb[16:], []byte{0, 1, 0x11, 0x70, 0, 1, 0x11, 0x70}) // 70,000 by 70,000, the checksum being of another
	for name, c := range map[string]struct {
		src  Source
		code string
	}{
		"nothing":             {Source{Name: "a.png"}, "picture-unknown"},
		"another file":        {Source{Name: "a.pdf", Data: []byte("%PDF-1.4")}, "picture-unknown"},
		"no world file":       {Source{Name: "a.png", Data: good}, "picture-nowhere"},
		"a TIFF of nowhere":   {Source{Name: "a.tif", Data: tiffOf(binary.LittleEndian, marked(9, 9))}, "picture-nowhere"},
		"five numbers":        {Source{Name: "a.png", Data: good, World: "1 2 3 4 5"}, "world-file-invalid"},
		"words":               {Source{Name: "a.png", Data: good, World: "1 2 x 4 NaN 6"}, "world-file-invalid"},
		"no size":             {Source{Name: "a.png", Data: good, World: "0 0 0 0 -93.1 45.02"}, "world-file-invalid"},
		"metres for degrees":  {Source{Name: "a.png", Data: good, World: "0.1\n0\n0\n-0.1\n481000\n4980000"}, "picture-off-the-map"},
		"a county":            {Source{Name: "a.png", Data: good, World: "0.1\n0\n0\n-0.1\n-93\n45"}, "picture-wide"},
		"a stamp":             {Source{Name: "a.png", Data: good, World: "1e-10\n0\n0\n-1e-10\n-93\n45"}, "picture-narrow"},
		"an unknown system":   {Source{Name: "a.png", Data: good, World: world, Coordinates: "EPSG:999999"}, "coordinates-unknown"},
		"cut short":           {Source{Name: "a.png", Data: good[:len(good)/2], World: world}, "picture-unreadable"},
		"a photo, cut short":  {Source{Name: "a.jpg", Data: photo.Bytes()[:photo.Len()/3], World: world}, "picture-unreadable"},
		"larger than it says": {Source{Name: "a.png", Data: bomb, World: world}, "picture-unreadable"},
	} {
		p, ps := Place(c.src)
		if p != nil || !slices.ContainsFunc([]string{ps[0].Code, ps[len(ps)-1].Code}, func(code string) bool { return code == c.code }) {
			t.Errorf("%s: %v, want %s", name, ps, c.code)
		}
		for _, x := range ps {
			if x.Fix == "" || !strings.HasPrefix(x.Where, c.src.Name) {
				t.Errorf("%s: %+v is not whole", name, x)
			}
		}
	}
	if p, ps := Place(Source{Name: "../../a.jpg", Data: photo.Bytes(), World: strings.ReplaceAll(world, "\n", "\r\n")}); p == nil || p.Type != "image/jpeg" {
		t.Errorf("a photo: %v", ps)
	}
}

func FuzzPlace(f *testing.F) {
	f.Add(tiffOf(binary.LittleEndian, marked(9, 8), field{33922, 12, []float64{0, 0, 0, 481000, 4980000, 0}}, field{33550, 12, []float64{0.1, 0.1, 0}}, field{34735, 3, []uint16{1, 1, 0, 2, 1024, 0, 1, 1, 3072, 0, 1, 26915}}), "", "")
	f.Add(pngOf(f, marked(9, 8)), "0.000001\n0\n0\n-0.000001\n-93.1\n45.02\n", "")
	f.Add(pngOf(f, marked(9, 8)), "0.1\n0.01\n0.01\n-0.1\n481000\n4980000\n", "UTM 15N")
	f.Fuzz(func(t *testing.T, data []byte, world, coordinates string) {
		p, ps := Place(Source{Name: "a", Data: data, World: world, Coordinates: coordinates})
		if (p == nil) != ps.HasErrors() {
			t.Fatalf("%v beside %v", p, ps)
		}
		if p != nil && !(p.Box.Left() < p.Box.Right() && p.Box.Bottom() < p.Box.Top() && p.Pixel > 0) {
			t.Errorf("%+v", p)
		}
	})
}
