package transcript

import (
	"bytes"
	"fmt"
	"unicode/utf16"
	"unicode/utf8"
)

// A jsonNode is a value of a JSON text (RFC 8259) and where it stands.
type jsonNode struct {
	kind     byte // '{', '[', '"', '0' for a number, 'l' for true, false and null
	from, to int32
	keyFrom  int32 // of the name, inside its quotes, where it is a member
	keyTo    int32
	child    int32 // index of the first child, 0 for none
	next     int32 // index of the next sibling, 0 for none
}

// inside is the span of a string without its quotes.
func (n jsonNode) inside() (from, to int) { return int(n.from) + 1, int(n.to) - 1 }

// maxDepth bounds how deep JSON may be nested; captions need a handful.
const maxDepth = 64

// jsonTree reads JSON values that follow each other, one or many, as nodes in
// file order. Node 0 is a list of them.
type jsonTree struct {
	src   *source
	text  []byte
	at    int
	nodes []jsonNode
}

func readJSONTree(s *source) (*jsonTree, error) {
	t := &jsonTree{src: s, text: s.text, nodes: make([]jsonNode, 1, 1+len(s.text)/24)}
	t.nodes[0] = jsonNode{kind: '[', to: int32(len(s.text))}
	last := int32(0)
	for t.space(); t.at < len(t.text); t.space() {
		n, err := t.value(1)
		if err != nil {
			return nil, err
		}
		t.link(0, &last, n)
	}
	return t, nil
}

func (t *jsonTree) link(parent int32, last *int32, n int32) {
	if *last == 0 {
		t.nodes[parent].child = n
	} else {
		t.nodes[*last].next = n
	}
	*last = n
}

func (t *jsonTree) space() {
	if t.at == 0 {
		t.at += len(t.text) - len(bytes.TrimPrefix(t.text, []byte("\ufeff")))
	}
	for t.at < len(t.text) {
		switch t.text[t.at] {
		case ' ', '\n', '\t', '\r':
			t.at++
		default:
			return
		}
	}
}

func (t *jsonTree) fail(want string) error {
	line, col := t.src.position(min(t.at, len(bytes.TrimRight(t.text, " \t\r\n"))))
	if t.at >= len(t.text) {
		return t.src.failAt(line, col, ErrJSON, "it ends in the middle, before "+want)
	}
	r, _ := utf8.DecodeRune(t.text[t.at:])
	return t.src.failAt(line, col, ErrJSON, fmt.Sprintf("%q, where %s is due", r, want))
}

// value reads the value at hand and returns its index.
func (t *jsonTree) value(depth int) (int32, error) {
	if depth > maxDepth {
		line, col := t.src.position(t.at)
		return 0, t.src.failAt(line, col, ErrJSON, fmt.Sprintf("nested more than %d deep", maxDepth))
	}
	i := int32(len(t.nodes))
	t.nodes = append(t.nodes, jsonNode{from: int32(t.at)})
	if t.at >= len(t.text) {
		return 0, t.fail("a value")
	}
	kind := t.text[t.at]
	var err error
	switch {
	case kind == '{' || kind == '[':
		err = t.group(i, kind, depth)
	case kind == '"':
		err = t.str()
	case kind == '-' || isDigit(kind):
		kind = '0'
		err = t.number()
	default:
		kind = 'l'
		err = t.word()
	}
	if err != nil {
		return 0, err
	}
	t.nodes[i].kind, t.nodes[i].to = kind, int32(t.at)
	return i, nil
}

// group reads an object or an array.
func (t *jsonTree) group(i int32, open byte, depth int) error {
	end := byte('}')
	if open == '[' {
		end = ']'
	}
	t.at++
	last := int32(0)
	t.space()
	if t.at < len(t.text) && t.text[t.at] == end {
		t.at++
		return nil
	}
	for {
		var keyFrom, keyTo int
		if open == '{' {
			if t.at >= len(t.text) || t.text[t.at] != '"' {
				return t.fail("a name in quotes")
			}
			keyFrom = t.at + 1
			if err := t.str(); err != nil {
				return err
			}
			keyTo = t.at - 1
			t.space()
			if t.at >= len(t.text) || t.text[t.at] != ':' {
				return t.fail("a colon")
			}
			t.at++
			t.space()
		}
		n, err := t.value(depth + 1)
		if err != nil {
			return err
		}
		t.nodes[n].keyFrom, t.nodes[n].keyTo = int32(keyFrom), int32(keyTo)
		t.link(i, &last, n)
		t.space()
		if t.at < len(t.text) && t.text[t.at] == end {
			t.at++
			return nil
		}
		if t.at >= len(t.text) || t.text[t.at] != ',' {
			return t.fail(fmt.Sprintf("a comma or %q", end))
		}
		t.at++
		t.space()
	}
}

// str reads a string, quotes included.
func (t *jsonTree) str() error {
	for t.at++; t.at < len(t.text); t.at++ {
		switch c := t.text[t.at]; {
		case c == '"':
			t.at++
			return nil
		case c < ' ':
			return t.fail("an escape for a control character")
		case c == '\\':
			if t.at++; t.at >= len(t.text) {
				return t.fail("the end of a string")
			}
			switch t.text[t.at] {
			case '"', '\\', '/', 'b', 'f', 'n', 'r', 't':
			case 'u':
				if _, ok := hex4(t.text[t.at+1:]); !ok {
					return t.fail("four hexadecimal digits")
				}
				t.at += 4
			default:
				return t.fail("an escape of JSON")
			}
		}
	}
	return t.fail("the end of a string")
}

func (t *jsonTree) number() error {
	for t.at < len(t.text) {
		switch c := t.text[t.at]; c {
		case '-', '+', '.', 'e', 'E':
		default:
			if !isDigit(c) {
				return nil
			}
		}
		t.at++
	}
	return nil
}

func (t *jsonTree) word() error {
	for _, w := range []string{"true", "false", "null", "NaN", "Infinity"} { // the last two by lenient writers
		if bytes.HasPrefix(t.text[t.at:], []byte(w)) {
			t.at += len(w)
			return nil
		}
	}
	return t.fail("a value")
}

func hex4(s []byte) (r rune, ok bool) {
	if len(s) < 4 {
		return 0, false
	}
	for _, c := range s[:4] {
		switch {
		case isDigit(c):
			r = r<<4 | rune(c-'0')
		case 'a' <= c|0x20 && c|0x20 <= 'f':
			r = r<<4 | rune(c|0x20-'a'+10)
		default:
			return 0, false
		}
	}
	return r, true
}

// unescape reads the escape at s[0] = '\\' of a string that was found whole,
// and returns its character and its length.
func unescape(s []byte) (r rune, n int) {
	switch c := s[1]; c {
	case 'b':
		return '\b', 2
	case 'f':
		return '\f', 2
	case 'n':
		return '\n', 2
	case 'r':
		return '\r', 2
	case 't':
		return '\t', 2
	case 'u':
		r, _ = hex4(s[2:])
		if utf16.IsSurrogate(r) {
			pair := rune(utf8.RuneError)
			if len(s) >= 12 && s[6] == '\\' && s[7] == 'u' {
				if low, ok := hex4(s[8:]); ok {
					pair = utf16.DecodeRune(r, low)
				}
			}
			if pair == utf8.RuneError {
				return utf8.RuneError, 6
			}
			return pair, 12
		}
		return r, 6
	default:
		return rune(c), 2
	}
}
