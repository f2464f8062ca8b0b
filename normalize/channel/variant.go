package channel

import "saywatt/extract"

// varyPreposition reads a number that opens with a word of the grammar and a point
// without that word: "stops for point nine seconds" is 4.9 or 0.9. Behind another
// such word it is none: "runs at for point nine volts".
func (r *Decoder) varyPreposition(m *extract.Mention) {
	t, x := r.doc.Tokens, r.doc.Lexicon
	before := r.doc.WordBefore(m.First)
	if m.Range || m.Low.Big != nil || m.Low.Exp >= 0 || !x.Function(t[m.First]) || !x.IsPoint(t[m.First+1]) ||
		x.Function(t[m.NumEnd-1]) || before >= 0 && x.Function(t[before]) {
		return
	}
	n := m.Low
	if one := pow10(int(-n.Exp)); one > 0 {
		n.Coef %= one
	}
	r.varyOne(n, Intact)
	r.lastVariant().Cost += ln9
}

// varyDigits lists the ways to read the digits of a single number.
func (r *Decoder) varyDigits(m *extract.Mention, p *Digits) {
	if m.Tail.Coef > 0 {
		r.varyOne(m.Tail, MergedNumbers)
		extra := r.weights.wordsTail
		if m.Style == extract.StylePair {
			extra = r.weights.pairTail
		}
		r.lastVariant().Cost = r.costs.Of(Intact) + float32(extra)
	}
	r.varyTeens(p)
	if p.After == 0 {
		r.varyWhole(m, p)
	}
	if p.After >= 3 {
		r.varyMergedPoint(p, p.N-p.After+1, Intact)
	}
	if p.N-p.After == 1 && p.After > 0 && p.Shown[0] != '0' { // "3.1 percent": the tens were swallowed
		for t := int64(1); t <= 9; t++ {
			n := p.num
			n.Coef += t * 10 * pow10(p.After)
			r.vary(n, n, false, TensLost)
			r.lastVariant().Cost += ln9
		}
	}
	r.varySound(m, p)
}

// varyWhole lists the ways to read a number without a point.
func (r *Decoder) varyWhole(m *extract.Mention, p *Digits) {
	r.varyPoint(p, lostPoint(m))
	if p.N >= 4 && p.N <= 6 {
		r.varyMerged(p)
		r.varyMergedPoint(p, 2, PointLost)
		r.varyMergedTo(p)
	}
	if p.N >= 2 && p.N <= 4 && p.Shown[0] == '2' && p.Shown[1] != '0' { // "type 23 amps": up to 3
		r.varyOne(p.Number(1, p.N, 0), ToAs2, Homophone)
	}
	if p.N > 3 || p.Shown[0] == '0' {
		return
	}
	n := p.num // a digit lost at the end: 33 for 330
	n.Coef *= 10
	r.varyOne(n, DigitDropped)
	switch p.N {
	case 3: // numbers of four digits are few
		r.lastVariant().Cost += ln9
	case 1:
		r.lastVariant().Cost += float32(r.weights.digitAlone)
	}
}

// varyBare reads a magnitude without a number, "hundred volts", as so many
// hundreds: as many as the word before sounds like, or any.
func (r *Decoder) varyBare(m *extract.Mention) {
	r.List[0].Cost += ln9
	said := 0
	if i := r.doc.WordBefore(m.First); i >= 0 {
		if s := r.Sound(i); s.OK {
			said = s.Value
		}
	}
	for v := 1; v <= 9; v++ {
		n := m.Low
		n.Coef *= int64(v)
		r.varyOne(n, Homophone)
		if v != said {
			r.lastVariant().Cost += ln9
		}
	}
}

// lostPoint is the distortion that loses a point in a number written so: in
// digits a sign, in words a whole word.
func lostPoint(m *extract.Mention) Distortion {
	if m.Style == extract.StyleDigits {
		return PointLost
	}
	return PointWordLost
}

