package extract

import (
	"cmp"
	"embed"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"saywatt/extract/sound"
	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

//go:embed tables/kinds.tsv
var kindsTable string

// class is what a word does in the grammar of numbers and joints.
type class uint8

const (
	classNone class = iota
	classDigitWord
	classTeen
	classTens
	classHundred
	classScale
	classDozen
	classPoint
	classFraction
	classRepeat
	classMinus
	classAnd
	classArticle
	classTo
	classDash
	classOr
	classBy
	classSlash
	classPlus
	classTolerance
	classAt
	classFrom
	classBetween
	classPer
	classEach
	classOf
	classStop
	classComma
	classColon
	classSemicolon
	classCurrency
	classMoney
	classNumberSign
	classCorrection
	classQualifier
	classUp
	classLeast
	classMost
	classThan
	classMore
	classLess
	classOrdinal
	classMonth
	classLabel
	classOrdinalSuffix
	classIn
	classOut
	classYearWord
	classIdiom
	classCode
	classVulgar
	classVague
	classNo
	classTilde
	classDots
	classUntil
	classFiller
)

// classNames is the one table of class names, in the order of the constants.
var classNames = []string{"", "digit", "teen", "tens", "hundred", "scale", "dozen", "point", "fraction", "repeat",
	"minus",
	"and", "article", "to", "dash", "or", "by", "slash", "plus", "tolerance", "at", "from", "between", "per", "each",
	"of",
	"stop", "comma", "colon", "semicolon", "currency", "money", "number_sign", "correction", "qualifier", "up", "least",
	"most", "than", "more", "less", "ordinal", "month", "label", "ordinal_suffix", "in", "out", "year_word", "idiom",
	"code", "vulgar", "vague", "no",
	"tilde", "dots", "until", "filler"}

// entry is what the lexicon knows of one word.
type entry struct {
	text      string
	class     class
	value     int32
	qualifier schema.Qualifier
	prefix    unitPart
	base      unitPart
	hour      unitPart
	whole     unitPart
	power     unitPart    // square, cubic
	below     schema.Unit // where it stands below per: "watts a cube"
	symbols   []spelling  // unit symbols that fold to this word
}

// unitPart is one way for a word to be part of a unit.
type unitPart struct {
	code   string // UCUM prefix, atom or code; "" where the word is no such part
	manner Manner
	count  int32 // how often captions showed this word for it
	known  bool  // the code alone is a unit of the table
}

// Manner says how a unit was written.
type Manner uint8

// The manners.
const (
	MannerNone  Manner = iota
	MannerSaid         // an ordinary form: volts, mAh
	MannerShort        // a short form that is a unit only after a number: V, m, K, micro
	MannerHeard        // another word shown for the unit: bolts, million hours
)

var mannerNames = []string{"", "said", "short", "heard"}

// Lexicon holds the words, unit forms and phrases the scanner and the grammar
// know. It is made once from embedded tables and never changes.
type Lexicon struct {
	reach      *reaches
	bound      *bounds
	length     *lengths
	window     *windows
	letters    []letterCode
	marked     []markedPart
	compounds  []compound
	tolerances string // letters of tolerances, capitals
	entries    []entry
	slots      []wordSlot // open addressing
	mask       uint32
	units      phrases // values index unitPhrases
	per        phrases // that stand for per
	unitPhr    []unitPart
	ear        sounds // numbers and units by their sound
	talk       int32  // the words from here on are those of the cue tables
	joined     joinedUnits
	correct    phrases // words that take a number back
	goOn       phrases // and words that may follow these
	links      phrases // words that say how a quantity comes of others
	function   []bool  // words that open another part of the sentence, by word
	kilo       int32   // the word k
	either     []either
	changes    map[schema.Kind]change // of kinds of which "A to B" may be two values
	cue        cueTable               // phrases that place a number

	heard sync.Pool // of *heardMemo, between texts
	rooms sync.Pool // of *workroom, between texts
}

// Counts reports whether a number in words or digits ends with the token.
func (x *Lexicon) Counts(t Token) bool {
	switch x.entries[t.Word].class {
	case classDigitWord, classTeen, classTens, classHundred:
		return true
	}
	return t.Kind == TokenNumber
}

// Counted reports whether the word of a token is a noun that is counted.
func (x *Lexicon) Counted(t Token) bool {
	return int(t.Word) < len(x.cue.counted) && x.cue.counted[t.Word]
}

// Known reports whether the word has a part in the grammar or is part of a
// unit, so that it is not a stand-in for something misheard.
func (x *Lexicon) Known(t Token) bool { return x.entries[t.Word].class != classNone }

// Words returns the lexicon of the embedded tables.
var Words = sync.OnceValue(newLexicon)

func newLexicon() *Lexicon {
	x := &Lexicon{entries: make([]entry, 1, 1<<13)}
	x.grow(1 << 13)
	if err := x.load(); err != nil {
		panic(err) // the tables are embedded and tested
	}
	return x
}

// loadUnitWords reads the forms of units.
func (x *Lexicon) loadUnitWords() error {
	t, err := schema.ReadTable(tables, "tables/unitwords.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		p := unitPart{code: r.Get("means")}
		for m := range mannerNames {
			if mannerNames[m] == r.Get("manner") {
				p.manner = Manner(m)
			}
		}
		n, err := strconv.Atoi(r.Get("n"))
		if err != nil || p.manner == MannerNone {
			return fmt.Errorf("unitwords.tsv:%d: manner or n", r.Line)
		}
		p.count = int32(n)
		_, p.known = schema.Unit(p.code).Info()
		form := r.Get("form")
		switch r.Get("part") {
		case "prefix":
			x.intern(form).prefix = p
		case "base":
			x.intern(form).base = p
		case "hour":
			x.intern(form).hour = p
		case "power":
			x.intern(form).power = p
		case "whole":
			x.intern(form).whole = p
		case "phrase":
			x.unitPhr = append(x.unitPhr, p)
			x.units.add(x, form, int32(len(x.unitPhr)-1))
		case "per":
			x.per.add(x, form, 0)
		case "below":
			x.intern(form).below = schema.Unit(p.code)
		default:
			return fmt.Errorf("unitwords.tsv:%d: part %q", r.Line, r.Get("part"))
		}
	}
	return nil
}

func (x *Lexicon) load() error {
	for _, numbers := range []func() error{x.loadWindows, x.loadReaches, x.loadBounds} {
		if err := numbers(); err != nil {
			return err
		}
	}
	t, err := schema.ReadTable(tables, "tables/words.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		e := x.intern(r.Get("word"))
		name, hedge, _ := strings.Cut(r.Get("class"), ":")
		e.class = class(max(0, slices.Index(classNames, name)))
		if e.class == classNone {
			return fmt.Errorf("words.tsv:%d: class %q", r.Line, name)
		}
		if e.qualifier, err = schema.ParseQualifier(hedge); err != nil {
			return fmt.Errorf("words.tsv:%d: %w", r.Line, err)
		}
		v, err := strconv.Atoi(r.Get("value"))
		if err != nil {
			return fmt.Errorf("words.tsv:%d: %w", r.Line, err)
		}
		e.value = int32(v)
	}
	if err := x.loadUnitWords(); err != nil {
		return err
	}
	x.loadSymbols()
	x.units.sort()
	x.per.sort()
	x.joined = makeJoined(x)
	x.kilo = x.id("k")
	if err := x.loadCorrections(); err != nil {
		return err
	}
	if err := x.loadSounds(sound.Default()); err != nil {
		return err
	}
	if err := x.loadCompounds(); err != nil {
		return err
	}
	if err := x.loadCodes(); err != nil {
		return err
	}
	x.talk = int32(len(x.entries))
	if err := x.loadLinks(); err != nil {
		return err
	}
	return x.loadCues()
}

// intern returns the entry of a word, made where it is new. The pointer is
// good until the next call.
func (x *Lexicon) intern(word string) *entry { return &x.entries[x.id(word)] }

// id returns the index of a word, interning it.
func (x *Lexicon) id(word string) int32 {
	w := []byte(word)
	h := hash(w)
	i := x.find(w, h)
	if i == 0 {
		i = int32(len(x.entries))
		x.entries = append(x.entries, entry{text: fold(word)})
		x.put(h, i)
		if len(x.entries)*2 > len(x.slots) {
			x.grow(len(x.slots) * 2)
		}
	}
	return i
}

// fold lowers ASCII letters, as hash does; others, such as Ω, keep their case.
func fold(word string) string {
	if !strings.ContainsFunc(word, func(r rune) bool { return r >= 'A' && r <= 'Z' }) {
		return word
	}
	b := []byte(word)
	for i, c := range b {
		if c >= 'A' && c <= 'Z' {
			b[i] = c | 0x20
		}
	}
	return string(b)
}

// wordSlot holds a word: its hash, and its index into entries, 0 where it is free.
type wordSlot struct {
	hash  uint32
	entry int32
}

func (x *Lexicon) grow(n int) {
	x.slots = make([]wordSlot, n)
	x.mask = uint32(n - 1)
	for i := 1; i < len(x.entries); i++ {
		x.put(hash([]byte(x.entries[i].text)), int32(i))
	}
}

func (x *Lexicon) put(h uint32, i int32) {
	s := h & x.mask
	for x.slots[s].entry != 0 {
		s = (s + 1) & x.mask
	}
	x.slots[s] = wordSlot{h, i}
}

// find returns the index of the word, 0 where it is not in the lexicon.
func (x *Lexicon) find(word []byte, h uint32) int32 {
	for s := h & x.mask; ; s = (s + 1) & x.mask {
		w := x.slots[s]
		if w.entry == 0 || w.hash == h && equalFold(x.entries[w.entry].text, word) {
			return w.entry
		}
	}
}

// equalFold compares with ASCII letters of word folded; text is folded
// already.
func equalFold(text string, word []byte) bool {
	if len(text) != len(word) {
		return false
	}
	for i := 0; i < len(text); i++ {
		b := word[i]
		if b >= 'A' && b <= 'Z' {
			b |= 0x20
		}
		if b != text[i] {
			return false
		}
	}
	return true
}

// loadCorrections reads corrections.tsv.
func (x *Lexicon) loadCorrections() error {
	t, err := schema.ReadTable(tables, "tables/corrections.tsv")
	if err != nil {
		return err
	}
	for i, r := range t.Rows {
		switch r.Get("where") {
		case "alone":
			x.correct.add(x, r.Get("phrase"), int32(i))
		case "behind":
			x.goOn.add(x, r.Get("phrase"), int32(i))
		default:
			return fmt.Errorf("corrections.tsv:%d: where %q", r.Line, r.Get("where"))
		}
	}
	x.correct.sort()
	x.goOn.sort()
	return nil
}

// phrases is a set of word sequences, looked up by their first word.
type phrases struct {
	list  []phrase
	start []int32      // by word: index into order, 0 none
	short []int32      // by word: index into order of its first phrase of one word, or of the end
	next  []uint64     // by word: a bit for what the second words of its phrases are, of 64
	order []nextPhrase // runs of phrases, the longest first, each ended by one that is none
}

// nextPhrase is a phrase of a run: its index into list, -1 none, and its second
// word, which distinguishes most of them; 0 where it is of one word.
type nextPhrase struct{ index, second int32 }

type phrase struct {
	words []int32
	value int32
}

// add enters a phrase; parts are words, numbers and signs as Scan cuts them.
func (p *phrases) add(x *Lexicon, form string, value int32) {
	ph := phrase{words: make([]int32, 0, 1+strings.Count(form, " ")), value: value}
	for w := range strings.FieldsSeq(form) {
		ph.words = append(ph.words, x.id(w))
	}
	p.list = append(p.list, ph)
}

// sort makes the runs, phrases of one length in the order in which they were
// added.
func (p *phrases) sort() {
	all := make([]int32, len(p.list))
	top := int32(-1)
	for i := range all {
		all[i] = int32(i)
		top = max(top, p.list[i].words[0])
	}
	slices.SortFunc(all, func(i, j int32) int {
		a, b := p.list[i].words, p.list[j].words
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(len(b), len(a)), cmp.Compare(i, j))
	})
	p.start, p.short, p.next = make([]int32, top+1), make([]int32, top+1), make([]uint64, top+1)
	p.order = make([]nextPhrase, 1, 2*len(all)+1)
	p.order[0].index = -1
	for k, i := range all {
		w := p.list[i].words[0]
		if k == 0 || p.list[all[k-1]].words[0] != w {
			p.start[w] = int32(len(p.order))
		}
		next := nextPhrase{index: i}
		if words := p.list[i].words; len(words) > 1 {
			next.second = words[1]
			p.next[w] |= bitOf(words[1])
		} else if p.short[w] == 0 {
			p.short[w] = int32(len(p.order))
		}
		p.order = append(p.order, next)
		if k+1 == len(all) || p.list[all[k+1]].words[0] != w {
			if p.short[w] == 0 {
				p.short[w] = int32(len(p.order))
			}
			p.order = append(p.order, nextPhrase{index: -1})
		}
	}
}

