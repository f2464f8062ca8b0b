package extract

// spotSince returns the place of a measurement named last in tokens [a, b), and
// the token behind it, 0 where none is.
func (s *placer) spotSince(a, b int) (spot string, end int) {
	for i := a; i < b; i++ {
		if s.tokens[i].Word == 0 {
			continue
		}
		v, n := s.c.phrases.match(s.tokens, i)
		if n == 0 {
			continue
		}
		for _, e := range s.c.cues[v] {
			if e.kind == effectSpot {
				spot, end = e.value, i+n
			}
		}
	}
	return spot, end
}

// spotBehind returns the place of a temperature named right behind it, "68
// degrees on the top", and the token after; 0 where none is.
func (s *placer) spotBehind(m *Mention) (string, int) {
	if !s.testing() {
		return "", 0
	}
	i := s.skipBreak(int(m.Last))
	if i >= len(s.tokens) || s.tokens[i].Kind != TokenWord || s.tokens[i].Word != s.c.on && s.tokens[i].Word != s.c.at {
		return "", 0
	}
	spot, end := s.spotSince(i, min(i+s.x.reach.spotBehind, len(s.tokens)))
	if end == 0 || s.mentionAt(s.skipBreak(end)) {
		return "", 0 // "41 degrees, on top 44"
	}
	return spot, end
}
