package normalize

import (
	"math"
	"slices"

	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// saidValue is a value said literally for a role, in how many different words.
// Captions garble the same words the same way, so that words said again are no
// evidence.
type saidValue struct {
	si, siLo float64
	log      float64 // log10 of si
	count    int32   // different words for the number
	first    int32   // first of the mentions
	words    []uint32
}

// weigh sets role, context, prior, repetition and unary score of a candidate
// of mention i: the mixture over the roles that fit, named by its heaviest.
func (e *engine) weigh(c *candidate, roles *roleMatches, i int32) {
	e.weighAbove(c, roles, i, noLimit)
}

// noLimit is below every score.
var noLimit = float32(math.Inf(-1))

// limitMargin is more than what rounding makes of a score.
const limitMargin = 0.01

// weighAbove is weigh, and false, the work not done, where the score is below least.
func (e *engine) weighAbove(c *candidate, roles *roleMatches, i int32, least float32) bool {
	n := prior.DigitsOf(c.hi)
	c.log = log10(c.si)
	form := e.form(c)
	total, top := 0.0, 0.0
	var weight, value, repeated float64 // of the heaviest role
	c.role = -1
	for k := range roles.n {
		r := &roles.m[k]
		w := r.weight
		switch {
		case c.kind == e.turn && k == 0:
			w = max(w, e.weights.LevelTurn)
		case c.kind == schema.KindCurrent && e.turn == schema.KindVoltage,
			c.kind == schema.KindVoltage && e.turn == schema.KindCurrent && e.atTurn:
			w *= e.weights.OutOfTurn
		}
		o := &e.roles.Roles[r.role]
		each := o.Each(n) * form
		p := o.P(c.siLo, c.si, c.isRange, n, form)
		if e.without&PartPriors != 0 {
			p = flat
		}
		q := e.repeated(c, r.role, p, each, i)
		total += w * q
		claim := w * q
		if r.place > 0 {
			claim /= e.leaving(i)
		}
		if claim > top {
			top = claim
			c.role, c.place = r.role, r.place
			weight, value, repeated = w, p, q
		}
	}
	c.repeat = 0
	if top > 0 && least > noLimit && float64(c.channel)+math.Log(total) < float64(least)-limitMargin {
		return false
	}
	if top > 0 {
		c.context = float32(math.Log(weight))
		c.prior = float32(math.Log(value))
		if repeated != value {
			c.repeat = float32(math.Log(repeated / value))
		}
		if own := weight * repeated; total != own { // what the other roles add goes to the context term
			c.context += float32(math.Log(total / own))
		}
	} else {
		c.context, c.prior = float32(math.Log(e.weights.RoleAny/10)), lnNothing
	}
	c.score = c.channel + c.context + c.prior + c.repeat
	return true
}

// leaving is how many times likelier a value must make another place than the likeliest
// by the words of mention i.
func (e *engine) leaving(i int32) float64 {
	if m := e.mention(i); m.Places[0].Context.Class.Info().Section == "none" {
		return e.weights.PlaceLeave
	}
	return e.weights.PlaceSwitch
}

// form is the factor for the number of a candidate in its unit. Candidates of one
// unit come one behind the other.
func (e *engine) form(c *candidate) float64 {
	f := &e.forms
	if f.unit != c.unit || f.unit == "" {
		f.unit, f.whole, f.decimal = c.unit, e.roles.Form(c.unit, false), e.roles.Form(c.unit, true)
	}
	if c.hi.Exp < 0 || c.lo.Exp < 0 {
		return f.decimal
	}
	return f.whole
}

// unitForms are the factors for numbers of a unit.
type unitForms struct {
	unit           schema.Unit
	whole, decimal float64
}

// log10 of a value, far below everything for zero and less.
func log10(v float64) float64 {
	if v <= 0 {
		return -30
	}
	return math.Log10(v)
}

// flat is every value's prior where the part of the priors is left out.
const flat = 1e-4

// lnNothing is the prior where no role takes the kind.
const lnNothing = -27.6

// repeated mixes the prior p with what else was said for the same role in the
// review: the share of values that equal the candidate's, and how near it is
// in magnitude to them (a kernel density over decades, each value of so many
// digits taking its part). each is that part.
func (e *engine) repeated(c *candidate, role int16, p, each float64, i int32) float64 {
	said := e.byRole[role]
	if len(said) == 0 || e.without&PartRepetition != 0 {
		return p
	}
	n, hit := int32(0), int32(0)
	alike := 0.0
	width := e.weights.AlikeWidth
	for k := range said {
		t := &said[k]
		count := t.count
		if e.own[i] == int32(k) && e.ownRole[i] == role {
			count-- // its own literal reading is no repetition
		}
		n += count
		if prior.Near(t.si, c.si) && prior.Near(t.siLo, c.siLo) {
			hit += count
		}
		if count > 0 && !c.isRange {
			if d := (c.log - t.log) / width; d > -1 && d < 1 {
				alike += float64(count) * 0.75 / width * (1 - d*d)
			}
		}
	}
	if n == 0 {
		return p
	}
	if hit > 0 && c.by[0] == channel.TeenTy && e.own[i] >= 0 && e.ownRole[i] == role {
		// 13 and 30 both said: each would make the other its repetition
		hit = max(0, hit-said[e.own[i]].count)
	}
	weight := float64(n) / (float64(n) + 1)
	share, kin := e.weights.RepeatShare*weight, 0.0
	if !c.isRange {
		kin = e.weights.AlikeShare * weight
	}
	return (1-share-kin)*p + share*float64(hit)/float64(n) + kin*alike/float64(n)*each
}

// mostSaid bounds the different values of one role that repetition looks at.
// A review says some dozens; every candidate is held against all of them.
const mostSaid = 256

// collectSaid counts, by role, the values said with a clear unit.
func (e *engine) collectSaid() {
	e.byRole = make([][]saidValue, len(e.roles.Roles))
	e.own = make([]int32, len(e.doc.Mentions))
	e.ownRole = make([]int16, len(e.doc.Mentions))
	for i := range e.doc.Mentions {
		e.own[i] = -1
		m := &e.doc.Mentions[i]
		if m.From == extract.UnitNone || m.Not != extract.NotNothing || m.Unit.Manner == extract.MannerHeard ||
			m.Style == extract.StyleSound {
			continue
		}
		r := e.roleFor(m, m.Unit.Unit.Kind())
		if r.role < 0 {
			continue
		}
		factor, offset := scaleOf(m.Unit.Unit)
		t := saidValue{si: (m.High.Float() + offset) * factor, count: 1, first: int32(i)}
		t.siLo = t.si
		if m.Range {
			t.siLo = (m.Low.Float() + offset) * factor
		}
		t.log = log10(t.si)
		list := e.byRole[r.role]
		k := 0
		for k < len(list) && !(prior.Near(list[k].si, t.si) && prior.Near(list[k].siLo, t.siLo)) {
			k++
		}
		switch {
		case k < len(list):
			if w := e.numberWords(m); !slices.Contains(list[k].words, w) {
				list[k].words = append(list[k].words, w)
				list[k].count++
			}
		case k < mostSaid:
			t.words = append(t.words, e.numberWords(m))
			e.byRole[r.role] = append(list, t)
		default:
			continue
		}
		e.own[i], e.ownRole[i] = int32(k), r.role
	}
}

// numberWords is a hash of the words of a mention's number, white space and case
// left out.
func (e *engine) numberWords(m *extract.Mention) uint32 {
	const seed, prime = 2166136261, 16777619 // FNV-1a, 32 bit
	h := uint32(seed)
	for _, t := range e.doc.Tokens[m.First:m.NumEnd] {
		if t.Kind == extract.TokenBreak {
			continue
		}
		for _, b := range e.doc.Transcript.Text[t.Start:t.End] {
			if b >= 'A' && b <= 'Z' {
				b |= 0x20
			}
			h = (h ^ uint32(b)) * prime
		}
	}
	return h
}
