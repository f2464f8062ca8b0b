package transcript

import (
	"bytes"
	"time"
	"unicode"
	"unicode/utf8"
)

// What makes a line of a name and a time one of a transcript of speakers. A
// list of durations ("Charge time  1:30") looks alike, but words follow a
// speaker.
const (
	minLabels      = 2
	minLabelSpoken = 0.8  // share of labels with words behind or below them
	minLabelShare  = 0.05 // of the lines with words
	maxLabel       = 40   // bytes of a name
	maxLabelWords  = 5
)

// A label is a line that says who talks from when on.
type label struct {
	line  int
	at    time.Duration
	name  string
	known bool // "Speaker 1"; otherwise a name
	firm  bool // more than a blank between the name and the time
	rest  int  // where words follow on the line
	alone bool // none do
}

// readSpeaker reads a transcript of speakers:
//
//	Speaker 1  00:12                    a name, then a time
//	words
//	Osla Brandt (1:02:03): words
//
// (With the time first it is a transcript with times at the head of its lines.)
//
// Who talks is not part of what is said. A cue goes on to the next such line.
func readSpeaker(b *builder) {
	s := b.src
	labels, _ := speakerLabels(s)
	k := 0
	for i := range s.starts {
		from, to := s.line(i)
		if k < len(labels) && labels[k].line == i {
			end := labels[k].at
			if k+1 < len(labels) && labels[k+1].at > end {
				end = labels[k+1].at
			}
			b.open("", labels[k].at, end, i, from)
			b.extend(to)
			b.plain(from+labels[k].rest, to)
			k++
			continue
		}
		if s.blank(i) {
			if b.cue != nil && b.lineOpen {
				b.paragraph()
			}
			continue
		}
		var first time.Duration // what comes ahead of it is a title
		if len(labels) > 0 {
			first = labels[0].at
		}
		b.goOn(i, from, to, first)
	}
}

// readLabel reads a line of a name and a time.
func readLabel(line []byte) (l label, ok bool) {
	n := skipBlank(line, 0)
	if n >= len(line) {
		return l, false
	}
	from := n
	for ; n < len(line) && n-from <= maxLabel; n++ {
		if !isDigit(line[n]) || n == from || isWord(line[n-1]) || line[n-1] >= utf8.RuneSelf {
			continue
		}
		at, k, ok := stampClock(line[n:])
		if !ok {
			continue
		}
		name, firm, bracket := splitName(line[from:n])
		l = label{at: at, firm: firm, name: string(name), rest: n + k}
		if bracket != 0 {
			if l.rest >= len(line) || line[l.rest] != closers[bracket] {
				return l, false
			}
			l.rest++
		}
		all, known := labelName(name)
		l.known = known && all == len(name)
		return l, isName(name) && l.end(line, bracket != 0)
	}
	return l, false
}

// end reads on behind the name and the time: the line ends there, or words
// follow after a colon, or after a bracket.
func (l *label) end(line []byte, bracket bool) bool {
	if l.rest < len(line) && line[l.rest] == ':' {
		l.rest++
		bracket = true
	}
	words := skipBlank(line, l.rest)
	l.alone = words >= len(line)
	ok := l.alone || bracket && words > l.rest
	l.rest = words
	return ok
}

// speakerMark returns the length of a word for somebody without a name at the
// head of a line's words, as in "Speaker 2: words" or "Speaker 2" alone.
func speakerMark(words []byte) int {
	n, known := labelName(words)
	switch rest := words[n:]; {
	case !known:
		return 0
	case len(rest) > 0 && rest[0] == ':':
		return skipBlank(words, n+1)
	case len(bytes.TrimSpace(rest)) == 0 && !isLetter(words[n-1]):
		return len(words)
	}
	return 0
}

func isLetter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' }

// splitName cuts what stands between a name and its time off the name.
func splitName(s []byte) (name []byte, firm bool, bracket byte) {
	end := len(s)
	if c := s[end-1]; c == '[' || c == '(' {
		bracket, firm = c, true
		end--
	}
	name = bytes.TrimRight(s[:end], " \t")
	if gap := s[len(name):end]; len(gap) > 1 || bytes.IndexByte(gap, '\t') >= 0 {
		firm = true
	}
	if trimmed := bytes.TrimRight(name, ",|-–—:"); len(trimmed) < len(name) {
		name, firm = bytes.TrimRight(trimmed, " \t"), true
	}
	return name, firm, bracket
}

// labelName returns the length of a word for somebody without a name, its
// number or letter included, at the start of s.
func labelName(s []byte) (n int, known bool) {
	for n < len(s) && (isWord(s[n]) && !isDigit(s[n])) {
		n++
	}
	if n == 0 || n > maxLabel || !speakerWords()[string(bytes.ToLower(s[:n]))] {
		return 0, false
	}
	end := skipBlank(s, n)
	if end < len(s) && s[end] == '#' {
		end++
	}
	_, k := digits(s[end:])
	if k == 0 && end > n && end < len(s) && 'A' <= s[end] && s[end] <= 'Z' {
		k = 1
	}
	if k > 0 && k < 4 && (end+k >= len(s) || !isWord(s[end+k])) {
		return end + k, true
	}
	return n, true
}

// isName reports whether words can be a name: few, the first with a capital
// letter, and no end of a sentence in them.
func isName(name []byte) bool {
	r, _ := utf8.DecodeRune(name)
	return len(name) > 0 && len(name) <= maxLabel && unicode.IsUpper(r) &&
		!bytes.ContainsAny(name, "?!;:,\"") && len(bytes.Fields(name)) <= maxLabelWords
}

// speakerLabels returns the lines of a name and a time, and whether they make a
// transcript.
func speakerLabels(s *source) ([]label, bool) {
	var all []label
	lines, spoken := 0, 0
	waits := false // the last label waits for words
	names := map[string]int{}
	for i := range s.starts {
		from, to := s.line(i)
		if s.blank(i) {
			continue
		}
		lines++
		var l label
		ok := false
		if to-from < 4096 || len(all) > 0 && to-from < 1<<16 {
			l, ok = readLabel(s.text[from:to])
		}
		if !ok {
			if waits {
				spoken++
			}
			waits = false
			continue
		}
		l.line = i
		if !l.alone {
			spoken++
		}
		waits = l.alone
		names[l.name]++
		all = append(all, l)
	}
	believed := all[:0]
	known := 0
	for _, l := range all {
		if l.known {
			known++
		}
		if l.known || l.firm || names[l.name] > 1 {
			believed = append(believed, l)
		}
	}
	switch n := len(believed); {
	case n == 0, float64(spoken) < minLabelSpoken*float64(len(all)), float64(n) < minLabelShare*float64(lines):
		return nil, false
	case n < minLabels && (known == 0 || !first(s, believed[0].line)):
		return nil, false
	case known == 0 && n < minLabels+1 && len(names) == len(all):
		return nil, false
	}
	return believed, risingLabels(believed) >= minAscending
}

// first reports whether line i is the first with words.
func first(s *source, i int) bool {
	for k := range i {
		if !s.blank(k) {
			return false
		}
	}
	return true
}

// risingLabels is the share of neighbours whose times do not go back.
func risingLabels(labels []label) float64 {
	if len(labels) < 2 {
		return 1
	}
	good := 0
	for i := 1; i < len(labels); i++ {
		if labels[i].at >= labels[i-1].at {
			good++
		}
	}
	return float64(good) / float64(len(labels)-1)
}

func isSpeaker(s *source) bool {
	_, ok := speakerLabels(s)
	return ok
}
