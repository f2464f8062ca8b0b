package extract

import (
	"saywatt/schema"
)

// Found is a number found in a plain text, read literally.
type Found struct {
	Span     schema.Span // in the text given
	Quantity schema.Quantity
	HasUnit  bool
	Not      Not // why it is no physical quantity, as far as the words around it show
}

// ParseQuantities reads the numbers and quantities of a plain text literally,
// in order. It is the scanner and the grammar without the reading engine:
// what the words say by the rules of English and of writing units.
func ParseQuantities(text string) []Found {
	x := Words()
	p := parser{x: x, text: []byte(text)}
	p.tokens = x.Scan(nil, p.text)
	var out []Found
	for _, m := range p.mentions(nil) {
		if m.Not == NotPronoun {
			continue
		}
		out = append(out, Found{
			Span:     schema.Span{Start: int(p.tokens[m.First].Start), End: int(p.tokens[m.Last-1].End)},
			Quantity: m.Quantity(),
			HasUnit:  m.HasUnit(),
			Not:      m.Not,
		})
	}
	return out
}
