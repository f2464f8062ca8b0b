package normalize

import (
	"slices"

	"saywatt/extract"
)

// varyPair lists the ways to read two mentions as one number, or as the two
// ends of a range.
func (e *engine) varyPair(a, b *extract.Mention, joint extract.Joint) {
	if a.Range || b.Range || a.Style == extract.StyleSound || b.Style == extract.StyleSound {
		return // "27 6 to 28"? too rare to weigh
	}
	p, ok1 := e.pieceOf(a)
	q, ok2 := e.pieceOf(b)
	if !ok1 || !ok2 || p.n > pairDigits || q.n > pairDigits {
		return
	}
	from := len(e.variants)
	e.varyPairPoint(a, b, &p, &q, joint)
	e.varyPairDigits(a, &p, &q, joint)
	e.varyPairSum(&p, &q, joint)
	e.varyEnds(&p, &q, joint)
	if a.Not == extract.NotCode { // the end of a part number opens no range: "A V 100 45 one hundred volts"
		e.variants = slices.DeleteFunc(e.variants, func(v variant) bool { return v.isRange })
	}
	e.jointCosts(from, joint)
}

// pairDigits is how many digits the numbers have at the most that may be pieces
// of one.
const pairDigits = 6

// jointCosts adds what the joint of two mentions says against the ways to read
// them from the one with index from on: a comma is a list's as a rule, "to" and
// a slash a range's.
func (e *engine) jointCosts(from int, joint extract.Joint) {
	extra := float32(0)
	switch joint {
	case extract.JointComma:
		extra = float32(e.weights.CommaPoint)
	case extract.JointTo, extract.JointSlash:
		extra = float32(e.weights.ToPoint)
	}
	for k := from; k < len(e.variants); k++ {
		switch {
		case !e.variants[k].isRange || joint == extract.JointComma:
			e.variants[k].cost += extra
		case joint == extract.JointStop:
			e.variants[k].cost += float32(e.weights.StopRange)
		}
	}
}

// over writes the digits of q behind those of p, after of them all behind the
// point.
func (p *piece) over(q *piece, after int) extract.Num {
	return extract.Num{Coef: p.num.Coef*int64(pow10(q.n)) + q.num.Coef, Exp: int16(-after)}
}

// plus adds q to the whole number p.
func (p *piece) plus(q *piece) extract.Num {
	n := p.num
	n.Coef = n.Coef*int64(pow10(q.after)) + q.num.Coef
	n.Exp = int16(-q.after)
	return n
}

// varyPairPoint reads two mentions as a number whose point was lost between
// them: "27 6", "3-25", "3. 25"; "1.3 5".
func (e *engine) varyPairPoint(a, b *extract.Mention, p, q *piece, joint extract.Joint) {
	shown := pointShownWrong
	switch joint {
	case extract.JointWord, extract.JointBy:
		shown = pointMisheard
	case extract.JointSpace, extract.JointDash, extract.JointComma, extract.JointStop, extract.JointColon,
		extract.JointTo, extract.JointSlash:
	default:
		return
	}
	switch {
	case q.leads && p.after == 0: // "69 | .8"
		e.varyOne(p.plus(q), shown)
		e.lastVariant().cost = e.costs.cost[intact] + 0.2 // nothing else is ever written so
		n := p.plus(q)
		if joint == extract.JointTo && p.num.Coef >= 20 && p.num.Coef%10 == 0 { // "eighty to point nine"
			n.Coef += 2 * int64(pow10(q.after))
			e.varyOne(n, homophone)
		}
	case q.leads || q.after > 0:
	case p.after == 0:
		if q.n <= 3 && (p.digits[0] != '0' || p.n == 1) {
			e.varyOne(p.over(q, q.n), shown)
			if shown == pointMisheard {
				e.lastVariant().cost += e.pointLike(a, b)
			}
		}
	case q.n <= 2 && joint == extract.JointSpace: // "1.3 5"
		e.varyOne(p.over(q, p.after+q.n), shown)
	}
}

