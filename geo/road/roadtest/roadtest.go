// Package roadtest writes small extracts of OpenStreetMap in binary form, for tests.
//
// It knows points, ways and their tags; it leaves out relations, and what real extracts have besides.
package roadtest

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"math"

	"github.com/paulmach/orb"
	"google.golang.org/protobuf/encoding/protowire"
)

// Way is a way to be written to an extract.
type Way struct {
	// Points count from 1. Tags are key, value, key, value.
	Points []int64
	Tags   []string
}

// Extract writes an extract as the OpenStreetMap wiki has it ("PBF Format", read 2026): dense points in one blob, ways in another. What it writes was read alike by
// github.com/paulmach/osm v0.8.0.
func Extract(points []orb.Point, ways []Way) []byte {
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
		for k := 0; k < len(w.Tags); k += 2 {
			keys = protowire.AppendVarint(keys, word(w.Tags[k]))
			values = protowire.AppendVarint(values, word(w.Tags[k+1]))
		}
		last := int64(0)
		for _, n := range w.Points {
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
