package raw

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// IsUTF16 reports whether data begins with the byte order mark of UTF-16.
func IsUTF16(data []byte) bool {
	return bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff"))
}

// UTF8 is a text file in UTF-8 without a byte order mark. UTF-16 is told by its mark; half a
// character at the end, and halves that do not belong together, become the replacement character.
// Everything else comes back as it is.
func UTF8(data []byte) []byte {
	if !IsUTF16(data) {
		return bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	}
	var order binary.ByteOrder = binary.LittleEndian
	if data[0] == 0xfe {
		order = binary.BigEndian
	}
	data = data[2:]
	out := make([]byte, 0, len(data)/2)
	for len(data) >= 2 {
		r := rune(order.Uint16(data))
		data = data[2:]
		if utf16.IsSurrogate(r) {
			low := rune(0)
			if len(data) >= 2 {
				low = rune(order.Uint16(data))
			}
			if r = utf16.DecodeRune(r, low); r != utf8.RuneError {
				data = data[2:]
			}
		}
		out = utf8.AppendRune(out, r)
	}
	if len(data) > 0 {
		out = utf8.AppendRune(out, utf8.RuneError)
	}
	return out
}

// Text is s, read as Latin-1 when it is no sound UTF-8: spreadsheets on older machines write so.
func Text(s string) string {
	if utf8.ValidString(s) {
		return s
	}
	var b strings.Builder
	for i := range len(s) {
		b.WriteRune(rune(s[i]))
	}
	return b.String()
}
