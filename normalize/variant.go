package normalize

import (
	"saywatt/extract"
	"saywatt/extract/sound"
)

// variant is one way to read the number words of a mention, or of two
// mentions that captions may have cut out of one.
type variant struct {
	lo, hi  extract.Num
	isRange bool
	by      [2]distortion // what captions did, intact where nothing
	cost    float32       // -ln P(heard | said), the literal one's being that of intact
}

// piece is the digits of one spoken number.
type piece struct {
	digits [20]byte // '0'…'9', leading zeros as shown
	n      int
	after  int // how many of them stand behind the point, 0 without one
	num    extract.Num
	leads  bool // shown as ".95", without a whole part
	// shown with commas between thousands
	grouped bool
}

// pieceOf cuts the digits out of a mention's number; false for numbers too
// long to be garbled ones.
func (e *engine) pieceOf(m *extract.Mention) (piece, bool) {
	p := piece{num: m.Low}
	if m.Low.Big != nil || m.Low.Coef < 0 || m.Low.Exp > 0 {
		return p, false
	}
	if first := e.doc.Tokens[m.First]; m.Style == extract.StyleDigits && m.NumEnd-m.First == 1 {
		text := e.doc.Transcript.Text[first.Start:first.End]
		if first.Comma || text[0] >= 0x80 {
			return e.pieceOfValue(m, p)
		}
		p.leads = text[0] == '.'
		point := false
		for _, c := range text {
			switch {
			case c == '.':
				point = true
			case c == ',':
				p.grouped = true
			case p.n == len(p.digits):
				return p, false
			default:
				p.digits[p.n] = c
				p.n++
				if point {
					p.after++
				}
			}
		}
		return p, p.n > 0
	}
	return e.pieceOfValue(m, p)
}

// pieceOfValue cuts the digits out of the number's value.
func (e *engine) pieceOfValue(m *extract.Mention, p piece) (piece, bool) {
	v := m.Low.Coef
	for v > 0 && p.n < len(p.digits) {
		p.digits[p.n] = byte('0' + v%10)
		p.n++
		v /= 10
	}
	if p.n == 0 {
		p.digits[0], p.n = '0', 1
	}
	for i, j := 0, p.n-1; i < j; i, j = i+1, j-1 {
		p.digits[i], p.digits[j] = p.digits[j], p.digits[i]
	}
	p.after = int(-m.Low.Exp)
	p.leads = p.after > 0 && e.doc.Lexicon.IsPoint(e.doc.Tokens[m.First])
	for p.n <= p.after && p.n < len(p.digits) {
		copy(p.digits[1:p.n+1], p.digits[:p.n])
		p.digits[0] = '0'
		p.n++
	}
	return p, p.after < p.n || p.after == 0
}

// number reads the digits [i, j) with `after` of them behind the point.
func (p *piece) number(i, j, after int) extract.Num {
	n := extract.Num{Exp: int16(-after)}
	for _, c := range p.digits[i:j] {
		n.Coef = n.Coef*10 + int64(c-'0')
	}
	return n
}

func (e *engine) vary(lo, hi extract.Num, isRange bool, by ...distortion) {
	v := variant{lo: lo, hi: hi, isRange: isRange}
	for i, d := range by {
		v.by[i] = d
		v.cost += e.costs.cost[d]
	}
	e.variants = append(e.variants, v)
}

func (e *engine) varyOne(n extract.Num, by ...distortion) { e.vary(n, n, false, by...) }

// varySingle lists the ways to read the number of one mention.
func (e *engine) varySingle(m *extract.Mention) {
	switch {
	case m.Style == extract.StyleSound:
		var room [4]extract.NumberSound
		for _, s := range e.doc.Lexicon.NumbersBySound(room[:0], e.doc.Transcript.Text, e.doc.Tokens[m.First],
			sound.BeforeUnit) {
			e.varyOne(extract.Num{Coef: int64(s.Value)}, homophone)
			e.lastVariant().cost += s.Apart
		}
		return
	case m.Style == extract.StyleHeard:
		e.vary(m.Low, m.High, m.Range, homophone)
		e.lastVariant().cost += e.numberApart(m)
		e.varyPreposition(m)
		if m.Head.Coef > 0 { // without the word that sounds like its beginning: as likely, by the words alone
			cost := e.lastVariant().cost
			e.varyOne(m.Head, intact)
			e.lastVariant().cost = cost
		}
		return
	}
	e.vary(m.Low, m.High, m.Range, intact)
	switch {
	case m.Style == extract.StyleExact:
	case m.Style == extract.StyleBare:
		e.varyBare(m)
	case m.Range:
		e.varyRange(m)
	default:
		if p, ok := e.pieceOf(m); ok {
			e.varyDigits(m, &p)
		}
	}
}

