// Package picture puts a picture of the ground, a scan, a photograph from the air or a drawing, where it belongs on the map.
//
// It knows PNG and JPEG with a world file of six numbers, turned and sheared ones too, and GeoTIFF (OGC 19-008r4), in degrees or in a projected system of geo/crs.
// A picture is warped once, onto a grid with north up in degrees of longitude and latitude, so that whoever shows it needs no projection. It leaves out heights,
// control points, pictures of more than one page, and TIFF compressed as JPEG. How well a picture lies is as good as what came with it: no outline is better than that.
package picture

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"math"
	"path"
	"strconv"
	"strings"

	"github.com/paulmach/orb"
	"golang.org/x/image/tiff"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo/crs"
)

// Bounds on what is taken.
const (
	mostPixels = 64 << 20 // of a picture that is brought
	mostSide   = 4096     // of one that is made, in pixels
	mostSpan   = 0.5      // degrees of the ground
	leastSpan  = 1e-6
	mostWorld  = 4096 // bytes
)

// Source is a picture as somebody brings it.
type Source struct {
	Name string // of its file
	Data []byte
	// World is the text of its world file, "" where the picture says itself where it lies.
	World string
	// Coordinates names the system of the world file, or of a GeoTIFF that does not say: what crs.Parse reads. "" is degrees.
	Coordinates string
}

// Placed is a picture with north up whose sides are meridians and parallels.
type Placed struct {
	Data []byte
	Type string // its media type
	// Box is where its outer edges lie, degrees.
	Box        orb.Bound
	Wide, High int
	// Edge is where the edge of the source lies, degrees, of a photograph that does not fill its box: outside of it a JPEG is white. Else it is nil.
	Edge orb.Ring
	// Pixel is about what a pixel of the source is on the ground. Note says what is to be known of its coordinates, "" for nothing.
	Pixel unit.Length
	Note  string
}

