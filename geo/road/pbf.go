package road

import (
	"bytes"
	"compress/zlib"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	"google.golang.org/protobuf/encoding/protowire"
)

// The binary form of OpenStreetMap extracts: blobs of compressed messages (OpenStreetMap wiki, "PBF Format"). Field numbers are those of its fileformat.proto
// and osmformat.proto.

// most bytes of a blob's head and of a blob, as the format has them.
const mostHead, mostBlob = 64 << 10, 32 << 20

// extract reads one extract once, for what it is asked for.
type extract struct {
	way  func(tags tags, nodes []int64)
	node func(id int64, lon, lat float64)
}

// tags are a way's, as pairs.
type tags [][2]string

func (t tags) find(key string) string {
	for _, k := range t {
		if k[0] == key {
			return k[1]
		}
	}
	return ""
}

// read goes through all blobs.
func (x *extract) read(ctx context.Context, r io.Reader) error {
	for n := 0; ; n++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		kind, data, err := nextBlob(r)
		switch {
		case errors.Is(err, io.EOF) && n > 0:
			return nil
		case errors.Is(err, io.EOF):
			return errors.New("it is empty")
		case err != nil:
			return fmt.Errorf("blob %d: %w", n, err)
		}
		switch kind {
		case "OSMHeader":
			err = header(data)
		case "OSMData":
			err = x.block(data)
		}
		if err != nil {
			return fmt.Errorf("blob %d: %w", n, err)
		}
	}
}

// nextBlob gives a blob's kind and what is in it. The error is io.EOF after the last.
func nextBlob(r io.Reader) (kind string, data []byte, err error) {
	var four [4]byte
	if _, err := io.ReadFull(r, four[:]); err != nil {
		if errors.Is(err, io.ErrUnexpectedEOF) {
			return "", nil, errors.New("it ends amid a blob")
		}
		return "", nil, err
	}
	n := binary.BigEndian.Uint32(four[:])
	if n > mostHead {
		return "", nil, errors.New("this is no OpenStreetMap extract in binary form (.osm.pbf)")
	}
	head, err := exactly(r, int(n))
	if err != nil {
		return "", nil, err
	}
	size := 0
	err = fields(head, func(num protowire.Number, v uint64, b []byte) error {
		switch num {
		case 1:
			kind = string(b)
		case 3:
			size = int(min(v, mostBlob+1))
		}
		return nil
	})
	if err != nil || size > mostBlob {
		return "", nil, errors.New("a blob's head is none")
	}
	blob, err := exactly(r, size)
	if err != nil {
		return "", nil, err
	}
	data, err = unpacked(blob)
	return kind, data, err
}

// exactly reads so many bytes; memory grows with what there is.
func exactly(r io.Reader, n int) ([]byte, error) {
	var b bytes.Buffer
	if m, err := io.CopyN(&b, r, int64(n)); m < int64(n) {
		if err == nil || errors.Is(err, io.EOF) {
			err = errors.New("it ends amid a blob")
		}
		return nil, err
	}
	return b.Bytes(), nil
}

// unpacked is what a blob holds.
func unpacked(blob []byte) (data []byte, err error) {
	found := false
	err = fields(blob, func(num protowire.Number, v uint64, b []byte) error {
		switch num {
		case 1:
			data, found = b, true
		case 3:
			z, err := zlib.NewReader(bytes.NewReader(b))
			if err != nil {
				return err
			}
			found = true
			data, err = io.ReadAll(io.LimitReader(z, mostBlob+1))
			if err == nil && len(data) > mostBlob {
				err = errors.New("a blob is over 32 MiB")
			}
			return err
		case 4, 5, 6, 7:
			return errors.New("it is compressed in another way than zlib")
		}
		return nil
	})
	if err == nil && !found {
		err = errors.New("a blob is empty")
	}
	return data, err
}

// header refuses what this reader does not understand.
func header(data []byte) error {
	return fields(data, func(num protowire.Number, v uint64, b []byte) error {
		if need := string(b); num == 4 && need != "OsmSchema-V0.6" && need != "DenseNodes" {
			return fmt.Errorf("it asks for %.40q, which is not read", need)
		}
		return nil
	})
}

