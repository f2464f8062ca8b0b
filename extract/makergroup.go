package extract

import (
	"slices"
	"strings"

	"saywatt/extract/name"
	"saywatt/internal/alike"
	"saywatt/schema"
)

// makerName is a maker's name as heard, for settleMakers.
type makerName struct {
	text   string
	keys   [3]string // sound of the name, with the word before it, with the word behind
	code   string    // letters that open the part number it was said of
	group  int
	word   bool // one word
	common bool // an English word, written small
	torn   int8 // captions tore off the word before it (1) or behind it (2)
}

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
		for j := i - 1; h.group < 0 && j >= 0 && j >= i-s.x.reach.maker; j-- {
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
		var others []string
		if ground.Check() {
			others = slices.Clip(otherSpellings(list, group, best))
		}
		for _, i := range group {
			m := &s.makerSeen[i]
			sub := &Subject{}
			if m.subject >= 0 {
				sub = &s.d.Subjects[m.subject]
			}
			sub.Maker = best.text
			if m.owner {
				s.d.Product.Maker = best.text
			}
			t := Term{Kind: schema.TermMaker, Meant: best.text, Ground: ground, Subject: m.subject, First: m.first,
				Last: m.last}
			switch list[i].torn {
			case 1:
				t.First = int32(max(0, s.backOne(int(m.first))))
			case 2:
				t.Last = int32(s.skipBreak(int(m.last)) + 1)
			}
			heard := s.d.Words(t.First, t.Last)
			switch {
			case ground.Check():
				t.Others = others
			case !SamePlain(strings.TrimSuffix(heard, "'s"), best.text):
				sub.Renamed, t.Ground = true, GroundSameSound
				t.Others = []string{heard}
			}
			s.d.Terms = append(s.d.Terms, t)
		}
	}
}

// ground says whether a name can stand as it is.
func (m *makerName) ground() TermGround {
	switch {
	case !m.word:
		return GroundSeveralWords
	case m.common:
		return GroundCommonWord
	}
	return GroundSaid
}

// otherSpellings are what else was heard for a name, up to four.
func otherSpellings(list []makerName, group []int, best *makerName) []string {
	var all []string
	for _, i := range group {
		if heard := list[i].text; len(all) < 4 && heard != best.text && !slices.Contains(all, heard) {
			all = append(all, heard)
		}
	}
	return all
}

// makerName reads the name of a span with its sounds.
func (s *placer) makerName(m makerSpan) makerName {
	text := strings.TrimSuffix(s.d.Words(m.first, m.last), "'s")
	h := makerName{text: text, word: !strings.ContainsRune(text, ' ')}
	h.common = h.word && !isUpper(text[0]) && name.Common(text) != 0
	h.keys[0] = alike.Key(text)
	if b := s.backOne(int(m.first)); b >= 0 && s.tokens[b].Kind == TokenWord {
		h.keys[1] = alike.Key(s.d.Words(int32(b), m.last))
	}
	if k := s.skipBreak(int(m.last)); k < len(s.tokens) && s.tokens[k].Kind == TokenWord {
		h.keys[2] = alike.Key(s.d.Words(m.first, int32(k+1)))
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
	case tornOff(a, b) || tornOff(b, a):
		return true
	case a.code != "" && a.code == b.code && len(a.keys[0]) >= 3 &&
		alike.Distance(a.keys[0], b.keys[0], len(a.keys[0])/3+2) <= len(a.keys[0])/3+1:
		return true
	case alike.Sounds(a.keys[0], b.keys[0]):
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
		case a.word && len(a.text) != len(b.text) &&
			strings.HasSuffix(strings.ToLower(a.text), strings.ToLower(b.text)):
			return true // what is left of the other
		case a.word && len(a.text) != len(b.text) &&
			strings.HasSuffix(strings.ToLower(b.text), strings.ToLower(a.text)):
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
