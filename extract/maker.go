package extract

import (
	"slices"
	"strings"

	"saywatt/extract/part"
	"saywatt/schema"
)

// makerSpan is a stretch of words that names a maker, with the part it was
// said of.
type makerSpan struct {
	first, last int32
	subject     int32
	extended    bool // by a word before it that may be of the name
}

// maker reads a maker behind "from" or "by", or a capitalised unknown word
// behind the words that named a part.
func (s *placer) maker(i int) int {
	if s.section != SectionTeardown && (s.section != SectionBattery || s.kindName() != "cell") {
		return i
	}
	t := s.tokens[i]
	if t.Word == s.c.from || t.Word == s.c.by || t.Word == s.c.of && (s.skipBreak(s.kindEnd) == i || s.skipBreak(s.codeEnd) == i) {
		first, last := s.nameSpan(s.skipBreak(i + 1))
		if last > first && (t.Word != s.c.of || !s.stopWord(first) && (s.tokens[first].Word == 0 || isUpper(s.text[s.tokens[first].Start]))) {
			s.addMaker(first, last)
			return last
		}
		return i
	}
	if s.makerSince(s.kindEnd) || !isUpper(s.text[t.Start]) || t.End-t.Start < 3 || s.stopWord(i) {
		return i
	}
	if t.Word != 0 && !s.plain(t.Word) || hasDigit(s.text[t.Start:t.End]) {
		return i
	}
	if s.start > s.kindEnd && !s.codeWithin(i+1, 3) || int(t.Word) < len(s.c.counted) && t.Word != 0 && s.c.counted[t.Word] {
		return i
	}
	if s.rated > 0 && s.tokens[max(0, s.backOne(i))].Word == s.c.and && !s.codeWithin(i+1, 3) {
		return i // "… microhenries and Corvin reckons it's good for 12 amps"
	}
	// only near the words that named the part, not in the middle of talk
	if s.distance(s.kindEnd, i) > 8 {
		return i
	}
	last := i + 1
	words := 1
	for k := s.skipBreak(last); k < len(s.tokens) && words < 3; k = s.skipBreak(last) {
		w := s.tokens[k]
		if w.Kind == TokenWord && !s.mentionAt(k) && !s.codeAt(k) && !s.guarded(k, guardAgain) && s.codeWithin(k+1, 1) {
			last = k + 1 // "Tarrow in TJ 55": whatever stands before the code is of the name
			break
		}
		if w.Kind != TokenWord || s.startsHere(k) || s.stopWord(k) && !s.codeWithin(k+1, 1) || w.Word != 0 && !s.plain(w.Word) && !isUpper(s.text[w.Start]) {
			break
		}
		last = k + 1
		words++
	}
	first := s.swallowed(i, last)
	s.addMaker(first, last)
	s.makerSeen[len(s.makerSeen)-1].extended = first < i
	return last
}

// distance is how many tokens stand in [a, b), line breaks left out.
func (s *placer) distance(a, b int) int {
	n := 0
	for ; a < b; a++ {
		if s.tokens[a].Kind != TokenBreak {
			n++
		}
	}
	return n
}

// swallowed returns the token at which the name over tokens [i, last) begins:
// a word before it that no name can follow there ("is when Drosk", "by and
// Rask"), or that nobody knows ("is castor Vell"), may be of the name itself.
func (s *placer) swallowed(i, last int) int {
	b := s.backOne(i)
	if b < 0 || s.tokens[b].Kind != TokenWord {
		return i
	}
	bb := s.backOne(b)
	anchored := bb >= 0 && s.anchor(bb)
	if s.guarded(b, guardSwallow) {
		c, _ := s.at(bb)
		if anchored || b == s.kindEnd || bb >= 0 && c == classComma && s.codeWithin(last, 1) {
			return b
		}
	}
	if b <= s.kindEnd || !anchored {
		return i
	}
	if s.guarded(b, guardSwallowVerb) {
		return b
	}
	if t := s.tokens[b]; !isUpper(s.text[t.Start]) && !s.anchor(b) && !s.stopWord(b) && (t.Word == 0 || s.plain(t.Word)) && !s.mentionAt(b) {
		return b // "is castor Vell"
	}
	return i
}

