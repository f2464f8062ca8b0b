package transcript

import (
	"bytes"
	"cmp"
	"slices"
	"time"
	"unicode"

	"saywatt/schema"
)

// The rolling rule. Captions roll when a cue shows again what the cue before
// it showed, with something new below; the package comment says it at length.
const (
	// rollLines is the most lines a rolling window holds; CEA-608 roll-up
	// captions have two to four.
	rollLines = 4
	// holdTime is the longest a cue can last that only holds the line just
	// finished, for about 10 ms, until the next begins. Nobody says a word in
	// so short a time.
	holdTime = 50 * time.Millisecond
	// rollGap is how long after the cue before a cue may start and still
	// carry its lines. A line that comes back after a pause was said again.
	rollGap = 100 * time.Millisecond
	// A run of carried cues is believed on its shape alone from freeRun cues
	// on, or from wholeRun where it makes up the whole file.
	freeRun  = 4
	wholeRun = 3
	// minProofs is how many holds or carried lines proved by word times a
	// file must have before its shorter runs are believed.
	minProofs = 2
)

// A carry says what one cue shows again, were the file to roll.
type carry struct {
	lines  uint8 // leading lines shown again; 0 where none
	kind   carryKind
	accept bool
}

type carryKind uint8

const (
	carryShape carryKind = iota // the lines fit, nothing more
	carryHold                   // too short to be said
	carryBuilt                  // word times on the new line only
	carryTail                   // all lines shown again, none with word times
)

// foldRolls takes out of the text the lines that rolling captions show again,
// and keeps their pieces as repeats of the line first shown.
func foldRolls(t *Transcript, traits []trait) {
	carries := findCarries(t, traits)
	if carries == nil || !acceptRuns(carries) {
		return
	}
	fold(t, carries)
}

// findCarries compares each cue with the last one before it that has words. It
// is nil where nothing is shown again.
func findCarries(t *Transcript, traits []trait) []carry {
	var carries []carry
	before := -1 // cue with words
	var shown, lines [rollLines][]byte
	shownN := 0
	for i := range t.Cues {
		c := &t.Cues[i]
		if c.Text.Empty() {
			continue
		}
		n := 0
		if traits[i].lines <= rollLines {
			n = splitLines(&lines, t.Text[c.Text.Start:c.Text.End])
		}
		if before >= 0 && shownN > 0 && n > 0 {
			if k, kind := carried(&t.Cues[before], c, traits[i], shown[:shownN], lines[:n]); k > 0 {
				if carries == nil {
					carries = make([]carry, len(t.Cues))
				}
				carries[i] = carry{lines: uint8(k), kind: kind}
			}
		}
		before = i
		shown, shownN = lines, n
	}
	return carries
}

// splitLines cuts text at "\n" and trims each line; the caller knows that
// there are no more than rollLines.
func splitLines(lines *[rollLines][]byte, text []byte) int {
	for n := range lines {
		end := bytes.IndexByte(text, '\n')
		if end < 0 {
			lines[n] = bytes.TrimSpace(text)
			return n + 1
		}
		lines[n] = bytes.TrimSpace(text[:end])
		text = text[end+1:]
	}
	return 0
}

// carried returns how many of c's leading lines are the last lines of the cue
// before, and what speaks for their being carried.
func carried(before, c *Cue, tr trait, shown, lines [][]byte) (k int, kind carryKind) {
	if c.Start < before.Start {
		return 0, 0
	}
	n := len(lines)
	close := c.Start <= before.End+rollGap
	if c.End-c.Start <= holdTime {
		if close && before.End-before.Start > holdTime && tr.stamped == 0 && overlap(shown, lines, n) == n {
			return n, carryHold
		}
		return 0, 0
	}
	if tr.stamped != 0 {
		// Word times on the last line only: it is being built up, and the
		// lines above it, having none, are not being said.
		if tr.stamped != 1<<(n-1) {
			return 0, 0
		}
		k = overlap(shown, lines, n-1)
		if k == n-1 {
			return k, carryBuilt
		}
		if close {
			return k, carryShape
		}
		return 0, 0
	}
	switch {
	case !close:
		return 0, 0
	case tr.blank && overlap(shown, lines, n) == n: // nothing new yet: the second line is empty
		return n, carryShape
	case overlap(shown, lines, n-1) > 0:
		return overlap(shown, lines, n-1), carryShape
	case overlap(shown, lines, n) == n && bytes.IndexByte(lines[n-1], ' ') > 0:
		return n, carryTail
	}
	return 0, 0
}

// overlap is the largest number of leading lines, at most most, that are the
// last of shown.
func overlap(shown, lines [][]byte, most int) int {
	for k := min(most, len(shown)); k > 0; k-- {
		if slices.EqualFunc(shown[len(shown)-k:], lines[:k], bytes.Equal) {
			return k
		}
	}
	return 0
}

