package extract

import (
	"fmt"
	"slices"
	"strconv"

	"saywatt/schema"
)

// rangeEnd reads the high end of a range behind the number n that starts at
// token i: "to 240", "–240", "-240", "..240", "and 16" after between, "/60"
// where it rises.
func (p *parser) rangeEnd(i int, n number) (Num, int, bool) {
	j := p.skipBreak(n.end)
	if j >= len(p.tokens) {
		return Num{}, 0, false
	}
	before := p.opener(i)
	c := p.word(j)
	switch c {
	case classSlash:
		return p.slashRange(j, n, before)
	case classOr:
		return p.eitherOf(j, n)
	}
	k, ok := p.rangeSign(j, n, before)
	if !ok {
		return p.rangeBehindUnit(n, before)
	}
	k = p.skipBreak(k)
	if k >= len(p.tokens) {
		return Num{}, 0, false
	}
	if c == classTo && before != classFrom && p.tokens[k].Kind == TokenWord {
		if d, _ := p.at(k); d == classArticle || d == classFraction {
			return Num{}, 0, false
		}
	}
	h, ok := p.number(k)
	if !ok || h.num.Coef < 0 && c != classTo && c != classAnd || !less(n.num, h.num) {
		return Num{}, 0, false
	}
	return h.num, h.end, true
}

// rangeSign reads what joins the ends of a range at token j, and returns the
// token behind it.
func (p *parser) rangeSign(j int, n number, before class) (int, bool) {
	glued := func(k int) bool { return k < len(p.tokens) && p.tokens[k].Glued }
	switch p.word(j) {
	case classTo, classUntil:
		return j + 1, true
	case classDash: // with blanks on both sides or on none
		return j + 1, p.tokens[j].Glued == glued(j+1)
	case classTilde: // "100 V, ~20 W" has two
		return j + 1, p.tokens[j].Glued == glued(j+1)
	case classDots:
		return j + 1, true
	case classStop: // "20..60", "20...60"
		k := j + 1
		for k < j+3 && p.word(k) == classStop && glued(k) {
			k++
		}
		return k, k > j+1 && p.tokens[j].Glued && glued(k)
	case classAnd:
		return j + 1, before == classBetween
	case classUp: // "from 3 up to 11", "3.3 up to 11"; but "port 2 up to 65 watts", "2 up to 20 volts"
		k := p.skipBreak(j + 1)
		if p.word(k) != classTo {
			return 0, false
		}
		measured := n.num.Exp < 0 || n.num.Coef > int64(p.x.length.counted)
		return k + 1, before == classFrom || before != classLabel && measured
	}
	return 0, false
}

// rangeBy2 reads a range whose "to" captions show as the digit it sounds like: "100 2
// 240 volts", "3.3 2 11 volts". A unit must follow, and neither a number nor a unit
// stand before: in "9 volts 3 12 2 15 volts" the 2 is a current.
func (p *parser) rangeBy2(i int, n number) (Num, int, bool) {
	two := p.skipBreak(n.end)
	if digit, ok := p.loneDigit(two); !ok || digit != 2 || n.style != StyleDigits || n.num.Exp == 0 && n.num.Coef < 10 {
		return Num{}, 0, false
	}
	if i > 0 {
		if u, ok := p.simpleUnit(i - 1); ok && u.Manner != MannerHeard || p.tokens[i-1].Kind == TokenNumber {
			return Num{}, 0, false
		}
	}
	h, ok := p.number(p.skipBreak(two + 1))
	if !ok || h.style != StyleDigits || !less(n.num, h.num) || !p.unitFollows(p.skipBreak(h.end)) {
		return Num{}, 0, false
	}
	return h.num, h.end, true
}

// slashRange reads "50/60 Hz", which rises; "5/9/12" is a list.
func (p *parser) slashRange(j int, n number, before class) (Num, int, bool) {
	if before == classSlash || !p.tokens[j].Glued && j+1 < len(p.tokens) && p.tokens[j+1].Glued {
		return Num{}, 0, false
	}
	h, ok := p.number(p.skipBreak(j + 1))
	if !ok || !less(n.num, h.num) {
		return Num{}, 0, false
	}
	if u, ok := p.unit(h.end); !ok || u.Manner == MannerHeard && !p.x.bound.often(u.Count) {
		return Num{}, 0, false
	}
	return h.num, h.end, true
}

// either is a row of either.tsv: two values that one thing may have.
type either struct {
	low, high int64
	unit      schema.Unit
}

