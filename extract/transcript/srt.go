package transcript

import (
	"bytes"
	"strconv"
)

// srtGap is how far a cue number with no blank line before it may run ahead of
// the last one and still be taken for a number, not for words.
const srtGap = 10

// readSRT reads SubRip text. There is no standard; what players accept is
// common practice, no source:
//
//	12                                  number, may be missing or wrong
//	00:01:02,500 --> 00:01:05,000       times, comma or dot, then anything
//	one or more lines of words          with <i> and {\an8}
//	                                    blank line, may be missing
//
// A cue goes on to the next timing line, or to the number just before it, so
// blank lines inside a cue lose nothing.
func readSRT(b *builder) {
	b.rolls = true
	r := srtReader{builder: b, times: srtTimings(b.src)}
	r.readNumbers()
	head := len(b.src.starts)
	if len(r.times) > 0 {
		head = r.times[0].first()
	}
	r.preamble(head)
	for k := range r.times {
		r.readCue(k)
	}
}

type srtReader struct {
	*builder
	times    []srtTiming
	numbered bool // most cues have a number
	number   int  // the last one
}

// An srtTiming is a line of times.
type srtTiming struct {
	timing
	line   int
	number int  // on the line above; -1 where there is none
	taken  bool // the line above is this cue's number
}

// first is the first line of the cue.
func (t srtTiming) first() int {
	if t.taken {
		return t.line - 1
	}
	return t.line
}

// srtTimings finds the lines of times.
func srtTimings(s *source) []srtTiming {
	var times []srtTiming
	for i, at := 0, 0; ; {
		n := bytes.Index(s.text[at:], arrow)
		if n < 0 {
			return times
		}
		for i+1 < len(s.starts) && int(s.starts[i+1]) <= at+n {
			i++
		}
		from, to := s.line(i)
		line, arrowAt := s.text[from:to], at+n-from
		t := srtTiming{timing: readTiming(line), line: i, number: s.number(i - 1)}
		_, _, endRead := looseClock(line[skipBlank(line, arrowAt+len(arrow)):])
		if t.startRead || endRead || t.number >= 0 && len(bytes.TrimSpace(line[:arrowAt])) < 20 {
			times = append(times, t)
		}
		at = to
	}
}

// number returns the number that stands alone on line i, -1 where none does.
func (s *source) number(i int) int {
	if i < 0 {
		return -1
	}
	from, to := s.line(i)
	line := bytes.Trim(s.text[from:to], " \t\ufeff")
	v, n := digits(line)
	if n == 0 || n != len(line) || n > 9 {
		return -1
	}
	return v
}

// blank reports whether line i holds nothing but white space.
func (s *source) blank(i int) bool {
	from, to := s.line(i)
	return len(bytes.TrimSpace(s.text[from:to])) == 0
}

// readNumbers decides which lines above the times are cue numbers. A cue that
// is a bare number, such as a display read out, looks the same where the blank
// line and the next cue's number are missing.
func (r *srtReader) readNumbers() {
	count := 0
	for _, t := range r.times {
		if t.number >= 0 {
			count++
		}
	}
	if r.numbered = count > 0 && count >= len(r.times)/2; !r.numbered {
		return
	}
	last, lastLine := 0, -1
	for k := range r.times {
		t := &r.times[k]
		if t.number >= 0 {
			above := t.line - 2
			apart := above < 0 || r.src.blank(above)
			t.taken = t.line-1 > lastLine && (apart || t.number > last && t.number <= last+srtGap)
			if above == lastLine && !apart { // no words between two lines of times
				t.taken = t.number == last+1
			}
		}
		if t.taken {
			last = t.number
		} else {
			last++
		}
		lastLine = t.line
	}
}

// preamble reports what stands before the first cue.
func (r *srtReader) preamble(end int) {
	for i := range end {
		if !r.src.blank(i) {
			from, _ := r.src.line(i)
			r.add(from, ErrStrayText, "before the first cue, left out")
			return
		}
	}
}

func (r *srtReader) readCue(k int) {
	t, s := r.times[k], r.src
	lineFrom, lineTo := s.line(t.line)
	from, id := lineFrom, ""
	switch {
	case t.taken:
		from, _ = s.line(t.line - 1)
		id, r.number = strconv.Itoa(t.number), t.number
		if t.line > 1 && k > 0 && !s.blank(t.line-2) {
			r.add(from, ErrBlankLine, "none before this cue")
		}
	case r.numbered:
		r.add(lineFrom, ErrIndex, "no number above these times")
		r.number++
	}
	if !t.startRead || !t.endRead {
		r.irregular(&t.timing, lineFrom)
	}
	r.open(id, t.start, t.end, t.line, from)
	r.extend(lineTo)
	end := len(s.starts)
	if k+1 < len(r.times) {
		end = r.times[k+1].first()
	}
	r.body(t.line+1, end)
}

// body adds the words on lines [i, end), in stretches cut by empty lines.
func (r *srtReader) body(i, end int) {
	s, first := r.src, i
	for i < end {
		if from, to := s.line(i); from == to {
			i++
			continue
		}
		start := i
		from, to := s.line(i)
		for i++; i < end; i++ {
			f, t := s.line(i)
			if f == t {
				break
			}
			to = t
		}
		if start > first && !s.blank(start) {
			if n := s.number(start); r.numbered && i == start+1 &&
				(n == r.number+1 || to == len(s.text) && beginsNumber(n, r.number+1)) {
				r.add(from, ErrIndex, "a number with no times below, left out")
				r.number = n
				continue
			}
			if r.numbered && s.number(start) == r.number+1 && start+1 < len(s.starts) {
				start++ // the number of a cue whose times are cut
			}
			if at, _ := s.line(start); cutTiming(r.text[at:]) {
				r.add(from, ErrTiming, cutTimingNote)
				continue
			}
			r.add(from, ErrBlankLine, "the text after it read as part of the cue")
			r.newline()
		}
		r.cueText(from, to, dialect{})
		r.extend(to)
	}
}

// beginsNumber reports whether a number is the first digits of another: so a
// file ends that was cut off inside the number of a cue.
func beginsNumber(n, whole int) bool {
	if n <= 0 {
		return false
	}
	for whole > n {
		whole /= 10
	}
	return whole == n
}
