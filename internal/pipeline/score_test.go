package pipeline

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strconv"

	"saywatt/schema"
)

// The measures of how well quantities are read, against the truth files of
// testdata/README.md. They are those of the project's scorer, written anew so
// that a test can keep them (agreement was checked over all files).

// truth is a NAME.gold.json, as far as quantities go.
type truth struct {
	File          string    `json:"file"`
	Quantities    []*spoken `json:"quantities"`
	Nonquantities []string  `json:"nonquantities"`
}

// spoken is one quantity as it was said.
type spoken struct {
	At          *float64 `json:"at"`
	Pos         *int     `json:"pos"`
	Heard       string   `json:"heard"`
	Value       float64  `json:"value"`
	Low         *float64 `json:"low"`
	High        *float64 `json:"high"`
	Unit        string   `json:"unit"`
	Intact      bool     `json:"intact"`
	Recoverable string   `json:"recoverable"`

	span   schema.Span
	copies []schema.Span // where captions roll
}

// class is how the captions show a quantity.
type class uint8

const (
	classIntact  class = iota
	classGarbled       // and recoverable
	classUnclear
	classes
)

func (s *spoken) class() class {
	switch {
	case s.Intact:
		return classIntact
	case s.Recoverable == "" || s.Recoverable == "yes":
		return classGarbled
	}
	return classUnclear
}

// ends are the two ends of a quantity in the coherent unit of its kind.
type ends struct {
	kind     string
	low, top float64
}

func endsOf(low, high float64, u schema.Unit) ends {
	i, ok := u.Info()
	if !ok {
		return ends{string(u), low, high}
	}
	offset := 0.0
	if i.Offset.Sign() != 0 {
		offset, _ = i.Offset.Float64()
	}
	return ends{u.Kind().String(), (low + offset) * i.Scale, (high + offset) * i.Scale}
}

func (s *spoken) ends() ends {
	if s.Low != nil {
		return endsOf(*s.Low, *s.High, schema.Unit(s.Unit))
	}
	return endsOf(s.Value, s.Value, schema.Unit(s.Unit))
}

func readEnds(q *schema.Quantity) ends {
	return endsOf(q.Low.Float64(), q.High.Float64(), q.Unit)
}

func (e ends) same(f ends) bool {
	return e.kind == f.kind && alike(e.low, f.low) && alike(e.top, f.top)
}

func alike(a, b float64) bool {
	return a == b || math.Abs(a-b) <= 1e-6*math.Max(math.Abs(a), math.Abs(b))
}

// word is a word of a caption file with its place.
type word struct {
	text       []byte
	start, end int
}

var tag = regexp.MustCompile(`<[^>\n]*>`)

// fileWords are the words of a caption file, cue times, cue numbers and tags
// left out.
func fileWords(raw []byte) []word {
	text := bytes.Clone(raw)
	blank := func(from, to int) {
		for i := from; i < to; i++ {
			text[i] = ' '
		}
	}
	if bytes.HasPrefix(raw, []byte("\xef\xbb\xbf")) {
		blank(0, 3)
	}
	for from := 0; from < len(raw); {
		to := from + bytes.IndexByte(append(raw[from:len(raw):len(raw)], '\n'), '\n')
		line := raw[from:to]
		next := raw[min(to+1, len(raw)):]
		if i := bytes.IndexByte(next, '\n'); i >= 0 {
			next = next[:i]
		}
		number := bytes.TrimSuffix(line, []byte("\r"))
		isNumber := len(number) > 0 && len(bytes.Trim(number, "0123456789")) == 0
		if bytes.HasPrefix(line, []byte("WEBVTT")) || bytes.Contains(line, []byte("-->")) ||
			isNumber && bytes.Contains(next, []byte("-->")) {
			blank(from, to)
		}
		from = to + 1
	}
	for _, at := range tag.FindAllIndex(text, -1) {
		blank(at[0], at[1])
	}
	var words []word
	for i := 0; i < len(text); {
		if isSpace(text[i]) {
			i++
			continue
		}
		from := i
		for i < len(text) && !isSpace(text[i]) {
			i++
		}
		words = append(words, word{text[from:i], from, i})
	}
	return words
}

