package extract

import (
	"bytes"
	"slices"
	"strings"

	"saywatt/internal/alike"
	"saywatt/schema"
)

// finish settles what only the whole review shows: the product's own modes,
// the spelling of makers, the boards of parts, the ports, the product's name.
func (s *placer) finish() {
	s.compact()
	s.settleModes()
	s.settlePorts()
	s.settleCodes()
	s.ownMaker()
	s.settleMakers()
	s.settleKinds()
	if s.chemistry != "" && (s.special[0] >= 0 || s.special[1] >= 0) {
		s.d.Subjects[s.specialSubject(0, 0, 0)].Function = s.chemistry
	}
	s.settleBoards()
	s.d.Ports = s.ports()
	s.productName()
	s.nameNumbers()
	s.settleTerms()
}

// settleBoards gives the parts said without a board the one they usually sit
// on; what is said between two parts of one board sits there too. Where all that
// are said so sit on the main board the others do as well.
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
		if sub.Board == "" && a.Board == b.Board && !s.special4(int32(i)) && !s.special4(int32(i-1)) &&
			!s.special4(int32(i+1)) {
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

// mainBoard is the board that parts are on where no other is spoken of.
const mainBoard = "main"

// settleModes drops the product's own mode where the review does not speak of
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

// settlePorts names the port of levels said without one where the product has
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

// mark notes a certification mark, unless it is said not to be there; "C
// certified" is one behind the digit 3.
func (s *placer) mark(i, end int, name string) bool {
	if end-i == 2 && s.tokens[i].End-s.tokens[i].Start == 1 {
		if i == 0 || s.tokens[i-1].Kind != TokenNumber || s.text[s.tokens[i-1].Start] != '3' ||
			s.tokens[i-1].End-s.tokens[i-1].Start != 1 {
			return false
		}
		i--
	}
	if end == i+1 && s.tokens[i].End-s.tokens[i].Start == shortMark && !s.capitals(i) && !s.markBeside(i) {
		return false // the French word
	}
	s.claim(i, end, NotCode)
	s.said(schema.TermFeature, i, end, name, GroundSaid)
	s.marks = append(s.marks, [2]int32{int32(i), int32(end)})
	if !s.deniedName(i, end) && !slices.Contains(s.d.Product.Marks, name) {
		s.d.Product.Marks = append(s.d.Product.Marks, name)
	}
	return true
}

// shortMark is how many letters a mark has that may be a word.
const shortMark = 2

// capitals reports whether token i has no small letter.
func (s *placer) capitals(i int) bool {
	word := s.text[s.tokens[i].Start:s.tokens[i].End]
	return bytes.Equal(word, bytes.ToUpper(word))
}

// markBeside reports whether another mark stands right beside token i, a sign or "and"
// between them.
func (s *placer) markBeside(i int) bool {
	return slices.ContainsFunc([]int{i - 2, i + 2}, func(k int) bool {
		if k < 0 || k >= len(s.tokens) {
			return false
		}
		switch joint, _ := s.at((i + k) / 2); joint {
		case classAnd, classComma, classSlash, classOr:
		default:
			return false
		}
		v, n := s.matchAt(k)
		return n > 0 && slices.ContainsFunc(s.c.cues[v], func(e effect) bool { return e.kind == effectMark })
	})
}

// isMark reports whether all words of a name are of marks: "the CCC mark" is
// nobody's name.
func (s *placer) isMark(name [2]int32) bool {
	for i := name[0]; i < name[1]; i++ {
		if !slices.ContainsFunc(s.marks, func(m [2]int32) bool { return m[0] <= i && i < m[1] }) {
			return false
		}
	}
	return true
}

// ownMaker notes where the product's maker is named: what sounds like it, and
// the words that open the product's name.
func (s *placer) ownMaker() {
	n := s.names
	if n.owner[1] <= n.owner[0] || s.isMark(n.owner) {
		return
	}
	own := s.key(n.owner[0], n.owner[1])
	seen := map[int32]bool{}
	for i := range s.makerSeen {
		m := &s.makerSeen[i]
		seen[m.first] = true
		m.owner = m.first == n.owner[0] || s.key(m.first, m.last) == own
	}
	if !seen[n.owner[0]] {
		seen[n.owner[0]] = true
		s.makerSeen = append(s.makerSeen, makerSpan{first: n.owner[0], last: n.owner[1], subject: -1, owner: true})
	}
	for _, m := range n.makers {
		if !seen[m.first] && alike.Sounds(s.key(m.first, m.last), own) {
			m.owner = true
			s.makerSeen = append(s.makerSeen, m)
		}
	}
	slices.SortStableFunc(s.makerSeen, func(a, b makerSpan) int { return int(a.first - b.first) })
}

// key is the key of the sound of a name over tokens [first, last).
func (s *placer) key(first, last int32) string {
	return alike.Key(strings.TrimSuffix(s.d.Words(first, last), "'s"))
}

// productName writes the product's name, its maker's spelled as it is elsewhere,
// and its model behind the word for one.
func (s *placer) productName() {
	n := s.names
	if n.title[1] > n.title[0] && !s.isMark(n.title) {
		s.d.Product.Name = s.d.Words(n.title[0], n.title[1])
		s.d.Title = n.title
		for i := n.title[0]; i < n.title[1]; i++ {
			if t := &s.tokens[i]; t.Kind == TokenWord && s.text[t.Start] >= 'a' && s.text[t.Start] <= 'z' && !t.Glued {
				s.d.TitleCheck = true // what captions know for a name they write with a capital
			}
		}
		own := s.d.Product.Maker
		for i := range s.makerSeen {
			m := &s.makerSeen[i]
			if m.owner && m.first == n.title[0] && m.last <= n.title[1] && own != "" {
				s.d.Product.Name = strings.TrimSpace(own + " " + s.d.Words(m.last, n.title[1]))
			}
		}
	}
	for i := 0; i < min(len(s.tokens), s.x.reach.name) && s.d.Product.Model == ""; i++ {
		if !s.guarded(i, guardModel) {
			continue
		}
		if first, end := s.model(i + 1); end > first {
			s.d.Product.Model = s.d.Words(int32(first), int32(end))
		}
	}
}

// nameNumbers takes the numbers of the product's name for parts of it wherever it is
// said: of the "Sentinel 74" the 74 is no quantity.
func (s *placer) nameNumbers() {
	t := s.d.Title
	for i := range s.d.Mentions {
		m := &s.d.Mentions[i]
		if m.First <= t[0] || m.Last > t[1] || !m.partOfName() {
			continue
		}
		w := s.backOne(int(m.First))
		if s.tokens[w].Kind != TokenWord {
			continue
		}
		for k := range s.d.Mentions {
			o := &s.d.Mentions[k]
			b := s.backOne(int(o.First))
			if o.partOfName() && o.Low.equal(m.Low) && b >= 0 && bytes.EqualFold(s.bytesOf(b), s.bytesOf(w)) {
				o.Not, o.Context.Subject, o.Places = NotCode, -1, nil
				o.Unit, o.From = UnitWords{}, UnitNone
			}
		}
	}
}

// partOfName reports whether a number may be one of a name: a single one without a
// unit of its own.
func (m *Mention) partOfName() bool {
	return m.Not == NotNothing && !m.Range && m.Group < 0 && m.From != UnitOwn
}

// bytesOf is the text of a token.
func (s *placer) bytesOf(i int) []byte { return s.text[s.tokens[i].Start:s.tokens[i].End] }

// model returns the tokens of a model designation at token i: words, digits
// and hyphens without blanks between, the first with a capital or digit, a digit
// among them.
func (s *placer) model(i int) (int, int) {
	i = s.skipBreak(i)
	if i < len(s.tokens) && s.tokens[i].Word == s.c.is {
		i = s.skipBreak(i + 1)
	}
	if i >= len(s.tokens) || s.tokens[i].Kind == TokenSign || !isUpper(s.text[s.tokens[i].Start]) &&
		s.tokens[i].Kind != TokenNumber {
		return i, i
	}
	k := i + 1
	for k < len(s.tokens) && s.tokens[k].Glued {
		c, _ := s.at(k)
		if s.tokens[k].Kind == TokenSign && c != classDash && c != classSlash ||
			c == classDash && (k+1 >= len(s.tokens) || !s.tokens[k+1].Glued) {
			break
		}
		k++
	}
	whole := s.text[s.tokens[i].Start:s.tokens[k-1].End]
	if !hasDigit(whole) || isDigits(whole) {
		return i, i
	}
	return i, k
}

// cableProduct reports whether a cable is the product spoken of.
func (s *placer) cableProduct() bool { return s.d.Product.Kind == "cable" }
