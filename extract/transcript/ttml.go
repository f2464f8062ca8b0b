package transcript

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
	"time"
)

// readTTML reads Timed Text Markup Language (W3C TTML2, TTML1; IMSC 1.2 text
// profile): every p element is a cue. Times are resolved through par and seq
// containers (TTML2, section 12.2); a timed span inside a p is a word time.
// Styles, regions and metadata say nothing and are passed over. No entity is
// expanded but XML's five; a document type declaration is refused.
func readTTML(b *builder) error {
	b.rolls = true
	d := xml.NewDecoder(bytes.NewReader(b.text))
	d.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil } // decoded already
	r := &ttmlReader{builder: b, dec: d, frame: 30, tick: 1}
	for {
		from := int(d.InputOffset())
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			return r.broken(err)
		}
		to := int(d.InputOffset())
		switch token := token.(type) {
		case xml.StartElement:
			if err := r.start(token, from, to); err != nil {
				return err
			}
		case xml.EndElement:
			r.end(to)
		case xml.CharData:
			r.said(from, to)
		case xml.Directive:
			if bytes.HasPrefix(bytes.TrimSpace(token), []byte("DOCTYPE")) {
				line, col := b.src.position(from)
				return b.src.failAt(line, col, ErrDTD, "")
			}
		}
	}
	b.t.Timed = r.timed
	return nil
}

type ttmlReader struct {
	*builder
	dec   *xml.Decoder
	stack []ttmlElement
	frame float64 // frames a second
	tick  float64 // ticks a second
	timed bool    // any element has a time
	space int     // white space that waits for words: where it starts, or -1
	gap   int     // where it ends

	// of the open p
	own              bool // it has a time of its own
	spanned          bool // a span in it has
	spanFrom, spanTo time.Duration
}

// A ttmlElement is an open element.
type ttmlElement struct {
	name       string
	begin, end time.Duration // active interval; end < 0 is open
	last       time.Duration // end of the child before, in a seq container
	seq        bool
	words      bool // character data in it is said
	preserve   bool // xml:space
}

func (r *ttmlReader) broken(err error) error {
	if len(r.stack) == 0 && len(r.t.Cues) == 0 {
		line, col := r.src.position(int(r.dec.InputOffset()))
		return r.src.failAt(line, col, ErrNotTTML, err.Error())
	}
	detail := err.Error()
	var syntax *xml.SyntaxError
	if errors.As(err, &syntax) {
		detail = syntax.Msg
	}
	r.add(int(r.dec.InputOffset()), ErrXML, detail)
	r.t.Timed = r.timed
	return nil
}

func (r *ttmlReader) start(e xml.StartElement, from, to int) error {
	parent := ttmlElement{end: -1}
	if n := len(r.stack); n > 0 {
		parent = r.stack[n-1]
	} else if e.Name.Local != "tt" {
		line, col := r.src.position(from)
		return r.src.failAt(line, col, ErrNotTTML, "its root element is "+strconv.Quote(e.Name.Local))
	} else {
		r.rates(e)
		for _, a := range e.Attr {
			if a.Name.Local == "lang" {
				r.t.Language = a.Value
			}
		}
	}
	el := ttmlElement{name: e.Name.Local, begin: parent.begin, end: parent.end, preserve: parent.preserve,
		words: parent.words}
	own := r.interval(e, &el, parent, from)
	id := ""
	for _, a := range e.Attr {
		switch {
		case a.Name.Local == "space":
			el.preserve = a.Value == "preserve"
		case a.Name.Local == "timeContainer":
			el.seq = a.Value == "seq"
		case a.Name.Local == "id":
			id = a.Value
		}
	}
	el.last = el.begin
	switch el.name {
	case "p":
		line, _ := r.src.position(from)
		r.open(id, el.begin, max(el.end, el.begin), line-1, from)
		r.extend(to)
		el.words, r.space = true, -1
		r.own, r.spanned = own, false
	case "span":
		if own && el.words && r.cue != nil {
			r.spanTimes(el)
		}
	case "br":
		if el.words && r.cue != nil {
			r.space = -1
			r.newline()
		}
	default:
		el.words = false // metadata, animation and the like
	}
	r.stack = append(r.stack, el)
	return nil
}