// acceptRuns decides which carries are believed, run by run, and reports
// whether any is.
func acceptRuns(carries []carry) bool {
	var count [carryTail + 1]int
	for _, c := range carries {
		if c.lines > 0 {
			count[c.kind]++
		}
	}
	proved := count[carryHold]+count[carryBuilt] >= minProofs
	if count[carryBuilt] < minProofs {
		// Where the file does not give new lines word times, a line that comes
		// again as the whole of a cue was said again.
		for i := range carries {
			if carries[i].kind == carryTail {
				count[carryTail]--
				carries[i] = carry{}
			}
		}
	}
	carrying := count[carryShape] + count[carryHold] + count[carryBuilt] + count[carryTail]
	mostly := carrying*2 >= len(carries)
	any := false
	for i := 0; i < len(carries); {
		if carries[i].lines == 0 {
			i++
			continue
		}
		end, proof := i, false
		for end < len(carries) && carries[end].lines > 0 {
			proof = proof || carries[end].kind == carryHold || carries[end].kind == carryBuilt
			end++
		}
		n := end - i
		if proved && (proof || mostly) || n >= freeRun || n >= wholeRun && n == len(carries)-1 {
			any = true
			for ; i < end; i++ {
				carries[i].accept = true
			}
		}
		i = end
	}
	return any
}

// fold writes the text anew in place, without the lines carried.
func fold(t *Transcript, carries []carry) {
	f := folder{t: t, old: t.Text, oldPieces: t.pieces, oldStamps: t.stamps}
	t.Text, t.pieces, t.stamps = t.Text[:0], t.pieces[:0], t.stamps[:0]
	for i := range t.Cues {
		c := &t.Cues[i]
		from, to := c.Text.Start, c.Text.End
		c.Text = schema.Span{Start: len(t.Text), End: len(t.Text)}
		if from == to {
			continue
		}
		carry := 0
		if carries[i].accept {
			carry = int(carries[i].lines)
		}
		f.cue(i, from, to, carry)
	}
	slices.SortStableFunc(t.repeats, func(a, b repeat) int { return cmp.Compare(a.text.Start, b.text.Start) })
}

// A folder moves lines from the old text to the new, which overwrites it from
// the start and never catches up with it.
type folder struct {
	t         *Transcript
	old       []byte
	oldPieces []piece
	oldStamps []stamp
	shown     []schema.Span // lines of the cue before, in the new text
	now       []schema.Span
}

// cue moves the old text [from, to), whose first lines are carried.
func (f *folder) cue(i, from, to, carry int) {
	f.now = f.now[:0]
	carriedFrom := len(f.shown) - carry
	worded := false
	for line := 0; from < to; line++ {
		end := to
		if n := bytes.IndexByte(f.old[from:to], '\n'); n >= 0 {
			end = from + n
		}
		if line < carry {
			f.repeat(i, from, end, f.shown[carriedFrom+line])
		} else {
			at := f.move(from, end)
			if c := &f.t.Cues[i]; !worded {
				worded, c.Text.Start = true, at
			}
		}
		from = end + 1
	}
	f.t.Cues[i].Text.End = len(f.t.Text)
	if !worded {
		f.t.Cues[i].Text.Start = len(f.t.Text)
	}
	f.shown, f.now = f.now, f.shown
}

// move copies a line and returns where it now starts.
func (f *folder) move(from, end int) int {
	t := f.t
	if len(t.Text) > 0 {
		t.Text = append(t.Text, '\n')
	}
	at := len(t.Text)
	left := from + len(f.old[from:end]) - len(bytes.TrimLeftFunc(f.old[from:end], unicode.IsSpace))
	words := len(bytes.TrimSpace(f.old[from:end]))
	t.Text = append(t.Text, f.old[from:end]...)
	for _, p := range f.piecesTo(end) {
		p.text += int32(at - from)
		t.pieces = append(t.pieces, p)
	}
	for _, s := range f.stampsTo(end) {
		t.stamps = append(t.stamps, stamp{s.text + at - from, s.at})
	}
	f.now = append(f.now, schema.Span{Start: at + left - from, End: at + left - from + words})
	return at
}

// repeat notes that the line [from, end) of cue i shows origin again.
func (f *folder) repeat(i, from, end int, origin schema.Span) {
	t := f.t
	left := end - len(bytes.TrimLeftFunc(f.old[from:end], unicode.IsSpace))
	words := schema.Span{Start: left, End: left + origin.Len()}
	r := repeat{text: origin, cue: i, from: int32(len(t.again))}
	for _, p := range f.piecesTo(end) {
		text, src := p.cut(words)
		if text.Empty() {
			continue
		}
		t.again = append(t.again, piece{
			int32(text.Start + origin.Start - left), int32(src.Start), int32(text.Len()), int32(src.Len()),
		})
	}
	f.stampsTo(end)
	r.to = int32(len(t.again))
	t.repeats = append(t.repeats, r)
	f.now = append(f.now, origin)
}

// piecesTo takes the old pieces up to an old text offset.
func (f *folder) piecesTo(end int) []piece {
	n := 0
	for n < len(f.oldPieces) && int(f.oldPieces[n].text) < end {
		n++
	}
	taken := f.oldPieces[:n]
	f.oldPieces = f.oldPieces[n:]
	return taken
}

func (f *folder) stampsTo(end int) []stamp {
	n := 0
	for n < len(f.oldStamps) && f.oldStamps[n].text < end {
		n++
	}
	taken := f.oldStamps[:n]
	f.oldStamps = f.oldStamps[n:]
	return taken
}
