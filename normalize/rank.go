package normalize

import (
	"bytes"
	"math"
	"slices"

	"saywatt/extract"
	"saywatt/extract/place"
	"saywatt/internal/assemble"
	"saywatt/normalize/channel"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// Decide decides every mention of the document and returns the quantities said,
// in order, with their readings, and beside each the place it is read for. The
// place paths themselves are Fill's. Where answers fit nothing in the document
// the error is of type StrayAnswers.
func (r *Ranker) Decide(d *extract.Document) ([]schema.Said, []assemble.Placed, error) {
	said, placed, stray := r.rank(d)
	if len(stray) > 0 {
		return nil, nil, stray
	}
	return said, placed, nil
}

func (r *Ranker) rank(d *extract.Document) ([]schema.Said, []assemble.Placed, StrayAnswers) {
	e, stray := r.inferred(d)
	threshold := r.Threshold
	if threshold == 0 {
		threshold = e.weights.Threshold
	}
	said, placed := e.results(threshold)
	r.Kept.giveBack(e.store)
	e.giveBack()
	return said, placed, stray
}

// inferred builds the nodes of the document and infers their posteriors, with
// the answers that fit.
func (r *Ranker) inferred(d *extract.Document) (*engine, StrayAnswers) {
	e := r.engine(d)
	answers := quantityAnswers(r.Answers)
	e.cuts = cutsOf(d, answers)
	e.store = r.Kept.take(r)
	e.buildAgain(r.Learned)
	stray := append(strayNames(d, r.Answers), e.clamp(answers)...)
	if r.Odd != nil {
		oddNames(d, r.Answers, r.Odd)
	}
	e.infer()
	return e, stray
}

// engine is the working memory for a document.
func (r *Ranker) engine(d *extract.Document) *engine {
	e := &engine{doc: d, without: r.Without, weights: loadWeights(), costs: channel.Default().With(r.Learned),
		roles: loadRoles(), reach: loadReaches()}
	e.borrow()
	e.decoder.Reset(d, e.costs)
	e.reportOdd = r.Odd
	if e.traits = r.Traits; e.traits == nil {
		e.traits = loadTraits()
	}
	e.plain = unpunctuated(d)
	return e
}

// unpunctuated reports whether the captions come without punctuation: fewer than one
// comma or full stop in a hundred words.
func unpunctuated(d *extract.Document) bool {
	words, signs := 0, 0
	for i := range d.Tokens {
		switch t := d.Tokens[i]; {
		case t.Kind == extract.TokenWord:
			words++
		case t.Kind == extract.TokenSign && t.Glued && t.End-t.Start == 1:
			if c := d.Transcript.Text[t.Start]; c == ',' || c == '.' {
				signs++
			}
		}
	}
	return words > 100 && signs*100 < words
}

// results turns the nodes into quantities said.
func (e *engine) results(threshold float64) ([]schema.Said, []assemble.Placed) {
	n := e.chooseAll()
	said := make([]schema.Said, 0, n)
	placed := make([]assemble.Placed, 0, n)
	for i := range e.nodes {
		n, best := &e.nodes[i], e.chosen[i]
		if best == nil {
			continue
		}
		said = append(said, schema.Said{Number: len(said) + 1})
		s := &said[len(said)-1]
		e.say(i, best, threshold, s)
		p := e.place(n, best)
		s.Role = p.Role
		s.Belongs = e.belongs(n, best)
		s.BelongsSettled = e.mention(n.last-1).Ruling != nil
		s.Aside = p.Context.Class.Info().Aside
		p.Unweighed = e.unweighed != nil && e.unweighed[i] && s.Status == schema.StatusOpen
		placed = append(placed, p)
	}
	return said, placed
}

// chooseAll chooses the likeliest reading of every node, nil where that is no
// quantity or the node behind takes it in, and counts the quantities.
func (e *engine) chooseAll() int {
	e.chosen = slices.Grow(e.chosen[:0], len(e.nodes))[:len(e.nodes)]
	said := 0
	for i := len(e.nodes) - 1; i >= 0; i-- {
		c := e.choose(&e.nodes[i])
		if c != nil {
			said++
		}
		e.chosen[i] = c
	}
	for i := range len(e.nodes) - 1 {
		n, next := &e.nodes[i+1], e.chosen[i+1]
		if next != nil && e.chosen[i] != nil && next.firstMention < n.first && next.firstMention < e.nodes[i].last {
			e.chosen[i] = nil // read as one number with the node behind
			said--
		}
	}
	return said
}

// place says what a node is read for.
func (e *engine) place(n *node, c *candidate) assemble.Placed {
	m := e.mention(n.last - 1)
	p := assemble.Placed{Mention: n.last - 1, Context: m.Context}
	if int(c.place) < len(m.Places) {
		p.Context = m.Places[c.place].Context
	}
	p.Loose = e.loose(n)
	if c.role >= 0 {
		p.Role = e.roles.Roles[c.role].Name
	}
	return p
}

func hasPrefix(s, p string) bool { return len(s) >= len(p) && s[:len(p)] == p }

// choose returns the likeliest reading of a node, nil where that is no
// quantity.
func (e *engine) choose(n *node) *candidate {
	var best *candidate
	quantity := 0.0
	for k := n.from; k < n.to; k++ {
		c := &e.cands[k]
		if c.nothing {
			continue
		}
		quantity += c.posterior
		if best == nil || c.posterior > best.posterior {
			best = c
		}
	}
	if best == nil || quantity < e.weights.Emit && !n.settled && !e.saysUnit(n) {
		return nil
	}
	if quantity < e.weights.Emit && !n.settled { // what was said is all that speaks for it
		for k := n.from; k < n.to; k++ {
			if c := &e.cands[k]; c.literal {
				return c
			}
		}
	}
	if best.posterior < 0.5 { // else nothing outweighs it
		best = e.heaviest(n, best)
	}
	return best
}

// saysUnit reports whether the words of a node plainly name a unit, or are often shown
// for one, or a person said what it belongs to.
func (e *engine) saysUnit(n *node) bool {
	m := e.mention(n.last - 1)
	return e.doc.SaysUnit(m) || e.doc.HearsUnit(m) || e.isRuled(n)
}

// isRuled reports whether a person said that a node belongs somewhere, and so is
// a quantity.
func (e *engine) isRuled(n *node) bool {
	m := e.mention(n.last - 1)
	return m.Ruling != nil && m.Ruling.Class != place.None
}

// loose reports whether a node is read as a quantity only because its words
// name a unit.
func (e *engine) loose(n *node) bool {
	if n.settled || e.isRuled(n) {
		return false
	}
	if e.mention(n.last-1).Not == extract.NotCalendar {
		return true
	}
	return e.weight(n) < e.weights.Emit
}

// weight is the probability that a node is any quantity.
func (e *engine) weight(n *node) float64 {
	p := 0.0
	for k := n.from; k < n.to; k++ {
		if c := &e.cands[k]; !c.nothing {
			p += c.posterior
		}
	}
	return p
}

// heaviest returns the likeliest candidate of the quantity that is likeliest
// when candidates that mean the same, in different places or by different
// ways, are added up; best where it is a tie.
func (e *engine) heaviest(n *node, best *candidate) *candidate {
	most := e.belief(n, best)
	for k := n.from; k < n.to; k++ {
		c := &e.cands[k]
		if c.nothing || sameQuantity(c, best) {
			continue
		}
		if p := e.belief(n, c); p > most {
			best, most = c, p
		}
	}
	for k := n.from; k < n.to; k++ {
		if c := &e.cands[k]; !c.nothing && sameQuantity(c, best) && c.posterior > best.posterior {
			best = c
		}
	}
	return best
}

// sameQuantity reports whether two candidates mean one quantity.
func sameQuantity(a, b *candidate) bool {
	return a.kind == b.kind && a.isRange == b.isRange && prior.Near(a.si, b.si) && prior.Near(a.siLo, b.siLo)
}

// beyond reports whether a value lies so far outside what is plausible in its place
// that it does not stand as heard, whatever else agrees.
func (e *engine) beyond(c *candidate) bool {
	if c.role < 0 || c.si <= 0 {
		return false
	}
	o := &e.roles.Roles[c.role]
	return c.si > o.High*e.weights.Beyond || c.si*e.weights.Beyond < o.Low
}

// groundless reports whether a number was put right by nothing but the usual
// size of such quantities: neither its place nor another value speaks for it.
func (e *engine) groundless(c *candidate) bool {
	if c.literal || c.joint > 0 || c.role >= 0 && !hasPrefix(e.roles.Roles[c.role].Name, prior.Any) {
		return false
	}
	for _, d := range c.by {
		switch d {
		case channel.PointLost, channel.PointWordLost, channel.ZeroLost, channel.TeenTy, channel.DigitDropped,
			channel.TensLost, channel.UnitDropped:
			return true
		}
	}
	return false
}

// lead extends the heard words over a word that only sounds like a number and
// was read as part of it.
func (e *engine) lead(first int32, c *candidate) int32 {
	if c.by[0] != channel.Homophone || first == 0 {
		return first
	}
	if i := e.doc.WordBefore(first); i >= 0 {
		if e.decoder.Sound(i).OK {
			return i
		}
	}
	return first
}

func (e *engine) quantity(c *candidate, m *extract.Mention) schema.Quantity {
	q := schema.Quantity{Low: c.lo.Decimal(), Range: c.isRange, Unit: c.unit}
	q.High = q.Low
	if c.isRange {
		q.High = c.hi.Decimal()
	}
	if c.literal {
		q.Tolerance = m.Tolerance
	}
	return q
}

// readings lists up to five different readings of a node, likeliest first;
// candidates that mean the same quantity are added up.
func (e *engine) readings(i int) []schema.Reading {
	n := &e.nodes[i]
	type group struct {
		c *candidate
		p float64
	}
	var groups [16]group
	count := 0
next:
	for k := n.from; k < n.to; k++ {
		c := &e.cands[k]
		if c.nothing {
			continue
		}
		for g := range count {
			o := groups[g].c
			if sameQuantity(o, c) {
				groups[g].p += c.posterior
				if c.literal && !o.literal {
					groups[g].c = c
				}
				continue next
			}
		}
		if count < len(groups) {
			groups[count] = group{c, c.posterior}
			count++
		}
	}
	for i := 1; i < count; i++ {
		for j := i; j > 0 && groups[j].p > groups[j-1].p; j-- {
			groups[j], groups[j-1] = groups[j-1], groups[j]
		}
	}
	m := e.mention(n.last - 1)
	known := n.cut
	if count > 0 {
		known *= 1 - e.unlisted(i, groups[0].c)
	}
	out := e.slabs.readings.take(min(count, 5))[:0]
	for g := range min(count, 5) {
		out = append(out, schema.Reading{
			Quantity:   e.quantity(groups[g].c, m),
			Confidence: round4(min(groups[g].p*known, e.ceiling(groups[g].c))),
			Terms:      e.terms(groups[g].c),
		})
	}
	return out
}

// nothing is the probability that no quantity was said at a node whose likeliest
// reading is c.
func (e *engine) nothing(i int, c *candidate) float64 {
	n := &e.nodes[i]
	if n.settled {
		return 0
	}
	return round4((1 - e.weight(n)) * n.cut * (1 - e.unlisted(i, c)))
}

// ceiling is the most that a reading's probability can be.
func (e *engine) ceiling(c *candidate) float64 {
	// no role knows it
	if e.absurd(c) || c.kind == schema.KindOther || e.mention(c.firstMention).Not == extract.NotCalendar {
		return 1 - e.weights.UnmodelledAbsurd
	}
	if e.mention(c.firstMention).Unsure {
		return 1 - e.weights.MarkedUnsure
	}
	return 1
}

// absurd reports whether a value is above all that is plausible anywhere for
// its kind, or outside what is plausible in every place that its mention may
// have: whatever was said, hardly that.
func (e *engine) absurd(c *candidate) bool {
	if top, known := e.roles.Top(c.kind); known && c.si > top*(1+sameValue) {
		return true
	}
	r := e.rolesFor(e.mention(c.firstMention), c.kind)
	for _, m := range r.all() {
		o := &e.roles.Roles[m.role]
		low := c.si >= o.Low/e.weights.PlaceSlack || c.isRange || c.kind == schema.KindTemperature || c.si <= 0
		if low && c.si <= o.High*e.weights.PlaceSlack {
			return false
		}
	}
	return r.n > 0
}

// tail reports whether the number may be the tail of a longer one whose point
// was misheard: "tree planet 2 amps" may be 3.2. Behind a word that begins and
// sounds on like point, and no grammar knows, nobody can tell without an ear.
func (e *engine) tail(c *candidate) bool {
	i := e.doc.WordBefore(e.mention(c.firstMention).First)
	// "92.7 percent 115 volts"
	if i < 1 || c.by[0] == channel.PointMisheard || c.firstMention > 0 && e.mention(c.firstMention-1).Last > i {
		return false
	}
	t, before := e.doc.Tokens[i], e.doc.WordBefore(i)
	if before < 0 || t.Kind != extract.TokenWord {
		return false
	}
	switch b := e.doc.Tokens[before]; {
	case e.doc.Lexicon.Counts(b): // "one line five ohms": any word but one that is counted
		if e.doc.Lexicon.Known(t) || e.doc.Lexicon.Counted(t) {
			return false
		}
	case b.Kind != extract.TokenWord || t.Word != 0:
		return false
	}
	word := e.doc.Transcript.Text[t.Start:t.End]
	switch word[0] | 0x20 {
	case 'p', 'b', 'f', 'l':
		return bytes.ContainsAny(word[1:], "nN")
	}
	return false
}

// round4 rounds a probability for print, and never up to certainty.
func round4(p float64) float64 { return math.Min(0.9999, math.Floor(p*1e4+0.5)/1e4) }

func round3(f float32) float64 { return math.Round(float64(f)*1e3) / 1e3 }