// block is one PrimitiveBlock.
func (x *extract) block(data []byte) error {
	p := frame{per: 100}
	var groups [][]byte
	err := fields(data, func(num protowire.Number, v uint64, b []byte) error {
		switch num {
		case 1:
			return fields(b, func(num protowire.Number, _ uint64, s []byte) error {
				if num == 1 {
					p.words = append(p.words, s)
				}
				return nil
			})
		case 2:
			groups = append(groups, b)
		case 17:
			p.per = int64(int32(v))
		case 19:
			p.lat = int64(v)
		case 20:
			p.lon = int64(v)
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, g := range groups {
		err := fields(g, func(num protowire.Number, _ uint64, b []byte) error {
			switch {
			case num == 1 && x.node != nil:
				return x.single(b, p)
			case num == 2 && x.node != nil:
				return x.dense(b, p)
			case num == 3 && x.way != nil:
				return x.oneWay(b, p)
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// frame is what the coordinates and words of a block are counted in.
type frame struct {
	words         [][]byte
	per, lat, lon int64 // nanodegrees
}

// single is a Node.
func (x *extract) single(b []byte, p frame) error {
	var id, lat, lon int64
	err := fields(b, func(num protowire.Number, v uint64, _ []byte) error {
		switch num {
		case 1:
			id = protowire.DecodeZigZag(v)
		case 8:
			lat = protowire.DecodeZigZag(v)
		case 9:
			lon = protowire.DecodeZigZag(v)
		}
		return nil
	})
	if err == nil {
		x.node(id, p.degrees(p.lon, lon), p.degrees(p.lat, lat))
	}
	return err
}

func (p *frame) degrees(offset, n int64) float64 { return 1e-9 * float64(offset+p.per*n) }

// dense is DenseNodes: columns of steps.
func (x *extract) dense(b []byte, p frame) error {
	var ids, lats, lons []int64
	err := fields(b, func(num protowire.Number, _ uint64, b []byte) (err error) {
		switch num {
		case 1:
			ids, err = steps(b)
		case 8:
			lats, err = steps(b)
		case 9:
			lons, err = steps(b)
		}
		return err
	})
	if err != nil {
		return err
	}
	if len(lats) != len(ids) || len(lons) != len(ids) {
		return errors.New("points without their coordinates")
	}
	for i, id := range ids {
		x.node(id, p.degrees(p.lon, lons[i]), p.degrees(p.lat, lats[i]))
	}
	return nil
}

// oneWay is a Way.
func (x *extract) oneWay(b []byte, p frame) error {
	var keys, values []uint64
	var nodes []int64
	err := fields(b, func(num protowire.Number, _ uint64, b []byte) (err error) {
		switch num {
		case 2:
			keys, err = varints(b)
		case 3:
			values, err = varints(b)
		case 8:
			nodes, err = steps(b)
		}
		return err
	})
	if err != nil {
		return err
	}
	if len(keys) != len(values) {
		return errors.New("tags without their values")
	}
	var t tags
	for i := range keys {
		if keys[i] >= uint64(len(p.words)) || values[i] >= uint64(len(p.words)) {
			return errors.New("a tag's word is not in its block")
		}
		t = append(t, [2]string{string(p.words[keys[i]]), string(p.words[values[i]])})
	}
	x.way(t, nodes)
	return nil
}

// fields gives each field of a message: v of a number, b of bytes.
func fields(msg []byte, do func(num protowire.Number, v uint64, b []byte) error) error {
	for len(msg) > 0 {
		num, kind, n := protowire.ConsumeTag(msg)
		if n < 0 {
			return errors.New("a message in it is damaged")
		}
		msg = msg[n:]
		var v uint64
		var b []byte
		switch kind {
		case protowire.VarintType:
			v, n = protowire.ConsumeVarint(msg)
		case protowire.BytesType:
			b, n = protowire.ConsumeBytes(msg)
		default:
			n = protowire.ConsumeFieldValue(num, kind, msg)
		}
		if n < 0 {
			return errors.New("a message in it is damaged")
		}
		if err := do(num, v, b); err != nil {
			return err
		}
		msg = msg[n:]
	}
	return nil
}

// varints are the numbers of a packed field; steps are those that are written as zigzag steps from the one before.
func varints(b []byte) ([]uint64, error) {
	var out []uint64
	for len(b) > 0 {
		v, n := protowire.ConsumeVarint(b)
		if n < 0 {
			return nil, errors.New("a message in it is damaged")
		}
		out, b = append(out, v), b[n:]
	}
	return out, nil
}

func steps(b []byte) ([]int64, error) {
	v, err := varints(b)
	out := make([]int64, len(v))
	at := int64(0)
	for i := range v {
		at += protowire.DecodeZigZag(v[i])
		out[i] = at
	}
	return out, err
}
