package byear

import (
	"fmt"
	"slices"
	"strings"

	"saywatt/extract/sound"
	"saywatt/internal/narration"
)

// What the head of a narration written by ear says of it.
const (
	mannerWords = "read by a synthesiser and written by a weak general recogniser, lower case, no punctuation, " +
		"numbers as "
	voiceHead  = "synthetic voice" // narration.Narration.ByEar asks for it
	form       = "vtt"
	garble     = "sound"
	nameEnding = "-spoken"
)

// Write makes the narration of what was heard: the words of each utterance.
func (r *Reading) Write(m *sound.Model, heard [][]string) (*narration.Narration, error) {
	if len(heard) != len(r.Utterances) {
		return nil, fmt.Errorf("%s: %d utterances heard of %d", r.said.Name, len(heard), len(r.Utterances))
	}
	w := writer{Reading: r, said: r.wordsOfMarks()}
	w.out = *r.said
	w.out.Name += nameEnding
	w.out.Head = r.head()
	w.out.Marks = nil
	paragraph := 0
	var words []Word
	for i := range r.Utterances {
		u := &r.Utterances[i]
		if u.Paragraph != paragraph {
			w.paragraph(words)
			words, paragraph = nil, u.Paragraph
		}
		words = append(words, u.written(m, heard[i])...)
	}
	w.paragraph(words)
	w.out.Text = w.text.String()
	return &w.out, nil
}

// head is the head of the narration written.
func (r *Reading) head() map[string]string {
	head := map[string]string{}
	for k, v := range r.said.Head {
		if k != "heard" { // of names that are marked now
			head[k] = v
		}
	}
	head["manner"] = mannerWords + "words"
	if r.Digits {
		head["manner"] = mannerWords + "digits"
	}
	head["form"], head["speaker"] = form, voiceHead
	return head
}

// wordsOfMarks returns the words said of each mark, as they are written.
func (r *Reading) wordsOfMarks() [][]string {
	out := make([][]string, len(r.said.Marks))
	for i := range r.Utterances {
		for _, w := range r.Utterances[i].Words {
			if w.Mark >= 0 {
				out[w.Mark] = append(out[w.Mark], w.Text)
			}
		}
	}
	if r.Digits {
		for i := range out {
			out[i] = inDigits(out[i])
		}
	}
	return out
}

// written returns the words heard, each with the mark of the word said that it
// stands for. One that stands for none has the mark of its neighbours, where both
// have the same.
func (u *Utterance) written(m *sound.Model, heard []string) []Word {
	said := make([]string, len(u.Words))
	for i := range u.Words {
		said[i] = u.Words[i].Text
	}
	at := align(m, said, heard)
	out := make([]Word, len(heard))
	before := -1 // mark of the last word that stands for one
	for i := 0; i < len(heard); {
		if at[i] >= 0 {
			before = u.Words[at[i]].Mark
			out[i] = Word{heard[i], before}
			i++
			continue
		}
		end, behind := i, -1
		for end < len(heard) && at[end] < 0 {
			end++
		}
		if end < len(heard) {
			behind = u.Words[at[end]].Mark
		}
		if behind != before {
			behind = -1
		}
		for ; i < end; i++ {
			out[i] = Word{heard[i], behind}
		}
	}
	return out
}

// writer builds the text with its marks.
type writer struct {
	*Reading
	said [][]string // words of each mark
	out  narration.Narration
	text strings.Builder
}

// paragraph writes the words of a paragraph.
func (w *writer) paragraph(words []Word) {
	if len(words) == 0 {
		return
	}
	if w.text.Len() > 0 {
		w.text.WriteByte('\n')
	}
	for i := 0; i < len(words); {
		if i > 0 {
			w.text.WriteByte(' ')
		}
		mark := words[i].Mark
		var run []string
		for ; i < len(words) && words[i].Mark == mark; i++ {
			run = append(run, words[i].Text)
		}
		if w.Digits {
			run = inDigits(run)
		}
		start := w.text.Len()
		w.text.WriteString(strings.Join(run, " "))
		if mark >= 0 {
			w.mark(mark, run, start)
		}
	}
	w.text.WriteByte('\n')
}

// mark puts a mark on the words from start to the end of the text.
func (w *writer) mark(mark int, shown []string, start int) {
	m := w.Reading.said.Marks[mark]
	m.Start, m.End = start, w.text.Len()
	m.Garble, m.Unclear = "", false
	number := hasNumeral(shown)
	switch m.Kind {
	case narration.MarkQuantity:
		if !slices.Equal(shown, w.said[mark]) {
			m.Garble, m.Unclear = garble, !number
		}
	case narration.MarkNumber:
		if !number {
			return
		}
	}
	w.out.Marks = append(w.out.Marks, m)
}
