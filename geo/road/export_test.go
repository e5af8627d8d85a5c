package road

import (
	"encoding/binary"
	"hash/crc32"
)

// Summed is a kept graph's bytes with the checksum that they ask for.
func Summed(body []byte) []byte {
	return binary.BigEndian.AppendUint32(append([]byte(nil), body...), crc32.ChecksumIEEE(body))
}
