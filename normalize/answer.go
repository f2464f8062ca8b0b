package normalize

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/schema"
)

// clamp sets the nodes that a person decided: one reading, certain. An answer
// finds its node by the place of the heard words in the source; two numbers
// run together have one place, and each takes the answer of its own kind. It
// returns the answers that no node takes.
func (e *engine) clamp(answers []Answer) StrayAnswers {
	if len(answers) == 0 {
		return nil
	}
	var stray StrayAnswers
	places, has := e.readingsBySpan(answers)
	bySpan := make(map[schema.Span][]*Answer, len(answers))
	for i := range answers {
		a := &answers[i]
		if cause := e.misses(a, places); cause != nil {
			stray = append(stray, &StrayAnswer{Answer: *a, File: e.doc.Transcript.Name, Near: e.nearest(a.Span),
				Err: cause})
			continue
		}
		if a.Quantity != nil || a.Place == nil {
			bySpan[a.Span] = append(bySpan[a.Span], a)
		}
	}
	for i := range e.nodes {
		n := &e.nodes[i]
		if e.isRuled(n) {
			e.isQuantity(n)
		}
		if !has[i] {
			continue
		}
		a, like := e.answerFor(n, bySpan)
		if a == nil {
			continue
		}
		from := int32(len(e.cands))
		c := e.answered(n, a, like)
		e.decided = append(e.decided, e.decision(int32(i), &c))
		if e.reportOdd != nil {
			if odd := e.odd(n, a, like, &c); odd != nil {
				e.reportOdd(odd)
			}
		}
		e.cands = append(e.cands, c)
		n.from, n.to, n.cut, n.settled = from, from+1, 1, true
	}
	return stray
}

// isQuantity leaves out the reading of a node that it is no quantity: a person
// said what it belongs to.
func (e *engine) isQuantity(n *node) {
	k := n.from
	for i := n.from; i < n.to; i++ {
		if !e.cands[i].nothing {
			e.cands[k] = e.cands[i]
			k++
		}
	}
	if k > n.from {
		n.to = k
	}
}

// readingAt is a reading of a node.
type readingAt struct {
	n *node
	c *candidate
}

// readingsBySpan lists the readings that would be shown with the place of an answer,
// by the place, and says which nodes have any.
func (e *engine) readingsBySpan(answers []Answer) (places map[schema.Span][]readingAt, has []bool) {
	places = make(map[schema.Span][]readingAt, len(answers))
	for i := range answers {
		places[answers[i].Span] = nil
	}
	has = make([]bool, len(e.nodes))
	var of [2]int32 // tokens of the reading before
	var span schema.Span
	asked := false
	for i := range e.nodes {
		n := &e.nodes[i]
		for k := n.from; k < n.to; k++ {
			c := &e.cands[k]
			if tokens := e.tokensOf(n, c); tokens != of {
				of, span = tokens, e.firstSpan(tokens[0], tokens[1])
				_, asked = places[span]
			}
			if asked {
				places[span] = append(places[span], readingAt{n, c})
				has[i] = true
			}
		}
	}
	return places, has
}

// misses says why no node takes an answer: that its place is no reading's,
// or that it is meant for other words or another file. nil where one does.
func (e *engine) misses(a *Answer, places map[schema.Span][]readingAt) error {
	if a.For != "" && filepath.Base(a.For) != filepath.Base(e.doc.Transcript.Name) {
		return ErrOtherFile
	}
	readings := places[a.Span]
	if len(readings) == 0 {
		return ErrNoQuantity
	}
	if a.Heard != "" && !sameWords(a.Heard, e.heardAs(readings[0].n, readings[0].c)) {
		return ErrOtherWords
	}
	if a.Place != nil {
		return e.checkPlace(a.Place, e.placeKinds(readings[0].n, a)...)
	}
	for _, r := range readings {
		if r.n.share == 0 || a.Quantity == nil || a.Quantity.Unit.Kind() == r.c.kind {
			return nil
		}
	}
	return ErrOtherKind
}

// placeKinds are the kinds that the place of an answer may fit: as answered, or
// by the unit heard.
func (e *engine) placeKinds(n *node, a *Answer) []schema.Kind {
	kinds := []schema.Kind{schema.KindUnknown}
	if m := e.mention(n.last - 1); m.HasUnit() {
		kinds[0] = m.Unit.Unit.Kind()
	}
	if a.Quantity != nil {
		kinds = append(kinds, a.Quantity.Unit.Kind())
	}
	return kinds
}

