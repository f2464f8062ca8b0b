package extract

import (
	"slices"
	"strings"

	"saywatt/schema"
)

// finish settles what only the whole review tells: the product's own modes,
// the spelling of makers, the boards of parts, the ports, the product's name.
func (s *placer) finish() {
	s.compact()
	s.settleModes()
	s.settlePorts()
	s.settleCodes()
	s.settleMakers()
	s.settleKinds()
	if s.chemistry != "" && (s.special[0] >= 0 || s.special[1] >= 0) {
		s.d.Subjects[s.specialSubject(0, 0, 0)].Function = s.chemistry
	}
	s.settleBoards()
	s.d.Ports = s.ports()
	s.productName()
	s.settleTerms()
}

// settleBoards gives the parts told without a board the one they usually sit
// on; what is told between two parts of one board sits there too. Where all that
// are told so sit on the main board the others do as well.
func (s *placer) settleBoards() {
	only := ""
	for i := range s.d.Subjects {
		sub := &s.d.Subjects[i]
		if k := s.c.kindID(sub.Kind); sub.Board == "" && k >= 0 {
			sub.Board = s.c.kinds[k].board
		}
		switch {
		case sub.Board == "" || sub.Board == only:
		case only == "":
			only = sub.Board
		default:
			only = "-"
		}
	}
	for i := 1; i+1 < len(s.d.Subjects); i++ {
		a, sub, b := &s.d.Subjects[i-1], &s.d.Subjects[i], &s.d.Subjects[i+1]
		if sub.Board == "" && a.Board == b.Board && !s.special4(int32(i)) && !s.special4(int32(i-1)) && !s.special4(int32(i+1)) {
			sub.Board = a.Board
		}
	}
	if only != mainBoard || s.special[0] >= 0 || s.special[1] >= 0 || s.special[3] >= 0 {
		return
	}
	for i := range s.d.Subjects {
		s.d.Subjects[i].Board = mainBoard
	}
}

// mainBoard is the board that parts are on where no other is told of.
const mainBoard = "main"

// settleModes drops the product's own mode where the review does not tell of
// both mains and battery: a charger that is "on the mains" has no other.
func (s *placer) settleModes() {
	var mains, battery bool
	for i := range s.d.Mentions {
		switch p, _, _ := strings.Cut(s.d.Mentions[i].Context.Mode, "/"); p {
		case "mains":
			mains = true
		case "battery":
			battery = true
		}
	}
	if mains && battery {
		return
	}
	for i := range s.d.Mentions {
		c := &s.d.Mentions[i].Context
		switch p, direction, _ := strings.Cut(c.Mode, "/"); p {
		case "mains", "battery":
			c.Mode = direction
		}
	}
}

// settleCodes weighs the part numbers that were read through words for
// letters. One that another place of the review has plainly, but for letters
// that captions confuse, takes its spelling; one whose first letters stand
// plainly on another part is believed, unless a digit was read through a word;
// any other is doubtful.
func (s *placer) settleCodes() {
	heads, plain := map[string]bool{}, map[string]string{}
	for i := range s.d.Terms {
		if t := &s.d.Terms[i]; t.Kind == schema.TermPart && t.Ground == GroundSaid {
			heads[codeHead(t.Meant)] = true
			if key := CodeKey(t.Meant); plain[key] == "" {
				plain[key] = t.Meant
			} else if !SamePlain(plain[key], t.Meant) {
				plain[key] = "-" // two such: neither can be meant for sure
			}
		}
	}
	for i := range s.d.Terms {
		t := &s.d.Terms[i]
		if t.Kind != schema.TermPart || t.Ground != GroundLetterWords {
			continue
		}
		var sub *Subject
		if t.Subject >= 0 && s.d.Subjects[t.Subject].Part == t.Meant {
			sub = &s.d.Subjects[t.Subject]
		}
		switch name := plain[CodeKey(t.Meant)]; {
		case name != "" && name != "-":
			t.Others = append(t.Others, t.Meant)
			t.Meant, t.Ground = name, GroundSameSound
			if sub != nil {
				sub.Part, sub.Renamed = name, true
			}
		case !t.guessed && codeHead(t.Meant) != "" && heads[codeHead(t.Meant)]:
			t.Ground = GroundMisheard
			if sub != nil {
				sub.Renamed = true
			}
		case sub != nil:
			sub.Doubtful = true
		}
	}
}

// settlePorts names the port of levels told without one where the product has
// a single socket that they can be for.
func (s *placer) settlePorts() {
	var sockets []string
	for _, p := range s.known {
		if strings.HasPrefix(p, "USB-") && !numbered(s.known, p) {
			sockets = append(sockets, p)
		}
	}
	only, onlyC := "", ""
	for _, p := range sockets {
		if strings.HasPrefix(p, "USB-C") {
			if onlyC != "" {
				onlyC = "-"
			} else {
				onlyC = p
			}
		}
	}
	if len(sockets) == 1 {
		only = sockets[0]
	}
	for i := range s.d.Mentions {
		c := &s.d.Mentions[i].Context
		if c.Port != "" {
			continue
		}
		switch {
		case c.Section == SectionOutput && only != "" && strings.HasSuffix(c.Mode, "output"):
			c.Port = only
		case c.Section == SectionInput && onlyC != "" && onlyC != "-" && strings.HasSuffix(c.Mode, "input"):
			c.Port = onlyC
		}
	}
}