func (x *Lexicon) loadEither() error {
	t, err := schema.ReadTable(tables, "tables/either.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		e := either{unit: schema.Unit(r.Get("unit"))}
		low, errLow := strconv.ParseInt(r.Get("low"), 10, 64)
		high, errHigh := strconv.ParseInt(r.Get("high"), 10, 64)
		if e.low, e.high = low, high; errLow != nil || errHigh != nil || low >= high || !inTable(e.unit) {
			return fmt.Errorf("either.tsv:%d: want low, high and a unit", r.Line)
		}
		x.either = append(x.either, e)
	}
	return nil
}

// change is a row of twovalues.tsv: when "A to B" of a kind of quantity are two values,
// and what changes then; "" nothing to say.
type change struct {
	when     changeWhen
	property string
}

type changeWhen uint8

const (
	changeNever changeWhen = iota
	changeFalls            // "from A to B" where it falls, which no range does
	changeFrom             // "from A to B"
	changeAny              // "A to B" as well
)

func (x *Lexicon) loadChanges() error {
	t, err := schema.ReadTable(tables, "tables/twovalues.tsv")
	if err != nil {
		return err
	}
	x.changes = map[schema.Kind]change{}
	for _, r := range t.Rows {
		kind, err := schema.ParseKind(r.Get("kind"))
		if err != nil {
			return fmt.Errorf("twovalues.tsv:%d: %w", r.Line, err)
		}
		c := change{}
		if p := r.Get("property"); p != "-" {
			c.property = p
		}
		switch r.Get("opener") {
		case "falls":
			c.when = changeFalls
		case "from":
			c.when = changeFrom
		case "any":
			c.when = changeAny
		default:
			return fmt.Errorf("twovalues.tsv:%d: want falls, from or any, not %q", r.Line, r.Get("opener"))
		}
		x.changes[kind] = c
	}
	return nil
}

// joinedByWord reports whether a word, and no sign, joins a range whose first number
// ends before token end, a unit of its own stepped over.
func (p *parser) joinedByWord(end int) bool {
	j := p.skipBreak(end)
	if u, ok := p.unit(j); ok {
		j = p.skipBreak(int(u.End))
	}
	switch p.word(j) {
	case classTo, classUntil, classUp:
		return true
	}
	return false
}

// twoValues reports whether a number at token i and a larger one that a word joins to it
// are the first and the last value of something that changed.
func (p *parser) twoValues(i int, of schema.Kind) bool {
	before := p.opener(i)
	switch p.x.changes[of].when {
	case changeFrom:
		return before == classFrom
	case changeAny:
		return before != classBetween && before != classOf
	}
	return false
}

func inTable(u schema.Unit) bool {
	_, ok := u.Info()
	return ok
}

// eitherOf reads "50 or 60 hertz", a pair of the table.
func (p *parser) eitherOf(j int, n number) (Num, int, bool) {
	h, ok := p.number(p.skipBreak(j + 1))
	if !ok {
		return Num{}, 0, false
	}
	u, ok := p.unit(h.end)
	return h.num, h.end, ok && p.x.isEither(n.num, h.num, u.Unit)
}

// isEither reports whether two values are a pair of the table.
func (x *Lexicon) isEither(low, high Num, u schema.Unit) bool {
	if low.Exp != 0 || high.Exp != 0 || low.Big != nil || high.Big != nil {
		return false
	}
	return slices.Contains(x.either, either{low.Coef, high.Coef, u})
}

// rangeBehindUnit reads a range with its unit said at both ends: "5 volts to
// 12 volts", "3.3V-11V", "50 Hz slash 60 Hz".
func (p *parser) rangeBehindUnit(n number, before class) (Num, int, bool) {
	u, ok := p.unit(n.end)
	if !ok || u.Manner == MannerHeard {
		return Num{}, 0, false
	}
	j := p.skipBreak(int(u.End))
	if p.word(j) == classStop && (j+1 >= len(p.tokens) || p.word(j+1) != classStop) {
		return Num{}, 0, false
	}
	k, ok := p.rangeSign(j, n, before)
	slash := p.word(j) == classSlash
	if !ok && !slash {
		return Num{}, 0, false
	}
	if slash {
		k = j + 1
	}
	h, ok := p.number(p.skipBreak(k))
	if !ok || !less(n.num, h.num) || slash && !p.x.isEither(n.num, h.num, u.Unit) {
		return Num{}, 0, false
	}
	v, ok := p.unit(h.end)
	if !ok || v.Unit != u.Unit {
		return Num{}, 0, false
	}
	return h.num, h.end, true
}

// opener is the class of the word before token i, a hedge stepped over:
// "between about 5 and 9 volts".
func (p *parser) opener(i int) class {
	b := p.backOne(i)
	if p.word(b) == classQualifier {
		b = p.backOne(b)
	}
	return p.word(b)
}

func less(a, b Num) bool {
	if a.Big != nil || b.Big != nil {
		return a.Decimal().Cmp(b.Decimal()) < 0
	}
	return a.Float() < b.Float()
}