// heardAs is the words of a reading.
func (e *engine) heardAs(n *node, c *candidate) string {
	return e.doc.Words(e.lead(e.mention(c.firstMention).First, c), e.mention(n.last-1).Last)
}

// sameWords compares heard words, however lines broke them.
func sameWords(a, b string) bool { return slices.Equal(strings.Fields(a), strings.Fields(b)) }

// maxNear is how many places are offered instead of a wrong one.
const maxNear = 3

// nearest lists the places of quantities nearest to a span, in the order said.
func (e *engine) nearest(to schema.Span) []Spoken {
	var all []Spoken
	for i := range e.nodes {
		n := &e.nodes[i]
		c := e.likeliest(n)
		if c == nil {
			continue
		}
		if s := (Spoken{e.sourceSpan(n, c), e.heardAs(n, c)}); len(all) == 0 || all[len(all)-1].Span != s.Span {
			all = append(all, s)
		}
	}
	slices.SortStableFunc(all, func(a, b Spoken) int { return distance(a.Span, to) - distance(b.Span, to) })
	all = all[:min(len(all), maxNear)]
	slices.SortFunc(all, func(a, b Spoken) int { return a.Span.Start - b.Span.Start })
	return all
}

// likeliest is the best reading of a node before anything is inferred, nil
// where that is no quantity.
func (e *engine) likeliest(n *node) *candidate {
	var best *candidate
	for k := n.from; k < n.to; k++ {
		if c := &e.cands[k]; best == nil || c.score > best.score {
			best = c
		}
	}
	if best == nil || best.nothing {
		return nil
	}
	return best
}

// distance is how many bytes the ends of two spans are apart.
func distance(a, b schema.Span) int {
	return max(a.Start-b.Start, b.Start-a.Start) + max(a.End-b.End, b.End-a.End)
}

// answerFor looks an answer up under every span that the node's readings
// would be shown with, and returns it with the reading that has the span.
func (e *engine) answerFor(n *node, bySpan map[schema.Span][]*Answer) (*Answer, *candidate) {
	for k := n.from; k < n.to; k++ {
		c := &e.cands[k]
		list := bySpan[e.sourceSpan(n, c)]
		for j := len(list) - 1; j >= 0; j-- { // the last decision stands
			if q := list[j].Quantity; n.share == 0 || q == nil || q.Unit.Kind() == c.kind {
				return list[j], c
			}
		}
	}
	return nil, nil
}

// sourceSpan is where the words of a reading stand in the source, first
// occurrence.
func (e *engine) sourceSpan(n *node, c *candidate) schema.Span {
	t := e.tokensOf(n, c)
	return e.firstSpan(t[0], t[1])
}

// tokensOf are the first token of the words of a reading, and the one behind them.
func (e *engine) tokensOf(n *node, c *candidate) [2]int32 {
	return [2]int32{e.lead(e.mention(c.firstMention).First, c), e.mention(n.last - 1).Last}
}

// firstSpan is where tokens [first, last) stand in the source, first occurrence.
func (e *engine) firstSpan(first, last int32) schema.Span {
	var spans []schema.Span
	if e.store != nil {
		spans = e.spoken(first, last).spans
	} else {
		spans = e.spansOf(first, last)
	}
	if len(spans) == 0 {
		return schema.Span{}
	}
	return spans[0]
}

// answered makes the candidate of a decision. It is shown with the words of the
// reading that the answer was found under.
func (e *engine) answered(n *node, a *Answer, like *candidate) candidate {
	c := candidate{firstMention: like.firstMention, role: -1}
	if like.by[0] == channel.Homophone { // the word before it belongs to it
		c.by[0] = channel.Homophone
	}
	if a.Quantity == nil {
		c.nothing = true
		return c
	}
	q := a.Quantity
	c.lo, c.hi, c.isRange, c.unit, c.kind = numOf(q.Low), numOf(q.High), q.Range, q.Unit, q.Unit.Kind()
	factor, offset := scaleOf(q.Unit)
	c.si, c.siLo = (c.hi.Float()+offset)*factor, (c.lo.Float()+offset)*factor
	i := n.last - 1
	e.weigh(&c, e.rolesFor(e.mention(i), c.kind), i)
	return c
}

