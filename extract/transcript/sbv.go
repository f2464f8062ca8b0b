package transcript

import (
	"bytes"
	"time"
)

// readSBV reads captions whose times stand above their words, apart from each
// other by a comma. There is no standard; common practice, no source:
//
//	0:00:01.000,0:00:02.500             times, two or three digits of fraction
//	one or more lines of words          "[br]" is a line break too
//	                                    blank line, may be missing
//
// SubViewer 2 has the same below a head of lines in square brackets, which say
// nothing. A cue goes on to the next line of times, so blank lines inside a cue
// lose nothing.
func readSBV(b *builder) {
	b.rolls = true
	s := b.src
	strayed := false
	for i := range s.starts {
		from, to := s.line(i)
		if start, end, ok := sbvTimes(s.text[from:to]); ok {
			b.open("", start, end, i, from)
			b.extend(to)
			continue
		}
		switch {
		case s.blank(i):
		case b.cue != nil && to == len(s.text) && s.blank(i-1) && cutStamp(s.text[from:to], ','):
			b.add(from, ErrTiming, cutTimingNote)
		case b.cue == nil:
			if c := s.text[from+skipBlank(s.text[from:to], 0)]; !strayed && c != '[' && c != '\xEF' {
				strayed = true
				b.add(from, ErrStrayText, "before the first cue, left out")
			}
		default:
			if i > b.cue.Line && s.blank(i-1) {
				b.add(from, ErrBlankLine, "the text after it read as part of the cue")
			}
			b.newline()
			b.sbvLine(from, to)
			b.extend(to)
		}
	}
}

// sbvLine adds a line of words.
func (b *builder) sbvLine(from, to int) {
	const lineBreak = "[br]"
	for {
		n := bytes.Index(b.text[from:to], []byte(lineBreak))
		if n < 0 {
			b.plain(from, to)
			return
		}
		b.plain(from, from+n)
		b.newline()
		from += n + len(lineBreak)
	}
}

// sbvTimes reads a line of two times, h:mm:ss.fff each, and nothing else.
func sbvTimes(line []byte) (start, end time.Duration, ok bool) {
	if len(line) > 64 {
		return 0, 0, false
	}
	line = bytes.Trim(line, " \t\f\ufeff")
	n := bytes.IndexByte(line, ',')
	if n < 0 {
		return 0, 0, false
	}
	if start, ok = wholeClock(line[:n]); !ok {
		return 0, 0, false
	}
	end, ok = wholeClock(bytes.TrimSpace(line[n+1:]))
	return start, end, ok
}

// wholeClock reads h:mm:ss.fff, which must be all there is.
func wholeClock(s []byte) (time.Duration, bool) {
	if bytes.Count(s, []byte(":")) != 2 || bytes.IndexByte(s, '.') < 0 {
		return 0, false
	}
	d, n, ok := looseClock(s)
	return d, ok && n == len(s)
}

// hasSBV reports whether a line is one of two times. It stops at the first.
func hasSBV(s *source) bool {
	for i := range s.starts {
		from, to := s.line(i)
		if from == to || !isDigit(s.text[from]) && i > 0 {
			continue
		}
		if _, _, ok := sbvTimes(s.text[from:to]); ok {
			return true
		}
	}
	return false
}
