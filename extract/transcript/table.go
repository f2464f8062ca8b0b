package transcript

import (
	"bytes"
	"fmt"
	"strconv"
	"time"
)

// readTable reads tables with a column of times and one of words: CSV (RFC
// 4180), or the same with tabs or semicolons. The head says which column is
// what (tables/keys.tsv):
//
//	start,end,text                      text
//	0:00:01.000,0:00:02.500,"words, words"
//
// Without a head only two columns of rising times, apart from the words by
// tabs, are believed. A time is a clock time or a number, as in JSON. In a cell
// with quotes a line break is one, and "" is a quote. Where the words are the
// last column and have no quotes, commas in them are theirs.
func readTable(b *builder) {
	l, _ := tableLayout(b.src)
	r := tableReader{builder: b, layout: l}
	at := l.first
	for at < len(b.text) {
		var row []cell
		row, at = readRow(b.text, at, l.comma, r.row[:0])
		r.row = row
		r.readRow()
	}
}

// A layout says what stands where in a table.
type layout struct {
	comma                byte
	start, end, text     int // columns; end is -1 where there is none
	lasts                bool
	startMilli, endMilli bool
	milli                bool // bare numbers count milliseconds
	columns              int
	first                int // offset of the first row below the head
}

// A cell is the span of a cell without its quotes.
type cell struct {
	from, to int
	quoted   bool
}

type tableReader struct {
	*builder
	layout layout
	row    []cell
}

// commas are what stands between the cells of a row.
const commas = "\t,;"

// maxColumns bounds the columns of a table; captions need a handful. What
// follows on the row is part of one more.
const maxColumns = 64

// readRow reads the row at an offset and returns the offset behind it.
func readRow(text []byte, at int, comma byte, row []cell) ([]cell, int) {
	for {
		c := cell{from: at}
		if at < len(text) && text[at] == '"' {
			c.quoted, c.from = true, at+1
			for at = c.from; at < len(text); at++ {
				if text[at] == '"' {
					if at+1 >= len(text) || text[at+1] != '"' {
						break
					}
					at++
				}
			}
			c.to = at
			at = min(at+1, len(text))
		}
		for at < len(text) && (text[at] != comma || len(row) >= maxColumns) && text[at] != '\n' && text[at] != '\r' {
			at++
		}
		if !c.quoted {
			c.to = at
		}
		row = append(row, c)
		switch {
		case at >= len(text):
			return row, at
		case text[at] == comma:
			at++
		default:
			if text[at] == '\r' && at+1 < len(text) && text[at+1] == '\n' {
				at++
			}
			return row, at + 1
		}
	}
}

// tableLayout says how a file is laid out, and whether it is such a table.
func tableLayout(s *source) (layout, bool) {
	at := len(s.text) - len(bytes.TrimLeft(s.text, " \t\r\n\ufeff"))
	if at > 0 { // blanks may be empty cells
		at = bytes.LastIndexAny(s.text[:at], "\r\n") + 1
		if bytes.HasPrefix(s.text, []byte("\ufeff")) && at == 0 {
			at = len("\ufeff")
		}
	}
	for _, comma := range []byte(commas) {
		row, next := readRow(s.text, at, comma, nil)
		if len(row) < 2 || len(row) > maxColumns {
			continue
		}
		if l, ok := headLayout(s, row); ok {
			l.comma, l.first = comma, next
			l.milli = tableMilli(s, l)
			return l, true
		}
		if comma == '\t' && isHeadless(s, at) {
			return layout{comma: comma, end: 1, text: 2, columns: len(row), first: at}, true
		}
	}
	return layout{}, false
}

// headLayout reads the head of a table.
func headLayout(s *source, row []cell) (layout, bool) {
	l := layout{start: -1, end: -1, text: -1, columns: len(row)}
	for i, c := range row {
		switch k := loadKeys().find("table", s.text[c.from:c.to]); k.role {
		case roleStart:
			if l.start < 0 {
				l.start, l.startMilli = i, k.milli
			}
		case roleEnd, roleDuration:
			if l.end < 0 {
				l.end, l.endMilli, l.lasts = i, k.milli, k.role == roleDuration
			}
		case roleText:
			if l.text < 0 {
				l.text = i
			}
		}
	}
	return l, l.start >= 0 && l.text >= 0
}

// headlessRows are looked at in a table without a head.
const headlessRows = 100