func isSpace(c byte) bool { return c == ' ' || c >= '\t' && c <= '\r' }

var cueStart = regexp.MustCompile(`(?m)^(?:(\d+):)?(\d+):(\d+)[.,](\d+)\s*-->|^[\[(]?(?:(\d+):)?(\d+):(\d\d)\b`)

// cueTime is the start of a cue or time-stamped paragraph.
type cueTime struct {
	at     float64
	offset int
}

func cueTimes(raw []byte) []cueTime {
	var out []cueTime
	for _, m := range cueStart.FindAllSubmatchIndex(raw, -1) {
		part := func(g int) string {
			if m[2*g] < 0 {
				return ""
			}
			return string(raw[m[2*g]:m[2*g+1]])
		}
		h, min, sec, frac := part(1), part(2), part(3), part(4)
		if min == "" {
			h, min, sec, frac = part(5), part(6), part(7), "0"
		}
		num := func(s string) float64 {
			v, _ := strconv.ParseFloat(s, 64)
			return v
		}
		out = append(out, cueTime{num(h)*3600 + num(min)*60 + num(sec) + num("0."+frac), m[0]})
	}
	return out
}

func bare(w []byte) []byte { return bytes.Trim(w, `.,;:!?()"'`) }

// place gives every quantity of the truth its bytes: the words of heard, in
// order, from the cue at `at`, over cue breaks if need be.
func (t *truth) place(raw []byte) {
	words, times, pos := fileWords(raw), cueTimes(raw), 0
	runes := []rune(string(raw))
	var prev *spoken
	for _, q := range t.Quantities {
		if prev != nil && q.Pos != nil && prev.Pos != nil && *q.Pos == *prev.Pos && q.Heard == prev.Heard {
			q.span = prev.span // two numbers that the captions fused into one
			continue
		}
		prev = q
		if n := len([]rune(q.Heard)); len(times) == 0 && q.Pos != nil && *q.Pos+n <= len(runes) &&
			string(runes[*q.Pos:*q.Pos+n]) == q.Heard {
			b := len(string(runes[:*q.Pos]))
			q.span = schema.Span{Start: b, End: b + len(q.Heard)}
			continue
		}
		stop := len(raw)
		if q.At != nil && len(times) > 0 {
			last := -1
			for i, c := range times {
				if c.at <= *q.At+0.02 {
					last = i
				}
			}
			if last >= 0 {
				pos = max(pos, times[last].offset)
			}
			for _, c := range times {
				if c.at > *q.At+25 {
					stop = c.offset
					break
				}
			}
		}
		q.span = find(words, raw, []byte(q.Heard), pos, stop)
		if q.span.End > q.span.Start {
			pos = q.span.Start + 1
		}
	}
	if len(times) > 0 {
		t.roll(raw)
	}
}

// find looks the heard words up from pos on.
func find(words []word, raw, heard []byte, pos, stop int) schema.Span {
	var want [][]byte
	for _, w := range bytes.Fields(heard) {
		want = append(want, bare(w))
	}
	start := 0
	for start < len(words) && words[start].end <= pos {
		start++
	}
	for _, exact := range []bool{true, false} {
		fits := func(w, want []byte) bool {
			return bytes.Equal(bare(w), want) || !exact && bytes.Contains(w, want)
		}
		for k := start; k < min(len(words), start+160) && words[k].start < stop; k++ {
			if exact && (words[k].start < pos || !bytes.Equal(bare(words[k].text), want[0])) ||
				!exact && !bytes.Contains(words[k].text, want[0]) {
				continue
			}
			j, last := 0, 0
			for x := k; x < min(len(words), k+len(want)+12); x++ { // a rolling file repeats a line between the words
				if j < len(want) && fits(words[x].text, want[j]) {
					j++
					last = x
				}
			}
			if j == len(want) {
				end := want[len(want)-1]
				return schema.Span{Start: max(words[k].start+bytes.Index(words[k].text, want[0]), pos),
					End: words[last].start + bytes.Index(words[last].text, end) + len(end)}
			}
		}
	}
	if i := bytes.Index(raw[pos:max(pos, stop)], heard); i >= 0 {
		return schema.Span{Start: pos + i, End: pos + i + len(heard)}
	}
	return schema.Span{Start: pos, End: pos}
}

