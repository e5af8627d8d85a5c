package road_test

import (
	"bytes"
	"compress/zlib"
	"context"
	"encoding/binary"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"google.golang.org/protobuf/encoding/protowire"

	"tankful/calc/unit"
	"tankful/geo/road"
)

// way is a way to be written to an extract.
type way struct {
	nodes []int64
	tags  []string // key, value, key, value
}

// extract writes an extract as the OpenStreetMap wiki has it ("PBF Format", read 2026): dense points in one blob, ways in another. What it writes was read alike by
// github.com/paulmach/osm v0.8.0.
func extract(points []orb.Point, ways []way) []byte {
	var out bytes.Buffer
	blob := func(kind string, data []byte) {
		var z bytes.Buffer
		w := zlib.NewWriter(&z)
		_, _ = w.Write(data)
		_ = w.Close()
		b := number32(nil, 2, uint64(len(data)))
		b = message(b, 3, z.Bytes())
		head := message(nil, 1, []byte(kind))
		head = number32(head, 3, uint64(len(b)))
		_ = binary.Write(&out, binary.BigEndian, uint32(len(head)))
		out.Write(head)
		out.Write(b)
	}
	header := message(nil, 4, []byte("OsmSchema-V0.6"))
	header = message(header, 4, []byte("DenseNodes"))
	blob("OSMHeader", header)

	var ids, lats, lons []byte
	lastID, lastLon, lastLat := int64(0), int64(0), int64(0)
	for i, p := range points {
		id, lon, lat := int64(i+1), int64(math.Round(p[0]*1e7)), int64(math.Round(p[1]*1e7))
		ids = protowire.AppendVarint(ids, protowire.EncodeZigZag(id-lastID))
		lats = protowire.AppendVarint(lats, protowire.EncodeZigZag(lat-lastLat))
		lons = protowire.AppendVarint(lons, protowire.EncodeZigZag(lon-lastLon))
		lastID, lastLon, lastLat = id, lon, lat
	}
	dense := message(message(message(nil, 1, ids), 8, lats), 9, lons)
	blob("OSMData", message(message(nil, 1, message(nil, 1, nil)), 2, message(nil, 2, dense)))

	words, at := message(nil, 1, nil), map[string]uint64{}
	word := func(s string) uint64 {
		if _, ok := at[s]; !ok {
			at[s] = uint64(len(at) + 1)
			words = message(words, 1, []byte(s))
		}
		return at[s]
	}
	var group []byte
	for i, w := range ways {
		var keys, values, refs []byte
		for k := 0; k < len(w.tags); k += 2 {
			keys = protowire.AppendVarint(keys, word(w.tags[k]))
			values = protowire.AppendVarint(values, word(w.tags[k+1]))
		}
		last := int64(0)
		for _, n := range w.nodes {
			refs = protowire.AppendVarint(refs, protowire.EncodeZigZag(n-last))
			last = n
		}
		m := number32(nil, 1, uint64(i+1))
		group = message(group, 3, message(message(message(m, 2, keys), 3, values), 8, refs))
	}
	blob("OSMData", message(message(nil, 1, words), 2, group))
	return out.Bytes()
}

func message(b []byte, num protowire.Number, data []byte) []byte {
	return protowire.AppendBytes(protowire.AppendTag(b, num, protowire.BytesType), data)
}

func number32(b []byte, num protowire.Number, x uint64) []byte {
	return protowire.AppendVarint(protowire.AppendTag(b, num, protowire.VarintType), x)
}

// corners are four corners of a block, 0.01 degrees apart, and one in the middle of its south side.
var corners = []orb.Point{{-41.2, 38.5}, {-41.19, 38.5}, {-41.19, 38.51}, {-41.2, 38.51}, {-41.195, 38.4999}}