// varyPoint puts the lost point back: 325 → 32.5, 3.25; 03 → 0.3; 33 → 0.33.
func (r *Decoder) varyPoint(p *Digits, lost Distortion) {
	if p.N > 6 {
		return
	}
	if p.Shown[0] == '0' && p.N > 1 {
		// "014" is no way to write 14, but what is left of 0.14 or .014
		r.List[0].Cost += ln50
		r.varyOne(p.Number(0, p.N, p.N-1), lost)
		r.varyOne(p.Number(0, p.N, p.N), lost, ZeroLost)
		return
	}
	for after := 1; after < p.N; after++ {
		if after > 3 {
			break
		}
		r.varyOne(p.Number(0, p.N, after), lost)
		v := r.lastVariant()
		if p.Shown[p.N-1] == '0' { // "50" for 5.0: hardly ever said
			v.Cost += ln50
		}
		if p.grouped {
			v.Cost += float32(r.weights.groupedPoint)
		}
	}
	if p.N <= 3 {
		r.varyOne(p.Number(0, p.N, p.N), lost, ZeroLost)
		if p.N <= 2 {
			r.varyOne(p.Number(0, p.N, p.N+1), DigitDropped, ZeroLost)
		}
	}
}

// varyMerged cuts a run of digits into both ends of a range: 5060 → 50–60.
func (r *Decoder) varyMerged(p *Digits) {
	for cut := 2; cut <= 3 && cut < p.N; cut++ {
		if p.N-cut < 2 || p.N-cut > 3 || p.Shown[cut] == '0' {
			continue
		}
		lo, hi := p.Number(0, cut, 0), p.Number(cut, p.N, 0)
		if lo.Coef < hi.Coef {
			r.vary(lo, hi, true, RangeMerged)
			if p.grouped {
				r.lastVariant().Cost += float32(r.weights.groupedPoint)
			}
		}
	}
}

// varyMergedPoint cuts a run of digits into both ends of a range whose low end
// has one digit behind its point: 3.321 → 3.3–21, 3.359 → 3.3–5.9, 3311 → 3.3–11.
// Where the captions show the word to as a 2, it is between: 3.3211 → 3.3–11. low
// is what befell the low end; where its point is shown that is nothing, and only
// the merging is charged.
func (r *Decoder) varyMergedPoint(p *Digits, cut int, low Distortion) {
	if cut >= p.N || p.Shown[0] == '0' {
		return
	}
	lo := p.Number(0, cut, 1)
	ends := func(hi extract.Num, by ...Distortion) {
		if lo.Float() < hi.Float() {
			r.vary(lo, hi, true, by...)
		}
	}
	switch rest := p.N - cut; {
	case p.Shown[cut] == '0':
	case rest == 2:
		if low == Intact {
			ends(p.Number(cut, p.N, 0), RangeMerged)
		} else {
			ends(p.Number(cut, p.N, 0), RangeMerged, low)
		}
		ends(p.Number(cut, p.N, 1), RangeMerged, PointLost)
	case rest == 3 && p.Shown[cut] == '2' && p.Shown[cut+1] != '0':
		if low == Intact {
			low = RangeMerged
		}
		ends(p.Number(cut+1, p.N, 0), ToAs2, low)
	}
}

// varyMergedTo cuts a run of digits where the word to may be shown as a 2: 5211
// → 5–11.
func (r *Decoder) varyMergedTo(p *Digits) {
	for cut := 1; cut < p.N-1 && cut <= 3; cut++ {
		rest := p.N - cut - 1
		if p.Shown[cut] != '2' || p.Shown[cut+1] == '0' || p.Shown[0] == '0' || rest > 3 || cut > rest {
			continue
		}
		if lo, hi := p.Number(0, cut, 0), p.Number(cut+1, p.N, 0); lo.Coef < hi.Coef {
			r.vary(lo, hi, true, ToAs2, RangeMerged)
		}
	}
}

// varyTeens swaps -teen and -ty in the last two digits before the point.
func (r *Decoder) varyTeens(p *Digits) {
	whole := p.N - p.After
	if whole < 2 || whole > 3 {
		return
	}
	tens, ones := p.Shown[whole-2], p.Shown[whole-1]
	q := *p
	switch {
	case tens == '1' && ones >= '3':
		q.Shown[whole-2], q.Shown[whole-1] = ones, '0'
	case ones == '0' && tens >= '3':
		q.Shown[whole-2], q.Shown[whole-1] = '1', tens
	default:
		return
	}
	r.varyOne(q.Number(0, q.N, q.After), TeenTy)
	if p.After > 0 { // who says the point says the rest with care
		r.lastVariant().Cost += float32(r.weights.teenPoint)
	}
	if whole == 3 { // behind hundreds it is seldom
		r.lastVariant().Cost += ln9
	}
}

