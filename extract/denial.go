package extract

// A name may be said to deny what it names: "no CCC mark", "doesn't support
// PPS", "an e-marker is missing". Such a name stays among the terms said, and
// nothing of the product follows from it.

// deniedName reports whether the name over tokens [i, end) is said not to be
// there. Only small words may stand between ("does not come with an …"): in
// "no doubt it has the …" and "not only …" nothing is denied.
func (s *placer) deniedName(i, end int) bool {
	if !s.deniedBefore(i) && !s.deniedBehind(end) {
		return false
	}
	s.denialEnd = end
	return true
}

// deniedBefore reports whether a denial stands before token i. It goes on over
// "or": "no UL mark or CE mark".
func (s *placer) deniedBefore(i int) bool {
	b := s.backOne(i)
	reach := s.x.reach.denial
	if s.guarded(b, guardDenialOr) && s.denialEnd > 0 {
		k := b
		for n := 0; k >= s.denialEnd && n < reach && s.tokens[k].Kind == TokenWord; k, n = s.backOne(k), n+1 {
			if k == s.denialEnd || s.backOne(k) < s.denialEnd {
				return true
			}
		}
	}
	for n := 0; n < reach && b >= 0 && s.tokens[b].Kind == TokenWord; b, n = s.backOne(b), n+1 {
		if s.guarded(b, guardDenial) {
			return true
		}
		if !s.guarded(b, guardDenialOver) {
			return false
		}
	}
	return false
}

// deniedBehind reports whether the name that ends before token k is denied
// behind it: "the CCC mark is missing", "PPS isn't supported".
func (s *placer) deniedBehind(k int) bool {
	k = s.skipBreak(k)
	reach := s.x.reach.denial
	for n := 0; n < reach && k < len(s.tokens) && s.tokens[k].Kind == TokenWord; k, n = s.skipBreak(k+1), n+1 {
		next := s.skipBreak(k + 1)
		switch {
		case s.guarded(k, guardDenialGone):
			return s.guarded(s.backOne(k), guardDenialBe)
		case s.guarded(k, guardDenialBe), s.guarded(k, guardDenialNoun):
		case s.guarded(k, guardDenial):
			return s.guarded(next, guardDenialThere)
		default:
			return false
		}
	}
	return false
}
