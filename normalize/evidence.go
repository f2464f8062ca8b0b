package normalize

import (
	"math"

	"saywatt/extract"
	"saywatt/internal/assemble"
	"saywatt/normalize/infer"
	"saywatt/schema"
	"saywatt/validate"
)

// ruleFact is one case of a rule of validate over the nodes whose quantities
// it relates: joint evidence by the same definition that makes findings.
type ruleFact struct {
	rule  *validate.Rule
	c     validate.Case
	base  []schema.Quantity // the quantities of the provisional record, by argument
	nodes [maxFactNodes]int32
	args  [maxFactNodes]int32 // argument of the case that each node stands for
	n     int

	all      [maxFactNodes]int32 // the nodes it relates, sure ones too, as far as there is room
	distinct int
	// probability that every node of it is in the place that the rule takes it for
	placed float64
	again  int32 // 1 + index of the case before of this rule over the same node alone
	merged bool  // a later case speaks for this one too
}

// mostArgs bounds the values of a case that is evidence: what holds one value
// against so many says little of each.
const mostArgs = 32

// maxFactNodes bounds how many doubtful nodes one case may relate; a case over
// more (a whole list of levels) is judged with its least doubtful ones as
// they stand.
const maxFactNodes = infer.MostNodes

// gatherRules fills a provisional record with every node's likeliest reading
// and collects the cases of the rules in it that relate two or more values,
// at least one of them doubtful. What a rule says of one value alone is left
// to the prior, which knows it already.
func (e *engine) gatherRules() {
	rec, nodeOf := e.provisional()
	e.ruleFacts = e.ruleFacts[:0]
	percent := int64(math.Round(100 * e.weights.RuleSlack))
	e.slackBy = [2]schema.Decimal{schema.NewDecimal(100+percent, -2), schema.NewDecimal(100-percent, -2)}
	cases := make([]uint8, len(e.nodes)) // of the rule so far, by node
	alone := make([]int32, len(e.nodes)) // 1 + index of its last case over this node alone
	for _, rule := range validate.Rules() {
		left := mostCases * (len(e.nodes) + leastNodes)
		clear(cases)
		clear(alone)
		rule.Find(rec, func(c validate.Case) bool {
			if e.addCase(rule, c, nodeOf, cases) {
				e.chain(alone)
			}
			left -= 1 + len(c.Args)/mostArgs
			return left > 0
		})
	}
}

// A rule that holds values of one sort against each other finds a number of
// cases that grows with the square of what was said. A review has hardly more
// than one case of a rule for every quantity, and no quantity in more than a
// dozen of them; beyond these bounds, which only a text made to be hostile
// reaches, further cases are no evidence.
const (
	mostCases   = 8   // looked at, of one rule for each node
	leastNodes  = 512 // a file of fewer nodes is let have as many cases as one of so many
	casesOfNode = 64  // kept, of one rule
)

// addCase reports whether the case is evidence.
func (e *engine) addCase(rule *validate.Rule, c validate.Case, nodeOf []int32, cases []uint8) bool {
	if len(c.Args) < 2 || len(c.Args) > mostArgs || !e.anyDoubtful(&c, nodeOf) {
		return false
	}
	f := ruleFact{rule: rule}
	distinct := 0
	for i := range c.Args {
		v := c.Args[i].Value
		if len(v.Said) == 0 {
			continue
		}
		n := nodeOf[v.Said[0]-1]
		if n < 0 {
			continue
		}
		same := false
		for k := range f.n {
			same = same || f.nodes[k] == n
		}
		if same {
			return false // a value beside itself says nothing
		}
		distinct++
		if f.distinct < maxFactNodes {
			f.all[f.distinct] = n
			f.distinct++
		}
		if !e.doubtful(n) {
			continue
		}
		if f.n == maxFactNodes {
			e.replaceSurest(&f, n, int32(i))
			continue
		}
		f.nodes[f.n], f.args[f.n] = n, int32(i)
		f.n++
	}
	if f.n == 0 || distinct < 2 {
		return false
	}
	for _, n := range f.nodes[:f.n] {
		if cases[n] == casesOfNode {
			return false
		}
	}
	for _, n := range f.nodes[:f.n] {
		cases[n]++
	}
	f.placed = e.placedAs(&f, &c)
	f.c = c
	from := len(e.bases)
	for i := range c.Args {
		e.bases = append(e.bases, c.Args[i].Value.Quantity)
	}
	f.base = e.bases[from:len(e.bases):len(e.bases)]
	e.ruleFacts = append(e.ruleFacts, f)
	return true
}

// anyDoubtful reports whether a case relates a value that is in doubt.
func (e *engine) anyDoubtful(c *validate.Case, nodeOf []int32) bool {
	for i := range c.Args {
		if said := c.Args[i].Value.Said; len(said) > 0 {
			if n := nodeOf[said[0]-1]; n >= 0 && e.doubtful(n) {
				return true
			}
		}
	}
	return false
}

// chain ties the last case to the one before that the rule has of the same node
// alone: what a rule says of one value, held against several sure ones, is said
// once.
func (e *engine) chain(alone []int32) {
	f := &e.ruleFacts[len(e.ruleFacts)-1]
	if f.n != 1 {
		return
	}
	n := f.nodes[0]
	f.again = alone[n]
	if f.again > 0 {
		e.ruleFacts[f.again-1].merged = true
	}
	alone[n] = int32(len(e.ruleFacts))
}

