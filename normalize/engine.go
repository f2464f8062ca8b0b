package normalize

import (
	"math"
	"strings"

	"saywatt/extract"
	"saywatt/schema"
)

// Ranker reads the mentions of a document: it weighs every way their words
// can be read and decides. The zero value is ready for use.
type Ranker struct {
	// Threshold is the probability above which a reading other than the
	// literal one stands, and below which a literal one is open; 0 means
	// DefaultThreshold.
	Threshold float64
	// Answers are a person's decisions; they stand, and everything that hangs
	// on them moves.
	Answers []Answer
	// Without leaves parts of the model out, to measure what each is worth.
	Without Parts
}

// Parts names parts of the model.
type Parts uint8

// The parts that can be left out.
const (
	PartRules      Parts = 1 << iota // evidence of validate's rules
	PartFacts                        // joint facts of this package
	PartRepetition                   // values told before or after
	PartPriors                       // what is plausible for a role: all values alike
)

// Answer is a person's decision on the words at a place of the source file.
type Answer struct {
	Span     schema.Span      // as in schema.Said.Span
	Quantity *schema.Quantity // nil: no quantity was said there
	Heard    string           // words heard there, "" where not told
	For      string           // name of the file it is for, "" where not told
	From     string           // where the answer stands, FILE:LINE, for errors
}

// candidate is one reading of a node while it is weighed.
type candidate struct {
	lo, hi       extract.Num
	isRange      bool
	nothing      bool // no quantity at all: a count, a stray number
	literal      bool // what the words say, unchanged
	by           [3]distortion
	role         int16
	unit         schema.Unit
	kind         schema.Kind
	si, siLo     float64
	log          float64 // log10 of si
	channel      float32 // -cost of the distortions
	context      float32 // ln P(role | words around)
	prior        float32 // ln P(value | role)
	repeat       float32 // what repetition adds
	joint        float32 // what joint evidence added, for the reasons
	score        float32
	posterior    float64
	firstMention int32
	made         int32 // 1 + index into engine.quantities, 0 where not made yet
}

// node is one stretch of words to decide: a mention, or several that may be
// one number.
type node struct {
	first, last int32 // mentions [first, last); the last one carries unit and context
	from, to    int32 // its candidates
	weighed     int32 // how many of them joint evidence looks at
	nothing     int32 // index of the candidate "no quantity", -1 without one
	cut         float64
	settled     bool  // a person decided
	share       int32 // >0: the second half of two numbers run together
}

// engine is the working memory of one Rank call.
type engine struct {
	doc        *extract.Document
	without    Parts
	unmodelled float64 // probability of what the model does not know
	weights    Weights
	costs      *costs
	roles      *roleTable
	cache      map[contextKey]*roleMatches
	calls      map[contextKey][]calledUnit
	variants   []variant
	options    []unitOption
	cands      []candidate
	nodes      []node
	told       [][]toldValue // by role: values told literally
	own        []int32       // by mention: its own entry in told, -1 without one
	ownRole    []int16       // and the role of that entry
	factors    []factor
	facts      []fact
	ruleFacts  []ruleFact
	quantities []schema.Quantity // by candidate, made when asked for
	turn       schema.Kind       // kind whose turn it is where levels are read out
	atTurn     bool              // behind the word at: nothing but a current may follow a voltage
}

type contextKey struct {
	section           extract.Section
	subject, property string
	kind              schema.Kind
}

// roleMatch is a role that fits, with its weight in the mixture.
type roleMatch struct {
	role   int16
	weight float64
	level  matchLevel
}

// roleMatches are the roles that fit a kind of quantity in a context best,
// heaviest first; n may be 0.
type roleMatches struct {
	m [4]roleMatch
	n int
}

// matchLevel says what tied a role to the context.
type matchLevel uint8

const (
	matchAny matchLevel = iota
	matchSection
	matchSubject
	matchProperty
)

// toldValue is a value told literally for a role, by how many mentions.
type toldValue struct {
	si, siLo float64
	log      float64 // log10 of si
	count    int32
	first    int32 // first of the mentions
}

