package transcript

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"saywatt/extract/name"
	"saywatt/schema"
)

// Foreign says why a transcript is taken not to be English, "" where it may be:
// its head names another language, or its words plainly are of one. It is
// judged by function words, which every text has many of, against those of
// English (tables/functionwords.tsv, tables/language.tsv). A list of parts has
// hardly any of either, and counts as English.
func (t *Transcript) Foreign() string { return t.foreign }

// languages are what is known of languages; see tables/language.tsv.
type languages struct {
	names   []string
	of      map[string][]uint8 // indexes into names of a function word
	least   int
	share   float64
	lead    float64
	letters float64
	fewest  int
	few     float64
	some    int
	unknown float64
	short   int
	none    int
	tags    map[string]bool // that leave room for English
}

const english = "English"

var loadLanguages = sync.OnceValue(func() *languages {
	l := &languages{names: []string{english}, of: map[string][]uint8{}, tags: map[string]bool{"": true}}
	index := map[string]uint8{english: 0}
	for _, r := range schema.MustReadTable(tables, "tables/functionwords.tsv").Rows {
		name := r.Get("language")
		i, ok := index[name]
		if !ok {
			i = uint8(len(l.names))
			index[name] = i
			l.names = append(l.names, name)
		}
		l.of[r.Get("word")] = append(l.of[r.Get("word")], i)
	}
	for _, r := range schema.MustReadTable(tables, "tables/language.tsv").Rows {
		if r.Get("limit") == "tag" {
			l.tags[r.Get("value")] = true
			continue
		}
		v, err := strconv.ParseFloat(r.Get("value"), 64)
		if err != nil {
			panic(err)
		}
		switch r.Get("limit") {
		case "least":
			l.least = int(v)
		case "share":
			l.share = v
		case "lead":
			l.lead = v
		case "letters":
			l.letters = v
		case "fewest":
			l.fewest = int(v)
		case "few":
			l.few = v
		case "some":
			l.some = int(v)
		case "unknown":
			l.unknown = v
		case "short":
			l.short = int(v)
		case "none":
			l.none = int(v)
		}
	}
	return l
})

// languageBytes bounds how much of a text its language is judged by: some six
// thousand words.
const languageBytes = 32 << 10

// tellLanguage notes a text that is not English.
func (b *builder) tellLanguage() {
	b.closeCue()
	t := b.t
	if named := strings.TrimSpace(t.Language); !isEnglish(named) {
		t.foreign = fmt.Sprintf("its head says %q", named)
	} else {
		t.foreign = loadLanguages().judge(t.Text[:min(len(t.Text), languageBytes)])
	}
	if t.foreign != "" {
		b.whole(fmt.Errorf("%w: %s", ErrLanguage, t.foreign))
	}
}

// isEnglish reports whether a language tag (BCP 47) or name leaves room for
// English: it is none, is English, or says that nobody knows.
func isEnglish(tag string) bool {
	tag, _, _ = strings.Cut(strings.ToLower(strings.ReplaceAll(tag, "_", "-")), "-")
	return loadLanguages().tags[tag]
}

// judge says by the words of a text what language other than English it is in.
func (l *languages) judge(all []byte) string {
	text := all
	counts := make([]int, len(l.names))
	words, letters, other := 0, 0, 0
	var room [24]byte
	for len(text) > 0 {
		n, latin, strange := nextWord(text)
		if n == 0 {
			_, n = utf8.DecodeRune(text)
			text = text[n:]
			continue
		}
		word := text[:n]
		text = text[n:]
		words++
		letters += latin + strange
		if strange > 1 { // a single one is a sign: µ, Ω
			other += strange
		}
		if n > len(room) {
			continue
		}
		in, ok := l.of[string(word)]
		switch {
		case ok:
		case isUpper(word[0]):
			lower := append(room[:0], word...)
			lower[0] |= 0x20
			in = l.of[string(lower)]
		case word[0] >= utf8.RuneSelf:
			in = l.of[string(bytes.ToLower(word))]
		}
		for _, i := range in {
			counts[i]++
		}
	}
	if letters >= l.fewest && float64(other) >= l.letters*float64(letters) {
		return "most of its letters are not Latin"
	}
	best := 0
	for i := range counts[1:] {
		if counts[i+1] > counts[best] || best == 0 {
			best = i + 1
		}
	}
	share, english := float64(counts[best])/float64(words), float64(counts[0])/float64(words)
	enough := words >= l.least || words >= l.short && counts[0] == 0 && counts[best] >= l.none
	if enough && share >= l.share && share >= l.lead*english {
		return fmt.Sprintf("its words look %s", l.names[best])
	}
	if english < l.few && l.mostUnknown(all) {
		return "most of its words are not English"
	}
	return ""
}

// mostUnknown reports whether most words of a text are in no list of English
// words. Those in capitals are names and marks of parts.
func (l *languages) mostUnknown(text []byte) bool {
	words, unknown := 0, 0
	for len(text) > 0 {
		n, _, _ := nextWord(text)
		if n == 0 {
			_, n = utf8.DecodeRune(text)
		} else if word := text[:n]; inSmallLetters(word) {
			words++
			if name.Common(string(word)) == 0 {
				unknown++
			}
		}
		text = text[n:]
	}
	return words >= l.some && float64(unknown) >= l.unknown*float64(words)
}

// inSmallLetters reports whether a word has three bytes or more and no capital.
func inSmallLetters(word []byte) bool {
	const shortest = 3 // shorter ones may be units
	return len(word) >= shortest && !bytes.ContainsFunc(word, unicode.IsUpper)
}

func isUpper(c byte) bool { return 'A' <= c && c <= 'Z' }

// nextWord returns the length of the word at the start of text, and how many of
// its letters are Latin and how many of other scripts.
func nextWord(text []byte) (n, latin, other int) {
	for n < len(text) {
		c := text[n]
		if isLetter(c) {
			latin++
			n++
			continue
		}
		if c < utf8.RuneSelf {
			return n, latin, other
		}
		r, size := utf8.DecodeRune(text[n:])
		switch {
		case !unicode.IsLetter(r) && !unicode.IsMark(r):
			return n, latin, other
		case r < 0x250 && r != 'µ' || r >= 0x1E00 && r < 0x1F00:
			latin++
		default:
			other++
		}
		n += size
	}
	return n, latin, other
}