// placedAs is the probability that the values of a case are in the places that the
// rule takes them for: of the doubtful ones, and where the case goes beyond one
// level, of the ports too.
func (e *engine) placedAs(f *ruleFact, c *validate.Case) float64 {
	p := 1.0
	for _, n := range f.nodes[:f.n] {
		if m := e.main(n); len(m.Places) > 1 {
			p *= m.Places[0].P
		}
	}
	if c.OneLevel() {
		return p
	}
	port := 1.0
	for _, n := range f.all[:f.distinct] {
		m := e.main(n)
		for i := range m.Ports {
			if extract.PortOf(m.Context.Class, m.Ports[i].Port) == m.Context.Port {
				port = min(port, m.Ports[i].P)
			}
		}
	}
	return p * port
}

// ruleRatio is what a case, and those of its rule over the same node alone, say of one
// combination of readings: the most that speaks for it and the most that speaks
// against.
func (e *engine) ruleRatio(f *ruleFact, scratch []schema.Quantity, c [maxFactNodes]*candidate) float64 {
	most, least := 1.0, 1.0
	for {
		r := f.placed*e.judge(f, scratch[:len(f.base)], c) + 1 - f.placed
		most, least = max(most, r), min(least, r)
		if f.again == 0 {
			return most * least
		}
		f = &e.ruleFacts[f.again-1]
	}
}

// replaceSurest puts node n in the place of the fact's least doubtful node
// where n is more doubtful.
func (e *engine) replaceSurest(f *ruleFact, n, arg int32) {
	surest, most := -1, e.unsure(n)
	for k := range f.n {
		if d := e.unsure(f.nodes[k]); d < most {
			surest, most = k, d
		}
	}
	if surest >= 0 {
		f.nodes[surest], f.args[surest] = n, arg
	}
}

// unsure is one minus the probability of a node's likeliest reading.
func (e *engine) unsure(n int32) float64 {
	best := 0.0
	for k := e.nodes[n].from; k < e.nodes[n].to; k++ {
		best = max(best, e.cands[k].posterior)
	}
	return 1 - best
}

// provisional makes a record of the likeliest readings so far, for the rules
// to find their cases in, and says for every quantity which node it is of.
func (e *engine) provisional() (*schema.Record, []int32) {
	rec := &schema.Record{Version: schema.RecordVersion}
	n := e.chooseAll()
	e.said, e.placed, e.nodeOf = empty(e.said, n), empty(e.placed, n), empty(e.nodeOf, n)
	for i := range e.nodes {
		n, best := &e.nodes[i], e.chosen[i]
		if best == nil {
			continue
		}
		m := e.mention(n.last - 1)
		e.said = append(e.said, schema.Said{Number: len(e.said) + 1, Kind: best.kind,
			Quantity: e.quantity(best, m), Status: schema.StatusHeard, Withdrawn: m.Withdrawn})
		e.placed = append(e.placed, e.place(n, best))
		e.nodeOf = append(e.nodeOf, int32(i))
	}
	rec.Quantities = e.said
	assemble.Values(rec, e.doc, e.placed)
	return rec, e.nodeOf
}

// judge returns the likelihood ratio that a rule gives to one combination of
// readings of the fact's nodes. q is scratch of the length of the case.
func (e *engine) judge(f *ruleFact, q []schema.Quantity, c [maxFactNodes]*candidate) float64 {
	copy(q, f.base)
	for k := range f.n {
		if c[k].nothing {
			return 1
		}
		q[f.args[k]] = *e.quantityOf(c[k])
	}
	j := f.rule.Judge(&f.c, q)
	if j.Verdict == validate.VerdictNone || j.LogRatio > 0 && j.LogRatio < e.weights.Equality {
		return 1
	}
	if j.LogRatio > 0 && e.slack(f, q) {
		return 1
	}
	return min(e.weights.RuleFor, max(e.weights.RuleAgainst, math.Exp(e.weights.RuleTemper*j.LogRatio)))
}

// slack reports whether a rule that these readings keep is an inequality in all of
// its doubtful values: it is still kept where one of them is rather larger or
// smaller (rule_slack). It changes q and puts it back.
func (e *engine) slack(f *ruleFact, q []schema.Quantity) bool {
	for k := range f.n {
		at := f.args[k]
		was := q[at]
		for _, by := range e.slackBy {
			q[at].Low = was.Low.Mul(by)
			if q[at].High = q[at].Low; was.Range {
				q[at].High = was.High.Mul(by)
			}
			kept := f.rule.Judge(&f.c, q).LogRatio > 0
			q[at] = was
			if !kept {
				return false
			}
		}
	}
	return true
}

// quantityOf returns a candidate's reading, made once.
func (e *engine) quantityOf(c *candidate) *schema.Quantity {
	if c.made == 0 {
		e.quantities = append(e.quantities, c.quantity())
		c.made = int32(len(e.quantities))
	}
	return &e.quantities[c.made-1]
}

// quantity is the candidate's reading without the speaker's tolerance.
func (c *candidate) quantity() schema.Quantity {
	q := schema.Quantity{Low: c.lo.Decimal(), Range: c.isRange, Unit: c.unit}
	q.High = q.Low
	if c.isRange {
		q.High = c.hi.Decimal()
	}
	return q
}