// isHeadless reports whether the rows at an offset begin with two numbers or
// clock times each, start and end, that do not go back, and go on with words.
func isHeadless(s *source, at int) bool {
	good, rows := 0, 0
	last := -1.0
	var row []cell
	for at < len(s.text) && rows < headlessRows {
		row, at = readRow(s.text, at, '\t', row[:0])
		if len(row) == 1 && len(bytes.TrimSpace(s.text[row[0].from:row[0].to])) == 0 {
			continue
		}
		rows++
		if len(row) < 3 || len(row) > 4 {
			continue
		}
		start, _ := cellTime(s.text[row[0].from:row[0].to])
		end, _ := cellTime(s.text[row[1].from:row[1].to])
		words := bytes.ContainsFunc(s.text[row[2].from:row[2].to], func(c rune) bool { return c > '9' })
		if start >= 0 && end >= start && start >= last && words {
			good++
			last = start
		}
	}
	return good >= 2 && good*10 >= rows*9
}

// cellTime reads the time in a cell: seconds of a clock time, or a bare number;
// -1 where there is none.
func cellTime(text []byte) (v float64, clock bool) {
	text = bytes.TrimSpace(text)
	if len(text) == 0 || len(text) > 32 || !isDigit(text[0]) {
		return -1, false
	}
	if d, n, ok := looseClock(text); ok && n == len(text) {
		return d.Seconds(), true
	}
	if bytes.Count(text, []byte(",")) == 1 && bytes.IndexByte(text, '.') < 0 {
		text = bytes.Replace(text, []byte(","), []byte("."), 1)
	}
	v, err := strconv.ParseFloat(string(text), 64)
	if err != nil || !(v >= 0 && v < maxHours*3600*1000) {
		return -1, false
	}
	return v, false
}

// tableMilli reports whether bare numbers of a table count milliseconds.
func tableMilli(s *source, l layout) bool {
	if l.startMilli {
		return false
	}
	words, first, last, whole := 0, -1.0, -1.0, true
	var row []cell
	for at := l.first; at < len(s.text); {
		row, at = readRow(s.text, at, l.comma, row[:0])
		if len(row) <= max(l.start, l.text) {
			continue
		}
		v, clock := cellTime(s.text[row[l.start].from:row[l.start].to])
		if v < 0 || clock {
			continue
		}
		whole = whole && v == float64(int64(v))
		if first < 0 {
			first = v
		}
		last = max(last, v)
		words += 1 + bytes.Count(s.text[row[l.text].from:row[l.text].to], []byte(" "))
	}
	return whole && slowSeconds(words, last-first)
}

// time reads a cell as a time; false where there is none.
func (r *tableReader) time(column int, milli bool) (time.Duration, bool) {
	if column < 0 || column >= len(r.row) {
		return 0, false
	}
	v, clock := cellTime(r.text[r.row[column].from:r.row[column].to])
	if v < 0 {
		return 0, false
	}
	if !clock && (milli || r.layout.milli) {
		v /= 1000
	}
	return seconds(v)
}

// readRow reads one row as a cue.
func (r *tableReader) readRow() {
	row := r.row
	from, to := row[0].from, row[len(row)-1].to
	if row[0].quoted {
		from--
	}
	if len(bytes.TrimSpace(r.text[from:to])) == 0 {
		return
	}
	words := cell{from: to, to: to}
	if r.layout.text < len(row) {
		words = row[r.layout.text]
	}
	if n := len(row); n != r.layout.columns {
		r.add(from, ErrCells, fmt.Sprintf("%d, not %d", n, r.layout.columns))
		if r.layout.text == r.layout.columns-1 && n > r.layout.columns && !words.quoted {
			words.to = to
		}
	}
	var tm timing
	tm.start, tm.startRead = r.time(r.layout.start, r.layout.startMilli)
	tm.end, tm.endRead = r.time(r.layout.end, r.layout.endMilli)
	switch {
	case !tm.startRead:
		r.irregular(&tm, from)
	case !tm.endRead:
		tm.end = tm.start
	case r.layout.lasts:
		tm.end += tm.start
	}
	if k := len(r.t.Cues); k > 0 && r.layout.end < 0 && tm.startRead { // a cue goes on to the next
		if before := &r.t.Cues[k-1]; before.Start < tm.start {
			before.End = tm.start
			r.t.Duration = max(r.t.Duration, tm.start)
		}
	}
	line, _ := r.src.position(from)
	r.open("", tm.start, tm.end, line-1, from)
	r.extend(to)
	r.cellText(words)
}

// cellText adds the words of a cell.
func (r *tableReader) cellText(c cell) {
	lit := c.from
	for i := c.from; i < c.to; {
		end := i + 1
		switch ch := r.text[i]; {
		case ch == '\n' || ch == '\r':
			r.plain(lit, i)
			r.newline()
		case ch == '"' && c.quoted && end < c.to && r.text[end] == '"':
			r.plain(lit, i)
			end++
			r.replace(i, end, `"`)
		default:
			i++
			continue
		}
		i, lit = end, end
	}
	r.plain(lit, c.to)
}

// isTable reports whether a file is a table with times and words.
func isTable(s *source) bool {
	_, ok := tableLayout(s)
	return ok
}