// Place reads a picture and puts it on the map; nil beside an error.
func Place(src Source) (*Placed, problem.List) {
	r := &reader{src: src, where: path.Base(strings.ReplaceAll(src.Name, `\`, "/"))}
	if r.where == "." || r.where == "/" {
		r.where = "picture"
	}
	kind := r.kind()
	if kind == "bigtiff" {
		r.ps.Errorf("picture-large", r.where, "Save a part of it as a TIFF of the usual kind, or as PNG or JPEG with a world file.", "it is a BigTIFF, the kind for more than 4 GB, which is not read")
		return nil, r.ps
	}
	if kind == "" {
		r.ps.Errorf("picture-unknown", r.where, "Bring a PNG, a JPEG or a GeoTIFF.", "the file is none of the pictures that are read")
		return nil, r.ps
	}
	r.size(kind)
	r.lies(kind)
	if r.ps.HasErrors() {
		return nil, r.ps
	}
	box, pixel := r.extent()
	if r.ps.HasErrors() {
		return nil, r.ps
	}
	img := r.decode(kind)
	if img == nil {
		return nil, r.ps
	}
	return r.place(img, box, pixel), r.ps
}

// reader is a picture on its way.
type reader struct {
	src   Source
	where string
	ps    problem.List
	cfg   image.Config
	// at takes pixels, counted from the middle of the first, to coordinates of sys.
	at  affine
	sys *crs.CRS
}

// affine is x = a col + b row + c, y = d col + e row + f.
type affine struct{ a, b, c, d, e, f float64 }

func (t affine) apply(col, row float64) (x, y float64) {
	return t.a*col + t.b*row + t.c, t.d*col + t.e*row + t.f
}

func (t affine) inverse() (affine, bool) {
	det := t.a*t.e - t.b*t.d
	i := affine{a: t.e / det, b: -t.b / det, d: -t.d / det, e: t.a / det}
	i.c, i.f = -(i.a*t.c + i.b*t.f), -(i.d*t.c + i.e*t.f)
	for _, v := range []float64{i.a, i.b, i.c, i.d, i.e, i.f} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return i, false
		}
	}
	return i, det != 0
}

func (r *reader) kind() string {
	d := r.src.Data
	switch {
	case bytes.HasPrefix(d, []byte("\x89PNG\r\n\x1a\n")):
		return "png"
	case bytes.HasPrefix(d, []byte("\xff\xd8\xff")):
		return "jpeg"
	case bytes.HasPrefix(d, []byte("II*\x00")), bytes.HasPrefix(d, []byte("MM\x00*")):
		return "tiff"
	case bytes.HasPrefix(d, []byte("II+\x00")), bytes.HasPrefix(d, []byte("MM\x00+")):
		return "bigtiff"
	}
	return ""
}

// size looks at how large the picture says it is, before anything of that size is made.
func (r *reader) size(kind string) {
	var err error
	switch kind {
	case "png":
		r.cfg, err = png.DecodeConfig(bytes.NewReader(r.src.Data))
	case "jpeg":
		r.cfg, err = jpeg.DecodeConfig(bytes.NewReader(r.src.Data))
	default:
		r.cfg, err = tiff.DecodeConfig(bytes.NewReader(r.src.Data))
	}
	switch {
	case err != nil:
		r.unreadable(err)
	case r.cfg.Width < 2 || r.cfg.Height < 2:
		r.ps.Errorf("picture-small", r.where, "Bring a picture of the ground.", "it is %d by %d pixels", r.cfg.Width, r.cfg.Height)
	case r.cfg.Width > mostPixels/r.cfg.Height:
		r.ps.Errorf("picture-large", r.where, fmt.Sprintf("Bring a part of it, or make it smaller: at most %d million pixels.", mostPixels>>20), "it is %d by %d pixels", r.cfg.Width, r.cfg.Height)
	}
}

func (r *reader) unreadable(err error) {
	r.ps.Errorf("picture-unreadable", r.where, "Save it again as PNG or JPEG with a world file, or as a GeoTIFF that is uncompressed or compressed by LZW or Deflate.", "the picture cannot be read: %v", err)
}

// lies reads where the picture lies.
func (r *reader) lies(kind string) {
	world := strings.TrimSpace(r.src.World) != ""
	if world {
		r.world()
	}
	var t *tags
	switch {
	case kind == "tiff":
		if t = r.tags(); t == nil {
			return
		}
		if !world && !r.model(t) {
			r.ps.Errorf("picture-nowhere", r.where, "Bring its world file too, or save it with its place.", "the TIFF does not say where it lies")
		}
	case !world:
		r.ps.Errorf("picture-nowhere", r.where, "Bring its world file (.pgw, .jgw or .wld) too.", "nothing says where the picture lies")
	}
	r.system(t, world)
}

// nameIt is what to do where the system of coordinates is not known.
const nameIt = "Name the system of the picture's coordinates, for instance EPSG:26915 or UTM 15N, or paste its .prj file."

func (r *reader) parse(name string) *crs.CRS {
	sys, err := crs.Parse(name)
	if err != nil {
		r.ps.Errorf("coordinates-unknown", r.where, nameIt, "%v", err)
		return nil
	}
	return sys
}

// system settles what the coordinates are. What somebody names and what a TIFF says may not contradict each other; a world file stands with the name. Without either they
// are degrees, unless a TIFF says that they are of a system for which it has no code.
func (r *reader) system(t *tags, world bool) {
	if name := strings.TrimSpace(r.src.Coordinates); name != "" {
		if r.sys = r.parse(name); r.sys == nil || t == nil || world {
			return
		}
	}
	code, own := "", false
	if t != nil {
		code, own = t.code()
	}
	switch {
	case code == "" && r.sys != nil:
	case own:
		r.ps.Errorf("coordinates-unknown", r.where, nameIt, "the TIFF has coordinates of a system that has no code in it")
	case code == "":
		r.sys = r.parse("EPSG:4326")
	case r.sys == nil:
		if r.sys = r.parse(code); r.sys != nil {
			if said := t.differentUnit(r.sys); said != "" {
				r.ps.Errorf("coordinates-differ", r.where, nameIt, "the TIFF says %s and that its unit is %s, which it is not", r.sys.Name(), said)
			}
		}
	default:
		r.agree(t, code)
	}
}

// agree holds the system that was named against the one that a TIFF says, at its first pixel: two names of one grid, and datums that are read as one, are no contradiction.
// A code that is not known, or a unit that is not the code's, says nothing against a name.
func (r *reader) agree(t *tags, code string) {
	said, err := crs.Parse(code)
	if err != nil || t.differentUnit(said) != "" {
		return
	}
	p, ok1 := r.degrees(0, 0)
	q, ok2 := said.ToDegrees(r.at.c, r.at.f)
	if !ok1 || !ok2 || ground(p, q) > 1 {
		r.ps.Errorf("coordinates-differ", r.where, "Leave the coordinates empty, or bring a world file whose system it is.", "the TIFF says %s, and %s is named", said.Name(), r.sys.Name())
	}
}

// world reads a world file: six numbers, by lines.
func (r *reader) world() {
	where := r.where + ": world file"
	words := strings.Fields(r.src.World)
	if len(r.src.World) > mostWorld || len(words) != 6 {
		r.ps.Errorf("world-file-invalid", where, "Bring the six-line world file that came with the picture.", "it has %d words where six numbers are wanted", len(words))
		return
	}
	var v [6]float64
	for i, w := range words {
		x, err := strconv.ParseFloat(strings.ReplaceAll(w, ",", "."), 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			r.ps.Errorf("world-file-invalid", fmt.Sprintf("%s: line %d", where, i+1), "Bring the six-line world file that came with the picture.", "%q is no number", clip(w))
			continue
		}
		v[i] = x
	}
	r.at = affine{a: v[0], d: v[1], b: v[2], e: v[3], c: v[4], f: v[5]}
}

func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}

// degrees takes a pixel to degrees.
func (r *reader) degrees(col, row float64) (orb.Point, bool) {
	p, ok := r.sys.ToDegrees(r.at.apply(col, row))
	return p, ok && math.Abs(p.Lon()) <= 180 && math.Abs(p.Lat()) <= 85
}

// Into how many parts an edge is cut: to see where it goes, and to say so. A straight edge of the longest picture is 60 m off the straight line of degrees in its middle
// at 45 N (by L^2 tan(lat) / 8 R), and 4 m in four parts, a third of a pixel.
const (
	edgeSteps = 16
	ringSteps = 4
)

// extent is where the picture lies, and about what a pixel is on the ground.
func (r *reader) extent() (orb.Bound, unit.Length) {
	const fix = "Check the numbers, and whether they are degrees or of a projected system: name that."
	nowhere := func() (orb.Bound, unit.Length) {
		r.ps.Errorf("picture-off-the-map", r.where, fix, "its corners come to lie outside %s, or nowhere", r.sys.Name())
		return orb.Bound{}, 0
	}
	if _, ok := r.at.inverse(); !ok {
		r.ps.Errorf("world-file-invalid", r.where, fix, "its pixels have no size")
		return orb.Bound{}, 0
	}
	w, h := float64(r.cfg.Width), float64(r.cfg.Height)
	var box orb.Bound
	for i := range edgeSteps + 1 {
		t := float64(i) / edgeSteps
		for k, at := range [][2]float64{{t*w - 0.5, -0.5}, {t*w - 0.5, h - 0.5}, {-0.5, t*h - 0.5}, {w - 0.5, t*h - 0.5}} {
			p, ok := r.degrees(at[0], at[1])
			if !ok {
				return nowhere()
			}
			if i == 0 && k == 0 {
				box = orb.Bound{Min: p, Max: p}
			}
			box = box.Extend(p)
		}
	}
	dx, dy := box.Right()-box.Left(), box.Top()-box.Bottom()
	switch {
	case dx > mostSpan || dy > mostSpan:
		r.ps.Errorf("picture-wide", r.where, fix+" Or bring the part that is wanted.", "it covers %s by %s degrees, and at most %s are taken", unit.Number(dx, 3), unit.Number(dy, 3), unit.Number(mostSpan, 1))
		return orb.Bound{}, 0
	case dx < leastSpan || dy < leastSpan:
		r.ps.Errorf("picture-narrow", r.where, fix, "all of it lies within a foot")
		return orb.Bound{}, 0
	}
	p, ok1 := r.degrees(w/2, h/2)
	q, ok2 := r.degrees(w/2+1, h/2)
	s, ok3 := r.degrees(w/2, h/2+1)
	if !ok1 || !ok2 || !ok3 {
		return nowhere()
	}
	across, down := ground(p, q), ground(p, s)
	return box, unit.Length(math.Sqrt(across * down))
}

// edge is where the outer edge of the source lies; extent has looked at every place of it.
func (r *reader) edge() (ring orb.Ring) {
	w, h := float64(r.cfg.Width), float64(r.cfg.Height)
	corners := [][2]float64{{0, 0}, {w, 0}, {w, h}, {0, h}, {0, 0}}
	for k, a := range corners[:4] {
		b := corners[k+1]
		for i := range ringSteps {
			t := float64(i) / ringSteps
			p, _ := r.degrees(a[0]+t*(b[0]-a[0])-0.5, a[1]+t*(b[1]-a[1])-0.5)
			ring = append(ring, p)
		}
	}
	return append(ring, ring[0])
}

// ground is about how far two near places are apart, metres: a sphere does to choose how many pixels are made.
func ground(p, q orb.Point) float64 {
	const degree = 111_195
	return math.Hypot((q.Lon()-p.Lon())*math.Cos(p.Lat()*math.Pi/180), q.Lat()-p.Lat()) * degree
}

func (r *reader) decode(kind string) image.Image {
	var img image.Image
	var err error
	switch kind {
	case "png":
		img, err = png.Decode(bytes.NewReader(r.src.Data))
	case "jpeg":
		img, err = jpeg.Decode(bytes.NewReader(r.src.Data))
	default:
		img, err = tiff.Decode(bytes.NewReader(r.src.Data))
	}
	if err != nil {
		r.unreadable(err)
		return nil
	}
	return img
}