func TestRead(t *testing.T) {
	all := []int64{1, 5, 2, 3, 4, 1}
	for _, tt := range []struct {
		name        string
		ways        []way
		there, back float64 // from corner 1 to corner 2, and back, in km/h over the straight side; 0 for no such way
	}{
		{"residential", []way{{all, []string{"highway", "residential"}}}, 35, 35},
		{"limit", []way{{all, []string{"highway", "residential", "maxspeed", "30"}}}, 30, 30},
		{"limit in mph", []way{{all, []string{"highway", "residential", "maxspeed", "20 mph"}}}, 32.18688, 32.18688},
		{"a limit in words", []way{{all, []string{"highway", "primary", "maxspeed", "none"}}}, 60, 60},
		{"one way", []way{{all[:4], []string{"highway", "residential", "oneway", "yes"}}, {[]int64{3, 4, 1}, []string{"highway", "residential"}}}, 35, 0},
		{"one way back", []way{{all[:3], []string{"highway", "residential", "oneway", "-1"}}, {all[2:], []string{"highway", "residential"}}}, 0, 35},
		{"roundabout", []way{{all, []string{"highway", "residential", "junction", "roundabout"}}}, 35, 0},
		{"private", []way{{all[:3], []string{"highway", "residential", "access", "private"}}, {all[2:], []string{"highway", "residential"}}}, 0, 0},
		{"private, but for cars", []way{{all, []string{"highway", "residential", "access", "private", "motor_vehicle", "yes"}}}, 35, 35},
		{"path", []way{{all[:3], []string{"highway", "footway"}}, {all[2:], []string{"highway", "residential"}}}, 0, 0},
	} {
		g, found := road.Read(context.Background(), "x.osm.pbf", bytes.NewReader(extract(corners, tt.ways)))
		if g == nil || len(found) > 0 {
			t.Errorf("%s: %v", tt.name, found)
			continue
		}
		a, err := g.Snap(corners[0], 1)
		b, err2 := g.Snap(corners[1], 1)
		if err != nil || err2 != nil {
			if tt.there+tt.back > 0 {
				t.Errorf("%s: corners at %v and %v", tt.name, a, b)
			}
			continue
		}
		side := long(orb.LineString{corners[0], corners[4], corners[1]})
		m := g.Matrix([]road.Spot{a, b}, []road.Spot{a, b})
		for k, x := range []struct {
			got  road.Drive
			want float64
		}{{m[0][1], tt.there}, {m[1][0], tt.back}} {
			straight := x.got.OK && math.Abs(float64(x.got.Road)-side) < 1
			if straight != (x.want > 0) || straight && math.Abs((unit.Speed(float64(x.got.Road)/float64(x.got.Time))).In(unit.KilometrePerHour)-x.want) > 0.01 {
				t.Errorf("%s, %d: %+v, want %v km/h over %.1f m", tt.name, k, x.got, x.want, side)
			}
		}
		if g.Credit() != road.Credit {
			t.Errorf("%s: credit %q", tt.name, g.Credit())
		}
	}
}

// Every block of a file that is none, cut off or damaged ends in a problem, not in roads or a panic.
func TestReadDamaged(t *testing.T) {
	whole := extract(corners, []way{{[]int64{1, 5, 2, 3, 4, 1}, []string{"highway", "residential"}}})
	for n := range len(whole) {
		if g, found := road.Read(context.Background(), "x", bytes.NewReader(whole[:n])); g != nil && !found.HasErrors() && n < len(whole)-1 {
			// A file that ends after a blob is a file; without its ways it has no roads.
			t.Errorf("cut at %d of %d: a graph", n, len(whole))
		}
	}
	if g, found := road.Read(context.Background(), "x", bytes.NewReader(extract(corners, []way{{[]int64{1, 2}, []string{"highway", "steps"}}}))); g != nil || len(found) != 1 || found[0].Code != "roads-none" {
		t.Errorf("no roads: %v", found)
	}
	if g, found := road.Read(context.Background(), "x", bytes.NewReader(extract(corners[:3], []way{{[]int64{1, 2, 3, 4}, []string{"highway", "residential"}}}))); g == nil || len(found) != 1 || found[0].Code != "roads-cut" {
		t.Errorf("roads that lead out: %v", found)
	}
}

func FuzzRead(f *testing.F) {
	f.Add(extract(corners, []way{{[]int64{1, 5, 2, 3, 4, 1}, []string{"highway", "residential"}}}))
	f.Add([]byte("<osm version='0.6'></osm>"))
	f.Fuzz(func(t *testing.T, b []byte) {
		if g, found := road.Read(context.Background(), "x", bytes.NewReader(b)); g == nil && !found.HasErrors() {
			t.Error("nothing read and nothing said")
		}
	})
}