// nameSpan returns the words of a maker's name at token i, none where what
// stands there is no name.
func (s *placer) nameSpan(i int) (int, int) {
	k, words := i, 0
	for ; k < len(s.tokens) && words < 4; words++ {
		at := s.skipBreak(k)
		if at >= len(s.tokens) || s.tokens[at].Kind != TokenWord || s.mentionAt(at) || k > i && s.codeAt(at) {
			break
		}
		if s.nameEnds(at) || k > i && s.tokens[at].Word == s.c.in && s.packageAt(at+1) {
			break
		}
		if k == i && (s.stopWord(at) && !s.nameNext(at) || s.guarded(at, guardNoName)) {
			return i, i
		}
		if k > i && s.stopWord(at) && !s.boundary(at+1) && !(s.guarded(at, guardNameTail) && s.nameOver(at+1)) {
			break
		}
		k = at + 1
	}
	if words >= 4 && !isUpper(s.text[s.tokens[i].Start]) {
		return i, i
	}
	return i, k
}

// nameNext reports whether the word behind token i belongs to a name though
// the one at i is a common word: "from all vendor 60 volts".
func (s *placer) nameNext(i int) bool {
	k := s.skipBreak(i + 1)
	if k >= len(s.tokens) || s.tokens[k].Kind != TokenWord || s.stopWord(k) {
		return false
	}
	return !s.guarded(i, guardNoName) && (s.boundary(k+1) || s.nameOver(k+1) && s.plain(s.tokens[k].Word)) && !s.mentionAt(k)
}

// nameOver reports whether the word at token i follows a name and is none of
// it: "by ren full it's …", "from well mark in parallel".
func (s *placer) nameOver(i int) bool {
	i = s.skipBreak(i)
	return i < len(s.tokens) && (s.tokens[i].Word == s.c.in || s.guarded(i, guardNameEnd))
}

// nameEnds reports whether the word at token i cannot be in a name.
func (s *placer) nameEnds(i int) bool {
	t := s.tokens[i]
	if s.guarded(i, guardNameEnd) {
		return true
	}
	if v, n := s.c.phrases.match(s.tokens, i); n > 0 && t.Word != 0 {
		for _, e := range s.c.cues[v] {
			if e.kind == effectPart && s.c.parts[e.n].strong || e.kind == effectPackage && n > 1 {
				return true
			}
		}
	}
	return false
}

// boundary reports whether a number, code, package, sign or the end stands at
// token i.
func (s *placer) boundary(i int) bool {
	i = s.skipBreak(i)
	if i >= len(s.tokens) || s.tokens[i].Kind != TokenWord || s.mentionAt(i) || s.codeAt(i) {
		return true
	}
	return s.packageAt(i)
}

// packageAt reports whether the head of a package stands at token i.
func (s *placer) packageAt(i int) bool {
	v, n := s.matchAt(s.skipBreak(i))
	if n == 0 {
		return false
	}
	return slices.ContainsFunc(s.c.cues[v], func(e effect) bool { return e.kind == effectPackage })
}

// mentionAt reports whether a mention begins at token i.
func (s *placer) mentionAt(i int) bool {
	for k := s.next; k < len(s.d.Mentions); k++ {
		if f := int(s.d.Mentions[k].First); f >= i {
			return f == i
		}
	}
	return false
}

func (s *placer) codeAt(i int) bool {
	_, ok := s.readCode(i)
	return ok
}

// codeWithin reports whether a code begins at one of the n words from token i.
func (s *placer) codeWithin(i, n int) bool {
	for k := i; k < len(s.tokens) && n > 0; k++ {
		if s.tokens[k].Kind == TokenBreak {
			continue
		}
		if c, _ := s.at(k); c == classComma {
			continue
		}
		if s.tokens[k].Kind != TokenWord {
			return false
		}
		if s.codeAt(k) {
			return true
		}
		n--
	}
	return false
}

