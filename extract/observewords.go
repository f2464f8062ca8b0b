package extract

import (
	"slices"

	"saywatt/schema"
)

// spokenWord is a word of the text, as the features see it.
type spokenWord struct {
	text  string // folded, or the mark of a kind of quantity
	token int32
	memo  int32 // number of the word in the memo
}

// paragraph is where a paragraph begins.
type paragraph struct {
	token int32
	word  int32 // its first spoken word
}

// speak lists the words of the text, and the paragraphs. Around a mention, others
// stand by their kind, however they are said, and small talk is left out.
func (o *observer) speak() {
	n := 0
	for i := range o.tokens {
		if o.tokens[i].Kind == TokenWord {
			n++
		}
	}
	o.spoken = slices.Grow(o.memo.room.spoken[:0], n)
	o.around = slices.Grow(o.memo.room.around[:0], n)
	until := int32(0)
	o.paras = append(o.paras, paragraph{})
	for i := range o.tokens {
		switch t := &o.tokens[i]; t.Kind {
		case TokenPara:
			o.paras = append(o.paras, paragraph{int32(i) + 1, int32(len(o.spoken))})
		case TokenWord:
			o.spoken = append(o.spoken, o.word(i, o.said(t)))
		}
		if int32(i) < until || o.tells[o.breath[i]] < 0 {
			continue
		}
		if k := o.in[i]; k > 0 {
			m := &o.d.Mentions[k-1]
			o.around = append(o.around, o.word(i, kindMarks()[kindName(m)]))
			until = m.Last
			if next, ok := o.peakToPeak(o.skipBreak(int(until)), 1); ok && m.Qualifier == schema.QualifierPeakToPeak {
				until = int32(next) // part of the quantity
			}
		} else if o.tokens[i].Kind == TokenWord {
			o.around = append(o.around, o.spoken[len(o.spoken)-1])
		}
	}
}

func (o *observer) word(token int, text string) spokenWord {
	return spokenWord{text, int32(token), o.memo.word(text)}
}

// reach goes on to a mention; they come in the order of the text.
func (o *observer) reach(m *Mention) {
	for o.at < len(o.spoken) && o.spoken[o.at].token < m.First {
		o.at++
	}
	for o.near < len(o.around) && o.around[o.near].token < m.First {
		o.near++
	}
	for len(o.paras) > 1 && o.paras[1].token <= m.First {
		o.paras = o.paras[1:]
	}
}

// The features of a word, and those of a word with the kind of quantity, each
// the begin of its name.
const (
	wordFirstBefore  = iota // "b1:"
	wordSecondBefore        // "b2:"
	wordSentence            // "s:", before the mention in its sentence
	wordThen                // "t:", in a sentence before
	wordFirstBehind         // "a1:"
	wordSecondBehind        // "a2:"
	wordBehind              // "a:"
	wordHeading             // "h:"
	wordFeatures
)

const (
	wordKindFirstBefore = iota // "b1:"
	wordKindClose              // "c:", among the last before it
	wordKindFirstBehind        // "a1:"
	wordKindFeatures
)

var (
	wordPrefixes     = [wordFeatures]string{"b1:", "b2:", "s:", "t:", "a1:", "a2:", "a:", "h:"}
	wordKindPrefixes = [wordKindFeatures]string{"b1:", "c:", "a1:"}
)

// putWord adds a feature of a spoken word.
func (o *observer) putWord(f int, w *spokenWord) {
	if o.Name != nil {
		o.Put(wordPrefixes[f], w.text)
		return
	}
	row := &o.memo.words[w.memo].rows[f]
	if *row == 0 {
		*row = 2 + o.Row(wordPrefixes[f], w.text)
	}
	o.add(*row)
}

// putWordKind adds a feature of a spoken word with the kind of quantity.
func (o *observer) putWordKind(f int, w *spokenWord, kind string, no int32) {
	if o.Name != nil {
		o.Put(wordKindPrefixes[f], w.text, " ", kind)
		return
	}
	row := o.memo.wordKind(w.memo, no, f)
	if *row == 0 {
		*row = 2 + o.Row(wordKindPrefixes[f], w.text, " ", kind)
	}
	o.add(*row)
}

// add adds a row as a memo has it.
func (o *observer) add(row int32) {
	if row > 1 {
		o.Rows = append(o.Rows, row-2)
	}
}

// addBefore adds the words before the mention, a mention among them by its
// kind.
func (o *observer) addBefore(m *Mention, kind string, no int32) {
	breath, first := o.breath[m.First], o.paras[0].token
	sentence := o.near > 0 && o.breath[o.around[o.near-1].token] == breath
	if !sentence && o.begins[breath] > 0 {
		o.putKind(seenStarts, no, 0, "starts ", kind)
	}
	for n := 1; n <= int(o.x.window.wordsBefore) && n <= o.near && o.around[o.near-n].token >= first; n++ {
		w := &o.around[o.near-n]
		sentence = sentence && o.breath[w.token] == breath
		if n <= 2 {
			o.putWord(wordFirstBefore+n-1, w)
			if n == 1 && sentence {
				o.putWordKind(wordKindFirstBefore, w, kind, no)
			}
		}
		if sentence {
			o.putWord(wordSentence, w)
		} else {
			o.putWord(wordThen, w)
		}
		if n <= int(o.x.window.closeWords) {
			o.putWordKind(wordKindClose, w, kind, no)
		}
	}
}

// addBehind adds the words behind the mention in its sentence.
func (o *observer) addBehind(m *Mention, kind string, no int32) {
	breath, at := o.breath[m.First], o.near
	for at < len(o.around) && o.around[at].token < m.Last {
		at++
	}
	if at == len(o.around) || o.breath[o.around[at].token] != breath {
		if next := int(breath) + 1; next < len(o.begins) && o.end > max(m.Last, o.begins[next]) {
			o.putKind(seenEnds, no, 0, "ends ", kind)
		}
		return
	}
	for n := 1; n <= int(o.x.window.wordsBehind) && at < len(o.around); n++ {
		w := &o.around[at]
		if o.breath[w.token] != breath {
			break
		}
		if n <= 2 {
			o.putWord(wordFirstBehind+n-1, w)
			if n == 1 {
				o.putWordKind(wordKindFirstBehind, w, kind, no)
			}
		}
		o.putWord(wordBehind, w)
		at++
	}
}

// heading adds the words that the paragraph begins with.
func (o *observer) heading(m *Mention) {
	p := o.paras[0]
	if p.token < m.First && o.telling[m.First]-o.telling[p.token] >= o.x.window.headingReach {
		return
	}
	for k := p.word; k < p.word+o.x.window.headingWords && int(k) < o.at; k++ {
		o.putWord(wordHeading, &o.spoken[k])
	}
}
