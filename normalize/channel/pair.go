package channel

import (
	"slices"

	"saywatt/extract"
)

// Pair lists the ways to read two mentions next to each other as one number, or as the
// two ends of a range; b.Joint says what stands between them.
func (r *Decoder) Pair(a, b *extract.Mention) {
	r.List = r.List[:0]
	joint := b.Joint
	if a.Range || b.Range || a.Style == extract.StyleSound || b.Style == extract.StyleSound {
		return // "27 6 to 28"? too rare to weigh
	}
	p, ok1 := r.Digits(a)
	q, ok2 := r.Digits(b)
	if !ok1 || !ok2 || p.N > pairDigits || q.N > pairDigits {
		return
	}
	from := len(r.List)
	r.varyPairPoint(a, b, &p, &q, joint)
	r.varyPairDigits(a, &p, &q, joint)
	r.varyPairSum(&p, &q, joint)
	r.varyEnds(&p, &q, joint)
	if a.Not == extract.NotCode { // the end of a part number opens no range: "A V 100 45 one hundred volts"
		r.List = slices.DeleteFunc(r.List, func(v Variant) bool { return v.Range })
	}
	r.jointCosts(from, joint)
}

// pairDigits is how many digits the numbers have at the most that may be pieces
// of one.
const pairDigits = 6

// jointCosts adds what the joint of two mentions says against the ways to read
// them from the one with index from on: a comma is a list's as a rule, "to" and
// a slash a range's.
func (r *Decoder) jointCosts(from int, joint extract.Joint) {
	extra := float32(0)
	switch joint {
	case extract.JointComma:
		extra = float32(r.weights.commaPoint)
	case extract.JointTo, extract.JointSlash:
		extra = float32(r.weights.toPoint)
	}
	for k := from; k < len(r.List); k++ {
		switch {
		case !r.List[k].Range || joint == extract.JointComma:
			r.List[k].Cost += extra
		case joint == extract.JointStop:
			r.List[k].Cost += float32(r.weights.stopRange)
		}
	}
}

// over writes the digits of q behind those of p, after of them all behind the
// point.
func (p *Digits) over(q *Digits, after int) extract.Num {
	return extract.Num{Coef: p.num.Coef*pow10(q.N) + q.num.Coef, Exp: int16(-after)}
}

// plus adds q to the whole number p.
func (p *Digits) plus(q *Digits) extract.Num {
	n := p.num
	n.Coef = n.Coef*pow10(q.After) + q.num.Coef
	n.Exp = int16(-q.After)
	return n
}

// varyPairPoint reads two mentions as a number whose point was lost between
// them: "27 6", "3-25", "3. 25"; "1.3 5".
func (r *Decoder) varyPairPoint(a, b *extract.Mention, p, q *Digits, joint extract.Joint) {
	shown := PointShownWrong
	switch joint {
	case extract.JointWord, extract.JointBy:
		shown = PointMisheard
	case extract.JointSpace, extract.JointDash, extract.JointComma, extract.JointStop, extract.JointColon,
		extract.JointTo, extract.JointSlash:
	default:
		return
	}
	switch {
	case q.leads && p.After == 0: // "69 | .8"
		r.varyOne(p.plus(q), shown)
		r.lastVariant().Cost = r.costs.Of(Intact) + 0.2 // nothing else is ever written so
		n := p.plus(q)
		if joint == extract.JointTo && p.num.Coef >= 20 && p.num.Coef%10 == 0 { // "eighty to point nine"
			n.Coef += 2 * pow10(q.After)
			r.varyOne(n, Homophone)
		}
	case q.leads || q.After > 0:
	case p.After == 0:
		if q.N <= 3 && (p.Shown[0] != '0' || p.N == 1) {
			r.varyOne(p.over(q, q.N), shown)
			if shown == PointMisheard {
				r.lastVariant().Cost += r.pointLike(a, b)
			}
		}
	case q.N <= 2 && joint == extract.JointSpace: // "1.3 5"
		r.varyOne(p.over(q, p.After+q.N), shown)
	}
}