// varyPreposition reads a number that opens with a word of the grammar and a point
// without that word: "stops for point nine seconds" is 4.9 or 0.9. Behind another
// such word it is none: "runs at for point nine volts".
func (e *engine) varyPreposition(m *extract.Mention) {
	t, x := e.doc.Tokens, e.doc.Lexicon
	before := e.wordBefore(m.First)
	if m.Range || m.Low.Big != nil || m.Low.Exp >= 0 || !x.Function(t[m.First]) || !x.IsPoint(t[m.First+1]) ||
		x.Function(t[m.NumEnd-1]) || before >= 0 && x.Function(t[before]) {
		return
	}
	n := m.Low
	n.Coef %= int64(pow10(int(-n.Exp)))
	e.varyOne(n, intact)
	e.lastVariant().cost += ln9
}

// lastVariant is the way to read that was listed last.
func (e *engine) lastVariant() *variant { return &e.variants[len(e.variants)-1] }

// varyDigits lists the ways to read the digits of a single number.
func (e *engine) varyDigits(m *extract.Mention, p *piece) {
	if m.Tail.Coef > 0 {
		e.varyOne(m.Tail, mergedNumbers)
		extra := e.weights.WordsTail
		if m.Style == extract.StylePair {
			extra = e.weights.PairTail
		}
		e.lastVariant().cost = e.costs.cost[intact] + float32(extra)
	}
	e.varyTeens(p)
	if p.after == 0 {
		e.varyWhole(m, p)
	}
	if p.after >= 3 {
		e.varyMergedPoint(p, p.n-p.after+1, intact)
	}
	if p.n-p.after == 1 && p.after > 0 && p.digits[0] != '0' { // "3.1 percent": the tens were swallowed
		for t := int64(1); t <= 9; t++ {
			n := p.num
			n.Coef += t * 10 * int64(pow10(p.after))
			e.vary(n, n, false, tensLost)
			e.lastVariant().cost += ln9
		}
	}
	e.varySound(m, p)
}

// varyWhole lists the ways to read a number without a point.
func (e *engine) varyWhole(m *extract.Mention, p *piece) {
	e.varyPoint(p, lostPoint(m))
	if p.n >= 4 && p.n <= 6 {
		e.varyMerged(p)
		e.varyMergedPoint(p, 2, pointLost)
		e.varyMergedTo(p)
	}
	if p.n >= 2 && p.n <= 4 && p.digits[0] == '2' && p.digits[1] != '0' { // "type 23 amps": up to 3
		e.varyOne(p.number(1, p.n, 0), toAs2, homophone)
	}
	if p.n > 3 || p.digits[0] == '0' {
		return
	}
	n := p.num // a digit lost at the end: 33 for 330
	n.Coef *= 10
	e.varyOne(n, digitDropped)
	switch p.n {
	case 3: // numbers of four digits are few
		e.lastVariant().cost += ln9
	case 1:
		e.lastVariant().cost += float32(e.weights.DigitAlone)
	}
}

// numberApart is how far the words of a number are from the number words they
// stand for, in nats.
func (e *engine) numberApart(m *extract.Mention) float32 {
	apart := float32(0)
	for i := m.First; i < m.NumEnd; i++ {
		if s := e.soundOf(i); s.OK {
			apart += s.Apart
		}
	}
	return apart
}

// soundOf is the number that the word at token i sounds like, worked out once
// for every word, but for those heard again: they say another word than is shown.
func (e *engine) soundOf(i int32) extract.NumberSound {
	t := e.doc.Tokens[i]
	text := e.doc.Transcript.Text
	if t.Apart > 0 {
		return e.doc.Lexicon.NumberBySound(text, t, sound.Anywhere)
	}
	s, ok := e.sounds[string(text[t.Start:t.End])]
	if !ok {
		s = e.doc.Lexicon.NumberBySound(text, t, sound.Anywhere)
		e.sounds[string(text[t.Start:t.End])] = s
	}
	return s
}

// Extra costs of rarer forms of a distortion: one in nine, one in fifty.
const (
	ln9  = 2.1972246
	ln50 = 3.9120230
)

// varyBare reads a magnitude without a number, "hundred volts", as so many
// hundreds: as many as the word before sounds like, or any.
func (e *engine) varyBare(m *extract.Mention) {
	e.variants[0].cost += ln9
	said := 0
	if i := e.wordBefore(m.First); i >= 0 {
		if s := e.soundOf(i); s.OK {
			said = s.Value
		}
	}
	for v := 1; v <= 9; v++ {
		n := m.Low
		n.Coef *= int64(v)
		e.varyOne(n, homophone)
		if v != said {
			e.lastVariant().cost += ln9
		}
	}
}

