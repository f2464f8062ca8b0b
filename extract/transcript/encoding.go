package transcript

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"sort"
	"unicode/utf16"
	"unicode/utf8"
)

// A source is the file's bytes, their UTF-8 form, and the way back. Readers
// see only text and lines; offsets into text become offsets into raw when they
// leave the package.
type source struct {
	name     string
	raw      []byte // as given
	text     []byte // UTF-8 without byte order mark; shares raw where it can
	encoding string
	shift    int     // raw offset of text[0] in UTF-8 files
	marks    []mark  // UTF-16 only
	starts   []int32 // offsets into text of the line starts
}

// A mark ties an offset of the text to an offset of the raw bytes. UTF-16
// files carry one about every markStep bytes, so looking an offset up walks
// over fewer than markStep bytes from the mark before it.
type mark struct {
	text, raw int32
}

const markStep = 256

// maxSource keeps every offset inside 32 bits: NUL, the worst case, triples.
const maxSource = math.MaxInt32 / 4

// newSource recognises the encoding and decodes. The error is a *ParseError.
func newSource(name string, raw []byte) (*source, error) {
	s := &source{name: name, raw: raw}
	if len(raw) > maxSource {
		return nil, s.failAt(0, 0, ErrTooBig, fmt.Sprintf("%d bytes", len(raw)))
	}
	switch {
	case bytes.HasPrefix(raw, []byte{0xEF, 0xBB, 0xBF}):
		s.encoding, s.shift, s.text = "utf-8-bom", 3, raw[3:]
	case bytes.HasPrefix(raw, []byte{0xFF, 0xFE}):
		s.encoding = "utf-16le"
		s.decode16(binary.LittleEndian)
	case bytes.HasPrefix(raw, []byte{0xFE, 0xFF}):
		s.encoding = "utf-16be"
		s.decode16(binary.BigEndian)
	default:
		s.encoding, s.text = "utf-8", raw
	}
	if len(bytes.TrimSpace(s.text)) == 0 {
		return nil, s.failAt(0, 0, ErrEmpty, "")
	}
	if err := s.check(); err != nil {
		return nil, err
	}
	s.starts = lineStarts(s.text)
	return s, nil
}

// check refuses what is not text. A few control characters, NUL among them,
// are tolerated: WebVTT (section 6.1) reads NUL as U+FFFD.
func (s *source) check() error {
	head := s.text[:min(len(s.text), 4096)]
	odd := 0
	for _, c := range head {
		if c < ' ' && c != '\n' && c != '\r' && c != '\t' && c != '\f' || c == 0x7F {
			odd++
		}
	}
	if odd > 8 && odd > len(head)/10 {
		hint := "control characters all over"
		if everyOther(head) {
			hint = "every other byte is NUL, as in UTF-16 without a byte order mark; save it as UTF-8"
		}
		return s.failAt(1, 1, ErrNotText, hint)
	}
	if utf8.Valid(s.text) {
		return nil
	}
	at := invalidAt(s.text)
	if odd > 0 && bytes.IndexByte(head, 0) >= 0 {
		return s.failAt(1, 1, ErrNotText, "NUL bytes and bytes that are not UTF-8")
	}
	before := s.text[:at]
	s.starts = lineStarts(before)
	line, col := s.position(at)
	return s.failAt(line, col, ErrEncoding, fmt.Sprintf("byte 0x%02X at offset %d; %s",
		s.text[at], at+s.shift, toUTF8))
}

// toUTF8 says what to do with a text in another encoding (iconv is of POSIX.1-2017).
// Which one that is cannot be seen: a byte is a degree sign in one and a letter in
// another.
const toUTF8 = `"iconv -f ENCODING -t UTF-8 FILE > NEW" makes UTF-8 of it, ENCODING being the one it was saved in, ` +
	`as "iconv -l" lists them`

// everyOther reports whether most bytes at even places are NUL and few at odd
// ones, or the other way about.
func everyOther(head []byte) bool {
	var nul [2]int
	for i, c := range head {
		if c == 0 {
			nul[i%2]++
		}
	}
	half := len(head) / 2
	return max(nul[0], nul[1]) >= half*4/5 && min(nul[0], nul[1]) <= half/5
}

func invalidAt(text []byte) int {
	for i := 0; i < len(text); {
		if text[i] < utf8.RuneSelf {
			i++
			continue
		}
		r, n := utf8.DecodeRune(text[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return len(text)
}

// decode16 fills text and marks from raw, which starts with a byte order mark.
// A lone surrogate or an odd last byte becomes U+FFFD.
func (s *source) decode16(order binary.ByteOrder) {
	s.text = make([]byte, 0, len(s.raw)/2+len(s.raw)/8)
	next := 0
	for i := 2; i < len(s.raw); {
		if len(s.text) >= next {
			s.marks = append(s.marks, mark{int32(len(s.text)), int32(i)})
			next = len(s.text) + markStep
		}
		if i+1 >= len(s.raw) {
			s.text = utf8.AppendRune(s.text, utf8.RuneError)
			break
		}
		r, n := rune(order.Uint16(s.raw[i:])), 2
		if utf16.IsSurrogate(r) {
			pair := utf8.RuneError
			if i+3 < len(s.raw) {
				pair = utf16.DecodeRune(r, rune(order.Uint16(s.raw[i+2:])))
			}
			if r = pair; r != utf8.RuneError {
				n = 4
			}
		}
		s.text = utf8.AppendRune(s.text, r)
		i += n
	}
}

// toRaw turns an offset of the text into one of the raw bytes.
func (s *source) toRaw(offset int) int {
	if s.marks == nil {
		return offset + s.shift
	}
	if offset >= len(s.text) {
		return len(s.raw)
	}
	i := sort.Search(len(s.marks), func(i int) bool { return int(s.marks[i].text) > offset }) - 1
	at, raw := int(s.marks[i].text), int(s.marks[i].raw)
	for at < offset {
		n, width := s.step(at)
		at += n
		raw += width
	}
	return min(raw, len(s.raw))
}

// toText turns an offset of the raw bytes into one of the text.
func (s *source) toText(raw int) int {
	if s.marks == nil {
		return min(max(raw-s.shift, 0), len(s.text))
	}
	i := sort.Search(len(s.marks), func(i int) bool { return int(s.marks[i].raw) > raw }) - 1
	if i < 0 {
		return 0
	}
	at, r := int(s.marks[i].text), int(s.marks[i].raw)
	for at < len(s.text) {
		n, width := s.step(at)
		if r+width > raw {
			break
		}
		at += n
		r += width
	}
	return at
}

// step gives the lengths of the character at a text offset in UTF-8 and UTF-16.
func (s *source) step(at int) (n, width int) {
	_, n = utf8.DecodeRune(s.text[at:])
	if n == 4 {
		return n, 4
	}
	return n, 2
}