// unitOption is one unit a mention may have.
type unitOption struct {
	unit          schema.Unit
	cost          float32
	by            distortion
	literal       bool
	kind          schema.Kind
	scale, offset float64
	million       int8 // +1: the number is a million times as much, -1: a millionth (see unitoption.go)
}

func (e *engine) mention(i int32) *extract.Mention { return &e.doc.Mentions[i] }

func (e *engine) subject(m *extract.Mention) string {
	if s := m.Context.Subject; s >= 0 && int(s) < len(e.doc.Subjects) {
		return e.doc.Subjects[s].Kind
	}
	return ""
}

// rolesFor returns the roles that fit a kind of quantity best in a context.
// A value's prior is their mixture: a voltage on the input side may be that
// of the mains or of a charging level.
func (e *engine) rolesFor(m *extract.Mention, kind schema.Kind) *roleMatches {
	key := contextKey{m.Context.Section, e.subject(m), m.Context.Property, kind}
	if r, ok := e.cache[key]; ok {
		return r
	}
	r := new(roleMatches)
	for _, i := range e.roles.byKind[kind] {
		o := &e.roles.roles[i]
		w := o.match(&m.Context, key.subject, &e.weights)
		if w == 0 {
			continue
		}
		k := r.n
		for k > 0 && r.m[k-1].weight < w {
			k--
		}
		if k == len(r.m) {
			continue
		}
		r.n = min(r.n+1, len(r.m))
		copy(r.m[k+1:r.n], r.m[k:r.n-1])
		r.m[k] = roleMatch{i, w, o.level()}
	}
	e.cache[key] = r
	return r
}

// roleFor returns the best of rolesFor, role -1 where none fits.
func (e *engine) roleFor(m *extract.Mention, kind schema.Kind) roleMatch {
	if r := e.rolesFor(m, kind); r.n > 0 {
		return r.m[0]
	}
	return roleMatch{role: -1, weight: e.weights.RoleAny / 10}
}

// scaleOf returns factor and offset that bring a number of the unit to the
// coherent SI unit: (n + offset) × factor.
// Temperatures come out in degrees Celsius: people say those.
func scaleOf(u schema.Unit) (factor, offset float64) {
	i, ok := u.Info()
	if !ok {
		return 1, 0
	}
	if i.Offset.Sign() != 0 {
		offset, _ = i.Offset.Float64()
		offset -= kelvin / i.Scale
	}
	return i.Scale, offset
}

// kelvin is 0 °C (SI Brochure 9, 2.3.1).
const kelvin = 273.15

// significant counts the digits that a speaker says: trailing zeros of whole
// numbers are not among them.
func significant(n extract.Num) digits {
	c := n.Coef
	if c < 0 {
		c = -c
	}
	for c != 0 && c%10 == 0 {
		c /= 10
	}
	d := digits{n: 1, five: c%10 == 5}
	for c /= 10; c > 0; c /= 10 {
		d.n++
	}
	return d
}

// build makes the nodes and their candidates, merging mentions that read
// better as one number.
func (e *engine) build() {
	e.collectTold()
	n := int32(len(e.doc.Mentions))
	for i := int32(0); i < n; i++ {
		m := e.mention(i)
		from := int32(len(e.cands))
		e.single(i)
		if e.trySplit(i, from) {
			continue
		}
		nd := node{first: i, last: i + 1, from: from, to: int32(len(e.cands)), cut: 1}
		if i > 0 && len(e.nodes) > 0 {
			if prev := &e.nodes[len(e.nodes)-1]; prev.last == i && prev.share == 0 && e.mergeable(i-1, i) {
				if e.merge(prev, &nd, m) {
					continue
				}
			}
		}
		e.nodes = append(e.nodes, nd) // without candidates too: the next mention may take it in
	}
	for k := range e.nodes {
		e.finish(&e.nodes[k])
	}
}

