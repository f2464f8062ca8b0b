package transcript

import (
	"bytes"
	"fmt"
	"sort"
)

// Position returns the line and column, both counted from 1, of an offset into
// Source. The column counts bytes of the line's UTF-8 form. LF, CR and CRLF
// all end a line.
func (t *Transcript) Position(sourceOffset int) (line, col int) {
	return t.src.position(t.src.toText(sourceOffset))
}

func (s *source) position(offset int) (line, col int) {
	line = sort.Search(len(s.starts), func(i int) bool { return int(s.starts[i]) > offset })
	if line == 0 {
		return 1, offset + 1
	}
	return line, offset - int(s.starts[line-1]) + 1
}

func (s *source) failAt(line, col int, cause error, detail string) *ParseError {
	if detail != "" {
		cause = fmt.Errorf("%w: %s", cause, detail)
	}
	return &ParseError{Name: s.name, Line: line, Col: col, Err: cause}
}

// line returns the bounds of line i, counted from 0, without its terminator.
func (s *source) line(i int) (from, to int) {
	from, to = int(s.starts[i]), len(s.text)
	if i+1 < len(s.starts) {
		to = int(s.starts[i+1])
	}
	if to > from && s.text[to-1] == '\n' {
		to--
	}
	if to > from && s.text[to-1] == '\r' {
		to--
	}
	return from, to
}

// lineStarts finds where the lines begin. A terminator at the very end of the
// text begins no further line.
func lineStarts(text []byte) []int32 {
	starts := make([]int32, 1, 1+len(text)/28)
	if bytes.IndexByte(text, '\r') < 0 {
		for i := 0; ; {
			n := bytes.IndexByte(text[i:], '\n')
			if n < 0 || i+n+1 >= len(text) {
				return starts
			}
			i += n + 1
			starts = append(starts, int32(i))
		}
	}
	for i, c := range text[:len(text)-1] {
		if c == '\n' || c == '\r' && text[i+1] != '\n' {
			starts = append(starts, int32(i+1))
		}
	}
	return starts
}
