package transcript

import (
	"bytes"
	"time"
	"unicode/utf8"
)

// What makes a file a stamped one. A stamp in square brackets is hardly
// anything else; a bare "3:25" may be a number a recogniser wrote as a clock
// time, so bare stamps must be many, rise, and fit the pace of speech.
const (
	minBracketed  = 2    // one will do where it opens the file in [ ]
	minBare       = 3    // also for ( )
	minAscending  = 0.75 // share of neighbours that do not go back
	minBareShare  = 0.25 // of the lines with words, where words follow the stamps
	minAloneShare = 0.05 // of the lines with words, where stamps stand alone
	earlyStart    = time.Minute
	minPace       = 0.2 // words a second; speech runs at two to three
)

// A lineStamp is a time at the head of a line.
type lineStamp struct {
	line  int
	at    time.Duration
	end   time.Duration // 0 where not given
	open  byte          // '[', '(' or 0
	col   int           // where it stands in the line
	rest  int           // where the words start, in the line
	alone bool          // no words on the line
}

// readStamp reads the stamp at the head of a line:
//
//	[1:02] words   [1:02:03] words   (1:02) words   [0:10 - 0:15] words
//	1:02 words     1:02 - words      1:02: words    1:02:03.5
func readStamp(line []byte) (st lineStamp, ok bool) {
	n := skipBlank(line, 0)
	if n < len(line) && (line[n] == '[' || line[n] == '(') {
		st.open = line[n]
		n = skipBlank(line, n+1)
	}
	at, k, ok := stampClock(line[n:])
	if !ok {
		return st, false
	}
	st.at = at
	n += k
	if st.open != 0 {
		n = skipBlank(line, n)
		if end, k := stampEnd(line[n:]); k > 0 {
			st.end = end
			n = skipBlank(line, n+k)
		}
		if n >= len(line) || line[n] != closers[st.open] {
			return st, false
		}
		n++
	} else if n < len(line) && !isBlank(line[n]) && line[n] != ':' && dash(line[n:]) == 0 {
		return st, false
	}
	n = skipBlank(line, n)
	k = dash(line[n:])
	if n < len(line) && line[n] == ':' {
		k = 1
	}
	if k > 0 && (n+k >= len(line) || isBlank(line[n+k])) {
		n = skipBlank(line, n+k)
	}
	st.rest, st.alone = n, n >= len(line)
	return st, true
}

var closers = [256]byte{'[': ']', '(': ')'}

// stampClock reads m:ss or h:mm:ss, with a fraction or not.
func stampClock(s []byte) (time.Duration, int, bool) {
	_, k := digits(s)
	if k == 0 || k > 3 {
		return 0, 0, false
	}
	if _, end, ok := pair(s, k); !ok || s[k+1] > '5' {
		return 0, 0, false
	} else if end+1 < len(s) && s[end] == ':' && isDigit(s[end+1]) {
		if _, _, ok := pair(s, end); !ok || s[end+1] > '5' {
			return 0, 0, false
		}
	}
	return looseClock(s)
}

// stampEnd reads "- 0:15" or "--> 0:15".
func stampEnd(s []byte) (time.Duration, int) {
	n := dash(s)
	if bytes.HasPrefix(s, arrow) {
		n = len(arrow)
	}
	if n == 0 {
		return 0, 0
	}
	n = skipBlank(s, n)
	d, k, ok := stampClock(s[n:])
	if !ok {
		return 0, 0
	}
	return d, n + k
}

// dash returns the length of a hyphen or dash at the start of s.
func dash(s []byte) int {
	switch r, n := utf8.DecodeRune(s); r {
	case '-', '–', '—':
		return n
	}
	return 0
}

// isStamped decides by the whole file whether its lines are stamped.
func isStamped(s *source) bool {
	_, ok := lineStamps(s)
	return ok
}

// lineStamps returns the stamps that count, in file order.
func lineStamps(s *source) ([]lineStamp, bool) {
	var bracketed, bare []lineStamp
	lines, first := 0, -1
	for i := range s.starts {
		from, to := s.line(i)
		n := skipBlank(s.text[from:to], 0) + from
		if n == to {
			continue
		}
		lines++
		if first < 0 {
			first = i
		}
		if c := s.text[n]; !isDigit(c) && c != '[' && c != '(' {
			continue
		}
		st, ok := readStamp(s.text[from:to])
		if !ok {
			continue
		}
		st.line = i
		if st.open != 0 {
			bracketed = append(bracketed, st)
		} else {
			bare = append(bare, st)
		}
	}
	if isSeries(bracketed, first) {
		return bracketed, true
	}
	if len(bare) < minBare || ascending(bare) < minAscending {
		return nil, false
	}
	alone := 0
	for _, st := range bare {
		if st.alone {
			alone++
		}
	}
	share := minBareShare
	if alone*5 >= len(bare)*4 {
		share = minAloneShare
	}
	if float64(len(bare)) < share*float64(lines) {
		return nil, false
	}
	return bare, bare[0].at < earlyStart || pace(s, bare) >= minPace
}

