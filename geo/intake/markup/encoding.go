package markup

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"regexp"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"

	"tankful/geo/intake/raw"
)

// declared finds the encoding that an XML declaration claims.
var declared = regexp.MustCompile(`^\s*<\?xml[^>]{0,200}?encoding\s*=\s*["']([A-Za-z0-9._:-]{1,40})["']`)

// charmaps are the one-byte encodings that are read, by names of the IANA registry of character sets (from memory).
var charmaps = map[string]encoding.Encoding{
	"iso-8859-1": charmap.Windows1252, "iso-8859-2": charmap.ISO8859_2, "iso-8859-3": charmap.ISO8859_3,
	"iso-8859-4": charmap.ISO8859_4, "iso-8859-5": charmap.ISO8859_5, "iso-8859-7": charmap.ISO8859_7,
	"iso-8859-9": charmap.ISO8859_9, "iso-8859-10": charmap.ISO8859_10, "iso-8859-13": charmap.ISO8859_13,
	"iso-8859-14": charmap.ISO8859_14, "iso-8859-15": charmap.ISO8859_15, "iso-8859-16": charmap.ISO8859_16,
	"windows-1250": charmap.Windows1250, "windows-1251": charmap.Windows1251, "windows-1252": charmap.Windows1252,
	"windows-1253": charmap.Windows1253, "windows-1254": charmap.Windows1254, "windows-1257": charmap.Windows1257,
	"koi8-r": charmap.KOI8R, "macintosh": charmap.Macintosh, "ibm437": charmap.CodePage437, "ibm850": charmap.CodePage850,
	// Text that claims Latin-1 and holds bytes 0x80-0x9F was written on Windows: reading both alike loses nothing.
	"latin1": charmap.Windows1252, "cp1252": charmap.Windows1252, "us-ascii": charmap.Windows1252, "ascii": charmap.Windows1252,
}

// decoderOf finds the encoding of a text from its first bytes; nil is UTF-8.
func decoderOf(head []byte) (*encoding.Decoder, error) {
	utf16 := func(e unicode.Endianness) (*encoding.Decoder, error) {
		return unicode.UTF16(e, unicode.UseBOM).NewDecoder(), nil
	}
	switch {
	case bytes.HasPrefix(head, []byte("\xfe\xff")), bytes.HasPrefix(head, []byte("\x00<")):
		return utf16(unicode.BigEndian)
	case bytes.HasPrefix(head, []byte("\xff\xfe")), bytes.HasPrefix(head, []byte("<\x00")):
		return utf16(unicode.LittleEndian)
	}
	m := declared.FindSubmatch(bytes.TrimPrefix(head, bom))
	if m == nil || bytes.HasPrefix(head, bom) {
		return nil, nil
	}
	name := strings.ReplaceAll(strings.ToLower(string(m[1])), "_", "-")
	if e := charmaps[name]; e != nil {
		return e.NewDecoder(), nil
	}
	switch name {
	case "utf-8", "utf8", "utf-16", "utf-16le", "utf-16be", "ucs-2": // UTF-16 would have shown in the first bytes
		return nil, nil
	}
	return nil, fmt.Errorf("the file claims the encoding %s, which is not read here", raw.Clip(name))
}

var bom = []byte("\xef\xbb\xbf")

// source gives UTF-8 that encoding/xml takes, up to a limit.
type source struct {
	io.Reader
	mend *mender
}

func newSource(r io.Reader, limit int64) (*source, error) {
	b := bufio.NewReaderSize(&limited{r: r, left: limit, limit: limit}, 4096)
	head, _ := b.Peek(1024) // an error of reading comes again
	dec, err := decoderOf(head)
	if err != nil {
		return nil, err
	}
	s := &source{mend: &mender{}}
	var in io.Reader = b
	if dec != nil {
		in = transform.NewReader(b, dec)
	} else if bytes.HasPrefix(head, bom) {
		_, _ = b.Discard(len(bom)) // they were peeked at
	}
	s.Reader = transform.NewReader(in, s.mend)
	return s, nil
}

// mender makes bytes that XML does not allow into text: what is not UTF-8 is taken as Windows-1252, and
// control characters become blanks. Hand-made files and old loggers hold both.
type mender struct{ stray int }

func (m *mender) Reset() {}

func (m *mender) Transform(dst, src []byte, atEOF bool) (nDst, nSrc int, err error) {
	for nSrc < len(src) {
		if nDst+utf8.UTFMax > len(dst) {
			return nDst, nSrc, transform.ErrShortDst
		}
		if c := src[nSrc]; c >= ' ' && c < utf8.RuneSelf {
			dst[nDst] = c
			nDst, nSrc = nDst+1, nSrc+1
			continue
		}
		c, size := utf8.DecodeRune(src[nSrc:])
		if c == utf8.RuneError && size <= 1 {
			if !atEOF && !utf8.FullRune(src[nSrc:]) {
				return nDst, nSrc, transform.ErrShortSrc
			}
			c = charmap.Windows1252.DecodeByte(src[nSrc])
			m.stray++
		}
		if c < ' ' && c != '\t' && c != '\n' && c != '\r' || c == 0xFFFE || c == 0xFFFF {
			c = ' '
			m.stray++
		}
		nDst += utf8.EncodeRune(dst[nDst:], c)
		nSrc += size
	}
	return nDst, nSrc, nil
}

// tooLargeError says that a file has more bytes than are read.
type tooLargeError struct{ limit int64 }

func (e *tooLargeError) Error() string {
	return fmt.Sprintf("the file has more than %d MB", e.limit>>20)
}

// limited reads at most left bytes and then fails, unlike io.LimitReader, which ends.
type limited struct {
	r           io.Reader
	left, limit int64
}

func (l *limited) Read(p []byte) (int, error) {
	if l.left < 0 {
		return 0, &tooLargeError{l.limit}
	}
	if int64(len(p)) > l.left+1 {
		p = p[:l.left+1]
	}
	n, err := l.r.Read(p)
	if l.left -= int64(n); l.left < 0 {
		return n - 1, &tooLargeError{l.limit}
	}
	return n, err
}
