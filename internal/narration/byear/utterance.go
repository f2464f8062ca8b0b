package byear

import (
	"fmt"
	"strings"
	"unicode"

	"saywatt/internal/narration"
)

// Word is one word said.
type Word struct {
	Text string
	Mark int // of the narration as said, -1 none
}

// Utterance is what the voice says and the recogniser writes at once.
type Utterance struct {
	Paragraph int
	Words     []Word
	Voice     string // the words as the voice is given them, with pauses
}

// Reading is a narration read aloud.
type Reading struct {
	Voice, Stretch string // of flite
	Digits         bool   // numbers are written in digits
	Utterances     []Utterance
	said           *narration.Narration
}

// Aloud reads a narration: what was said, garbles undone, names as they are meant.
func Aloud(n *narration.Narration) (*Reading, error) {
	if n.ByEar() {
		return nil, fmt.Errorf("%s: it was written by ear already", n.Name)
	}
	named, err := withNames(n)
	if err != nil {
		return nil, err
	}
	said := named.Said()
	m := newManner(n.Name)
	r := &Reading{Voice: m.voice, Stretch: m.stretch, Digits: m.digits, said: said}
	if !strings.ContainsFunc(n.Text, unicode.IsLower) { // capitals say nothing there
		said.Text = strings.Map(asciiLower, said.Text)
	}
	paragraph, at, next := 0, 0, 0
	for text := range strings.SplitAfterSeq(said.Text, "\n\n") {
		var words []Word
		words, next = m.words(said, at, at+len(text), next)
		at += len(text)
		if us := cut(words); len(us) > 0 {
			for i := range us {
				us[i].Paragraph = paragraph
			}
			r.Utterances = append(r.Utterances, us...)
			paragraph++
		}
	}
	return r, nil
}

// withNames returns the narration with a mark on every name of its head's line
// "heard": the words written differ from those that the line lists.
func withNames(n *narration.Narration) (*narration.Narration, error) {
	names, err := n.Names()
	if err != nil {
		return nil, err
	}
	out := *n
	out.Marks = nil
	k := 0
	for _, s := range names {
		for k < len(n.Marks) && n.Marks[k].Start < s.Start {
			out.Marks = append(out.Marks, n.Marks[k])
			k++
		}
		last := len(out.Marks) - 1
		if k < len(n.Marks) && n.Marks[k].Start < s.End || last >= 0 && out.Marks[last].End > s.Start {
			continue // it is marked, or part of a mark
		}
		out.Marks = append(out.Marks, narration.Mark{Kind: narration.MarkName, Start: s.Start, End: s.End,
			Name: s.Meant, Slot: s.Type})
	}
	out.Marks = append(out.Marks, n.Marks[k:]...)
	return &out, nil
}

// asciiLower makes a letter of A to Z small: no other changes the text's length.
func asciiLower(r rune) rune {
	if r >= 'A' && r <= 'Z' {
		r |= 0x20
	}
	return r
}

// words returns the words and pauses of bytes [from, to), whose marks begin at k,
// and the mark behind them.
func (m *manner) words(n *narration.Narration, from, to, k int) ([]Word, int) {
	var out []Word
	add := func(words []string, mark int) {
		for _, w := range words {
			out = append(out, Word{w, mark})
		}
	}
	for ; k < len(n.Marks) && n.Marks[k].Start < to; k++ {
		mark := &n.Marks[k]
		add(m.text(nil, n.Text[from:mark.Start]), -1)
		add(m.mark(mark, n.Text[mark.Start:mark.End]), k)
		from = mark.End
	}
	add(m.text(nil, n.Text[min(from, to):to]), -1)
	return out, k
}

// The lengths, in words, from which on an utterance ends at the end of a sentence,
// behind so many at a comma, and anywhere but inside a mark. A recogniser does
// best on short ones, and badly on single words.
const (
	leastSentence = 4
	longClause    = 14
	longUtterance = 22
)

// cut cuts the words of a paragraph into utterances.
func cut(words []Word) []Utterance {
	var out []Utterance
	var now Utterance
	var voice strings.Builder
	flush := func() {
		now.Voice = voice.String() + pauseFull
		out = append(out, now)
		now = Utterance{}
		voice.Reset()
	}
	for i, w := range words {
		n := len(now.Words)
		switch {
		case pause(w.Text) && n == 0:
		case w.Text == pauseFull && n >= leastSentence, w.Text == pauseShort && n > longClause:
			flush()
		case pause(w.Text):
			voice.WriteString(pauseShort)
		default:
			if n > 0 {
				voice.WriteByte(' ')
			}
			voice.WriteString(forVoice(w.Text))
			now.Words = append(now.Words, w)
			last := i+1 == len(words) || words[i+1].Mark != w.Mark
			if n+1 >= longUtterance && (w.Mark < 0 || last) {
				flush()
			}
		}
	}
	if len(now.Words) > 0 {
		flush()
	}
	return out
}

// forVoice writes a lone letter as a capital, which is read by its name; "a" is
// the article.
func forVoice(word string) string {
	if len(word) == 1 && word != "a" {
		return strings.ToUpper(word)
	}
	return word
}
