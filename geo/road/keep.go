package road

import (
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"math"
)

// magic begins a kept graph; its last byte is the version of the layout.
const magic = "tankful roads\x01"

// ErrDamaged says that bytes are no kept graph, or one that was damaged or written by another version.
var ErrDamaged = errors.New("not a file of roads, or damaged")

// MarshalBinary gives the graph in a compact form: counts, points as steps from the one before, lengths in millimetres and times in milliseconds, each a varint,
// and a checksum (CRC-32, IEEE 802.3). It is never an error. What it gives is read again to the same bytes.
func (g *Graph) MarshalBinary() ([]byte, error) {
	b := append([]byte(magic), binary.AppendUvarint(nil, uint64(len(g.credit)))...)
	b = append(b, g.credit...)
	b = binary.AppendUvarint(b, uint64(len(g.nodes)))
	b = binary.AppendUvarint(b, uint64(len(g.segs)))
	b = binary.AppendUvarint(b, uint64(len(g.shape)))
	at := point{}
	step := func(p point) {
		b = binary.AppendVarint(b, int64(p.lon)-int64(at.lon))
		b = binary.AppendVarint(b, int64(p.lat)-int64(at.lat))
		at = p
	}
	for _, p := range g.nodes {
		step(p)
	}
	last := int32(0)
	for i := range g.segs {
		s := &g.segs[i]
		b = binary.AppendVarint(b, int64(s.a-last))
		b = binary.AppendVarint(b, int64(s.b-s.a))
		last = s.a
		b = binary.AppendUvarint(b, uint64(s.to-s.from))
		b = binary.AppendUvarint(b, thousandths(s.length))
		b = binary.AppendUvarint(b, thousandths(s.there))
		b = binary.AppendUvarint(b, thousandths(s.back))
		at = g.nodes[s.a]
		for _, p := range g.shape[s.from:s.to] {
			step(p)
		}
	}
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b)), nil
}

// thousandths counts from 1; 0 is for no way. A way takes a millisecond at least.
func thousandths(x float64) uint64 {
	if math.IsInf(x, 1) {
		return 0
	}
	return 1 + uint64(math.Round(x*1000))
}

// UnmarshalBinary reads what MarshalBinary gave. The error is ErrDamaged, with what is wrong.
func (g *Graph) UnmarshalBinary(data []byte) error {
	if len(data) < len(magic)+4 || string(data[:len(magic)]) != magic {
		return fmt.Errorf("%w: its first bytes are others", ErrDamaged)
	}
	body, sum := data[:len(data)-4], binary.BigEndian.Uint32(data[len(data)-4:])
	if crc32.ChecksumIEEE(body) != sum {
		return fmt.Errorf("%w: its checksum does not hold", ErrDamaged)
	}
	r := reader{rest: body[len(magic):]}
	k := Graph{credit: string(r.bytes(r.count(1)))}
	nodes, segs, shape := r.count(2), r.count(6), r.count(2)
	if r.bad || nodes == 0 || segs == 0 {
		return fmt.Errorf("%w: its counts are not those of roads", ErrDamaged)
	}
	at := point{}
	step := func() point {
		at = point{r.near(at.lon, 1_800_000_000), r.near(at.lat, 900_000_000)}
		return at
	}
	k.nodes = make([]point, nodes)
	for i := range k.nodes {
		k.nodes[i] = step()
	}
	k.segs, k.shape = make([]segment, 0, segs), make([]point, 0, shape)
	last := int32(0)
	for range segs {
		s := segment{from: int32(len(k.shape))}
		s.a = r.index(last, nodes)
		s.b = r.index(s.a, nodes)
		last = s.a
		points := r.count(2)
		s.length, s.there, s.back = r.figure(), r.figure(), r.figure()
		if r.bad || points > shape-len(k.shape) || math.IsInf(s.length, 1) || math.IsInf(s.there, 1) && math.IsInf(s.back, 1) {
			return fmt.Errorf("%w: a road in it is none", ErrDamaged)
		}
		at = k.nodes[s.a]
		for range points {
			k.shape = append(k.shape, step())
		}
		s.to = int32(len(k.shape))
		k.segs = append(k.segs, s)
	}
	if r.bad || len(r.rest) > 0 || len(k.shape) != shape {
		return fmt.Errorf("%w: its length is another", ErrDamaged)
	}
	k.link()
	*g = k
	return nil
}

// reader takes varints off bytes; bad is set by the first that is none or out of range.
type reader struct {
	rest []byte
	bad  bool
}

// take takes one figure off, 0 where there is none.
func take[T int64 | uint64](r *reader, of func([]byte) (T, int)) T {
	x, n := of(r.rest)
	if n <= 0 {
		r.bad, r.rest = true, nil
		return 0
	}
	r.rest = r.rest[n:]
	return x
}

func (r *reader) uvarint() uint64 { return take(r, binary.Uvarint) }
func (r *reader) varint() int64   { return take(r, binary.Varint) }

// count is a number of things that take so many bytes each at the least: no more of them than bytes are left.
func (r *reader) count(size int) int {
	x := r.uvarint()
	if x > uint64(len(r.rest)/size) || x > most {
		r.bad = true
		return 0
	}
	return int(x)
}

func (r *reader) bytes(n int) []byte {
	b := r.rest[:n]
	r.rest = r.rest[n:]
	return b
}

// near is a figure as a step from another, within most of 0.
func (r *reader) near(from int32, most int64) int32 {
	d := r.varint()
	if d > 2*most || d < -2*most || int64(from)+d > most || int64(from)+d < -most {
		r.bad = true
		return 0
	}
	return from + int32(d)
}

func (r *reader) index(from int32, n int) int32 {
	i := r.varint()
	if i > most || i < -most || int64(from)+i < 0 || int64(from)+i >= int64(n) {
		r.bad = true
		return 0
	}
	return from + int32(i)
}

// figure is what thousandths made, up to a year of seconds.
func (r *reader) figure() float64 {
	x := r.uvarint()
	switch {
	case x == 0:
		return math.Inf(1)
	case x > 4e10:
		r.bad = true
		return 0
	}
	return float64(x-1) / 1000
}
