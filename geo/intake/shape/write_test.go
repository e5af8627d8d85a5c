package shape

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"io/fs"
	"math"
	"strings"
	"testing"

	"tankful/calc/problem"
	"tankful/geo/intake/raw"
)

// A writer of shapefiles for the tests, after the tables of the white paper.

type xy [2]float64

func le(parts ...any) []byte {
	var b bytes.Buffer
	for _, p := range parts {
		if err := binary.Write(&b, binary.LittleEndian, p); err != nil {
			panic(err)
		}
	}
	return b.Bytes()
}

// boxOf is a box around the corners, four numbers.
func boxOf(pts []xy) [4]float64 {
	b := [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range pts {
		b = [4]float64{min(b[0], p[0]), min(b[1], p[1]), max(b[2], p[0]), max(b[3], p[1])}
	}
	return b
}

// parts is a PolyLine or Polygon of the kind; z and m are left out when nil.
func parts(kind uint32, z, m []float64, rings ...[]xy) []byte {
	var starts []uint32
	var pts []xy
	for _, r := range rings {
		starts = append(starts, uint32(len(pts)))
		pts = append(pts, r...)
	}
	out := le(kind, boxOf(pts), uint32(len(rings)), uint32(len(pts)), starts, pts)
	for _, v := range [][]float64{z, m} {
		if v != nil {
			out = append(out, le(0.0, 0.0, v)...)
		}
	}
	return out
}

// mainFile puts records behind a header with the box.
func mainFile(box [4]float64, contents ...[]byte) []byte {
	var body bytes.Buffer
	for i, c := range contents {
		_ = binary.Write(&body, binary.BigEndian, [2]uint32{uint32(i + 1), uint32(len(c) / 2)})
		body.Write(c)
	}
	head := make([]byte, headerSize)
	binary.BigEndian.PutUint32(head, 9994)
	binary.BigEndian.PutUint32(head[24:], uint32(headerSize+body.Len())/2)
	binary.LittleEndian.PutUint32(head[28:], 1000)
	binary.LittleEndian.PutUint32(head[32:], typePolygon)
	for i, v := range box {
		binary.LittleEndian.PutUint64(head[36+8*i:], math.Float64bits(v))
	}
	return append(head, body.Bytes()...)
}

// column is a column of a table.
type column struct {
	name string
	kind byte
	size int
}

// tableFile is a dBASE III table; a row that begins with "*" is deleted.
func tableFile(driver byte, cols []column, rows ...[]string) []byte {
	width := 1
	for _, c := range cols {
		width += c.size
	}
	head := make([]byte, 32, 32+32*len(cols)+1)
	head[0], head[29] = 3, driver
	binary.LittleEndian.PutUint32(head[4:], uint32(len(rows)))
	binary.LittleEndian.PutUint16(head[8:], uint16(32+32*len(cols)+1))
	binary.LittleEndian.PutUint16(head[10:], uint16(width))
	for _, c := range cols {
		f := make([]byte, 32)
		copy(f[:11], c.name)
		f[11], f[16] = c.kind, byte(c.size)
		if c.size > 255 {
			f[17] = byte(c.size >> 8)
		}
		head = append(head, f...)
	}
	out := append(head, '\r')
	for _, r := range rows {
		flag := byte(' ')
		if len(r) > len(cols) {
			flag, r = '*', r[1:]
		}
		out = append(out, flag)
		for i, c := range cols {
			cell := []byte(strings.Repeat(" ", c.size))
			copy(cell, r[i])
			out = append(out, cell...)
		}
	}
	return append(out, 0x1a)
}

// input is a bare .shp with companions by ending.
func input(shp []byte, beside map[string][]byte) raw.Input {
	return raw.Input{Name: "lots.shp", Data: bytes.NewReader(shp), Size: int64(len(shp)), Beside: func(ending string) ([]byte, error) {
		if data, ok := beside[ending]; ok {
			return data, nil
		}
		return nil, fmt.Errorf("lots%s: %w", ending, fs.ErrNotExist)
	}}
}

// entry is one of a zip archive.
type entry struct {
	name string
	data []byte
}

func zipped(t testing.TB, entries ...entry) raw.Input {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, e := range entries {
		f, err := w.Create(e.name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.Write(e.data); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return raw.Input{Name: "lots.zip", Data: bytes.NewReader(b.Bytes()), Size: int64(b.Len())}
}

// all opens, scans and loads everything; fs is nil when the file is not to be used.
func all(t testing.TB, in raw.Input) (features []*raw.Feature, ps problem.List) {
	t.Helper()
	s, ps := Open(in)
	if s == nil {
		if !ps.HasErrors() {
			t.Fatalf("no source and no error: %v", ps)
		}
		return nil, ps
	}
	if ps.HasErrors() {
		t.Fatalf("a source and an error: %v", ps)
	}
	var handles []int64
	ps = append(ps, s.Scan(func(h int64, f *raw.Feature) bool { handles = append(handles, h); return true })...)
	for _, h := range handles {
		features = append(features, s.Load(h))
	}
	return features, ps
}

func codes(ps problem.List) string {
	var out []string
	for _, p := range ps {
		out = append(out, p.Code)
	}
	return strings.Join(out, " ")
}

const wgs84 = `GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]`

const utm15 = `PROJCS["NAD_1983_UTM_Zone_15N",GEOGCS["GCS_North_American_1983",DATUM["D_North_American_1983",SPHEROID["GRS_1980",6378137.0,298.257222101]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["False_Easting",500000.0],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",-93.0],PARAMETER["Scale_Factor",0.9996],PARAMETER["Latitude_Of_Origin",0.0],UNIT["Meter",1.0]]`