// varyPairDigits reads two mentions as one number that was cut in two: "1 5" →
// 15, "2 30" → 230, "29:30" → 2930, "1 9.35" → 19.35.
func (r *Decoder) varyPairDigits(a *extract.Mention, p, q *Digits, joint extract.Joint) {
	switch joint {
	case extract.JointSpace, extract.JointColon, extract.JointDash:
	default:
		return
	}
	if p.After > 0 || q.leads || p.N+q.N > pairDigits || p.Shown[0] == '0' {
		return
	}
	if q.After == 0 || p.N == 1 || a.Style == extract.StyleSpell {
		r.varyOne(p.over(q, q.After), SplitNumber)
	}
}

// varyPairSum reads two mentions as a number said in two parts: "80 3.1" → 83.1,
// "400 and 71" → 471, "49 and 0.5" → 49.5.
func (r *Decoder) varyPairSum(p, q *Digits, joint extract.Joint) {
	switch joint {
	case extract.JointSpace, extract.JointAnd, extract.JointWord:
	default:
		return
	}
	if p.After > 0 {
		return
	}
	room := pow10(q.N - q.After)
	switch {
	case p.num.Coef > 0 && p.num.Coef%room == 0 && (q.Shown[0] != '0' || q.After > 0):
		by := AndJoin
		if joint == extract.JointSpace {
			by = SplitNumber
		}
		r.varyOne(p.plus(q), by)
		if joint == extract.JointWord {
			r.lastVariant().Cost += ln9
		}
	case q.After > 0 && q.Shown[0] == '0' && q.N-q.After == 1:
		r.varyOne(p.plus(q), AndJoin)
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
func (r *Decoder) pointLike(a, b *extract.Mention) float32 {
	for i := a.Last; i < b.First; i++ {
		if t := r.doc.Tokens[i]; t.Kind == extract.TokenWord {
			cost := r.doc.Lexicon.PointOdds(r.doc.Transcript.Text, t)
			return min(mostPointAgainst, max(-mostPointFor, cost))
		}
	}
	return mostPointAgainst
}

// varyEnds lists the ways to read two numbers as the ends of a range.
func (r *Decoder) varyEnds(p, q *Digits, joint extract.Joint) {
	switch joint {
	case extract.JointSpace, extract.JointComma, extract.JointDash, extract.JointWord, extract.JointTo:
	case extract.JointStop: // "3.3. 16 volts", "50. 60 hertz": no number of one digit begins a sentence so
		if p.After == 0 && p.N < 2 || q.N < 2 {
			return
		}
	default:
		return
	}
	rises := func(lo, hi extract.Num, by ...Distortion) {
		if lo.Coef > 0 && lo.Float() < hi.Float() {
			r.vary(lo, hi, true, by...)
		}
	}
	rises(p.num, q.num, ToLost)
	if q.N >= 2 && q.Shown[0] == '2' && q.Shown[1] != '0' { // "3.3 221" → 3.3 to 21
		hi := q.Number(1, q.N, q.After)
		rises(p.num, hi, ToAs2)
		if p.After == 0 && p.N == 2 && p.num.Float() >= hi.Float() { // "33 221" → 3.3 to 21
			rises(p.Number(0, p.N, 1), hi, ToAs2, PointLost)
		}
	}
	if p.Shown[p.N-1] == '2' && p.N >= 2 && q.After == 0 && joint == extract.JointSpace { // "222 240" → 220 to 240
		switch tens := p.num; {
		case p.After > 1: // "3.32 16" → 3.3 to 16
			rises(p.Number(0, p.N-1, p.After-1), q.num, ToAs2)
		case p.After == 0 && p.Shown[p.N-2] != '1':
			tens.Coef -= 2
			rises(tens, q.num, ToAs2)
		}
	}
	// "34 to 11" → 3.4 to 11
	if joint == extract.JointTo && p.After == 0 && p.N == 2 && p.num.Float() >= q.num.Float() {
		rises(p.Number(0, p.N, 1), q.num, PointLost)
	}
}
