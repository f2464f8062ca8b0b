package extract

import (
	"slices"

	"saywatt/extract/part"
	"saywatt/schema"
)

// A numberedCode is words with a number among them that name a part, as somebody
// knows: "Q B 7711 A", which else is a current.
type numberedCode struct{ first, end int32 } // tokens

// knownCodes finds the part numbers that a person gave, or that known has and that do
// not begin with the number, among words that are read as numbers. The longest of
// those that begin at one token is taken.
func (d *Document) knownCodes(known func(words string) bool) []numberedCode {
	named := d.partNamings()
	if len(named) == 0 && known == nil {
		return nil
	}
	var out []numberedCode
	for k := range d.Mentions {
		m := &d.Mentions[k]
		if n := len(out); n > 0 && out[n-1].end > m.First {
			continue
		}
		if c, ok := d.codeAround(m, named, known); ok {
			out = append(out, c)
		}
	}
	return out
}

// partNamings are the last naming of each part, without those that say that none was
// named.
func (d *Document) partNamings() []*Naming {
	if d.namings == nil {
		return nil
	}
	var out []*Naming
	for k := range d.namings.all {
		n := &d.namings.all[k]
		if n.Of != schema.TermPart.String() {
			continue
		}
		out = append(slices.DeleteFunc(out, n.Same), n)
	}
	return slices.DeleteFunc(out, func(n *Naming) bool { return n.Meant == "" })
}

// codeAround finds the part number that a mention is in.
func (d *Document) codeAround(m *Mention, named []*Naming, known func(words string) bool) (numberedCode, bool) {
	ends := d.wordEnds(m)
	for first := d.wordsBefore(m.First); first <= m.First; first++ {
		if k := d.Tokens[first].Kind; k != TokenWord && k != TokenNumber {
			continue
		}
		for _, end := range slices.Backward(ends) {
			words := d.Words(first, end)
			if known != nil && first < m.First && known(words) || slices.ContainsFunc(named,
				func(n *Naming) bool { return d.names(n, words, first, end) }) {
				return numberedCode{first, end}, true
			}
		}
	}
	return numberedCode{}, false
}

// wordsBefore is the token some words before token i, of the same paragraph.
func (d *Document) wordsBefore(i int32) int32 {
	first := i
	for n := 0; i > 0 && n < d.Lexicon.reach.knownBefore && d.Tokens[i-1].Kind != TokenPara; {
		if i--; d.Tokens[i].Kind == TokenWord || d.Tokens[i].Kind == TokenNumber {
			first = i
			n++
		}
	}
	return first
}

// wordEnds are the tokens behind words at which a part number may end that a mention
// is in.
func (d *Document) wordEnds(m *Mention) []int32 {
	ends := []int32{m.NumEnd}
	if m.Last > m.NumEnd {
		ends = append(ends, m.Last)
	}
	most := d.Lexicon.reach.knownBehind
	for i, n := m.Last, 0; int(i) < len(d.Tokens) && n < most && d.Tokens[i].Kind != TokenPara; i++ {
		if k := d.Tokens[i].Kind; k == TokenWord || k == TokenNumber {
			ends = append(ends, i+1)
			n++
		}
	}
	return ends
}

// names reports whether a naming is of the words of tokens [first, end), and of no
// fewer.
func (d *Document) names(n *Naming, words string, first, end int32) bool {
	if n.Heard != "" {
		return SameName(words, n.Heard) && d.fits(n, first, end, words)
	}
	spans := d.spansOf(first, end)
	return len(spans) > 0 && spans[0].Start == n.Span.Start && spans[len(spans)-1].End == n.Span.End
}

// knownCode reads the known part number that begins at token i; i where none does.
func (s *placer) knownCode(i int) int {
	for s.nextCode < len(s.codes) && int(s.codes[s.nextCode].first) < i {
		s.nextCode++
	}
	if s.nextCode == len(s.codes) || int(s.codes[s.nextCode].first) != i {
		return i
	}
	end := int(s.codes[s.nextCode].end)
	code, ok := s.readCode(i)
	if !ok || code.end != end {
		code = partCode{text: s.codeText(i, end), end: end}
	}
	s.claim(i, end, NotCode)
	s.noUnits(i, end)
	s.see(part.Code, i, end).text = code.text
	s.saidCode(i, &code)
	s.cueEnd, s.codeEnd = end, end
	return end
}

// noUnits takes the units away of the numbers in tokens [i, end), which are words of a
// name that is known: none of them is a quantity.
func (s *placer) noUnits(i, end int) {
	numbers := s.codeNumbers(i, end)
	for k := range numbers {
		if m := &numbers[k]; m.Not == NotCode {
			m.Unit, m.From = UnitWords{}, UnitNone
		}
	}
}

// codeText is the letters and digits of tokens [i, end) in one.
func (s *placer) codeText(i, end int) string {
	var b []byte
	for _, t := range s.tokens[i:end] {
		if t.Kind == TokenWord || t.Kind == TokenNumber {
			for _, c := range s.text[t.Start:t.End] {
				b = append(b, upper(c))
			}
		}
	}
	return string(b)
}
