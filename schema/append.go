package schema

import (
	"math"
	"strconv"
	"unicode/utf8"
)

// What a record has thousands of is written by appending to a slice: quantities
// said, and all that they hold. The bytes are those of encoding/json without its
// escapes for HTML, which tests hold it to.

// append appends the quantity said as one JSON object. ok is false where
// encoding/json would give an error.
func (s *Said) append(b []byte) (out []byte, ok bool) {
	if s.Kind == 0 || int(s.Kind) >= len(kindNames) || s.Status == 0 || int(s.Status) >= len(statusNames) ||
		int(s.Qualifier) >= len(qualifierNames) || int(s.Aside) >= len(asideNames) ||
		!finite(s.Confidence) || !finite(s.Nothing) || !finite(s.Information) {
		return b, false
	}
	b = strconv.AppendInt(append(b, `{"number":`...), int64(s.Number), 10)
	b = s.appendPlace(b)
	b = appendText(append(b, `,"kind":`...), kindNames[s.Kind])
	b = s.Quantity.append(append(b, `,"quantity":`...))
	b = appendFilled(b, `,"qualifier":`, s.Qualifier.String())
	b = appendText(append(b, `,"status":`...), statusNames[s.Status])
	b = appendNumber(append(b, `,"confidence":`...), s.Confidence)
	b = append(b, `,"readings":[`...)
	for i := range s.Readings {
		if b, ok = s.Readings[i].append(appendComma(b, i)); !ok {
			return b, false
		}
	}
	b = append(b, ']')
	if s.Nothing != 0 {
		b = appendNumber(append(b, `,"nothing":`...), s.Nothing)
	}
	b = appendFilled(b, `,"role":`, s.Role)
	b = appendText(append(b, `,"place":`...), s.Place)
	if b, ok = s.appendBelongs(b); !ok {
		return b, false
	}
	b = appendFilled(b, `,"aside":`, s.Aside.String())
	if s.Information != 0 {
		b = appendNumber(append(b, `,"information":`...), s.Information)
	}
	if s.Withdrawn {
		b = append(b, `,"withdrawn":true`...)
	}
	b = append(b, `,"why":[`...)
	for i, why := range s.Why {
		b = appendText(appendComma(b, i), why)
	}
	return append(b, "]}"...), true
}

// appendPlace appends where in the file, and in which words, it was said.
func (s *Said) appendPlace(b []byte) []byte {
	b = append(b, `,"at":`...)
	if s.At == nil {
		b = append(b, "null"...)
	} else {
		b = append(b, s.At.String()...)
	}
	b = appendFilled(b, `,"media":`, s.Media)
	b = s.Span.append(append(b, `,"span":`...))
	if len(s.Spans) > 0 {
		b = append(b, `,"spans":[`...)
		for i, span := range s.Spans {
			b = span.append(appendComma(b, i))
		}
		b = append(b, ']')
	}
	b = appendText(append(b, `,"heard":`...), s.Heard)
	return appendFilled(b, `,"context":`, s.Context)
}

// appendBelongs appends what it may belong to.
func (s *Said) appendBelongs(b []byte) ([]byte, bool) {
	if len(s.Belongs) > 0 {
		b = append(b, `,"belongs":[`...)
		for i := range s.Belongs {
			g := &s.Belongs[i]
			if !finite(g.Confidence) {
				return b, false
			}
			b = appendText(append(appendComma(b, i), `{"place":{"to":`...), g.Place.To)
			b = appendFilled(b, `,"port":`, g.Place.Port)
			b = appendFilled(b, `,"part":`, g.Place.Part)
			b = appendText(append(b, `},"words":`...), g.Words)
			b = appendNumber(append(b, `,"confidence":`...), g.Confidence)
			if g.Taken {
				b = append(b, `,"taken":true`...)
			}
			b = append(b, '}')
		}
		b = append(b, ']')
	}
	if s.BelongsSettled {
		b = append(b, `,"belongs_settled":true`...)
	}
	return b, true
}

func (r *Reading) append(b []byte) ([]byte, bool) {
	if !finite(r.Confidence) {
		return b, false
	}
	b = r.Quantity.append(append(b, `{"quantity":`...))
	b = appendNumber(append(b, `,"confidence":`...), r.Confidence)
	if len(r.Terms) > 0 {
		b = append(b, `,"terms":[`...)
		for i := range r.Terms {
			t := &r.Terms[i]
			if !finite(t.Score) {
				return b, false
			}
			b = appendText(append(appendComma(b, i), `{"name":`...), t.Name)
			b = appendNumber(append(b, `,"score":`...), t.Score)
			b = append(appendFilled(b, `,"note":`, t.Note), '}')
		}
		b = append(b, ']')
	}
	return append(b, '}'), true
}