// mergeable reports whether mention j may be the second part of the number
// that mention i starts.
func (e *engine) mergeable(i, j int32) bool {
	a, b := e.mention(i), e.mention(j)
	if a.From == extract.UnitOwn || a.Range || a.Group >= 0 && b.Group >= 0 && b.Unit.Unit.Kind() == schema.KindLength && b.Joint == extract.JointBy && e.tripleGroup(i) {
		return false
	}
	if a.Not == extract.NotCode && (b.From != extract.UnitOwn || b.Joint != extract.JointSpace) {
		return false
	}
	if listed(b.Joint) && e.inList(i) {
		return false
	}
	if a.Not == extract.NotPronoun {
		return b.Joint == extract.JointWord && b.From == extract.UnitOwn
	}
	switch a.Not {
	case extract.NotVersion, extract.NotPrice, extract.NotYear, extract.NotScore, extract.NotCalendar:
		return false
	}
	switch b.Joint {
	case extract.JointSpace, extract.JointComma, extract.JointAnd, extract.JointStop, extract.JointColon, extract.JointDash, extract.JointTo, extract.JointSlash:
		return true
	case extract.JointWord, extract.JointBy:
		return b.From == extract.UnitOwn && b.NumEnd-b.First <= 2
	}
	return false
}

// tripleGroup reports whether mention i is in a product of three or more, or
// of two lengths, which is a size and no broken number.
func (e *engine) tripleGroup(i int32) bool {
	g := e.mention(i).Group
	n := 0
	for k := g; k >= 0 && int(k) < len(e.doc.Mentions) && e.mention(k).Group == g; k++ {
		n++
	}
	return n >= 2
}

// single appends the candidates of one mention.
func (e *engine) single(i int32) {
	m := e.mention(i)
	switch m.Not {
	case extract.NotCalendar, extract.NotIdiom, extract.NotYear, extract.NotVersion, extract.NotScore, extract.NotOrdinal, extract.NotClock, extract.NotPronoun:
		return
	case extract.NotCode:
		if m.From != extract.UnitOwn || m.Unit.Manner == extract.MannerHeard {
			return
		}
	}
	e.variants = e.variants[:0]
	e.varySingle(m)
	e.options = e.options[:0]
	e.setTurn(i)
	nothing := e.units(i)
	if len(e.options) == 0 {
		return
	}
	e.product(i, 0)
	e.addCode(i)
	if nothing > 0 {
		e.addNothing(i, nothing)
	}
}

// addCode reads three bare digits told of a capacitor as its marking code:
// two digits and the number of zeros, in picofarads (IEC 60062, handbook 4.7
// and 4.10): 226 is 22 µF.
func (e *engine) addCode(i int32) {
	m := e.mention(i)
	if m.From != extract.UnitNone || m.Style != extract.StyleDigits || !strings.HasSuffix(e.subject(m), "capacitor") {
		return
	}
	p, ok := e.pieceOf(m)
	if !ok || p.n != 3 || p.after != 0 || p.digits[0] == '0' || p.digits[2] > '7' { // 8 and 9 mean other things (IEC 60062, from memory)
		return
	}
	n := p.number(0, 2, 0)
	zeros := int16(p.digits[2] - '0')
	c := candidate{by: [3]distortion{code}, channel: -e.costs.cost[code], firstMention: i, kind: schema.KindCapacitance}
	switch {
	case zeros >= 4:
		c.unit, n.Exp = "uF", zeros-6
	case zeros >= 1:
		c.unit, n.Exp = "nF", zeros-3
	default:
		c.unit = "pF"
	}
	for n.Exp > 0 {
		n.Coef, n.Exp = n.Coef*10, n.Exp-1
	}
	for n.Exp < 0 && n.Coef%10 == 0 {
		n.Coef, n.Exp = n.Coef/10, n.Exp+1
	}
	c.lo, c.hi = n, n
	factor, _ := scaleOf(c.unit)
	c.si = n.Float() * factor
	c.siLo = c.si
	e.weigh(&c, e.rolesFor(m, c.kind), i)
	e.cands = append(e.cands, c)
}

// countShare is the probability that a count, a score or another number
// outside our trade has the value n: small whole numbers mostly.
func countShare(n extract.Num) float64 {
	switch {
	case n.Exp < 0:
		return 0.03 * eachShare(significant(n))
	case n.Exp == 0 && n.Coef <= 12:
		return 0.06
	case n.Exp == 0 && n.Coef <= 100:
		return 0.002
	}
	return 0.1 * eachShare(significant(n))
}