// material notes what the body is made of.
func (s *placer) material(name string) {
	if !slices.Contains(s.d.Materials, name) {
		s.d.Materials = append(s.d.Materials, name)
	}
}

// productKind notes what kind of thing is reviewed; the first kind named
// stands, and a closer name of it takes its place.
func (s *placer) productKind(kind string) {
	have := s.d.Product.Kind
	if have == "" || kind != have && strings.HasSuffix(kind, have) && s.section <= SectionBody {
		s.d.Product.Kind = kind
	}
}

// mark notes a certification mark; "C certified" is one behind the digit 3.
func (s *placer) mark(i, end int, name string) bool {
	if end-i == 2 && s.tokens[i].End-s.tokens[i].Start == 1 {
		if i == 0 || s.tokens[i-1].Kind != TokenNumber || s.text[s.tokens[i-1].Start] != '3' || s.tokens[i-1].End-s.tokens[i-1].Start != 1 {
			return false
		}
		i--
	}
	s.claim(i, end, NotCode)
	s.said(schema.TermFeature, i, end, name, GroundSaid)
	if !slices.Contains(s.d.Product.Marks, name) {
		s.d.Product.Marks = append(s.d.Product.Marks, name)
	}
	return true
}

// nameReach is how many tokens at the beginning may name the product (common
// practice, no source).
const nameReach = 160

// productName finds the product's name near the beginning: the longest run of
// capitalised words the lexicon does not know, no person's; and its model
// behind the word "model".
func (s *placer) productName() {
	if !s.cased {
		return
	}
	best, bestEnd, bestScore := 0, 0, 0
	end := min(len(s.tokens), nameReach)
	for i := range s.d.Subjects { // what is named from the first part on is no product
		if !s.special4(int32(i)) || s.d.Subjects[i].Kind == "cell" && s.d.Subjects[i].Part != "" {
			end = min(end, int(s.d.Subjects[i].First))
		}
	}
	for i := 0; i < end; i++ {
		t := s.tokens[i]
		if t.Kind != TokenWord {
			continue
		}
		if w := string(s.text[t.Start:t.End]); w == "model" || w == "Part" {
			if first, end := s.model(i + 1); end > first && s.d.Product.Model == "" {
				s.d.Product.Model = s.d.Words(int32(first), int32(end))
			}
		}
		if !isUpper(s.text[t.Start]) || t.Word != 0 || t.End-t.Start < 3 {
			continue
		}
		end, words := s.nameEnd(i)
		score := words
		if s.personBefore(i) {
			i = max(i, end-1)
			continue
		}
		if b := s.backOne(i); b >= 0 && (s.tokens[b].Word == s.c.the || s.tokens[b].Word == s.c.it || s.tokens[b].Word == s.c.is || s.tokens[b].Word == s.c.bank) || i == 0 {
			score += 2
		}
		if score > bestScore && (words >= 2 || score >= 3) {
			best, bestEnd, bestScore = i, end, score
		}
		i = max(i, end-1)
	}
	if bestScore > 0 {
		s.d.Product.Name = s.d.Words(int32(best), int32(bestEnd))
		if first := s.tokens[best]; bestEnd-best > 1 && first.Word == 0 {
			s.d.Product.Maker = string(s.text[first.Start:first.End])
			s.d.Terms = append(s.d.Terms, Term{Kind: schema.TermMaker, Meant: s.d.Product.Maker, Subject: -1, First: int32(best), Last: int32(best + 1)})
		}
	}
}

// nameEnd returns the end of the run of capitalised words, numbers and codes
// at token i, and how many they are.
func (s *placer) nameEnd(i int) (int, int) {
	n := 0
	k := i
	for k < len(s.tokens) && n < 5 {
		at := s.skipBreak(k)
		if at >= len(s.tokens) {
			break
		}
		t := s.tokens[at]
		ok := t.Kind == TokenWord && isUpper(s.text[t.Start]) && !s.stopWord(at) || t.Kind == TokenNumber && n > 0 && !s.unitAt(at+1) || t.Kind == TokenWord && t.Glued && n > 0
		if !ok {
			break
		}
		n++
		k = at + 1
	}
	return k, n
}

// model returns the tokens of a model designation at token i: words, digits
// and hyphens without blanks between, the first with a capital or digit.
func (s *placer) model(i int) (int, int) {
	i = s.skipBreak(i)
	if i < len(s.tokens) && s.tokens[i].Word == s.c.is {
		i = s.skipBreak(i + 1)
	}
	if i >= len(s.tokens) || s.tokens[i].Kind == TokenSign || !isUpper(s.text[s.tokens[i].Start]) && s.tokens[i].Kind != TokenNumber {
		return i, i
	}
	k := i + 1
	for k < len(s.tokens) && s.tokens[k].Glued {
		c, _ := s.at(k)
		if s.tokens[k].Kind == TokenSign && c != classDash && c != classSlash || c == classDash && (k+1 >= len(s.tokens) || !s.tokens[k+1].Glued) {
			break
		}
		k++
	}
	return i, k
}

// personBefore reports whether the words before token i introduce a person.
func (s *placer) personBefore(i int) bool {
	b := s.backOne(i)
	if b < 0 {
		return false
	}
	if s.guarded(b, guardPerson) {
		return true
	}
	if bb := s.backOne(b); s.tokens[b].Word == s.c.is && bb >= 0 { // "my name is", "here is"
		return s.tokens[bb].Word == s.c.name || s.tokens[bb].Word == s.c.here
	}
	return false
}
