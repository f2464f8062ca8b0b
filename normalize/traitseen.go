package normalize

import (
	"math"
	"slices"

	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// seenTrait is a trait with how much of it was seen.
type seenTrait struct {
	row   int32
	value float32
}

// traitList collects the traits of a reading.
type traitList struct {
	seen     []seenTrait
	families *familyTable
}

// add enters the trait of a family at the indices of its dimensions.
func (l *traitList) add(fam int, value float32, at ...int) {
	f := &l.families.list[fam]
	row := int32(0)
	for i, a := range at {
		n := f.sizes[i]
		row = row*n + min(max(int32(a), 0), n-1)
	}
	l.seen = append(l.seen, seenTrait{f.base + row, value})
}

// nodeView is what is seen of a node, whatever the reading.
type nodeView struct {
	m        *extract.Mention
	digits   int
	last     int
	broken   int
	near     int
	rate     float32
	captions int
	ear      heardView
	at       int // index of the node
	before   int // the words beside it, by besideDim
	behind   int
}

// rate is how much more than usual a file is garbled, in nats, so many of some quantities
// being so.
func (b *bounds) rate(garbled, of float64) float64 {
	return overUsual(garbled, of, b.usualRate, b.rateWeight)
}

// overUsual is how much more than the usual share so many of some are, in nats, where so
// many more that have the usual share are added to them.
func overUsual(n, of, usual, weight float64) float64 {
	return math.Log((n + weight*usual) / (of + weight) / usual)
}

// garbled reports whether captions did anything to a reading but leave its unit
// out, which speakers do too.
func (c *candidate) garbled() bool {
	for _, d := range c.by {
		if d != channel.Intact && d != channel.UnitDropped {
			return !c.nothing
		}
	}
	return false
}

// experience adds the weights of the traits to the score of every reading. How
// much of the file is garbled, and of what stands near, is read off the first
// pass, without the node itself.
func (e *engine) experience() {
	e.observe(func(c *candidate, l []seenTrait) {
		sum := e.traits.sum(l)
		if e.keep {
			c.kept = int32(len(e.kept))
			e.kept = append(e.kept, slices.Clone(l))
		}
		if e.without&PartTraits != 0 {
			sum = 0
		}
		c.trait = float32(sum)
		c.score += c.trait
	})
	for i := range e.nodes {
		sortCandidates(e.cands[e.nodes[i].from:e.nodes[i].to])
	}
}

// observe shows the traits of every reading of every node that nobody decided.
func (e *engine) observe(show func(*candidate, []seenTrait)) {
	garbled := make([]float64, len(e.nodes))
	total, count := 0.0, 0.0
	for i := range e.nodes {
		n := &e.nodes[i]
		for k := n.from; k < n.to; k++ {
			if c := &e.cands[k]; c.garbled() {
				garbled[i] += c.posterior
			}
		}
		if n.to > n.from {
			total += garbled[i]
			count++
		}
	}
	list := traitList{families: loadFamilies()}
	e.countPoints()
	e.lookAround()
	e.countUnitWords()
	e.file.words = e.strangeness()
	e.views = empty(e.views, len(e.nodes))[:len(e.nodes)]
	clear(e.views)
	for i := range e.nodes {
		n := &e.nodes[i]
		if n.settled || n.to == n.from {
			continue
		}
		v := e.view(n)
		v.rate = float32(loadBounds().rate(total-garbled[i], count-1))
		v.near = nearBin(garbled, i, int(e.reach.garbled))
		v.at = i
		v.before, v.behind = e.beside(n)
		e.views[i] = v
		for k := n.from; k < n.to; k++ {
			list.seen = list.seen[:0]
			e.see(&list, n, &v, &e.cands[k])
			show(&e.cands[k], list.seen)
		}
	}
}

// nearBin says how much of what stands near, up to reach quantities to each side, is
// garbled.
func nearBin(garbled []float64, i, reach int) int {
	sum := 0.0
	for k := max(0, i-reach); k <= min(len(garbled)-1, i+reach); k++ {
		if k != i {
			sum += garbled[k]
		}
	}
	switch {
	case sum < 0.5:
		return 0
	case sum < 1.5:
		return 1
	}
	return 2
}

// view looks at a node.
func (e *engine) view(n *node) nodeView {
	m := e.mention(n.last - 1)
	v := nodeView{m: m}
	v.captions = boolInt(e.plain)
	v.ear = e.heardView(m)
	if p, ok := e.decoder.Digits(m); ok {
		v.digits = p.N
		switch p.Shown[p.N-1] {
		case '5':
			v.last = 1
		case '0':
			v.last = 2
		}
	}
	for _, t := range e.doc.Tokens[m.First:m.Last] {
		if t.Kind == extract.TokenBreak {
			v.broken = 1
		}
	}
	return v
}

// How much of a trait is seen scales the pull of its weight towards nothing: the
// priors know most of how many digits are usual, nothing knows of bare numbers.
const (
	slight = 0.5
	strong = 3
)

// see lists the traits of a reading.
func (e *engine) see(l *traitList, n *node, v *nodeView, c *candidate) {
	m := v.m
	e.seeUnitWords(l, v.at, c)
	if c.nothing {
		l.add(noStyle, 1, int(m.Style), v.captions)
		l.add(noUnit, 1, int(m.From), int(m.Unit.Manner))
		l.add(noNot, 1, int(m.Not))
		l.add(noJoint, 1, int(m.Joint))
		l.add(noDigits, 1, v.digits, v.last)
		l.add(noShare, c.context)
		switch ear := &v.ear; ear.what {
		case heardUnit:
			l.add(noSoundOwn, 1, ear.apart, ear.own)
			l.add(noSoundAsked, 1, ear.apart, ear.asked)
			l.add(noSoundDigits, 1, v.digits, boolInt(m.Low.Exp < 0))
		case heardNumber:
			l.add(noWordOwn, 1, ear.apart, ear.own)
			l.add(noWordAsked, 1, ear.asked)
		}
		return
	}
	shape, level := e.shape(c)
	decimals := max(0, int(-c.hi.Exp))
	done := [3]channel.Distortion{channel.End, channel.End, channel.End}
	for k, d := range c.by {
		if k > 0 && (d == channel.Intact || d == done[0] || d == done[1]) {
			continue
		}
		if d == channel.Intact && (c.by[1] != channel.Intact || c.by[2] != channel.Intact) {
			continue
		}
		done[k] = d
		w := int(d)
		l.add(wayStyle, 1, w, int(m.Style), v.captions)
		l.add(wayKind, 1, w, int(c.kind))
		l.add(wayDigits, 1, w, v.digits, v.last)
		l.add(wayDecimals, 1, w, v.digits, decimals)
		l.add(wayShape, 1, w, shape)
		l.add(wayLevel, 1, w, level)
		l.add(wayJoint, 1, w, int(m.Joint))
		l.add(wayUnit, 1, w, int(m.From), int(m.Unit.Manner))
		l.add(waySaid, 1, w, saidBin(c))
		l.add(wayBreak, 1, w, v.broken)
		l.add(wayNear, 1, w, v.near)
		l.add(wayRate, v.rate, w)
		l.add(wayBefore, 1, w, v.before)
		l.add(wayWords, e.file.words, w)
		l.add(wayPoints, 1, w, e.points(c.kind))
		if v.ear.what == heardUnit {
			l.add(waySound, 1, w, v.ear.apart)
		}
		l.add(waySection, 1, w, int(m.Context.Section))
		l.add(wayQualifier, 1, w, int(m.Qualifier))
	}
	l.add(shapeLevel, 1, shape, level)
	l.add(kindDigits, slight, int(c.kind), prior.DigitsOf(c.hi).N, decimals)
	l.add(kindShape, 1, int(c.kind), shape)
	l.add(placeShare, 1, placeBin(m, c))
	role := len(e.roles.Roles)
	if c.role >= 0 {
		role = int(c.role)
	}
	r := int(l.families.ofRole[role])
	l.add(roleDecimals, 1, r, decimals)
	e.seeSize(l, v, c, r)
	e.seeNeighbours(l, v, c)
	before := 0
	if i := n.last - 2; i >= 0 && e.mention(i).From == extract.UnitOwn {
		before = int(e.mention(i).Unit.Unit.Kind())
	}
	if m.From != extract.UnitOwn {
		l.add(beforeKind, 1, before, int(c.kind), int(m.Joint))
		e.seeSource(l, v, c)
	}
}

// saidBin says how a value stands to the others said for its role.
func saidBin(c *candidate) int {
	switch {
	case c.repeat > 0.7:
		return 3
	case c.repeat > 0:
		return 2
	case c.repeat < -0.1:
		return 1
	}
	return 0
}

// placeBin says how sure the place is that a reading is for.
func placeBin(m *extract.Mention, c *candidate) int {
	switch {
	case len(m.Places) == 0:
		return 0
	case c.place > 0:
		return 4
	}
	switch p := m.Places[0].P; {
	case p >= 0.95:
		return 0
	case p >= 0.8:
		return 1
	case p >= 0.5:
		return 2
	}
	return 3
}

// shape says where a value lies in the range of its role, and what ties the
// role to the words around.
func (e *engine) shape(c *candidate) (shape, level int) {
	if c.role < 0 {
		return 4, 4
	}
	o := &e.roles.Roles[c.role]
	level = int(o.Tie())
	switch {
	case c.si < o.Low*(1-sameValue) || c.si > o.High*(1+sameValue):
		return 3, level
	case c.si < o.UsualLow || c.si > o.UsualHigh:
		return 2, level
	case o.Prefers(c.siLo, c.si, c.isRange):
		return 0, level
	}
	return 1, level
}

// points says how many of the numbers of a kind are shown with a decimal point.
func (e *engine) points(k schema.Kind) int {
	n, with := e.shown[k][0], e.shown[k][1]
	switch {
	case n < 4 && with == 0:
		return 0
	case with == 0:
		return 1
	case with*4 < n:
		return 2
	case with*4 < n*3:
		return 3
	}
	return 4
}

func (e *engine) countPoints() {
	e.shown = [schema.KindOther + 1][2]int{}
	for i := range e.doc.Mentions {
		m := &e.doc.Mentions[i]
		if m.From != extract.UnitOwn || m.Not != extract.NotNothing {
			continue
		}
		k := m.Unit.Unit.Kind()
		e.shown[k][0]++
		if m.Low.Exp < 0 || m.High.Exp < 0 {
			e.shown[k][1]++
		}
	}
}
