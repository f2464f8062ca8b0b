package transcript

import (
	"bytes"
	"time"
)

// readASS reads SubStation Alpha scripts, version 4 and 4+ (.ssa, .ass). There
// is no standard; the script format as its players read it, common practice, no
// source. Only the events that are said count:
//
//	[Events]
//	Format: Layer, Start, End, Style, Name, MarginL, MarginR, MarginV, Effect, Text
//	Dialogue: 0,0:00:01.00,0:00:02.50,Default,,0,0,0,,words\Nmore words
//	Comment: 0,…                                      shown nowhere, left out
//
// Text is the last column and may hold commas. "\N" and "\n" break the line,
// "\h" is a blank. What stands in braces is style or a comment and goes; of it,
// \k gives word times, and \p1 says that a drawing follows, which goes too.
// Styles, fonts and pictures are passed over.
func readASS(b *builder) {
	b.rolls = true
	s := b.src
	r := assReader{builder: b, columns: assColumns}
	for i := range s.starts {
		from, to := s.line(i)
		line := s.text[from:to]
		switch {
		case hasFold(line, "Format:") && r.events:
			r.format(line[len("Format:"):])
		case hasFold(line, "Dialogue:"):
			r.dialogue(i, from, to)
		case len(line) > 0 && line[0] == '[':
			r.events = bytes.EqualFold(bytes.TrimSpace(line), []byte("[Events]"))
		}
	}
}

type assReader struct {
	*builder
	events bool
	columns
}

// columns say where an event has what; the text is last.
type columns struct{ start, end, count int }

// assColumns are those of a script that does not say.
var assColumns = columns{start: 1, end: 2, count: 10}

func (r *assReader) format(line []byte) {
	names := bytes.Split(line, []byte(","))
	c := columns{-1, -1, len(names)}
	for i, n := range names {
		switch n = bytes.TrimSpace(n); {
		case bytes.EqualFold(n, []byte("Start")):
			c.start = i
		case bytes.EqualFold(n, []byte("End")):
			c.end = i
		}
	}
	if c.start >= 0 && c.end >= 0 && bytes.EqualFold(bytes.TrimSpace(names[len(names)-1]), []byte("Text")) {
		r.columns = c
	}
}

// dialogue reads one event, the line [from, to).
func (r *assReader) dialogue(i, from, to int) {
	at := from + len("Dialogue:")
	var start, end []byte
	for k := range r.count - 1 {
		n := bytes.IndexByte(r.text[at:to], ',')
		if n < 0 {
			r.add(from, ErrTiming, "an event with too few columns, left out")
			return
		}
		switch cell := bytes.TrimSpace(r.text[at : at+n]); k {
		case r.start:
			start = cell
		case r.end:
			end = cell
		}
		at += n + 1
	}
	var tm timing
	var n int
	tm.start, n, tm.startRead = looseClock(start)
	tm.startRead = tm.startRead && n == len(start)
	tm.end, n, tm.endRead = looseClock(end)
	tm.endRead = tm.endRead && n == len(end)
	if !tm.startRead || !tm.endRead {
		if tm.startRead {
			tm.end = tm.start
		}
		r.irregular(&tm, from)
	}
	r.open("", tm.start, tm.end, i, from)
	r.extend(to)
	r.assText(at, to)
}

// assText adds the words of an event.
func (r *assReader) assText(from, to int) {
	text, lit := r.text, from
	clock := r.cue.Start // of the next syllable
	drawing := false
	said := func(end int) {
		if !drawing {
			r.plain(lit, end)
		}
	}
	for i := from; i < to; {
		switch {
		case text[i] == '{':
			n := bytes.IndexByte(text[i:to], '}')
			if n < 0 {
				r.add(i, ErrTag, "its text kept")
				i = to
				continue
			}
			said(i)
			r.override(text[i+1:i+n], &clock, &drawing)
			i += n + 1
			lit = i
		case text[i] == '\\' && i+1 < to && bytes.IndexByte([]byte("Nnh"), text[i+1]) >= 0:
			said(i)
			if text[i+1] == 'h' && !drawing {
				r.replace(i, i+2, " ")
			} else {
				r.newline()
			}
			i += 2
			lit = i
		default:
			i++
		}
	}
	said(to)
}

// override reads what stands in braces.
func (r *assReader) override(body []byte, clock *time.Duration, drawing *bool) {
	for {
		n := bytes.IndexByte(body, '\\')
		if n < 0 {
			return
		}
		body = body[n+1:]
		if len(body) == 0 {
			return
		}
		tag := body[0]
		n = 1
		if tag|0x20 == 'k' && len(body) > 1 && (body[1] == 'f' || body[1] == 'o') {
			n = 2
		}
		v, k := digits(body[n:])
		switch {
		case k == 0:
		case tag == 'p':
			*drawing = v > 0
		case tag|0x20 == 'k' && v < 1<<30: // hundredths of a second that the next syllable takes
			r.at(*clock)
			*clock += time.Duration(v) * (time.Second / 100)
		}
	}
}

// isASS reports whether a script begins here, past blank lines and comments.
func isASS(head []byte) bool {
	for len(head) > 0 {
		line := head
		if n := bytes.IndexAny(head, "\r\n"); n >= 0 {
			line, head = head[:n], head[n+1:]
		} else {
			head = nil
		}
		line = bytes.TrimSpace(line)
		if len(line) == 0 || line[0] == ';' {
			continue
		}
		for _, mark := range []string{"[Script Info]", "[V4 Styles]", "[V4+ Styles]", "[Events]"} {
			if bytes.EqualFold(line, []byte(mark)) {
				return true
			}
		}
		return hasFold(line, "Dialogue:") && bytes.Count(line, []byte(",")) >= 3 && bytes.Count(line, []byte(":")) >= 5
	}
	return false
}

func hasFold(line []byte, mark string) bool {
	return len(line) >= len(mark) && bytes.EqualFold(line[:len(mark)], []byte(mark))
}
