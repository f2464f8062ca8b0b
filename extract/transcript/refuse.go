package transcript

import (
	"bytes"
	"fmt"
)

// refuseBytes refuses files that are known by their first bytes and not read.
func refuseBytes(name string, raw []byte) error {
	for _, r := range refusals() {
		if n := r.offset; n >= 0 && len(raw) > n && bytes.HasPrefix(raw[n:], r.mark) && !plainStart(raw, r) {
			return &ParseError{Name: name, Err: r.cause()}
		}
	}
	return nil
}

// plainStart reports whether a file goes on as text behind a mark of letters,
// as notes that begin with the word "RIFF" would.
func plainStart(raw []byte, r refusal) bool {
	for _, c := range r.mark {
		if c < ' ' || c >= 0x7F {
			return false
		}
	}
	if r.mark[0] == '%' {
		return false
	}
	for _, c := range raw[:min(len(raw), 512)] {
		if c < ' ' && c != '\n' && c != '\r' && c != '\t' && c != '\f' {
			return false
		}
	}
	return r.at == "0" || r.at == "4"
}

// refuseText refuses forms of captions that are known by their first words and
// not read.
func refuseText(s *source) error {
	head := s.text[len(s.text)-len(bytes.TrimLeft(s.text, " \t\r\n\f\ufeff")):]
	for _, r := range refusals() {
		found := false
		switch r.at {
		case "frames":
			found = numbersAhead(head, '{', '}')
		case "tenths":
			found = numbersAhead(head, '[', ']')
		case "text":
			found = len(head) >= len(r.mark) && bytes.EqualFold(head[:len(r.mark)], r.mark)
		}
		if found {
			line, col := s.position(len(s.text) - len(head))
			return &ParseError{Name: s.name, Line: line, Col: col, Err: r.cause()}
		}
	}
	return nil
}

func (r refusal) cause() error { return fmt.Errorf("%w: %s; %s", ErrForm, r.name, r.hint) }

// numbersAhead reports whether a line begins with two bare numbers in brackets,
// the second of which may be missing: {12}{50}words.
func numbersAhead(line []byte, open, close byte) bool {
	for k := range 2 {
		if len(line) == 0 || line[0] != open {
			return false
		}
		_, n := digits(line[1:])
		if n == 0 && k == 0 || len(line) < n+2 || line[n+1] != close {
			return false
		}
		line = line[n+2:]
	}
	return true
}
