package extract

// spokenWord is a word of the text, as the features see it.
type spokenWord struct {
	token int32
	memo  int32 // number of the word in the memo
}

// paragraph is where a paragraph begins.
type paragraph struct {
	token int32
	word  int32 // its first spoken word
}

// speak lists the words of the text, and the paragraphs.
func (o *observer) speak() {
	n := 0
	for i := range o.tokens {
		if o.tokens[i].Kind == TokenWord {
			n++
		}
	}
	o.spoken = make([]spokenWord, 0, n)
	o.paras = append(o.paras, paragraph{})
	for i := range o.tokens {
		switch t := &o.tokens[i]; t.Kind {
		case TokenPara:
			o.paras = append(o.paras, paragraph{int32(i) + 1, int32(len(o.spoken))})
		case TokenWord:
			o.spoken = append(o.spoken, spokenWord{int32(i), o.memo.word(o.folded[t.Start:t.End])})
		}
	}
}

// reach goes on to a mention; they come in the order of the text.
func (o *observer) reach(m *Mention) {
	for o.at < len(o.spoken) && o.spoken[o.at].token < m.First {
		o.at++
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
		o.Put(wordPrefixes[f], o.fold(w))
		return
	}
	row := &o.memo.words[w.memo].rows[f]
	if *row == 0 {
		*row = 2 + o.Row(wordPrefixes[f], o.fold(w))
	}
	o.add(*row)
}

// putWordKind adds a feature of a spoken word with the kind of quantity.
func (o *observer) putWordKind(f int, w *spokenWord, kind string, no int32) {
	if o.Name != nil {
		o.Put(wordKindPrefixes[f], o.fold(w), " ", kind)
		return
	}
	row := o.memo.wordKind(w.memo, no, f)
	if *row == 0 {
		*row = 2 + o.Row(wordKindPrefixes[f], o.fold(w), " ", kind)
	}
	o.add(*row)
}

// add adds a row as a memo has it.
func (o *observer) add(row int32) {
	if row > 1 {
		o.Rows = append(o.Rows, row-2)
	}
}

func (o *observer) fold(w *spokenWord) string {
	t := &o.tokens[w.token]
	return o.folded[t.Start:t.End]
}

// addBefore adds the words before the mention, a mention among them by its
// kind.
func (o *observer) addBefore(m *Mention, kind string, no int32) {
	breath, first := o.breath[m.First], int(o.paras[0].word)
	sentence := o.at > 0 && o.breath[o.spoken[o.at-1].token] == breath
	if !sentence && o.begins[breath] > 0 {
		o.Put("starts ", kind)
	}
	for n := 1; n <= wordsBefore && o.at-n >= first; n++ {
		w := &o.spoken[o.at-n]
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
		if n <= 6 {
			o.putWordKind(wordKindClose, w, kind, no)
		}
	}
}

// addBehind adds the words behind the mention in its sentence.
func (o *observer) addBehind(m *Mention, kind string, no int32) {
	breath, at := o.breath[m.First], o.at
	for at < len(o.spoken) && o.spoken[at].token < m.Last {
		at++
	}
	if at == len(o.spoken) || o.breath[o.spoken[at].token] != breath {
		if next := int(breath) + 1; next < len(o.begins) && o.end > max(m.Last, o.begins[next]) {
			o.Put("ends ", kind)
		}
		return
	}
	for n := 1; n <= wordsBehind && at < len(o.spoken); n++ {
		w := &o.spoken[at]
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
	if p.token < m.First && o.words[m.First]-o.words[p.token] >= headingReach {
		return
	}
	for k := p.word; k < p.word+headingWords && int(k) < o.at; k++ {
		o.putWord(wordHeading, &o.spoken[k])
	}
}
