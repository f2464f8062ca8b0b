package extract

// alternating reports whether token i is the sign of alternating voltage, which
// labels print right behind the unit: "100-240V~ 50/60Hz" (IEC 60417-5032). With a
// number right behind it too, it is that of a range: "5V~20V".
func (p *parser) alternating(i int) bool {
	return i > 0 && i < len(p.tokens) && p.word(i) == classTilde && p.tokens[i].Glued &&
		p.tokens[i-1].Kind == TokenWord && (i+1 >= len(p.tokens) || !p.tokens[i+1].Glued ||
		p.tokens[i+1].Kind != TokenNumber)
}