// varyRange reads a range otherwise: teens at its ends, the "to" being the
// digit 2 of one number (16 to 70 → 270 is the scanner's other cut).
func (r *Decoder) varyRange(m *extract.Mention) {
	r.varyHyphen(m)
	r.varyTwo(m)
	for end := range 2 {
		q := *m
		q.Range = false
		if end == 1 {
			q.Low = m.High
		}
		q.Style = extract.StyleWords
		p, ok := r.Digits(&q)
		if !ok {
			continue
		}
		from := len(r.List)
		r.varyTeens(&p)
		if p.After == 0 {
			r.varyPoint(&p, lostPoint(m))
		}
		for k := from; k < len(r.List); k++ {
			v := &r.List[k]
			n := v.Lo
			if end == 0 {
				v.Lo, v.Hi = n, m.High
			} else {
				v.Lo, v.Hi = m.Low, n
			}
			v.Range = true
			if v.Lo.Float() >= v.Hi.Float() {
				v.Cost += 20
			}
		}
	}
}

// varyTwo reads the word to of a range as the number two: "2 to 5 amperes" is 2.25
// without its point.
func (r *Decoder) varyTwo(m *extract.Mention) {
	to := m.First + 1
	for to < m.NumEnd && !r.doc.Lexicon.IsTo(r.doc.Tokens[to]) {
		to++
	}
	low, high := m.Low, m.High
	whole := low.Big == nil && high.Big == nil && low.Exp == 0 && high.Exp == 0
	if to < m.NumEnd && whole && low.Coef > 0 && high.Coef < 10 { // the low end is less
		r.varyOne(extract.Num{Coef: low.Coef*100 + 20 + high.Coef, Exp: -2}, Homophone, lostPoint(m))
	}
}

// varyHyphen reads a range shown with a hyphen or slash as a decimal: 3-25 is
// 3.25 (handbook T20: the range first where both ends form a known one).
func (r *Decoder) varyHyphen(m *extract.Mention) {
	i := m.First + 1
	if m.NumEnd-m.First != 3 || m.Style != extract.StyleDigits {
		return
	}
	if t := r.doc.Tokens[i]; t.Kind != extract.TokenSign || !t.Glued || !r.doc.Tokens[i+1].Glued {
		return
	}
	low, high := *m, *m
	low.Range, low.NumEnd = false, m.First+1
	high.Range, high.First, high.Low = false, i+1, m.High
	p, ok1 := r.Digits(&low)
	q, ok2 := r.Digits(&high)
	if !ok1 || !ok2 || p.After > 0 || q.After > 0 || p.N > 3 || q.N > 3 {
		return
	}
	r.varyOne(extract.Num{Coef: p.num.Coef*pow10(q.N) + q.num.Coef, Exp: int16(-q.N)}, PointShownWrong)
}

// varySound reads a word of like sound right before the number as part of it:
// "for .95" is 4.95, "one oh 8.6" is 108.6.
func (r *Decoder) varySound(m *extract.Mention, p *Digits) {
	i := r.doc.WordBefore(m.First)
	if i < 0 || r.doc.Tokens[i].Kind != extract.TokenWord {
		return
	}
	s := r.Sound(i)
	v := s.Value
	if !s.OK {
		return
	}
	if p.leads {
		// "for .95": a bare point in front of digits, behind a word of like
		// sound, is rarely a number of its own
		q := p.num
		q.Coef += int64(v) * pow10(p.After)
		r.varyOne(q, Homophone)
		r.lastVariant().Cost = r.costs.Of(Intact) + 0.7
		r.List[0].Cost += ln9
		return
	}
	if v == 0 && p.N-p.After == 1 && i > 0 { // "one oh 8.6"
		if w := r.Sound(i - 1); w.Value > 0 {
			q := p.num
			q.Coef += int64(w.Value) * 100 * pow10(p.After)
			r.varyOne(q, Homophone)
		} else if d := r.doc.Lexicon.Digit(r.doc.Tokens[i-1]); d > 0 {
			q := p.num
			q.Coef += int64(d) * 100 * pow10(p.After)
			r.varyOne(q, Homophone)
		}
	}
}
