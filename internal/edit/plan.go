package edit

import (
	"bytes"
	"errors"
	"strings"

	"saywatt/extract/transcript"
	"saywatt/schema"
)

// errEmpties is why a change cannot be made.
var errEmpties = errors.New("a caption line would be left without words")

// A swap replaces a stretch of Transcript.Text that lies on one line.
type swap struct {
	span  schema.Span
	after string
}

// A run is old words [i,j) that give way to new words [k,l).
type run struct{ i, j, k, l int }

// plan turns old words, which stand in text, into new ones. Each swap lies on
// one line of the text. span is what the change covers, punctuation that moves
// along with the last word included.
func plan(text []byte, before, after []word) (swaps []swap, err error) {
	for _, r := range differ(before, after) {
		s, err := planRun(text, before, after, r)
		if err != nil {
			return nil, err
		}
		swaps = append(swaps, s...)
	}
	for i := 1; i < len(swaps); i++ {
		if swaps[i].span.Overlaps(swaps[i-1].span) { // new words before and behind the same old one
			return planRun(text, before, after, run{0, len(before), 0, len(after)})
		}
	}
	return swaps, nil
}

// commonAfter is the table of a longest common subsequence: how many words the
// ends of a and b, from i and j on, have in common.
func commonAfter(a, b []word) [][]int {
	common := make([][]int, len(a)+1)
	for i := range common {
		common[i] = make([]int, len(b)+1)
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if a[i].text == b[j].text {
				common[i][j] = common[i+1][j+1] + 1
			} else {
				common[i][j] = max(common[i+1][j], common[i][j+1])
			}
		}
	}
	return common
}

// differ lists the runs of words that a longest common subsequence leaves out.
func differ(a, b []word) []run {
	n, m := len(a), len(b)
	common := commonAfter(a, b)
	var runs []run
	i, j := 0, 0
	same := func() bool { return i < n && j < m && a[i].text == b[j].text }
	for i < n || j < m {
		from := run{i: i, k: j}
		for (i < n || j < m) && !same() {
			if j == m || i < n && common[i+1][j] >= common[i][j+1] {
				i++
			} else {
				j++
			}
		}
		if from.j, from.l = i, j; from.i < i || from.k < j {
			runs = append(runs, from)
		}
		for same() {
			// The blank before a word belongs to the word: "3am" and "3 amps".
			if i > 0 && j > 0 && a[i].glued != b[j].glued && (len(runs) == 0 || runs[len(runs)-1].j != i) {
				runs = append(runs, run{i, i + 1, j, j + 1})
			}
			i, j = i+1, j+1
		}
	}
	return runs
}

func planRun(text []byte, before, after []word, r run) ([]swap, error) {
	words := join(after[r.k:r.l])
	if r.i == r.j { // new words only: they join the word before, or else the one behind
		switch {
		case r.i > 0:
			w := before[r.i-1]
			sep := " "
			if after[r.k].glued {
				sep = ""
			}
			return []swap{{w.span, w.text + sep + words}}, nil
		default:
			w := before[0]
			return []swap{{w.span, words + " " + w.text}}, nil
		}
	}
	lines := splitLines(text, before[r.i:r.j])
	first := lines[0]
	if r.k < r.l && r.i > 0 { // the blank between this run and the words before it
		switch had, want := before[r.i].glued, after[r.k].glued; {
		case had && !want:
			words = " " + words
		case !had && want && sameLine(text, before[r.i-1].span.End, first.Start):
			first.Start = before[r.i-1].span.End
		}
	}
	if r.j < len(before) && r.l < len(after) && r.k < r.l { // and between it and those behind
		switch had, want := before[r.j].glued, after[r.l].glued; {
		case had && !want:
			words += " "
		case !had && want && len(lines) == 1 && sameLine(text, first.End, before[r.j].span.Start):
			first.End = before[r.j].span.Start
		}
	}
	lines[0] = first
	return placeLines(text, lines, words, r.j == len(before))
}