// decision finds the likeliest of a node's readings that means what a person
// decided.
func (e *engine) decision(i int32, c *candidate) decision {
	d := decision{node: i}
	n := &e.nodes[i]
	for k := n.from; k < n.to; k++ {
		if o := &e.cands[k]; !c.nothing && !o.nothing && sameQuantity(o, c) && (!d.found || o.score > d.was.score) {
			d.was, d.found = *o, true
		}
	}
	return d
}

// numOf keeps an exact decimal as the engine's number.
func numOf(d schema.Decimal) extract.Num { return extract.Num{Coef: int64(d.Sign()), Big: &d} }

// information estimates in bits what an answer to a node would say: its own
// entropy, and for every joint fact half of the smaller entropy of the node
// and each doubtful partner, which the answer would settle in part.
func (e *engine) information(i int) float64 {
	n := &e.nodes[i]
	own := e.entropy(n)
	total := own
	if best := e.choose(n); own*bitsShown < 0.5 && best != nil { // one reading, as good as: whether it is right
		u := max(1e-9, e.unlisted(i, best))
		total = -u*math.Log2(u) - (1-u)*math.Log2(1-u)
	}
	for _, at := range e.graph.With(int32(i)) {
		f := &e.graph.Factors[at]
		for k := range f.N {
			if p := &e.nodes[f.Nodes[k]]; p != n {
				total += math.Min(own, e.entropy(p)) / 2
			}
		}
	}
	return math.Round(total*bitsShown) / bitsShown
}

// bitsShown is into how many parts a bit is divided to be shown.
const bitsShown = 1000

// entropy of a node's posterior and of where its words are cut, in bits.
func (e *engine) entropy(n *node) float64 {
	h := 0.0
	if p := n.cut; p > 1e-9 && p < 1-1e-9 && !n.settled {
		h -= p*math.Log2(p) + (1-p)*math.Log2(1-p)
	}
	for k := n.from; k < n.to; k++ {
		if p := e.cands[k].posterior; p > 1e-9 {
			h -= p * math.Log2(p)
		}
	}
	return h
}

// Spoken is a place in the source file with the words heard there.
type Spoken struct {
	Span  schema.Span
	Heard string
}

// A StrayAnswer is a decision on a place where nothing is to decide: an answer
// that changes nothing must not pass for one that does.
type StrayAnswer struct {
	Answer Answer
	File   string   // that was read
	Near   []Spoken // the quantities nearest to the place, in the order said
	// ErrNoQuantity, ErrOtherWords, ErrOtherKind, ErrOtherFile, or a cause of
	// possibleplaces.go or answername.go
	Err error
}

func (s *StrayAnswer) Error() string {
	var b strings.Builder
	if s.Answer.From != "" {
		b.WriteString(s.Answer.From + ": ")
	}
	if n := s.Answer.Name; n != nil {
		fmt.Fprintf(&b, "%s of %s: %v", nameWords(n), s.File, s.Err)
	} else {
		fmt.Fprintf(&b, "[%d,%d] of %s: %v", s.Answer.Span.Start, s.Answer.Span.End, s.File, s.Err)
	}
	if errors.Is(s.Err, ErrOtherFile) {
		fmt.Fprintf(&b, ", %s", s.Answer.For)
		return b.String()
	}
	if p := (*placeError)(nil); errors.As(s.Err, &p) {
		return b.String() // it names what there is instead
	}
	for i, n := range s.Near {
		sep := ", "
		if i == 0 {
			sep = "; near it are "
		}
		fmt.Fprintf(&b, "%s[%d,%d] %q", sep, n.Span.Start, n.Span.End, n.Heard)
	}
	return b.String()
}

func (s *StrayAnswer) Unwrap() error { return s.Err }

// StrayAnswers are all of them, in the order of the answers.
type StrayAnswers []*StrayAnswer

func (s StrayAnswers) Error() string {
	lines := make([]string, len(s))
	for i := range s {
		lines[i] = s[i].Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap lets errors.Is see each of them.
func (s StrayAnswers) Unwrap() []error {
	all := make([]error, len(s))
	for i := range s {
		all[i] = s[i]
	}
	return all
}

// Causes of a StrayAnswer.
var (
	ErrNoQuantity = errors.New("no quantity was said there")
	ErrOtherWords = errors.New("other words were heard there")
	ErrOtherKind  = errors.New("two quantities run together there, neither of this kind")
	ErrOtherFile  = errors.New("the answer is for another file")
)