// setTurn notes which kind is due at mention i where voltages and currents
// alternate.
func (e *engine) setTurn(i int32) {
	e.turn = schema.KindUnknown
	m := e.mention(i)
	e.atTurn = m.Joint == extract.JointAt
	if i == 0 || !close(m.Joint) || e.inList(i) {
		return
	}
	switch k, _ := e.kindBefore(i); k {
	case schema.KindVoltage:
		e.turn = schema.KindCurrent
	case schema.KindCurrent:
		if e.levelTalk(m) && m.Joint == extract.JointComma {
			e.turn = schema.KindVoltage
		}
	}
}

// addNothing appends the candidate that a bare number is no quantity.
func (e *engine) addNothing(i int32, p float64) {
	// The value itself is as free as any count: a share of the small whole numbers.
	m := e.mention(i)
	prior := math.Log(countShare(m.Low))
	if m.Style == extract.StyleSound {
		prior = math.Log(0.05) // the word may well have been just that word
	}
	c := candidate{lo: m.Low, hi: m.High, nothing: true, role: -1, firstMention: i,
		channel: -e.costs.cost[intact], context: float32(math.Log(p)), prior: float32(prior)}
	c.score = c.channel + c.context + c.prior
	e.cands = append(e.cands, c)
}

// product appends variant × unit as candidates of the mention i; merged says
// how many mentions before it the variants have taken in.
func (e *engine) product(i int32, merged int32) {
	m := e.mention(i)
	start := len(e.cands)
	best := float32(math.Inf(-1))
	for o := range e.options {
		u := &e.options[o]
		r := e.rolesFor(m, u.kind)
		for v := range e.variants {
			va := &e.variants[v]
			lo, hi := va.lo, va.hi
			if u.million != 0 {
				lo, hi = byMillion(lo, u.million), byMillion(hi, u.million)
			}
			c := candidate{lo: lo, hi: hi, isRange: va.isRange, unit: u.unit, kind: u.kind, role: -1,
				by: [3]distortion{va.by[0], va.by[1], u.by}, literal: va.by[0] == intact && u.literal && merged == 0,
				channel: -va.cost - u.cost, firstMention: i - merged}
			if c.channel < best-4 {
				continue // even a certain value could not catch up
			}
			c.si = (c.hi.Float() + u.offset) * u.scale
			c.siLo = c.si
			if c.isRange {
				c.siLo = (c.lo.Float() + u.offset) * u.scale
			}
			e.weigh(&c, r, i)
			if c.score > best {
				best = c.score
			}
			e.cands = append(e.cands, c)
		}
	}
	// keep what can still matter; always the literal reading
	keep := float32(e.weights.Keep)
	k := start
	for j := start; j < len(e.cands); j++ {
		if e.cands[j].score >= best-keep || e.cands[j].literal {
			e.cands[k] = e.cands[j]
			k++
		}
	}
	e.cands = e.cands[:k]
}

// weigh sets role, context, prior, repetition and unary score of a candidate
// of mention i: the mixture over the roles that fit, told by its heaviest.
func (e *engine) weigh(c *candidate, roles *roleMatches, i int32) {
	n := significant(c.hi)
	c.log = log10(c.si)
	form := e.costs.form(c.unit, c.hi.Exp < 0 || c.lo.Exp < 0)
	total, top := 0.0, 0.0
	c.role = -1
	c.prior, c.repeat = lnNothing, 0
	c.context = float32(math.Log(e.weights.RoleAny / 10))
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
		p := e.roles.roles[r.role].prior(c.siLo, c.si, c.isRange, n, form, &e.weights)
		if e.without&PartPriors != 0 {
			p = flat
		}
		q := e.repeated(c, r.role, p, e.roles.roles[r.role].eachShare(n)*form, i)
		total += w * q
		if w*q > top {
			top = w * q
			c.role = r.role
			c.context = float32(math.Log(w))
			c.prior = float32(math.Log(p))
			c.repeat = 0
			if q != p {
				c.repeat = float32(math.Log(q / p))
			}
		}
	}
	if top > 0 { // what the other roles add goes to the context term
		c.context += float32(math.Log(total / top))
	}
	c.score = c.channel + c.context + c.prior + c.repeat
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

