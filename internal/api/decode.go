package api

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"
	"unicode/utf8"
)

// maxDepth bounds the nesting of a body; a record has nine levels.
const maxDepth = 64

// Causes of a body that is refused.
var (
	errDeep     = fmt.Errorf("nested deeper than %d", maxDepth)
	errTwice    = errors.New("given twice")
	errUTF8     = errors.New("not UTF-8")
	errEnds     = errors.New("the JSON document ends early")
	errTrailing = errors.New("something follows the JSON document")
	errObject   = errors.New("want an object")
	errMissing  = errors.New("is missing")
)

// bodyError says what of a JSON body is wrong, and where.
func bodyError(body []byte, offset int64, member string, cause error) error {
	offset = min(max(offset, 0), int64(len(body)))
	above := body[:offset]
	line := 1 + bytes.Count(above, []byte("\n"))
	// 1 at the line's begin, as LastIndexByte gives -1 or its place
	col := len(above) - bytes.LastIndexByte(above, '\n')
	what := cause.Error()
	if member != "" {
		what = member + ": " + what
	}
	return &refusal{status: http.StatusBadRequest, kind: kindBody, detail: what, inBody: true,
		place: &place{Line: line, Column: col, Member: member}}
}

// errUnknown says that an object has a member that it may not have, and which it may.
func errUnknown(members ...string) error {
	return fmt.Errorf(`there is no member of this name here; there are "%s"`, strings.Join(members, `", "`))
}

// checkJSON refuses a body that is no JSON document, and what encoding/json
// would take and change: names given twice, bytes that are no UTF-8. It also
// bounds the depth. Everything after it may rely on that.
func checkJSON(body []byte) error {
	if !utf8.Valid(body) {
		at := 0
		for at < len(body) {
			r, n := utf8.DecodeRune(body[at:])
			if r == utf8.RuneError && n == 1 {
				break
			}
			at += n
		}
		return bodyError(body, int64(at), "", errUTF8)
	}
	d := json.NewDecoder(bytes.NewReader(body))
	d.UseNumber()
	var open []level
	for {
		t, err := d.Token()
		if err != nil {
			return syntaxError(body, d, err)
		}
		switch t {
		case json.Delim('{'), json.Delim('['):
			if len(open) == maxDepth {
				return bodyError(body, d.InputOffset()-1, "", errDeep)
			}
			l := level{}
			if t == json.Delim('{') {
				l.names = map[string]bool{}
			}
			open = append(open, l)
			continue
		case json.Delim('}'), json.Delim(']'):
			open = open[:len(open)-1]
		default:
			if n := len(open); n > 0 && open[n-1].names != nil && !open[n-1].value {
				name := t.(string) // the decoder takes nothing else here
				if open[n-1].names[name] {
					return bodyError(body, d.InputOffset()-1, pointer(open, name), errTwice)
				}
				open[n-1].names[name] = true
				open[n-1].name, open[n-1].value = name, true
				continue
			}
		}
		// a value is whole
		n := len(open)
		if n == 0 {
			break
		}
		open[n-1].value = false
		open[n-1].index++
	}
	if _, err := d.Token(); err != io.EOF {
		return bodyError(body, d.InputOffset(), "", errTrailing)
	}
	return nil
}

// level is an object or array that is open.
type level struct {
	names map[string]bool // of the members so far; nil for an array
	name  string          // of the last member
	value bool            // its value comes next
	index int             // of the next element
}

// pointer is the JSON pointer (RFC 6901) of a member of the innermost level.
func pointer(open []level, name string) string {
	var b strings.Builder
	for i := range open {
		l := &open[i]
		step := strconv.Itoa(l.index)
		switch {
		case i == len(open)-1:
			step = name
		case l.names != nil:
			step = l.name
		}
		b.WriteByte('/')
		b.WriteString(escapeStep.Replace(step))
	}
	return b.String()
}

var escapeStep = strings.NewReplacer("~", "~0", "/", "~1")

// syntaxError places an error of the decoder.
func syntaxError(body []byte, d *json.Decoder, err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return bodyError(body, int64(len(body)), "", errEnds)
	}
	return bodyError(body, d.InputOffset(), "", err)
}

// A value is a JSON value of a body, and where it stands.
type value struct {
	raw    json.RawMessage
	body   []byte
	at     int64  // offset in body
	member string // JSON pointer
}

// fault is an error about the value.
func (v value) fault(cause error) error { return bodyError(v.body, v.at, v.member, cause) }

// object reads a body that is an object.
func object(body []byte, take func(name string, v value) error) error {
	if err := checkJSON(body); err != nil {
		return err
	}
	blank := len(body) - len(bytes.TrimLeft(body, " \t\r\n"))
	return value{raw: body[blank:], body: body, at: int64(blank)}.members(take)
}

// members gives the members of an object, one by one. An error of take that
// is no refusal becomes one about the member's place.
func (v value) members(take func(name string, v value) error) error {
	if v.raw[0] != '{' {
		return v.fault(errObject)
	}
	d := json.NewDecoder(bytes.NewReader(v.raw))
	if _, err := d.Token(); err != nil {
		return v.fault(err)
	}
	for d.More() {
		t, err := d.Token()
		if err != nil {
			return v.fault(err)
		}
		name := t.(string) // checked
		m := value{body: v.body, member: v.member + "/" + escapeStep.Replace(name)}
		if err := d.Decode(&m.raw); err != nil {
			return v.fault(err)
		}
		m.at = v.at + d.InputOffset() - int64(len(m.raw))
		err = take(name, m)
		if r := refusalOf(err); err != nil && r == nil {
			return m.fault(err)
		} else if r != nil {
			return r
		}
	}
	return nil
}

// text decodes a string.
func (v value) text() (string, error) {
	if v.raw[0] != '"' {
		return "", v.fault(fmt.Errorf("want a string, not %s", clip(string(v.raw))))
	}
	var s string
	if err := json.Unmarshal(v.raw, &s); err != nil {
		return "", v.fault(err)
	}
	// Half a surrogate pair would become another character without a word.
	if n := strings.Count(s, "\uFFFD"); n > 0 && n > bytes.Count(v.raw, []byte("\uFFFD"))+
		bytes.Count(bytes.ToLower(v.raw), []byte(`\ufffd`)) {
		return "", v.fault(errUTF8)
	}
	return s, nil
}

// list decodes an array into its elements.
func (v value) list() ([]json.RawMessage, error) {
	if v.raw[0] != '[' {
		return nil, v.fault(fmt.Errorf("want an array, not %s", clip(string(v.raw))))
	}
	var all []json.RawMessage
	if err := json.Unmarshal(v.raw, &all); err != nil {
		return nil, v.fault(err)
	}
	return all, nil
}

// clip shows the begin of a text.
func clip(s string) string {
	const most = 40
	if len(s) <= most {
		return s
	}
	return strings.ToValidUTF8(s[:most], "") + "…"
}