// placeLines puts words on the first of the lines and takes the old ones off
// the others; last says that nothing of the change follows.
func placeLines(text []byte, lines []schema.Span, words string, last bool) ([]swap, error) {
	if words == "" {
		return dropAll(text, lines)
	}
	if len(lines) == 1 {
		return []swap{{lines[0], words}}, nil
	}
	var swaps []swap
	for _, l := range lines[1:] {
		d, moved, ok := drop(text, l)
		if !ok {
			return placeLast(text, lines, words)
		}
		if moved != "" && last {
			words += moved
		} else if moved != "" {
			d.Start, d.End = l.Start, l.End
		}
		swaps = append(swaps, swap{d, ""})
	}
	return append([]swap{{lines[0], words}}, swaps...), nil
}

// placeLast puts words on the last of the lines instead.
func placeLast(text []byte, lines []schema.Span, words string) ([]swap, error) {
	end := len(lines) - 1
	swaps, err := dropAll(text, lines[:end])
	if err != nil {
		return nil, err
	}
	return append(swaps, swap{lines[end], words}), nil
}

func dropAll(text []byte, lines []schema.Span) ([]swap, error) {
	var swaps []swap
	for _, l := range lines {
		d, moved, ok := drop(text, l)
		if !ok {
			return nil, errEmpties
		}
		if moved != "" {
			d = l
		}
		swaps = append(swaps, swap{d, ""})
	}
	return swaps, nil
}

// drop widens a stretch to be taken off its line by the blank beside it. moved
// is punctuation behind it that would be left at the head of the line, the
// stretch then takes it in. ok is false where nothing would stay on the line.
func drop(text []byte, l schema.Span) (d schema.Span, moved string, ok bool) {
	from, to := lineAround(text, l)
	head, tail := text[from:l.Start], text[l.End:to]
	d = l
	atHead := len(bytes.TrimSpace(head)) == 0
	if atHead {
		rest := bytes.TrimLeft(tail, ".,;:!?")
		if moved = string(tail[:len(tail)-len(rest)]); moved != "" {
			if len(rest) > 0 && rest[0] != ' ' { // ".5": no punctuation but part of what follows
				moved, rest = "", tail
			}
		}
		if len(bytes.TrimSpace(rest)) == 0 {
			return d, "", false
		}
		d.End = to - len(bytes.TrimLeft(rest, " \t"))
		return d, moved, true
	}
	d.Start = from + len(bytes.TrimRight(head, " \t"))
	return d, "", true
}

// lineAround returns the line that holds a stretch.
func lineAround(text []byte, l schema.Span) (from, to int) {
	from = bytes.LastIndexByte(text[:l.Start], '\n') + 1
	to = len(text)
	if n := bytes.IndexByte(text[l.End:], '\n'); n >= 0 {
		to = l.End + n
	}
	return from, to
}

// splitLines returns the stretch of each line that words stand on.
func splitLines(text []byte, words []word) []schema.Span {
	lines := []schema.Span{words[0].span}
	for _, w := range words[1:] {
		l := &lines[len(lines)-1]
		if sameLine(text, l.End, w.span.Start) {
			l.End = w.span.End
		} else {
			lines = append(lines, w.span)
		}
	}
	return lines
}

func sameLine(text []byte, from, to int) bool {
	return bytes.IndexByte(text[from:to], '\n') < 0
}

// edits turns swaps into edits of the source, wherever the words are shown.
// Of an occurrence's pieces the first takes the new words.
func edits(t *transcript.Transcript, swaps []swap) []Edit {
	var all []Edit
	for _, s := range swaps {
		for _, o := range t.Occurrences(s.span) {
			for i, p := range o.Pieces {
				e := Edit{Span: p.Source, Before: t.Source[p.Source.Start:p.Source.End]}
				if i == 0 {
					e.After = encode(t, s.after)
				}
				if string(e.Before) != string(e.After) {
					all = append(all, e)
				}
			}
		}
	}
	return all
}

// escapes of text in marked-up formats (WebVTT 1, 6.4; XML 1.0, 2.4).
var escapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

// encode writes words as the file writes text.
func encode(t *transcript.Transcript, words string) []byte {
	if t.Format == transcript.FormatVTT || t.Format == transcript.FormatTTML {
		words = escapes.Replace(words)
	}
	if t.Format == transcript.FormatJSON {
		words = jsonEscapes.Replace(words)
	}
	return inEncoding(t, words)
}