// lostPoint is the distortion that loses a point in a number written so: in
// digits a sign, in words a whole word.
func lostPoint(m *extract.Mention) distortion {
	if m.Style == extract.StyleDigits {
		return pointLost
	}
	return pointWordLost
}

// varyPoint puts the lost point back: 325 → 32.5, 3.25; 03 → 0.3; 33 → 0.33.
func (e *engine) varyPoint(p *piece, lost distortion) {
	if p.n > 6 {
		return
	}
	if p.digits[0] == '0' && p.n > 1 {
		// "014" is no way to write 14, but what is left of 0.14 or .014
		e.variants[0].cost += ln50
		e.varyOne(p.number(0, p.n, p.n-1), lost)
		e.varyOne(p.number(0, p.n, p.n), lost, zeroLost)
		return
	}
	for after := 1; after < p.n; after++ {
		if after > 3 {
			break
		}
		e.varyOne(p.number(0, p.n, after), lost)
		v := e.lastVariant()
		if p.digits[p.n-1] == '0' { // "50" for 5.0: hardly ever said
			v.cost += ln50
		}
		if p.grouped {
			v.cost += float32(e.weights.GroupedPoint)
		}
	}
	if p.n <= 3 {
		e.varyOne(p.number(0, p.n, p.n), lost, zeroLost)
		if p.n <= 2 {
			e.varyOne(p.number(0, p.n, p.n+1), digitDropped, zeroLost)
		}
	}
}

// varyMerged cuts a run of digits into both ends of a range: 5060 → 50–60.
func (e *engine) varyMerged(p *piece) {
	for cut := 2; cut <= 3 && cut < p.n; cut++ {
		if p.n-cut < 2 || p.n-cut > 3 || p.digits[cut] == '0' {
			continue
		}
		lo, hi := p.number(0, cut, 0), p.number(cut, p.n, 0)
		if lo.Coef < hi.Coef {
			e.vary(lo, hi, true, rangeMerged)
			if p.grouped {
				e.lastVariant().cost += float32(e.weights.GroupedPoint)
			}
		}
	}
}

// varyMergedPoint cuts a run of digits into both ends of a range whose low end
// has one digit behind its point: 3.321 → 3.3–21, 3.359 → 3.3–5.9, 3311 → 3.3–11.
// Where the captions show the word to as a 2, it is between: 3.3211 → 3.3–11. low
// is what befell the low end; where its point is shown that is nothing, and only
// the merging is charged.
func (e *engine) varyMergedPoint(p *piece, cut int, low distortion) {
	if cut >= p.n || p.digits[0] == '0' {
		return
	}
	lo := p.number(0, cut, 1)
	ends := func(hi extract.Num, by ...distortion) {
		if lo.Float() < hi.Float() {
			e.vary(lo, hi, true, by...)
		}
	}
	switch rest := p.n - cut; {
	case p.digits[cut] == '0':
	case rest == 2:
		if low == intact {
			ends(p.number(cut, p.n, 0), rangeMerged)
		} else {
			ends(p.number(cut, p.n, 0), rangeMerged, low)
		}
		ends(p.number(cut, p.n, 1), rangeMerged, pointLost)
	case rest == 3 && p.digits[cut] == '2' && p.digits[cut+1] != '0':
		if low == intact {
			low = rangeMerged
		}
		ends(p.number(cut+1, p.n, 0), toAs2, low)
	}
}

// varyMergedTo cuts a run of digits where the word to may be shown as a 2: 5211
// → 5–11.
func (e *engine) varyMergedTo(p *piece) {
	for cut := 1; cut < p.n-1 && cut <= 3; cut++ {
		rest := p.n - cut - 1
		if p.digits[cut] != '2' || p.digits[cut+1] == '0' || p.digits[0] == '0' || rest > 3 || cut > rest {
			continue
		}
		if lo, hi := p.number(0, cut, 0), p.number(cut+1, p.n, 0); lo.Coef < hi.Coef {
			e.vary(lo, hi, true, toAs2, rangeMerged)
		}
	}
}

