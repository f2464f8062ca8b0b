package extract

import (
	"strings"

	"saywatt/extract/name"
	"saywatt/extract/part"
)

// makerSpan is a stretch of words that names a maker, with the part it was
// said of.
type makerSpan struct {
	first, last int32
	subject     int32
	owner       bool    // of the product
	sure        float64 // log odds that it is a name
}

// names are the names that package name finds in a document, over tokens.
type names struct {
	makers       []makerSpan // in the order of the text
	title, owner [2]int32    // the product and its maker, empty where nothing names them
	next         int         // first of the makers that is not behind the walk
}

// findNames finds the names of makers and of the product.
func (p *parser) findNames(d *Document) *names {
	items := p.nameItems(d)
	found := name.Default().Find(items.Items, items.Key)
	span := func(c *name.Choice) [2]int32 {
		if c.Last <= c.First {
			return [2]int32{}
		}
		return [2]int32{items.Spans[c.First][0], items.Spans[c.Last-1][1]}
	}
	n := &names{title: span(&found.Title), owner: span(&found.Owner)}
	title := strings.ToLower(d.Words(n.title[0], n.title[1]))
	if p.isDate(d, n.owner, title) {
		n.owner = [2]int32{}
	}
	for i := range found.Makers {
		c := &found.Makers[i]
		at := span(c)
		if p.isDate(d, at, title) {
			continue
		}
		n.makers = append(n.makers, makerSpan{first: at[0], last: at[1], subject: -1, sure: c.Score})
	}
	return n
}

// isDate reports whether words are a day or a month alone, which says when and names
// nobody: "it came from the shop by Friday". One with which the product's name, folded
// to lower case, begins names its maker.
func (p *parser) isDate(d *Document, at [2]int32, title string) bool {
	word := strings.TrimSuffix(strings.ToLower(d.Words(at[0], at[1])), "'s")
	return p.x.cue.calendar[word] && !strings.HasPrefix(title, word+" ")
}

// maker reads the name of a maker at token i, where parts are spoken of. It
// returns the token behind, i where there is none.
func (s *placer) maker(i int) int {
	for s.names.next < len(s.names.makers) && int(s.names.makers[s.names.next].first) < i {
		s.names.next++
	}
	if s.names.next == len(s.names.makers) {
		return i
	}
	m := s.names.makers[s.names.next]
	if int(m.first) != i || s.section != SectionTeardown && (s.section != SectionBattery || s.kindName() != "cell") {
		return i
	}
	s.makerSeen = append(s.makerSeen, m)
	s.see(part.Maker, i, int(m.last))
	return int(m.last)
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

func (s *placer) stopWord(i int) bool {
	w := s.tokens[i].Word
	return w != 0 && int(w) < len(s.c.stop) && s.c.stop[w]
}