// roll notes where the line of each quantity comes again.
func (t *truth) roll(raw []byte) {
	for _, q := range t.Quantities {
		lo := bytes.LastIndexByte(raw[:q.span.Start], '\n') + 1
		hi := len(raw)
		if i := bytes.IndexByte(raw[q.span.Start:], '\n'); i >= 0 {
			hi = q.span.Start + i
		}
		line := raw[lo:hi]
		if q.span.Empty() || len(bytes.Fields(line)) < 2 {
			continue
		}
		limit := min(lo+900, len(raw))
		for from := lo + len(line); from <= limit; {
			i := bytes.Index(raw[from:limit], line)
			if i < 0 {
				break
			}
			at := from + i
			q.copies = append(q.copies, schema.Span{Start: at + q.span.Start - lo,
				End: at + min(q.span.End-lo, len(line))})
			from = at + len(line)
		}
	}
}

func shared(a, b schema.Span) int { return max(0, min(a.End, b.End)-max(a.Start, b.Start)) }

// weight is how well a quantity read fits one said.
func (q *spoken) weight(s *schema.Said) float64 {
	spans := s.Spans
	if len(spans) == 0 {
		spans = []schema.Span{s.Span}
	}
	common := 0
	for _, p := range spans {
		common = max(common, shared(p, q.span))
		for _, c := range q.copies {
			common = max(common, shared(p, c))
		}
	}
	w := 0.0
	if common > 0 {
		hull := max(s.Span.End, q.span.End) - min(s.Span.Start, q.span.Start)
		w = 3 + float64(common)/float64(max(1, hull))
	}
	gap := min(abs(s.Span.Start-q.span.End), abs(q.span.Start-s.Span.End))
	if (common > 0 || gap < 120) && readEnds(&s.Quantity).same(q.ends()) {
		w += 2
	}
	return w
}

func abs(a int) int { return max(a, -a) }

// align pairs quantities read with quantities said, in order, for the most
// weight: for every one said the index of the one read, or -1.
func align(read []*schema.Said, said []*spoken) []int {
	n, m := len(read), len(said)
	const (
		skipRead = 1 + iota
		skipSaid
		pair
	)
	score := make([][]float64, n+1)
	move := make([][]uint8, n+1)
	for i := range score {
		score[i], move[i] = make([]float64, m+1), make([]uint8, m+1)
	}
	for i := 1; i <= n; i++ {
		for j := 1; j <= m; j++ {
			best, mv := score[i-1][j], uint8(skipRead)
			if score[i][j-1] > best {
				best, mv = score[i][j-1], skipSaid
			}
			if w := said[j-1].weight(read[i-1]); w > 0 && score[i-1][j-1]+w >= best {
				best, mv = score[i-1][j-1]+w, pair
			}
			score[i][j], move[i][j] = best, mv
		}
	}
	out := make([]int, m)
	for j := range out {
		out[j] = -1
	}
	for i, j := n, m; i > 0 && j > 0; {
		switch move[i][j] {
		case pair:
			out[j-1] = i - 1
			i--
			j--
		case skipRead:
			i--
		default:
			j--
		}
	}
	return out
}

// tally counts the outcomes of one or many files.
type tally struct {
	said, right, wrong, open, hit, missed [classes]int

	extra, nonquantity int

	ratings []rating
}

// rating is a confidence and whether what it was given to was right.
type rating struct {
	p     float64
	right bool
}

func (t *tally) add(u *tally) {
	for c := range classes {
		t.said[c] += u.said[c]
		t.right[c] += u.right[c]
		t.wrong[c] += u.wrong[c]
		t.open[c] += u.open[c]
		t.hit[c] += u.hit[c]
		t.missed[c] += u.missed[c]
	}
	t.extra += u.extra
	t.nonquantity += u.nonquantity
	t.ratings = append(t.ratings, u.ratings...)
}

func sum(a [classes]int) int { return a[classIntact] + a[classGarbled] + a[classUnclear] }