// startsHere reports whether a cue, number or code begins at token k.
func (s *placer) startsHere(k int) bool {
	if s.mentionAt(k) || s.codeAt(k) {
		return true
	}
	if s.tokens[k].Word == 0 || isUpper(s.text[s.tokens[k].Start]) && s.plain(s.tokens[k].Word) {
		return false
	}
	_, n := s.c.phrases.match(s.tokens, k)
	return n > 0
}

// plain reports whether the lexicon knows the word only as part of phrases or
// as a garbled unit, so that it may be a name.
func (s *placer) plain(word int32) bool {
	e := &s.x.entries[word]
	if e.class != classNone || int(word) < len(s.c.stop) && s.c.stop[word] {
		return false
	}
	return e.base.manner != MannerSaid && e.whole.manner != MannerSaid && e.prefix.manner != MannerSaid
}

func (s *placer) stopWord(i int) bool {
	w := s.tokens[i].Word
	return w != 0 && int(w) < len(s.c.stop) && s.c.stop[w]
}

// makerBefore looks for a maker's name right before the part number at token
// i: the words between it and what came before.
func (s *placer) makerBefore(i int) {
	if s.makerSince(max(s.kindEnd, s.codeEnd)) {
		return
	}
	end := s.backOne(i) + 1
	if c, _ := s.at(end - 1); c == classComma {
		end = s.backOne(end-1) + 1
	}
	for end > 0 && s.guarded(end-1, guardAgain) {
		end = s.backOne(end-1) + 1
	}
	first, n, unknown := end, 0, 0
	for k := end - 1; k >= 0 && n < 3 && k >= s.kindEnd; k-- {
		if s.tokens[k].Kind == TokenBreak {
			continue
		}
		if s.tokens[k].Kind != TokenWord || s.anchor(k) || s.guarded(k, guardPiece) || s.tokens[k].End-s.tokens[k].Start < 2 {
			break
		}
		if c, _ := s.at(k); c == classDigitWord || c == classTens || c == classTeen {
			break
		}
		if s.tokens[k].Word == 0 || s.plain(s.tokens[k].Word) {
			unknown++
		}
		first = k
		n++
	}
	if n == 0 || unknown == 0 || s.cased && !s.anyUpper(first, end) && n < 2 && !s.initials(first, i) {
		return
	}
	s.addMaker(first, end)
}

// makerOf takes the capitalised unknown word right before the words for a part,
// which begin at token i, as its maker: "three Ostrel bulk caps".
func (s *placer) makerOf(i int) {
	b := s.backOne(i)
	if b < 0 || s.tokens[b].Kind != TokenWord || s.tokens[b].Word != 0 || s.sentenceStart(b) {
		return
	}
	w := s.text[s.tokens[b].Start:s.tokens[b].End]
	if len(w) < 4 || !isUpper(w[0]) || allCaps(w) || hasDigit(w) || s.makerCovers(b) {
		return
	}
	s.addMaker(b, b+1)
}

// makerCovers reports whether the last maker's name noted holds token i.
func (s *placer) makerCovers(i int) bool {
	n := len(s.makerSeen)
	return n > 0 && int(s.makerSeen[n-1].first) <= i && i < int(s.makerSeen[n-1].last)
}

// initials reports whether the word at token k holds the letters that open the
// part number at token i, in their order and the first as its first: "fenwick
// F W 8718". Makers name parts so; what else stands before a number seldom does.
func (s *placer) initials(k, i int) bool {
	code, ok := s.readCode(i)
	head := codeHead(code.text)
	word := strings.ToUpper(string(s.text[s.tokens[k].Start:s.tokens[k].End]))
	if !ok || len(head) < 2 || word[0] != head[0] {
		return false
	}
	return strings.IndexByte(word[1:], head[1]) >= 0
}

// anchor reports whether the word at token k stands before a name: a form of
// "to be", an article, a preposition.
func (s *placer) anchor(k int) bool {
	return s.guarded(k, guardNameBefore)
}