// append appends {"value":3.25,"unit":"A"} or {"low":3.3,"high":21,"unit":"V"}.
func (q *Quantity) append(b []byte) []byte {
	if q.Range {
		b = q.Low.append(append(b, `{"low":`...))
	} else {
		b = q.Low.append(append(b, `{"value":`...))
	}
	if q.Typical != nil {
		b = q.Typical.append(append(b, `,"typical":`...))
	}
	if q.Range {
		b = q.High.append(append(b, `,"high":`...))
	}
	b = appendText(append(b, `,"unit":`...), string(q.Unit))
	if t := q.Tolerance; t != nil {
		b = t.Value.append(append(b, `,"tolerance":{"value":`...))
		b = append(appendText(append(b, `,"unit":`...), string(t.Unit)), '}')
	}
	return append(b, '}')
}

// append appends the span as [start,end].
func (s Span) append(b []byte) []byte {
	b = append(strconv.AppendInt(append(b, '['), int64(s.Start), 10), ',')
	return append(strconv.AppendInt(b, int64(s.End), 10), ']')
}

// appendComma appends what stands before item i of a list.
func appendComma(b []byte, i int) []byte {
	if i > 0 {
		return append(b, ',')
	}
	return b
}

// appendFilled appends a field that is left out where it is empty.
func appendFilled(b []byte, name, text string) []byte {
	if text == "" {
		return b
	}
	return appendText(append(b, name...), text)
}

// plain is how many bytes s begins with, in eights, of ASCII that stands for itself.
func plain(s string) int {
	const ones, high = 0x0101010101010101, 0x8080808080808080
	i := 0
	for ; i+8 <= len(s); i += 8 {
		x := uint64(s[i]) | uint64(s[i+1])<<8 | uint64(s[i+2])<<16 | uint64(s[i+3])<<24 |
			uint64(s[i+4])<<32 | uint64(s[i+5])<<40 | uint64(s[i+6])<<48 | uint64(s[i+7])<<56
		quote, slash := x^'"'*ones, x^'\\'*ones
		// a byte that is zero, or below a blank, borrows into its highest bit
		if (x|(x-' '*ones)|(quote-ones)|(slash-ones))&high != 0 {
			return i
		}
	}
	return i
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// appendNumber writes a number as ECMAScript does (ECMA-262, Number::toString):
// with an exponent where it is very large or small.
func appendNumber(b []byte, v float64) []byte {
	if n := math.Round(v * shortParts); v != 0 && math.Abs(n) < shortMost && n/shortParts == v {
		return appendShort(b, int64(n))
	}
	format := byte('f')
	if size := math.Abs(v); size != 0 && (size < 1e-6 || size >= 1e21) {
		format = 'e'
	}
	b = strconv.AppendFloat(b, v, format, -1, 64)
	if n := len(b); format == 'e' && b[n-4] == 'e' && b[n-3] == '-' && b[n-2] == '0' {
		b = append(b[:n-2], b[n-1]) // e-09 is e-9
	}
	return b
}

// Numbers of at most four decimals are written from whole numbers: no other of at most
// fifteen digits is as near to the same float.
const (
	shortParts = 1e4
	shortMost  = 1e15
)

// appendShort appends a number of ten thousandths.
func appendShort(b []byte, n int64) []byte {
	if n < 0 {
		b, n = append(b, '-'), -n
	}
	b = strconv.AppendInt(b, n/shortParts, 10)
	rest := n % shortParts
	if rest == 0 {
		return b
	}
	b = append(b, '.', byte('0'+rest/1000), byte('0'+rest/100%10), byte('0'+rest/10%10), byte('0'+rest%10))
	for b[len(b)-1] == '0' {
		b = b[:len(b)-1]
	}
	return b
}

// asItIs holds the bytes of ASCII that stand for themselves in a text of JSON.
var asItIs = func() (is [256]bool) {
	for c := ' '; c < utf8.RuneSelf; c++ {
		is[c] = c != '"' && c != '\\'
	}
	return is
}()

// appendText appends a text in quotes. What is not UTF-8 becomes U+FFFD.
func appendText(b []byte, s string) []byte {
	const hex = "0123456789abcdef"
	b = append(b, '"')
	from := 0 // what is before it was appended
	for i := plain(s); i < len(s); {
		c := s[i]
		if asItIs[c] {
			i++
			continue
		}
		if c < utf8.RuneSelf {
			b = append(b, s[from:i]...)
			switch c {
			case '"', '\\':
				b = append(b, '\\', c)
			case '\b':
				b = append(b, '\\', 'b')
			case '\f':
				b = append(b, '\\', 'f')
			case '\n':
				b = append(b, '\\', 'n')
			case '\r':
				b = append(b, '\\', 'r')
			case '\t':
				b = append(b, '\\', 't')
			default:
				b = append(b, '\\', 'u', '0', '0', hex[c>>4], hex[c&15])
			}
			i++
			from = i
			continue
		}
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && n == 1:
			b = append(append(b, s[from:i]...), `\ufffd`...)
			from = i + n
		case r == '\u2028' || r == '\u2029': // line ends to JavaScript
			b = append(append(b, s[from:i]...), '\\', 'u', '2', '0', '2', hex[r&15])
			from = i + n
		}
		i += n
	}
	return append(append(b, s[from:]...), '"')
}