// bin is a range of confidence, with what was given such confidence.
type bin struct {
	from, to       float64
	n, mean, right float64 // how many, their mean confidence, the share that was right
}

// bins sorts the ratings into ranges of confidence by their rising edges.
func (t *tally) bins(edges ...float64) []bin {
	out := make([]bin, len(edges)-1)
	for i := range out {
		b := bin{from: edges[i], to: edges[i+1]}
		for _, r := range t.ratings {
			if r.p >= b.from && (r.p < b.to || i == len(out)-1) {
				b.n++
				b.mean += r.p
				if r.right {
					b.right++
				}
			}
		}
		if b.n > 0 {
			b.mean /= b.n
			b.right /= b.n
		}
		out[i] = b
	}
	return out
}

// calibrationError is the expected calibration error over ten bins.
func (t *tally) calibrationError() float64 {
	e := 0.0
	for _, b := range t.bins(0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1) {
		e += b.n * math.Abs(b.mean-b.right)
	}
	return e / math.Max(1, float64(len(t.ratings)))
}

// brier is the mean squared error of the confidences.
func (t *tally) brier() float64 {
	e := 0.0
	for _, r := range t.ratings {
		if r.right {
			e += (1 - r.p) * (1 - r.p)
		} else {
			e += r.p * r.p
		}
	}
	return e / math.Max(1, float64(len(t.ratings)))
}

// score compares what was read of a file with its truth.
func score(t *truth, raw []byte, quantities []schema.Said) *tally {
	t.place(raw)
	read := make([]*schema.Said, len(quantities))
	for i := range quantities {
		read[i] = &quantities[i]
	}
	sort.SliceStable(read, func(i, j int) bool {
		a, b := read[i].Span, read[j].Span
		return a.Start < b.Start || a.Start == b.Start && a.End < b.End
	})
	partner := align(read, t.Quantities)
	used := make([]bool, len(read))
	for _, i := range partner {
		if i >= 0 {
			used[i] = true
		}
	}
	out := &tally{}
	for j, q := range t.Quantities {
		c := q.class()
		out.said[c]++
		i := partner[j]
		if i < 0 {
			out.missed[c]++
			continue
		}
		s, want := read[i], q.ends()
		right := readEnds(&s.Quantity).same(want)
		if !right && q.Low != nil && i+1 < len(read) { // 50/60 Hz said as two values
			a, b := readEnds(&s.Quantity), readEnds(&read[i+1].Quantity)
			if a.kind == want.kind && b.kind == want.kind && alike(a.low, want.low) && alike(b.top, want.top) {
				right = true
				used[i+1] = true
			}
		}
		out.ratings = append(out.ratings, rating{s.Confidence, right})
		switch {
		case s.Status != schema.StatusOpen && right:
			out.right[c]++
		case s.Status != schema.StatusOpen:
			out.wrong[c]++
		default:
			out.open[c]++
			among := right
			for _, r := range s.Readings[:min(3, len(s.Readings))] {
				among = among || readEnds(&r.Quantity).same(want)
			}
			if among {
				out.hit[c]++
			}
		}
	}
	for i, s := range read {
		if used[i] {
			continue
		}
		out.extra++
		if s.Status == schema.StatusOpen {
			continue
		}
		if overNonquantity(t.Nonquantities, raw, s.Span) {
			out.nonquantity++
		}
	}
	return out
}

// overNonquantity reports whether a span touches words that are no quantity.
func overNonquantity(words []string, raw []byte, span schema.Span) bool {
	for _, s := range words {
		for from := 0; ; {
			i := bytes.Index(raw[from:], []byte(s))
			if i < 0 {
				break
			}
			if at := from + i; shared(span, schema.Span{Start: at, End: at + len(s)}) > 0 {
				return true
			}
			from += i + 1
		}
	}
	return false
}

// readTruth reads a truth file and the captions beside it.
func readTruth(name string) (*truth, []byte, error) {
	b, err := os.ReadFile(name)
	if err != nil {
		return nil, nil, err
	}
	t := &truth{}
	if err := json.Unmarshal(b, t); err != nil {
		return nil, nil, err
	}
	raw, err := os.ReadFile(filepath.Join(filepath.Dir(name), t.File))
	return t, raw, err
}