func (s *placer) anyUpper(a, b int) bool {
	for ; a < b; a++ {
		if s.tokens[a].Kind == TokenWord && isUpper(s.text[s.tokens[a].Start]) {
			return true
		}
	}
	return false
}

// addMaker notes a maker's name over tokens [first, last) for the part told
// of; the spelling is settled at the end, over all that were heard.
func (s *placer) addMaker(first, last int) {
	s.makerSeen = append(s.makerSeen, makerSpan{first: int32(first), last: int32(last), subject: -1})
	s.see(part.Maker, first, last)
}

// makerSince reports whether a maker was named from token i on.
func (s *placer) makerSince(i int) bool {
	n := len(s.makerSeen)
	return n > 0 && int(s.makerSeen[n-1].first) >= i
}

// makerName is a maker's name as heard, for settleMakers.
type makerName struct {
	text    string
	keys    [3]string // sound of the name, with the word before it, with the word behind
	code    string    // letters that open the part number it was said of
	group   int
	word    bool   // one word
	common  bool   // a word of the lexicon, written small
	torn    int8   // captions tore off the word before it (1) or behind it (2)
	tail    string // of an extended one: without its first word
	tailKey string // its sound
}

// makerReach is how many names back a maker is compared with others by sound;
// names that sound the same are found over any distance.
const makerReach = 64

// settleMakers groups the makers' names by sound and gives every group one
// spelling: the one-word form heard most often, the shorter one where they
// tie. A name that only stands in several words keeps them, and is doubtful.
func (s *placer) settleMakers() {
	list := make([]makerName, len(s.makerSeen))
	bySound := map[string]int{}
	groups := 0
	for i, m := range s.makerSeen {
		h := s.makerName(m)
		h.group = -1
		if g, ok := bySound[h.keys[0]]; ok && h.keys[0] != "" {
			h.group = g
		}
		for j := i - 1; h.group < 0 && j >= 0 && j >= i-makerReach; j-- {
			if sameMaker(&list[j], &h) {
				h.group = list[j].group
			}
		}
		if h.group < 0 {
			h.group = groups
			groups++
		}
		if _, ok := bySound[h.keys[0]]; !ok {
			bySound[h.keys[0]] = h.group
		}
		list[i] = h
	}
	members := make([][]int, groups)
	for i := range list {
		members[list[i].group] = append(members[list[i].group], i)
	}
	for _, group := range members {
		best := bestName(list, group)
		ground := best.ground()
		for _, i := range group {
			m := &s.makerSeen[i]
			sub := &Subject{}
			if m.subject >= 0 {
				sub = &s.d.Subjects[m.subject]
			}
			sub.Maker = best.text
			t := Term{Kind: schema.TermMaker, Meant: best.text, Ground: ground, Subject: m.subject, First: m.first, Last: m.last}
			switch list[i].torn {
			case 1:
				t.First = int32(s.backOne(int(m.first)))
			case 2:
				t.Last = int32(s.skipBreak(int(m.last)) + 1)
			}
			heard := s.d.Words(t.First, t.Last)
			if list[i].tail != "" && SamePlain(list[i].tail, best.text) {
				heard, t.First = list[i].tail, int32(s.skipBreak(int(t.First)+1)) // the word before was none of the name's
			}
			switch {
			case ground.Doubt():
				sub.Doubtful = true
				t.Others = otherSpellings(list, group, best)
			case !SamePlain(strings.TrimSuffix(heard, "'s"), best.text):
				sub.Renamed, t.Ground = true, GroundSameSound
				t.Others = []string{heard}
			}
			s.d.Terms = append(s.d.Terms, t)
		}
	}
}

// ground tells whether a name can stand as it is.
func (m *makerName) ground() TermGround {
	switch {
	case !m.word:
		return GroundSeveralWords
	case m.common:
		return GroundCommonWord
	}
	return GroundSaid
}