// spanTimes notes a timed span of the open cue.
func (r *ttmlReader) spanTimes(el ttmlElement) {
	r.at(el.begin)
	if end := max(el.begin, el.end); !r.spanned {
		r.spanned, r.spanFrom, r.spanTo = true, el.begin, end
	} else {
		r.spanFrom, r.spanTo = min(r.spanFrom, el.begin), max(r.spanTo, end)
	}
}

func (r *ttmlReader) end(to int) {
	n := len(r.stack) - 1
	el := r.stack[n]
	r.stack = r.stack[:n]
	if n > 0 {
		r.stack[n-1].last = max(el.end, el.begin)
	}
	if el.name != "p" || r.cue == nil {
		return
	}
	r.extend(to)
	if r.spanned && !r.own { // it lasts as long as its spans
		r.cue.Start, r.cue.End = r.spanFrom, r.spanTo
	}
	r.closeCue()
}

// said takes character data; only what stands inside a p is said.
func (r *ttmlReader) said(from, to int) {
	n := len(r.stack) - 1
	if n < 0 || !r.stack[n].words {
		return
	}
	if r.cue == nil { // after a p inside this p, which is no TTML
		if len(bytes.TrimSpace(r.text[from:to])) == 0 {
			return
		}
		line, _ := r.src.position(from)
		r.open("", r.stack[n].begin, max(r.stack[n].end, r.stack[n].begin), line-1, from)
	}
	r.charData(from, to, r.stack[n].preserve)
	r.extend(to)
}

// charData adds what is said in [from, to) of the source. Unless xml:space is
// "preserve", white space collapses to one space inside a line and to nothing
// at its ends (TTML2, section 8.2.10 on xml:space, from memory).
func (r *ttmlReader) charData(from, to int, preserve bool) {
	text := r.text
	cdata := bytes.HasPrefix(text[from:to], []byte("<![CDATA["))
	if cdata {
		from, to = from+len("<![CDATA["), to-len("]]>")
	}
	lit := from
	for i := from; i < to; {
		c := text[i]
		if isXMLSpace(c) {
			var kept bool
			if i, kept = r.blanks(i, lit, to, preserve); !kept {
				lit = i
			}
			continue
		}
		if r.space >= 0 {
			r.writeSpace()
		}
		words, n := "", 0
		if c == '&' && !cdata {
			words, n = reference(text[i:to], false)
		}
		if words == "" {
			i++
			continue
		}
		r.literal(lit, i)
		r.replace(i, i+n, words)
		i += n
		lit = i
	}
	r.literal(lit, to)
}