// varyTeens swaps -teen and -ty in the last two digits before the point.
func (e *engine) varyTeens(p *piece) {
	whole := p.n - p.after
	if whole < 2 || whole > 3 {
		return
	}
	tens, ones := p.digits[whole-2], p.digits[whole-1]
	q := *p
	switch {
	case tens == '1' && ones >= '3':
		q.digits[whole-2], q.digits[whole-1] = ones, '0'
	case ones == '0' && tens >= '3':
		q.digits[whole-2], q.digits[whole-1] = '1', tens
	default:
		return
	}
	e.varyOne(q.number(0, q.n, q.after), teenTy)
	if p.after > 0 { // who says the point says the rest with care
		e.lastVariant().cost += float32(e.weights.TeenPoint)
	}
	if whole == 3 { // behind hundreds it is seldom
		e.lastVariant().cost += ln9
	}
}

// varyRange reads a range otherwise: teens at its ends, the "to" being the
// digit 2 of one number (16 to 70 → 270 is the scanner's other cut).
func (e *engine) varyRange(m *extract.Mention) {
	e.varyHyphen(m)
	e.varyTwo(m)
	for end := range 2 {
		q := *m
		q.Range = false
		if end == 1 {
			q.Low = m.High
		}
		q.Style = extract.StyleWords
		p, ok := e.pieceOf(&q)
		if !ok {
			continue
		}
		from := len(e.variants)
		e.varyTeens(&p)
		if p.after == 0 {
			e.varyPoint(&p, lostPoint(m))
		}
		for k := from; k < len(e.variants); k++ {
			v := &e.variants[k]
			n := v.lo
			if end == 0 {
				v.lo, v.hi = n, m.High
			} else {
				v.lo, v.hi = m.Low, n
			}
			v.isRange = true
			if v.lo.Float() >= v.hi.Float() {
				v.cost += 20
			}
		}
	}
}

// varyTwo reads the word to of a range as the number two: "2 to 5 amperes" is 2.25
// without its point.
func (e *engine) varyTwo(m *extract.Mention) {
	to := m.First + 1
	for to < m.NumEnd && !e.doc.Lexicon.IsTo(e.doc.Tokens[to]) {
		to++
	}
	low, high := m.Low, m.High
	whole := low.Big == nil && high.Big == nil && low.Exp == 0 && high.Exp == 0
	if to < m.NumEnd && whole && low.Coef > 0 && high.Coef < 10 { // the low end is less
		e.varyOne(extract.Num{Coef: low.Coef*100 + 20 + high.Coef, Exp: -2}, homophone, lostPoint(m))
	}
}

// varyHyphen reads a range shown with a hyphen or slash as a decimal: 3-25 is
// 3.25 (handbook T20: the range first where both ends form a known one).
func (e *engine) varyHyphen(m *extract.Mention) {
	i := m.First + 1
	if m.NumEnd-m.First != 3 || m.Style != extract.StyleDigits {
		return
	}
	if t := e.doc.Tokens[i]; t.Kind != extract.TokenSign || !t.Glued || !e.doc.Tokens[i+1].Glued {
		return
	}
	low, high := *m, *m
	low.Range, low.NumEnd = false, m.First+1
	high.Range, high.First, high.Low = false, i+1, m.High
	p, ok1 := e.pieceOf(&low)
	q, ok2 := e.pieceOf(&high)
	if !ok1 || !ok2 || p.after > 0 || q.after > 0 || p.n > 3 || q.n > 3 {
		return
	}
	e.varyOne(extract.Num{Coef: p.num.Coef*int64(pow10(q.n)) + q.num.Coef, Exp: int16(-q.n)}, pointShownWrong)
}

// varySound reads a word of like sound right before the number as part of it:
// "for .95" is 4.95, "one oh 8.6" is 108.6.
func (e *engine) varySound(m *extract.Mention, p *piece) {
	i := e.wordBefore(m.First)
	if i < 0 || e.doc.Tokens[i].Kind != extract.TokenWord {
		return
	}
	s := e.soundOf(i)
	v := s.Value
	if !s.OK {
		return
	}
	if p.leads {
		// "for .95": a bare point in front of digits, behind a word of like
		// sound, is rarely a number of its own
		q := p.num
		q.Coef += int64(v) * int64(pow10(p.after))
		e.varyOne(q, homophone)
		e.lastVariant().cost = e.costs.cost[intact] + 0.7
		e.variants[0].cost += ln9
		return
	}
	if v == 0 && p.n-p.after == 1 && i > 0 { // "one oh 8.6"
		if w := e.soundOf(i - 1); w.Value > 0 {
			q := p.num
			q.Coef += int64(w.Value) * 100 * int64(pow10(p.after))
			e.varyOne(q, homophone)
		} else if d := e.doc.Lexicon.Digit(e.doc.Tokens[i-1]); d > 0 {
			q := p.num
			q.Coef += int64(d) * 100 * int64(pow10(p.after))
			e.varyOne(q, homophone)
		}
	}
}