func isSeries(stamps []lineStamp, first int) bool {
	switch n := len(stamps); {
	case n == 0:
		return false
	case n == 1:
		return stamps[0].open == '[' && stamps[0].line == first
	case stamps[0].open == '(' && n < minBare:
		return false
	default:
		return n >= minBracketed && ascending(stamps) >= minAscending
	}
}

// ascending is the share of neighbours whose times do not go back; standing
// still counts half, since a list of equal values stands still too.
func ascending(stamps []lineStamp) float64 {
	if len(stamps) < 2 {
		return 1
	}
	good := 0.0
	for i := 1; i < len(stamps); i++ {
		switch {
		case stamps[i].at > stamps[i-1].at:
			good++
		case stamps[i].at == stamps[i-1].at:
			good += 0.5
		}
	}
	return good / float64(len(stamps)-1)
}

// pace is the number of words a second from the first stamp to the last.
func pace(s *source, stamps []lineStamp) float64 {
	span := (stamps[len(stamps)-1].at - stamps[0].at).Seconds()
	if span <= 0 {
		return 0
	}
	from, _ := s.line(stamps[0].line)
	to, _ := s.line(stamps[len(stamps)-1].line)
	words, inside := 0, false
	for _, c := range s.text[from:to] {
		space := c <= ' '
		if inside && space {
			words++
		}
		inside = !space
	}
	return float64(words-len(stamps)) / span
}

// readStamped reads text with a time at the head of its lines. A cue goes on
// to the next stamp, which ends it too. How long the last one takes is not
// said: it ends when it starts.
func readStamped(b *builder) {
	s := b.src
	stamps, _ := lineStamps(s)
	stamps = withInner(s, dropSpikes(b, stamps))
	k := 0
	for i := range s.starts {
		from, to := s.line(i)
		if k < len(stamps) && stamps[k].line == i {
			for ; k < len(stamps) && stamps[k].line == i; k++ {
				stampedCue(b, stamps[k:], from, to)
			}
			continue
		}
		if s.blank(i) {
			if b.cue != nil && b.lineOpen {
				b.paragraph()
			}
			continue
		}
		if k > 0 && to == len(s.text) && cutStamp(s.text[from:to], stamps[k-1].open) {
			b.add(from, ErrTiming, cutTimingNote)
			continue
		}
		var first time.Duration
		if len(stamps) > 0 {
			first = stamps[0].at
		}
		b.goOn(i, from, to, first)
	}
}

// stampedCue reads what the first stamp leads; its line is [from, to).
func stampedCue(b *builder, stamps []lineStamp, from, to int) {
	st, end := stamps[0], stamps[0].end
	if end == 0 {
		end = st.at
	}
	if len(stamps) > 1 {
		if next := stamps[1]; st.end == 0 && next.at > st.at {
			end = next.at
		}
		if next := stamps[1]; next.line == st.line {
			to = from + next.col
			for to > from+st.rest && isBlank(b.text[to-1]) {
				to--
			}
		}
	}
	b.open("", st.at, end, st.line, from+st.col)
	words := from + st.rest
	if words < to {
		words += speakerMark(b.text[words:to])
	}
	b.plain(words, to)
	b.extend(max(to, from+st.rest))
}

// withInner adds the stamps in square brackets further on in a line that
// starts with one, as in a transcript pasted as a single line. They must not
// go back, nor past the next line's.
func withInner(s *source, stamps []lineStamp) []lineStamp {
	var all []lineStamp
	for i, st := range stamps {
		all = append(all, st)
		if st.open != '[' {
			continue
		}
		from, to := s.line(st.line)
		line := s.text[from:to]
		last := st
		for n := st.rest; n < len(line); {
			k := bytes.IndexByte(line[n:], '[')
			if k < 0 {
				break
			}
			n += k
			inner, ok := readStamp(line[n:])
			if !ok || inner.at < last.at || i+1 < len(stamps) && inner.at > stamps[i+1].at {
				n++
				continue
			}
			inner.line, inner.col = st.line, n
			inner.rest += n
			all, last, n = append(all, inner), inner, inner.rest
		}
	}
	return all
}

// dropSpikes takes out bare stamps that jump ahead of or behind two neighbours
// which agree with each other: "3:25 amps" at the head of a line.
func dropSpikes(b *builder, stamps []lineStamp) []lineStamp {
	kept := stamps[:0:0]
	for i, st := range stamps {
		if st.open == 0 && len(kept) > 0 && i+1 < len(stamps) {
			before, after := kept[len(kept)-1].at, stamps[i+1].at
			if before <= after && (st.at < before || st.at > after) {
				from, _ := b.src.line(st.line)
				b.add(from, ErrSpike, st.at.String())
				continue
			}
		}
		kept = append(kept, st)
	}
	return kept
}

// plain adds text without markup, NUL apart.
func (b *builder) plain(from, to int) {
	for {
		n := bytes.IndexByte(b.text[from:to], 0)
		if n < 0 {
			b.literal(from, to)
			return
		}
		b.literal(from, from+n)
		b.replace(from+n, from+n+1, "\ufffd")
		from += n + 1
	}
}
