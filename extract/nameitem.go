package extract

import (
	"slices"
	"strings"

	"saywatt/extract/name"
	"saywatt/internal/alike"
)

// NameItems are the items that package name is shown, and the tokens of each.
type NameItems struct {
	Items []name.Item
	Spans [][2]int32
	d     *Document
}

// NameItems makes the items of the document: for training.
func (d *Document) NameItems() *NameItems {
	p := &parser{x: d.Lexicon, text: d.Transcript.Text, tokens: d.Tokens}
	return p.nameItems(d)
}

// Of makes the items those of a document: for training.
func (n *NameItems) Of(d *Document) { n.d = d }

// Key is the key of the sound of items [first, last).
func (n *NameItems) Key(first, last int) string {
	return alike.Key(strings.TrimSuffix(n.d.Words(n.Spans[first][0], n.Spans[last-1][1]), "'s"))
}

// nameItems makes an item of every word, number, part number and sign; line
// breaks are none.
func (p *parser) nameItems(d *Document) *NameItems {
	s := p.placer(d)
	s.section = SectionTeardown // where part numbers are read
	room := p.room
	if room == nil {
		room = &workroom{}
	}
	n := &NameItems{d: d}
	n.Items, n.Spans = slices.Grow(room.items[:0], len(s.tokens)), slices.Grow(room.spans[:0], len(s.tokens))
	text := string(s.text)
	mention, phrase := 0, 0
	class := ""
	for i := 0; i < len(s.tokens); {
		for mention < len(d.Mentions) && int(d.Mentions[mention].First) < i {
			mention++
		}
		t := &s.tokens[i]
		end := i + 1
		it := name.Item{Kind: name.Word}
		switch {
		case t.Kind == TokenBreak:
			i++
			continue
		case t.Kind == TokenPara:
			it.Kind, it.Text, it.Fold = name.Para, "\n", "#para"
		case mention < len(d.Mentions) && int(d.Mentions[mention].First) == i:
			m := &d.Mentions[mention]
			it.Kind, end = name.Number, max(end, int(m.NumEnd))
			if m.From == UnitOwn {
				it.Kind, end = name.Quantity, max(end, int(m.Last))
			}
		case t.Kind == TokenSign:
			it.Kind = name.Sign
		case t.Kind == TokenNumber:
			it.Kind = name.Number
		default:
			if code, ok := s.readCode(i); ok {
				it.Kind, end = name.Code, code.end
				it.Text, it.Fold = code.text, strings.ToLower(code.text)
				break
			}
			if i >= phrase {
				class = ""
				if v, k := s.matchAt(i); k > 0 && t.Word != 0 {
					class, phrase = phraseClass(s.c, s.c.cues[v]), i+k
				}
			}
			it.Class = class
		}
		if it.Text == "" {
			switch it.Text = text[t.Start:t.End]; {
			case end > i+1:
				it.Text = d.Words(int32(i), int32(end))
			case t.Apart > 0:
				it.Text = d.Lexicon.entries[t.Word].text
			}
			it.Fold = strings.TrimSuffix(strings.ToLower(it.Text), "'s")
		}
		if it.Fold != "" {
			n.Items = append(n.Items, it)
			n.Spans = append(n.Spans, [2]int32{int32(i), int32(end)})
		}
		i = end
	}
	room.items, room.spans = n.Items, n.Spans
	return n
}

// phraseClass names what the tables take a phrase for.
func phraseClass(c *cueTable, effects []effect) string {
	for _, e := range effects {
		switch e.kind {
		case effectPart:
			if c.parts[e.n].manner == MannerHeard {
				return "part heard"
			}
			return "part"
		case effectPackage:
			return "package"
		case effectPort:
			return "port"
		case effectProtocol:
			return "protocol"
		case effectBefore, effectAfter:
			return "property"
		default:
			return effectNames[e.kind]
		}
	}
	return ""
}