// repeated mixes the prior p with what else was told for the same role in the
// review: the share of values that equal the candidate's, and how near it is
// in magnitude to them (a kernel density over decades, each value of so many
// digits taking its part). each is that part.
func (e *engine) repeated(c *candidate, role int16, p, each float64, i int32) float64 {
	told := e.told[role]
	if len(told) == 0 || e.without&PartRepetition != 0 {
		return p
	}
	n, hit := int32(0), int32(0)
	alike := 0.0
	width := e.weights.AlikeWidth
	for k := range told {
		t := &told[k]
		count := t.count
		if e.own[i] == int32(k) && e.ownRole[i] == role {
			count-- // its own literal reading is no repetition
		}
		n += count
		if near(t.si, c.si) && near(t.siLo, c.siLo) {
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
	weight := float64(n) / (float64(n) + 1)
	share, kin := e.weights.RepeatShare*weight, 0.0
	if !c.isRange {
		kin = e.weights.AlikeShare * weight
	}
	return (1-share-kin)*p + share*float64(hit)/float64(n) + kin*alike/float64(n)*each
}

// collectTold counts, by role, the values told with a clear unit.
func (e *engine) collectTold() {
	e.told = make([][]toldValue, len(e.roles.roles))
	e.own = make([]int32, len(e.doc.Mentions))
	e.ownRole = make([]int16, len(e.doc.Mentions))
	for i := range e.doc.Mentions {
		e.own[i] = -1
		m := &e.doc.Mentions[i]
		if m.From == extract.UnitNone || m.Not != extract.NotNothing || m.Unit.Manner == extract.MannerHeard || m.Style == extract.StyleSound {
			continue
		}
		r := e.roleFor(m, m.Unit.Unit.Kind())
		if r.role < 0 {
			continue
		}
		factor, offset := scaleOf(m.Unit.Unit)
		t := toldValue{si: (m.High.Float() + offset) * factor, count: 1, first: int32(i)}
		t.siLo = t.si
		if m.Range {
			t.siLo = (m.Low.Float() + offset) * factor
		}
		t.log = log10(t.si)
		list := e.told[r.role]
		k := 0
		for k < len(list) && !(near(list[k].si, t.si) && near(list[k].siLo, t.siLo)) {
			k++
		}
		if k < len(list) {
			list[k].count++
		} else {
			e.told[r.role] = append(list, t)
		}
		e.own[i], e.ownRole[i] = int32(k), r.role
	}
}

// merge weighs the reading of two mentions as one number against reading them
// apart, and keeps the better cut; the other one's weight lowers the
// confidence. It reports whether the node before took nd in.
func (e *engine) merge(prev, nd *node, m *extract.Mention) bool {
	i := nd.last - 1
	e.variants = e.variants[:0]
	a := e.mention(prev.last - 1)
	if prev.last-prev.first > 1 {
		return false
	}
	e.varyPair(a, m, m.Joint)
	if len(e.variants) == 0 {
		return false
	}
	e.options = e.options[:0]
	e.setTurn(prev.last - 1)
	if m.From == extract.UnitOwn {
		e.units(i)
	} else {
		e.bareUnit(prev.last-1, i)
	}
	if len(e.options) == 0 {
		return false
	}
	from := len(e.cands)
	e.product(i, 1)
	apart := e.best(prev) + e.best(nd)
	if prev.to == prev.from {
		apart = e.best(nd) - e.costs.cost[stray]
		if a.Not == extract.NotPronoun {
			apart = e.best(nd) // "this one costs 5 watts"
		}
	}
	odd := float32(0) // of two numbers with nothing between them
	switch {
	case m.Joint != extract.JointSpace:
	case e.leads(m):
		odd = float32(e.weights.BarePoint)
	case e.stray(prev):
		odd = float32(e.weights.StraySpace)
	}
	apart -= odd
	together := float32(math.Inf(-1))
	for k := from; k < len(e.cands); k++ {
		together = max(together, e.cands[k].score+e.nearBonus(&e.cands[k], prev.first, m))
	}
	diff := float64(together - apart)
	p := 1 / (1 + math.Exp(-diff))
	if diff <= 0 {
		e.keepMerged(nd, from, apart-e.best(nd))
		prev.cut *= 1 - p
		return false
	}
	// the second mention alone, the first being stray, stays among the
	// readings; the edge of a product is never stray
	for k := nd.from; k < nd.to && a.Group < 0; k++ {
		c := e.cands[k]
		c.channel -= e.costs.cost[stray] + odd
		c.score -= e.costs.cost[stray] + odd
		e.cands = append(e.cands, c)
	}
	*prev = node{first: prev.first, last: nd.last, from: int32(from), to: int32(len(e.cands)), cut: p}
	return true
}

// keepMerged leaves the readings of a refused cut among those of the second
// mention, weighed against it standing alone: joint evidence may yet turn the
// balance, and a person may choose them. Where one of them wins, the mention
// before is part of it (see results).
func (e *engine) keepMerged(nd *node, from int, alone float32) {
	limit := e.best(nd) - float32(e.weights.Keep)
	k := from
	for j := from; j < len(e.cands); j++ {
		c := e.cands[j]
		c.channel -= alone
		c.score -= alone
		if c.score >= limit {
			e.cands[k] = c
			k++
		}
	}
	e.cands = e.cands[:k]
	nd.to = int32(k)
}

// stray reports whether a node is likeliest no quantity.
func (e *engine) stray(n *node) bool {
	best := n.from
	for k := n.from; k < n.to; k++ {
		if e.cands[k].score > e.cands[best].score {
			best = k
		}
	}
	return n.from == n.to || e.cands[best].nothing
}

// leads reports whether the mention's digits stand behind a bare point: ".8".
func (e *engine) leads(m *extract.Mention) bool {
	t := e.doc.Tokens[m.First]
	return t.Kind == extract.TokenNumber && e.doc.Transcript.Text[t.Start] == '.'
}

// nearBonus is what the level under test, told before mention i, adds to a
// measured voltage near it. It only weighs cuts; the fact itself is counted
// with the others.
func (e *engine) nearBonus(c *candidate, i int32, m *extract.Mention) float32 {
	if m.Context.Property != "output_voltage" || c.kind != schema.KindVoltage {
		return 0
	}
	for k := i - 1; k >= 0 && k > i-8; k-- {
		n := e.mention(k)
		if n.From == extract.UnitOwn && n.Unit.Unit == "V" && n.Context.Property != "output_voltage" && n.High.Float() >= 2 {
			if r := c.si / n.High.Float(); r > nearLow && r < nearHigh {
				return float32(math.Log(e.weights.NearLevel))
			}
			return 0
		}
	}
	return 0
}

func (e *engine) best(n *node) float32 {
	b := float32(-20)
	for k := n.from; k < n.to; k++ {
		b = max(b, e.cands[k].score)
	}
	return b
}

// finish orders a node's candidates and drops what cannot matter.
func (e *engine) finish(n *node) {
	n.nothing = -1
	c := e.cands[n.from:n.to]
	if len(c) == 0 {
		return
	}
	sortCandidates(c)
	const most = 12
	limit := len(c)
	for limit > 1 && c[limit-1].score < c[0].score-float32(e.weights.Keep) {
		limit--
	}
	limit = min(limit, most)
	for k := limit; k < len(c); k++ { // the literal reading is always among them
		if c[k].literal {
			c[limit-1+boolInt(limit < most)] = c[k]
			limit += boolInt(limit < most)
			break
		}
	}
	n.to = n.from + int32(limit)
	n.nothing = -1
	for k := n.from; k < n.to; k++ {
		if e.cands[k].nothing {
			n.nothing = k
		}
	}
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// sortCandidates sorts by falling score; ties by rising value, then unit, so
// that the same input gives the same order.
func sortCandidates(c []candidate) {
	for i := 1; i < len(c); i++ {
		for j := i; j > 0 && before(&c[j], &c[j-1]); j-- {
			c[j], c[j-1] = c[j-1], c[j]
		}
	}
}

func before(a, b *candidate) bool {
	switch {
	case a.score != b.score:
		return a.score > b.score
	case a.literal != b.literal:
		return a.literal
	case a.si != b.si:
		return a.si < b.si
	}
	return a.unit < b.unit
}