// bitOf is the bit of a word among 64.
func bitOf(word int32) uint64 { return 1 << (word & 63) }

// match returns the value of the longest phrase that starts at token i and
// how many tokens it covers, breaks inside it included; 0 tokens for none.
func (p *phrases) match(tokens []Token, i int) (value int32, n int) {
	w := tokens[i].Word
	if w == 0 || int(w) >= len(p.start) || p.start[w] == 0 {
		return 0, 0
	}
	second := nextWordOf(tokens, i)
	k := p.start[w]
	if p.next[w]&bitOf(second) == 0 {
		k = p.short[w]
	}
	for ; p.order[k].index >= 0; k++ {
		if next := p.order[k].second; next != 0 && next != second {
			continue
		}
		ph := &p.list[p.order[k].index]
		if end := follow(tokens, i+1, ph.words[1:]); end > 0 {
			return ph.value, end - i
		}
	}
	return 0, 0
}

// nextWordOf is the word of the token behind token i, a line break between them
// passed over; 0 where none is.
func nextWordOf(tokens []Token, i int) int32 {
	i++
	if i < len(tokens) && tokens[i].Kind == TokenBreak {
		i++
	}
	if i >= len(tokens) {
		return 0
	}
	return tokens[i].Word
}

// begins reports whether a phrase begins with the word.
func (p *phrases) begins(w int32) bool { return int(w) < len(p.start) && p.start[w] != 0 }

// follow reports where the words end that must follow at token i, 0 where
// they do not. A line break may stand between words.
func follow(tokens []Token, i int, words []int32) int {
	for _, w := range words {
		if i < len(tokens) && tokens[i].Kind == TokenBreak {
			i++
		}
		if i >= len(tokens) || tokens[i].Word != w {
			return 0
		}
		i++
	}
	return i
}

// IsPoint reports whether the token is the spoken decimal point.
func (x *Lexicon) IsPoint(t Token) bool {
	return t.Kind == TokenWord && x.entries[t.Word].class == classPoint
}

// IsTo reports whether the token is the word to, which captions show for two.
func (x *Lexicon) IsTo(t Token) bool {
	return t.Kind == TokenWord && x.entries[t.Word].class == classTo
}

// IsMillion reports whether the token is the word million, which captions show
// for milli and what follows it.
func (x *Lexicon) IsMillion(t Token) bool {
	e := &x.entries[t.Word]
	return e.class == classScale && e.prefix.code == "m"
}

// Digit returns the value of a digit word or of a token of one digit, 0 for
// other words.
func (x *Lexicon) Digit(t Token) int {
	if e := &x.entries[t.Word]; e.class == classDigitWord {
		return int(e.value)
	}
	return 0
}
