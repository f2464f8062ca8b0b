package transcript

import (
	"bytes"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// readJSON reads JSON (RFC 8259) that holds timed words. There is no standard
// for that; two shapes are common, and a few names for their members
// (tables/keys.tsv):
//
//	{"segments":[{"start":0.5,"end":2.1,"text":"words"}]}      or the list alone,
//	                                                           or an object a line
//	{"events":[{"tStartMs":500,"dDurationMs":1600,
//	            "segs":[{"utf8":"words","tOffsetMs":0}]}]}
//
// The segments are the first list of objects that have a time and words. A
// segment's words with times of their own give word times; where a segment has
// no text they are its text. A list of such words alone is cut into cues at
// pauses. A time is a number of seconds or milliseconds, or a clock time.
//
// Words are the bytes inside the quotes; an escape such as "\u00b5" is spelt
// otherwise than it is said, like a character reference elsewhere.
func readJSON(b *builder) error {
	tree, err := readJSONTree(b.src)
	if err != nil {
		return err
	}
	r := &jsonReader{builder: b, tree: tree, nodes: tree.nodes, keys: loadKeys()}
	if r.isRecord() {
		line, col := b.src.position(int(r.nodes[r.nodes[0].child].from))
		return b.src.failAt(line, col, ErrRecord, `"check", "emit" and "add" take it`)
	}
	list := r.segments(0, 0)
	if list < 0 {
		if known := r.refused(); known != nil {
			return b.src.failAt(0, 0, known, "")
		}
		return b.src.failAt(0, 0, ErrNotTimed, "")
	}
	r.language()
	r.milli = r.inMilliseconds(list)
	r.spaced = r.wordsHaveSpaces(list)
	r.read(list)
	return nil
}

type jsonReader struct {
	*builder
	tree   *jsonTree
	nodes  []jsonNode
	keys   keys
	milli  bool // bare numbers count milliseconds
	spaced bool // words come with the blanks between them
}

// each calls do with every child of a node.
func (r *jsonReader) each(i int32, do func(child int32)) {
	for c := r.nodes[i].child; c != 0; c = r.nodes[c].next {
		do(c)
	}
}

func (r *jsonReader) name(i int32) []byte { return r.text[r.nodes[i].keyFrom:r.nodes[i].keyTo] }

func (r *jsonReader) role(i int32) role { return r.keys.find("json", r.name(i)).role }

// isRecord reports whether the first value is a record of this program or a
// line of its feed: their first member says so.
func (r *jsonReader) isRecord() bool {
	first := r.nodes[0].child
	return first != 0 && r.nodes[first].kind == '{' && isRecord(r.text[r.nodes[first].from:])
}

// refused is the refusal of JSON that is known by the members of its first object,
// nil where it is not.
func (r *jsonReader) refused() error {
	first := r.nodes[0].child
	if first != 0 && r.nodes[first].kind == '[' {
		first = r.nodes[first].child
	}
	if first == 0 || r.nodes[first].kind != '{' {
		return nil
	}
	has := map[string]bool{}
	r.each(first, func(c int32) { has[string(r.name(c))] = true })
	for _, known := range refusals() {
		if known.at != "json" {
			continue
		}
		all := true
		for _, member := range strings.Fields(string(known.mark)) {
			all = all && has[member]
		}
		if all {
			return known.cause()
		}
	}
	return nil
}

// maxListDepth bounds how deep the list of segments is looked for.
const maxListDepth = 6

// segments finds the list of segments at or below a node, -1 where none is.
func (r *jsonReader) segments(i int32, depth int) int32 {
	if depth > maxListDepth {
		return -1
	}
	if r.nodes[i].kind == '[' {
		timed := false
		r.each(i, func(c int32) { timed = timed || r.isSegment(c) })
		if timed {
			return i
		}
	}
	for c := r.nodes[i].child; c != 0; c = r.nodes[c].next {
		if k := r.nodes[c].kind; k != '{' && k != '[' {
			continue
		}
		if found := r.segments(c, depth+1); found >= 0 {
			return found
		}
	}
	return -1
}

// isSegment reports an object with a time, and with words or a list of them.
func (r *jsonReader) isSegment(i int32) bool {
	if r.nodes[i].kind != '{' {
		return false
	}
	s := r.segment(i)
	return s.start >= 0 && (s.text > 0 || s.word > 0 || s.words > 0)
}

// A jsonSegment is where the members of a segment or a word are; 0 for none.
type jsonSegment struct {
	text, word, words int32
	again             int32 // a second text of the name of the first
	startMilli        bool
	start             float64 // as the number says; -1 where there is none
	clock             bool    // start is in seconds whatever the file's numbers are
	end               float64
	endMilli          bool
	endClock          bool
	lasts             bool // end is a duration
	offset            float64
}

func (r *jsonReader) segment(i int32) jsonSegment {
	s := jsonSegment{start: -1, end: -1, offset: -1}
	r.each(i, func(c int32) {
		k := r.keys.find("json", r.name(c))
		n := r.nodes[c]
		switch k.role {
		case roleText:
			switch {
			case n.kind != '"':
			case s.text == 0:
				s.text = c
			case s.again == 0 && bytes.Equal(r.name(c), r.name(s.text)):
				s.again = c
			}
		case roleWord:
			if n.kind == '"' && (s.word == 0 || len(r.name(c)) > len(r.name(s.word))) {
				s.word = c // "punctuated_word" rather than "word"
			}
		case roleWords:
			if n.kind == '[' {
				s.words = c
			}
		case roleStart:
			if n.kind == '[' && n.child != 0 { // a pair of times
				second := r.nodes[n.child].next
				s.start, s.clock = r.number(n.child)
				if second != 0 {
					s.end, s.endClock = r.number(second)
				}
				s.startMilli, s.endMilli = k.milli, k.milli
			} else if v, clock := r.number(c); v >= 0 && s.start < 0 {
				s.start, s.clock, s.startMilli = v, clock, k.milli
			}
		case roleEnd, roleDuration:
			if v, clock := r.number(c); v >= 0 && s.end < 0 {
				s.end, s.endClock, s.endMilli, s.lasts = v, clock, k.milli, k.role == roleDuration
			}
		case roleOffset:
			s.offset, _ = r.number(c)
		}
	})
	return s
}

// number reads a time: a number, a string that is one, or a clock time, which
// is in seconds. It is -1 where there is none.
func (r *jsonReader) number(i int32) (v float64, clock bool) {
	n := r.nodes[i]
	text := r.text[n.from:n.to]
	if n.kind == '"' {
		text = bytes.TrimSpace(text[1 : len(text)-1])
		if d, k, ok := looseClock(text); ok && k == len(text) {
			return d.Seconds(), true
		}
		text = bytes.TrimSuffix(text, []byte("s"))
	} else if n.kind != '0' {
		return -1, false
	}
	v, err := strconv.ParseFloat(string(text), 64)
	if err != nil || !(v >= 0 && v < maxHours*3600*1000) {
		return -1, false
	}
	return v, false
}

// duration turns a number into a time.
func (r *jsonReader) duration(v float64, milli, clock bool) time.Duration {
	if milli || r.milli && !clock {
		v /= 1000
	}
	d, _ := seconds(v)
	return d
}

// times are those of a segment; an end that is not said is the start.
func (r *jsonReader) times(s jsonSegment) (start, end time.Duration) {
	start = r.duration(s.start, s.startMilli, s.clock)
	if s.end < 0 {
		return start, start
	}
	end = r.duration(s.end, s.endMilli, s.endClock)
	if s.lasts {
		end += start
	}
	return start, end
}

// inMilliseconds reports whether bare numbers count milliseconds: all are whole
// and, taken as seconds, nobody would talk as slowly.
func (r *jsonReader) inMilliseconds(list int32) bool {
	whole, words := true, 0
	first, last := -1.0, -1.0
	r.each(list, func(c int32) {
		if r.nodes[c].kind != '{' {
			return
		}
		s := r.segment(c)
		if s.start < 0 || s.startMilli || s.clock {
			return
		}
		whole = whole && s.start == float64(int64(s.start)) && (s.end < 0 || s.end == float64(int64(s.end)))
		if first < 0 {
			first = s.start
		}
		last = max(last, s.start, s.end)
		words++
		if s.text > 0 {
			words += bytes.Count(r.text[r.nodes[s.text].from:r.nodes[s.text].to], []byte(" "))
		}
	})
	return whole && slowSeconds(words, last-first)
}

// slowSeconds reports whether so few words in so many seconds must be words in
// milliseconds.
func slowSeconds(words int, span float64) bool { return span > 0 && float64(words)/span < minPace }

// wordsHaveSpaces reports whether any word of the file begins or ends with a
// blank or a break: then the blanks between words are in them.
func (r *jsonReader) wordsHaveSpaces(list int32) bool {
	spaced := false
	r.each(list, func(c int32) {
		if spaced || r.nodes[c].kind != '{' {
			return
		}
		s := r.segment(c)
		if s.words == 0 {
			spaced = s.word > 0 && r.blankEnds(s.word)
			return
		}
		r.each(s.words, func(w int32) {
			if spaced || r.nodes[w].kind != '{' {
				return
			}
			if word := r.segment(w).wordOrText(); word > 0 {
				spaced = r.blankEnds(word)
			}
		})
	})
	return spaced
}

func (s jsonSegment) wordOrText() int32 {
	if s.word > 0 {
		return s.word
	}
	return s.text
}

func (r *jsonReader) blankEnds(i int32) bool {
	from, to := r.nodes[i].inside()
	if to-from < 2 {
		return false
	}
	first, last := rune(r.text[from]), r.text[to-1]
	if first == '\\' {
		first, _ = unescape(r.text[from:to])
	}
	return unicode.IsSpace(first) || last == ' ' || last == 'n' && r.text[to-2] == '\\'
}

// language takes the language that the outermost object says.
func (r *jsonReader) language() {
	r.each(0, func(c int32) {
		r.each(c, func(m int32) {
			if r.nodes[m].kind == '"' && r.nodes[m].keyTo > 0 && r.role(m) == roleLanguage && r.t.Language == "" {
				from, to := r.nodes[m].inside()
				r.t.Language = string(r.text[from:to])
			}
		})
	})
}

// Words alone become a cue until a pause or until there are many.
const (
	wordPause = time.Second
	cueWords  = 40
)

// read reads the segments of a list.
func (r *jsonReader) read(list int32) {
	var last time.Duration // end of the word before
	count := 0             // words of the open cue, where words stand alone
	r.each(list, func(c int32) {
		n := r.nodes[c]
		if n.kind != '{' {
			return
		}
		s := r.segment(c)
		if s.text == 0 && s.word == 0 && s.words == 0 {
			return // a window, a mark of silence
		}
		start, end := r.times(s)
		alone := s.text == 0 && s.words == 0
		if !alone || r.cue == nil || count == 0 || count >= cueWords || start < last || start > last+wordPause {
			line, _ := r.src.position(int(n.from))
			if s.start < 0 {
				tm := timing{}
				r.irregular(&tm, int(n.from))
				start, end = tm.start, tm.end
			}
			r.open("", start, end, line-1, int(n.from))
			count = 0
		}
		r.extend(int(n.to))
		r.cue.End = max(r.cue.End, end)
		switch {
		case alone:
			count++
			r.word(s.word, count > 1, start, true)
			last = end
		case s.text > 0:
			if s.again > 0 {
				r.add(int(r.nodes[s.again].from), ErrTwice, "a text of one segment; the first is read")
			}
			r.segmentText(s)
		default:
			r.segmentWords(s.words)
		}
	})
}

// word adds one word and its time, where it has one, with a blank before it
// where it is not the first and brings none itself.
func (r *jsonReader) word(i int32, more bool, at time.Duration, timed bool) {
	from, to := r.nodes[i].inside()
	if more && !r.spaced && r.lineOpen && to > from {
		r.t.Text = append(r.t.Text, ' ') // it stands nowhere in the source
	}
	blanks := from
	for blanks < to && r.text[blanks] == ' ' {
		blanks++
	}
	r.said(from, blanks)
	if timed {
		r.at(at)
	}
	r.said(blanks, to)
}

// segmentWords adds the words of a segment without a text.
func (r *jsonReader) segmentWords(list int32) {
	first := true
	r.each(list, func(c int32) {
		if r.nodes[c].kind != '{' {
			return
		}
		s := r.segment(c)
		w := s.wordOrText()
		if w == 0 {
			return
		}
		at, ok := r.wordTime(s)
		r.word(w, !first, at, ok)
		first = false
	})
}

// wordTime is when a word begins, held inside its cue.
func (r *jsonReader) wordTime(s jsonSegment) (time.Duration, bool) {
	switch {
	case s.offset >= 0:
		r.windows = true
		d, ok := seconds(s.offset / 1000)
		return min(r.cue.Start+d, max(r.cue.Start, r.cue.End)), ok
	case s.start >= 0:
		d := r.duration(s.start, s.startMilli, s.clock)
		return min(max(d, r.cue.Start), max(r.cue.Start, r.cue.End)), true
	}
	return 0, false
}

// segmentText adds the text of a segment, with the times of its words where
// these stand in it in order.
func (r *jsonReader) segmentText(s jsonSegment) {
	from, to := r.nodes[s.text].inside()
	for to > from && r.text[to-1] == ' ' {
		to--
	}
	if s.words == 0 {
		r.said(from, to)
		return
	}
	at := from
	r.each(s.words, func(c int32) {
		if r.nodes[c].kind != '{' {
			return
		}
		w := r.segment(c)
		time, ok := r.wordTime(w)
		word := w.wordOrText()
		if !ok || word == 0 {
			return
		}
		wordFrom, wordTo := r.nodes[word].inside()
		spelt := bytes.TrimSpace(r.text[wordFrom:wordTo])
		// A word is looked for near its turn only: one look for each must not
		// go through the whole text.
		ahead := r.text[at:min(to, at+len(spelt)+80)]
		k := bytes.Index(ahead, spelt)
		if len(spelt) == 0 || k < 0 || k > 0 && ahead[k-1] == '\\' {
			return
		}
		r.said(at, at+k)
		r.at(time)
		r.said(at+k, at+k+len(spelt))
		at += k + len(spelt)
	})
	r.said(at, to)
}

// said adds [from, to) of a string, its escapes read.
func (r *jsonReader) said(from, to int) {
	text, lit := r.text, from
	for i := from; i < to; {
		c := text[i]
		if c != '\\' {
			if c == ' ' && !r.lineOpen && lit == i { // at the head of a line
				lit++
			}
			i++
			continue
		}
		char, n := unescape(text[i:to])
		r.literal(lit, i)
		switch {
		case char == '\n' || char == '\r':
			r.newline()
		case char == 0:
			r.replace(i, i+n, "\ufffd")
		default:
			r.replace(i, i+n, string(char))
		}
		i += n
		lit = i
	}
	r.literal(lit, to)
}

// isJSON reports whether JSON begins here: a brace with a name behind it, or a
// bracket with a brace or a bracket. "[0:15] words" is none.
func isJSON(head []byte) bool {
	if string(bytes.TrimSpace(head)) == "null" {
		return true
	}
	if len(head) == 0 || head[0] != '{' && head[0] != '[' {
		return false
	}
	next := bytes.TrimLeft(head[1:min(len(head), 4096)], " \t\r\n")
	if len(next) == 0 {
		return false
	}
	if head[0] == '{' {
		return next[0] == '"' || next[0] == '}'
	}
	return next[0] == '{' || bytes.HasPrefix(next, []byte("null")) ||
		next[0] == ']' && len(bytes.TrimSpace(next[1:])) == 0
}

// recordVersions are how the records of this program and the lines of its feed
// begin to say what they are.
var recordVersions = []string{"saywatt/record/", "saywatt/feed/"}

// isRecord reports whether text begins as a record of this program or a line of
// its feed does, rather than as captions in JSON: with a member that names its
// version.
func isRecord(head []byte) bool {
	head = bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\ufeff")), " \t\r\n")
	if len(head) == 0 || head[0] != '{' {
		return false
	}
	rest := bytes.TrimLeft(head[1:], " \t\r\n")
	for _, name := range []string{`"version"`, `"feed"`} {
		value, ok := bytes.CutPrefix(rest, []byte(name))
		if !ok {
			continue
		}
		value = bytes.TrimLeft(value, " \t\r\n")
		if len(value) == 0 || value[0] != ':' {
			return false
		}
		value = bytes.TrimLeft(value[1:], " \t\r\n")
		for _, v := range recordVersions {
			if bytes.HasPrefix(value, []byte(`"`+v)) {
				return true
			}
		}
	}
	return false
}