// otherSpellings are the joined spelling of a doubtful name and what else was
// heard for it, up to four.
func otherSpellings(list []makerName, group []int, best *makerName) []string {
	var all []string
	if !best.word {
		all = append(all, joined(best.text))
	}
	for _, i := range group {
		for _, name := range [...]string{list[i].text, joined(list[i].text)} {
			if len(all) < 4 && name != best.text && !slices.Contains(all, name) {
				all = append(all, name)
			}
		}
	}
	return all
}

// makerName reads the name of a span with its sounds.
func (s *placer) makerName(m makerSpan) makerName {
	text := strings.TrimSuffix(s.d.Words(m.first, m.last), "'s")
	h := makerName{text: text, word: !strings.ContainsRune(text, ' ')}
	if t := s.tokens[m.first]; h.word && t.Word != 0 && !isUpper(s.text[t.Start]) {
		h.common = true
	}
	h.keys[0] = SoundKey(text)
	if m.extended {
		_, h.tail, _ = strings.Cut(text, " ")
		h.tailKey = SoundKey(h.tail)
	}
	if b := s.backOne(int(m.first)); b >= 0 && s.tokens[b].Kind == TokenWord {
		h.keys[1] = SoundKey(s.d.Words(int32(b), m.last))
	}
	if k := s.skipBreak(int(m.last)); k < len(s.tokens) && s.tokens[k].Kind == TokenWord {
		h.keys[2] = SoundKey(s.d.Words(m.first, int32(k+1)))
	}
	if m.subject >= 0 {
		h.code = codeHead(s.d.Subjects[m.subject].Part)
	}
	return h
}

// sameMaker reports whether two names are one maker's: they sound alike, more
// freely where their part numbers open with the same letters, not at all
// where with others; or one is the other with a word that captions tore off.
func sameMaker(a, b *makerName) bool {
	switch {
	case a.keys[0] == b.keys[0] && a.keys[0] != "":
		return true
	case a.code != "" && b.code != "" && a.code != b.code:
		return false
	case tornOff(a, b) || tornOff(b, a) || a.word && a.keys[0] == b.tailKey || b.word && b.keys[0] == a.tailKey:
		return true
	case a.code != "" && a.code == b.code && len(a.keys[0]) >= 3 && EditDistance(a.keys[0], b.keys[0]) <= len(a.keys[0])/3+1:
		return true
	case soundsAlike(a.keys[0], b.keys[0]):
		return true
	}
	return false
}

// tornOff reports, and notes, that the second name is the first with a word
// torn off.
func tornOff(whole, rest *makerName) bool {
	switch {
	case !whole.word:
		return false
	case whole.keys[0] == rest.keys[1]:
		rest.torn = 1
	case whole.keys[0] == rest.keys[2]:
		rest.torn = 2
	default:
		return false
	}
	return true
}

// bestName returns the spelling that stands for a group of names.
func bestName(list []makerName, group []int) *makerName {
	count := map[string]int{}
	for _, i := range group {
		count[list[i].text]++
	}
	better := func(a, b *makerName) bool {
		switch {
		case (a.torn != 0) != (b.torn != 0):
			return b.torn != 0
		case a.word != b.word:
			return a.word
		case a.common != b.common:
			return b.common
		case a.word && len(a.text) != len(b.text) && strings.HasSuffix(strings.ToLower(a.text), strings.ToLower(b.text)):
			return true // "Drosk" is what is left of "when Drosk"
		case a.word && len(a.text) != len(b.text) && strings.HasSuffix(strings.ToLower(b.text), strings.ToLower(a.text)):
			return false
		case isUpper(a.text[0]) != isUpper(b.text[0]):
			return isUpper(a.text[0])
		case count[a.text] != count[b.text]:
			return count[a.text] > count[b.text]
		}
		return len(a.text) < len(b.text)
	}
	best := &list[group[0]]
	for _, i := range group[1:] {
		if better(&list[i], best) {
			best = &list[i]
		}
	}
	return best
}

// codeHead returns the letters that open a part number: makers keep them.
func codeHead(part string) string {
	n := strings.IndexFunc(part, func(r rune) bool { return r >= '0' && r <= '9' })
	if n < 2 {
		return ""
	}
	return part[:min(n, 2)]
}
