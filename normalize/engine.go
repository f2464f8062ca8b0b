package normalize

import (
	"saywatt/extract"
	"saywatt/normalize/channel"
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
	// Odd is called with each answer that stands and may be a slip; nil for nobody.
	Odd func(*OddAnswer)
	// Learned is a person's own count of what captions do, added to the
	// table's; nil none.
	Learned *channel.Learned
	// Traits are weights of traits to use instead of the table's, to fit them.
	Traits Traits
	// Without leaves parts of the model out, to measure what each is worth.
	Without Parts
	// Kept is what reading the document left the time before; nil nothing, and
	// nothing is kept. It is of one document.
	Kept *Kept
}

// Parts names parts of the model.
type Parts uint8

// The parts that can be left out.
const (
	PartRules      Parts = 1 << iota // evidence of validate's rules
	PartFacts                        // joint facts of this package
	PartRepetition                   // values said before or after
	PartPriors                       // what is plausible for a role: all values alike
	PartTraits                       // what was learned of readings that look alike
)

// Answer is a person's decision on the words at a place of the source file.
type Answer struct {
	Span     schema.Span       // as in schema.Said.Span
	Quantity *schema.Quantity  // nil: no quantity was said there, or Place alone is answered
	Place    *schema.BelongsTo // what it belongs to; nil not answered
	Heard    string            // words heard there, "" where not given
	For      string            // name of the file it is for, "" where not given
	From     string            // where the answer stands, FILE:LINE, for errors
	Sure     bool              // it is meant, though its unit is of another kind than what was heard
	Name     *extract.Naming   // what a name is; then nothing is said of a quantity
}

// node is one stretch of words to decide: a mention, or several that may be
// one number.
type node struct {
	first, last int32 // mentions [first, last); the last one carries unit and context
	from, to    int32 // its candidates
	weighed     int32 // how many of them joint evidence looks at
	cut         float64
	settled     bool  // a person decided
	share       int32 // >0: the second half of two numbers run together
}

// decision is a node that a person decided, and the reading that they chose
// as the engine had made it; not found where it had made none.
type decision struct {
	node  int32
	was   candidate
	found bool
}

// engine is the working memory of one Rank call.
type engine struct {
	scratch
	traitKeeper
	store     *store // what is kept of the document; nil nothing
	decided   []decision
	doc       *extract.Document
	without   Parts
	plain     bool // captions without punctuation
	file      fileView
	weights   Weights
	costs     *channel.Costs
	roles     *roleTable
	relations *relations
	reach     *reaches
	index     saidIndex
	contextOf *extract.Mention // the mention whose context was looked up last
	contextIs *contextRoles    // and what its context calls for
	mixture   roleMatches      // of the mention asked for last
	cuts      cuts             // of numbers side by side, as answers name them
	byRole    [][]saidValue    // values said literally, by role
	own       []int32          // by mention: its own entry in byRole, -1 without one
	ownRole   []int16          // and the role of that entry
	slabs     slabs
	slackBy   [2]schema.Decimal // larger and smaller by rule_slack
	unweighed []bool            // nodes of facts that were left out for want of room; nil none
	reportOdd func(*OddAnswer)
	progress
	interim
}

// interim is what is worked out for the next steps alone.
type interim struct {
	wholeTime candidate    // of a relation's time said in two units
	forms     unitForms    // of the unit weighed last
	chosen    []*candidate // by node, as chooseAll left them
}

// progress is where the engine is.
type progress struct {
	finished int         // nodes whose candidates are final
	turn     schema.Kind // kind whose turn it is where levels are read out
	atTurn   bool        // behind the word at: nothing but a current may follow a voltage
}

// traitKeeper is what is seen of readings, and its weights.
type traitKeeper struct {
	traits    Traits // weights of what is seen of readings
	keep      bool   // what is seen of readings is to be kept in kept
	kept      [][]seenTrait
	shown     [schema.KindOther + 1][2]int
	leaders   []*candidate // by node, before anything learned; nil where none is likely
	echoes    map[echo]int // how often a value was said
	list      traitList    // scratch
	unitWords unitWords
}

func (e *engine) mention(i int32) *extract.Mention { return &e.doc.Mentions[i] }

func (e *engine) subject(m *extract.Mention) string { return e.subjectOf(&m.Context) }

func (e *engine) subjectOf(c *extract.Context) string {
	if s := c.Subject; s >= 0 && int(s) < len(e.doc.Subjects) {
		return e.doc.Subjects[s].Kind
	}
	if c.Class.String() == extract.AnyPart { // of a part that nothing says more of
		return extract.AnyPart
	}
	return ""
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

// build makes the nodes and their candidates, merging mentions that read
// better as one number.
func (e *engine) build() {
	e.collectSaid()
	n := int32(len(e.doc.Mentions))
	e.nodes, e.cands = empty(e.nodes, int(n)+1), empty(e.cands, int(n)*6+16)
	for i := int32(0); i < n; i++ {
		m := e.mention(i)
		from := int32(len(e.cands))
		e.single(i)
		if e.trySplit(i, from) {
			continue
		}
		nd := node{first: i, last: i + 1, from: from, to: int32(len(e.cands)), cut: 1}
		if i > 0 && len(e.nodes) > 0 {
			prev := &e.nodes[len(e.nodes)-1]
			if prev.last == i && prev.share == 0 && (e.mergeable(i-1, i) || e.cuts.between(i-1, i) == cutTogether) {
				if e.merge(prev, &nd, m) {
					continue
				}
			}
		}
		e.nodes = append(e.nodes, nd) // without candidates too: the next mention may take it in
		e.finishUpTo(loadBounds().finished(len(e.nodes), e.finished))
	}
	e.finishUpTo(len(e.nodes))
}

// finished is up to which of the nodes that there are the early ones are finished, where
// so many are: the last stay, since the next mention looks at them.
func (b *bounds) finished(nodes, so int) int {
	if nodes-so >= int(b.unfinished) {
		return nodes - int(b.lookBack)
	}
	return so
}

// finishUpTo finishes the nodes before the one of index end and closes the
// gaps that dropped candidates leave, so that they take no memory.
func (e *engine) finishUpTo(end int) {
	if e.finished >= end {
		return
	}
	to := e.nodes[e.finished].from
	if e.finished > 0 {
		to = e.nodes[e.finished-1].to
	}
	for k := e.finished; k < len(e.nodes); k++ {
		n := &e.nodes[k]
		if k < end {
			e.markProduct(k)
			e.finish(n)
		}
		size := n.to - n.from
		copy(e.cands[to:to+size], e.cands[n.from:n.to])
		n.from, n.to = to, to+size
		to += size
	}
	e.cands = e.cands[:to]
	e.finished = end
}
