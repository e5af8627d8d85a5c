package road

import (
	"encoding/binary"
	"hash/crc32"
)

// Summed is a kept graph's bytes with the checksum that they ask for.
func Summed(body []byte) []byte {
	return binary.BigEndian.AppendUint32(append([]byte(nil), body...), crc32.ChecksumIEEE(body))
}

// On tells where a spot is: at a junction, or else on a segment, at a part of its length.
func (p Spot) On() (junction, segment int, part float64) { return int(p.node), int(p.seg), p.part }
