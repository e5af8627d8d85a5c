package picture

import (
	"encoding/binary"
	"fmt"
	"math"

	"tankful/geo/crs"
)

// Tags and keys of OGC 19-008r4, GeoTIFF 1.1, Annex B and 7.1.
const (
	tagPixelScale     = 33550
	tagTiepoint       = 33922
	tagTransformation = 34264
	tagGeoKeys        = 34735

	keyModelType  = 1024 // 1 projected, 2 geographic
	keyRasterType = 1025 // 2: a pixel's place is its middle
	keyGeographic = 2048
	keyProjected  = 3072

	keyAngularUnits = 2054
	keyLinearUnits  = 3076

	mostEntries = 4096 // of a directory
)

// tags are what the first directory of a TIFF says of its place.
type tags struct {
	scale, tie, matrix []float64
	keys               []uint16
}

// tags reads the first directory; nil when that cannot be read.
func (r *reader) tags() *tags {
	d := r.src.Data
	bad := func(what string) *tags {
		r.ps.Errorf("picture-unreadable", r.where, "Save it again as a GeoTIFF.", "%s", what)
		return nil
	}
	var order binary.ByteOrder = binary.LittleEndian
	if d[0] == 'M' {
		order = binary.BigEndian
	}
	if len(d) < 10 {
		return bad("the file is cut short")
	}
	at := int64(order.Uint32(d[4:]))
	if at+2 > int64(len(d)) {
		return bad("its directory lies behind its end")
	}
	n := int64(order.Uint16(d[at:]))
	if n > mostEntries || at+2+12*n > int64(len(d)) {
		return bad("its directory is cut short")
	}
	t := &tags{}
	for i := range n {
		e := d[at+2+12*i:]
		tag, kind, count := order.Uint16(e), order.Uint16(e[2:]), int64(order.Uint32(e[4:]))
		width := map[uint16]int64{3: 2, 12: 8}[kind]
		if width == 0 || count > 1<<16 {
			continue
		}
		value := e[8:12]
		if count*width > 4 {
			from := int64(order.Uint32(value))
			if from+count*width > int64(len(d)) {
				continue // a tag that points nowhere says nothing
			}
			value = d[from : from+count*width]
		}
		doubles := func() []float64 {
			if kind != 12 {
				return nil
			}
			out := make([]float64, count)
			for k := range out {
				out[k] = math.Float64frombits(order.Uint64(value[8*k:]))
			}
			return out
		}
		switch tag {
		case tagPixelScale:
			t.scale = doubles()
		case tagTiepoint:
			t.tie = doubles()
		case tagTransformation:
			t.matrix = doubles()
		case tagGeoKeys:
			for k := range count {
				if kind == 3 {
					t.keys = append(t.keys, order.Uint16(value[2*k:]))
				}
			}
		}
	}
	return t
}

// key is a short key of the directory.
func (t *tags) key(id uint16) (uint16, bool) {
	for i := 4; i+3 < len(t.keys); i += 4 {
		if t.keys[i] == id && t.keys[i+1] == 0 {
			return t.keys[i+3], true
		}
	}
	return 0, false
}

// code is the code of the coordinates, "" where the file does not say one; own is whether it says that they are of a system without one.
func (t *tags) code() (code string, own bool) {
	const none, defined = 0, 32767 // undefined, and defined by further keys, which are not read
	model, _ := t.key(keyModelType)
	id := uint16(keyProjected)
	if model == 2 {
		id = keyGeographic
	}
	if v, ok := t.key(id); ok && v != none && v != defined {
		return fmt.Sprintf("EPSG:%d", v), false
	}
	return "", model != none
}

// differentUnit is the unit that the file names where it is not that of the system, "" where it is, or where none is named.
func (t *tags) differentUnit(sys *crs.CRS) string {
	if sys.Geographic() {
		if v, ok := t.key(keyAngularUnits); ok && v != 0 && v != 9102 { // EPSG's degree
			return fmt.Sprintf("EPSG:%d", v)
		}
		return ""
	}
	v, ok := t.key(keyLinearUnits)
	if !ok || v == 0 || v == 32767 {
		return ""
	}
	u, known := linearUnits[v]
	switch {
	case !known:
		return fmt.Sprintf("EPSG:%d", v)
	case math.Abs(u.metres/sys.UnitMetres()-1) > 1e-9:
		return u.name
	}
	return ""
}

// linearUnits are EPSG's codes of units (OGC 19-008r4, 7.5.2 refers to them; the codes from memory).
var linearUnits = map[uint16]struct {
	name   string
	metres float64
}{9001: {"the metre", 1}, 9002: {"the foot", 0.3048}, 9003: {"the US survey foot", 1200.0 / 3937}}

// model reads the transformation from pixels; not when there is none.
func (r *reader) model(t *tags) bool {
	switch {
	case len(t.matrix) == 16:
		m := t.matrix
		r.at = affine{a: m[0], b: m[1], c: m[3], d: m[4], e: m[5], f: m[7]}
	case len(t.scale) >= 2 && len(t.tie) >= 6:
		sx, sy := t.scale[0], -t.scale[1]
		r.at = affine{a: sx, c: t.tie[3] - sx*t.tie[0], e: sy, f: t.tie[4] - sy*t.tie[1]}
	default:
		return false
	}
	if kind, _ := t.key(keyRasterType); kind != 2 { // 0, 0 is the outer corner of the first pixel
		r.at.c, r.at.f = r.at.c+(r.at.a+r.at.b)/2, r.at.f+(r.at.d+r.at.e)/2
	}
	return true
}