// isXMLSpace reports whether XML takes a byte for white space.
func isXMLSpace(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\r' }

// blanks reads the white space at i, the words from lit on not being written yet.
// It returns the place behind and whether the space is one of those words.
func (r *ttmlReader) blanks(i, lit, to int, preserve bool) (behind int, kept bool) {
	c, end := r.text[i], i+1
	if preserve {
		if c == ' ' || c == '\t' {
			return end, true
		}
		if c == '\r' && end < to && r.text[end] == '\n' {
			end++
		}
		r.literal(lit, i)
		r.newline()
		return end, false
	}
	for end < to && isXMLSpace(r.text[end]) {
		end++
	}
	if end == i+1 && c == ' ' && lit < i && end < to { // a plain space between words
		return end, true
	}
	r.literal(lit, i)
	if r.space < 0 {
		r.space, r.gap = i, end
	}
	return end, false
}

// writeSpace writes the white space that waited for words.
func (r *ttmlReader) writeSpace() {
	from, to := r.space, r.gap
	r.space = -1
	switch {
	case !r.lineOpen: // at the head of a line
	case to == from+1 && r.text[from] == ' ':
		r.literal(from, to)
	default:
		r.replace(from, to, " ")
	}
}

// rates reads the time parameters of the tt element (TTML2, section 7.2).
func (r *ttmlReader) rates(e xml.StartElement) {
	sub, tick, framed := 1.0, 0.0, false
	factor := 1.0
	for _, a := range e.Attr {
		v, err := strconv.ParseFloat(strings.TrimSpace(a.Value), 64)
		valid := err == nil && v > 0 && v < 1e12
		switch a.Name.Local {
		case "frameRate":
			if valid {
				r.frame, framed = v, true
			}
		case "subFrameRate":
			if valid {
				sub = v
			}
		case "tickRate":
			if valid {
				tick = v
			}
		case "frameRateMultiplier":
			parts := strings.FieldsFunc(a.Value, func(c rune) bool { return c == ' ' || c == ':' })
			if len(parts) == 2 {
				n, err1 := strconv.ParseFloat(parts[0], 64)
				m, err2 := strconv.ParseFloat(parts[1], 64)
				if err1 == nil && err2 == nil && n > 0 && m > 0 && n/m < 1e6 && m/n < 1e6 {
					factor = n / m
				}
			}
		}
	}
	r.frame *= factor
	switch {
	case tick > 0:
		r.tick = tick
	case framed:
		r.tick = r.frame * sub
	}
}

// interval resolves begin, end and dur of an element against its parent. It
// reports whether the element has a time of its own.
func (r *ttmlReader) interval(e xml.StartElement, el *ttmlElement, parent ttmlElement, from int) bool {
	base := parent.begin
	if parent.seq {
		base, el.begin, el.end = parent.last, parent.last, -1
	}
	var end, dur time.Duration = -1, -1
	own := false
	for _, a := range e.Attr {
		to := &end
		switch {
		case a.Name.Space != "":
			continue
		case a.Name.Local == "begin":
			to = &el.begin
		case a.Name.Local == "dur":
			to = &dur
		case a.Name.Local != "end":
			continue
		}
		d, ok := r.timeExpression([]byte(strings.TrimSpace(a.Value)))
		if !ok {
			r.add(from, ErrTiming, a.Name.Local+" "+strconv.Quote(a.Value)+" left out")
			continue
		}
		own, r.timed = true, true
		if to != &dur {
			d += base
		}
		*to = d
	}
	switch {
	case end >= 0 && dur >= 0:
		el.end = min(end, el.begin+dur)
	case end >= 0:
		el.end = end
	case dur >= 0:
		el.end = el.begin + dur
	}
	return own
}

// timeExpression reads a time expression (TTML2, section 12.3.1):
//
//	01:02:03.5   01:02:03:12   3.5s   90m   500ms   75f   10t
func (r *ttmlReader) timeExpression(s []byte) (time.Duration, bool) {
	v, n := digits(s)
	if n == 0 || v > 1<<40 {
		return 0, false
	}
	if n < len(s) && s[n] == ':' {
		return r.clockTime(s)
	}
	value := float64(v)
	var part time.Duration
	if n+1 < len(s) && s[n] == '.' && isDigit(s[n+1]) {
		_, k := digits(s[n+1:])
		part = fraction(s[n+1 : n+1+k])
		n += 1 + k
	}
	value += part.Seconds()
	var second float64 // of the metric
	switch string(s[n:]) {
	case "h":
		second = 3600
	case "m":
		second = 60
	case "s":
		second = 1
	case "ms":
		second = 1e-3
	case "f":
		second = 1 / r.frame
	case "t":
		second = 1 / r.tick
	default:
		return 0, false
	}
	return seconds(value * second)
}

// clockTime reads h:mm:ss, h:mm:ss.frac and h:mm:ss:frames.
func (r *ttmlReader) clockTime(s []byte) (time.Duration, bool) {
	h, n := digits(s)
	m, n, ok := pair(s, n)
	if !ok {
		return 0, false
	}
	sec, n, ok := pair(s, n)
	if !ok || m > 59 || sec > 60 || h > maxHours {
		return 0, false
	}
	d := time.Duration(h)*time.Hour + time.Duration(m)*time.Minute + time.Duration(sec)*time.Second
	switch rest := s[n:]; {
	case len(rest) == 0:
		return d, true
	case len(rest) == 1:
		return 0, false
	case rest[0] == '.' || rest[0] == ',':
		_, k := digits(rest[1:])
		return d + fraction(rest[1:1+k]), k > 0 && 1+k == len(rest)
	case rest[0] == ':':
		frames, k := digits(rest[1:])
		part, ok := seconds(float64(frames) / r.frame)
		whole := 1+k == len(rest) || rest[1+k] == '.' // subframes are below a millisecond
		return d + part, ok && k > 0 && whole
	}
	return 0, false
}

// seconds rounds to whole nanoseconds; false where too long to be a time.
func seconds(v float64) (time.Duration, bool) {
	if v > maxHours*3600 {
		return 0, false
	}
	return time.Duration(math.Round(v * float64(time.Second))), true
}