// varyPairDigits reads two mentions as one number that was cut in two: "1 5" →
// 15, "2 30" → 230, "29:30" → 2930, "1 9.35" → 19.35.
func (e *engine) varyPairDigits(a *extract.Mention, p, q *piece, joint extract.Joint) {
	switch joint {
	case extract.JointSpace, extract.JointColon, extract.JointDash:
	default:
		return
	}
	if p.after > 0 || q.leads || p.n+q.n > pairDigits || p.digits[0] == '0' {
		return
	}
	if q.after == 0 || p.n == 1 || a.Style == extract.StyleSpell {
		e.varyOne(p.over(q, q.after), splitNumber)
	}
}

// varyPairSum reads two mentions as a number said in two parts: "80 3.1" → 83.1,
// "400 and 71" → 471, "49 and 0.5" → 49.5.
func (e *engine) varyPairSum(p, q *piece, joint extract.Joint) {
	switch joint {
	case extract.JointSpace, extract.JointAnd, extract.JointWord:
	default:
		return
	}
	if p.after > 0 {
		return
	}
	room := int64(pow10(q.n - q.after))
	switch {
	case p.num.Coef > 0 && p.num.Coef%room == 0 && (q.digits[0] != '0' || q.after > 0):
		by := andJoin
		if joint == extract.JointSpace {
			by = splitNumber
		}
		e.varyOne(p.plus(q), by)
		if joint == extract.JointWord {
			e.lastVariant().cost += ln9
		}
	case q.after > 0 && q.digits[0] == '0' && q.n-q.after == 1:
		e.varyOne(p.plus(q), andJoin)
	}
}

// The most that the word between two numbers speaks for a misheard "point", and
// against one, in nats; common practice, no source.
const (
	mostPointFor     = 2
	mostPointAgainst = 12
)

// pointLike is the cost of taking the word between two mentions for a misheard
// "point": how far it sounds from it, against how seldom it stands before a number
// for itself.
func (e *engine) pointLike(a, b *extract.Mention) float32 {
	for i := a.Last; i < b.First; i++ {
		if t := e.doc.Tokens[i]; t.Kind == extract.TokenWord {
			cost := e.doc.Lexicon.PointOdds(e.doc.Transcript.Text, t)
			return min(mostPointAgainst, max(-mostPointFor, cost))
		}
	}
	return mostPointAgainst
}

// varyEnds lists the ways to read two numbers as the ends of a range.
func (e *engine) varyEnds(p, q *piece, joint extract.Joint) {
	switch joint {
	case extract.JointSpace, extract.JointComma, extract.JointDash, extract.JointWord, extract.JointTo:
	case extract.JointStop: // "3.3. 16 volts", "50. 60 hertz": no number of one digit begins a sentence so
		if p.after == 0 && p.n < 2 || q.n < 2 {
			return
		}
	default:
		return
	}
	rises := func(lo, hi extract.Num, by ...distortion) {
		if lo.Coef > 0 && lo.Float() < hi.Float() {
			e.vary(lo, hi, true, by...)
		}
	}
	rises(p.num, q.num, toLost)
	if q.n >= 2 && q.digits[0] == '2' && q.digits[1] != '0' { // "3.3 221" → 3.3 to 21
		hi := q.number(1, q.n, q.after)
		rises(p.num, hi, toAs2)
		if p.after == 0 && p.n == 2 && p.num.Float() >= hi.Float() { // "33 221" → 3.3 to 21
			rises(p.number(0, p.n, 1), hi, toAs2, pointLost)
		}
	}
	if p.digits[p.n-1] == '2' && p.n >= 2 && q.after == 0 && joint == extract.JointSpace { // "222 240" → 220 to 240
		switch tens := p.num; {
		case p.after > 1: // "3.32 16" → 3.3 to 16
			rises(p.number(0, p.n-1, p.after-1), q.num, toAs2)
		case p.after == 0 && p.digits[p.n-2] != '1':
			tens.Coef -= 2
			rises(tens, q.num, toAs2)
		}
	}
	// "34 to 11" → 3.4 to 11
	if joint == extract.JointTo && p.after == 0 && p.n == 2 && p.num.Float() >= q.num.Float() {
		rises(p.number(0, p.n, 1), q.num, pointLost)
	}
}
