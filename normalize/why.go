package normalize

import (
	"math"
	"strconv"

	"saywatt/normalize/channel"
	"saywatt/normalize/infer"
	"saywatt/schema"
)

// terms lists the parts of a candidate's score. One of the last three that is
// nothing but the rounding of sums is none.
func (e *engine) terms(c *candidate) []schema.Term {
	const always = 3
	more := [...]schema.Term{{Name: "repetition", Score: round3(c.repeat)}, {Name: "trait", Score: round3(c.trait)},
		{Name: "joint", Score: round3(c.joint)}}
	n := always
	for i := range more {
		n += boolInt(more[i].Score != 0)
	}
	t := append(e.slabs.terms.take(n)[:0],
		schema.Term{Name: "channel", Score: round3(c.channel), Note: e.channelNote(c)},
		schema.Term{Name: "context", Score: round3(c.context)},
		schema.Term{Name: "prior", Score: round3(c.prior)})
	if c.role >= 0 {
		t[1].Note = e.roles.Roles[c.role].Words
		t[2].Note = e.plainSource(e.roles.Roles[c.role].Source)
	}
	for i := range more {
		if more[i].Score != 0 {
			t = append(t, more[i])
		}
	}
	return t
}

func (e *engine) channelNote(c *candidate) string {
	note := ""
	for _, d := range c.by {
		if d == channel.Intact {
			continue
		}
		if note != "" {
			note += "; "
		}
		note += e.costs.Words(d)
	}
	if note == "" {
		return e.costs.Words(channel.Intact)
	}
	return note
}

// why says in short sentences what speaks for the chosen reading and what
// against.
func (e *engine) why(i int, best *candidate) []string {
	n := &e.nodes[i]
	var room [8]string
	out := room[:0]
	if n.settled {
		out = append(out, "a person decided")
	} else if !best.literal {
		out = append(out, e.channelNote(best)+": captions "+e.howOften(best)+" do that")
	}
	if best.role >= 0 {
		o := &e.roles.Roles[best.role]
		switch {
		case best.si < o.Low || best.si > o.High:
			out = append(out, "outside what is plausible for the "+o.Words+" ("+e.plainSource(o.Source)+")")
		case best.si < o.UsualLow || best.si > o.UsualHigh:
			out = append(out, "plausible but unusual for the "+o.Words+" ("+e.plainSource(o.Source)+")")
		case o.GridShare > 0 && best.prior > -7:
			out = append(out, "a usual value for the "+o.Words+" ("+e.plainSource(o.Source)+")")
		}
	}
	if best.repeat > 0.7 {
		out = append(out, "said again elsewhere in the review")
	}
	if !n.settled && e.groundless(best) {
		out = append(out, "neither its place nor another value speaks for this number")
	}
	if !n.settled && e.mention(best.firstMention).Unsure {
		out = append(out, "the captions mark it with a question mark")
	}
	out = e.jointWhy(i, out)
	for k := n.from; k < n.to; k++ {
		if c := &e.cands[k]; c.literal && c != best && c.role >= 0 {
			o := &e.roles.Roles[c.role]
			if c.si < o.Low || c.si > o.High {
				out = append(out, "as heard it would be outside what is plausible for the "+o.Words+" ("+
					e.plainSource(o.Source)+")")
			}
		}
	}
	if len(out) == 0 {
		return nil
	}
	return append(e.slabs.strings.take(len(out))[:0], out...)
}

// howOften says in a word how often captions do what they did to a reading;
// of several distortions the rarest counts.
func (e *engine) howOften(c *candidate) string {
	cost := float32(0)
	for _, d := range c.by {
		if d != channel.Intact {
			cost = max(cost, e.costs.Of(d))
		}
	}
	return loadBounds().howOften(math.Exp(-float64(cost)))
}

// howOften is the word for a share of the quantities that could suffer a distortion.
func (b *bounds) howOften(share float64) string {
	switch {
	case share >= b.often:
		return "often"
	case share >= b.sometimes:
		return "sometimes"
	}
	return "seldom"
}

// jointWhy names the joint facts that hold for the node's likeliest reading
// and those of its partners, and then those that had nothing to decide.
func (e *engine) jointWhy(i int, out []string) []string {
	for _, g := range [...]*infer.Graph{&e.graph, &e.proved} {
		for _, at := range g.With(int32(i)) {
			f := &g.Factors[at]
			for k := range f.N {
				if f.Nodes[k] != int32(i) {
					continue
				}
				if s, ok := e.holds(f, k); ok {
					out = append(out, s)
				}
			}
		}
	}
	return out
}

// plainSource is a source as people read it. Few rules have much to say of one
// text, and say it often.
func (e *engine) plainSource(source string) string {
	plain, ok := e.sources[source]
	if !ok {
		plain = schema.PlainSource(source)
		e.sources[source] = plain
	}
	return plain
}

// isReason reports whether a factor that favours readings so much is named.
func (b *bounds) isReason(ratio float64) bool { return ratio > b.reasonRatio }

// holds reports whether a factor favours the likeliest readings of its nodes
// over others, and says why with the partners and when they were said.
func (e *engine) holds(g *infer.Factor, self int) (string, bool) {
	var c [maxFactNodes]*candidate
	var readings [maxFactNodes]int32
	for k := range g.N {
		n := &e.nodes[g.Nodes[k]]
		c[k] = e.choose(n)
		if c[k] == nil {
			return "", false
		}
		for j := range n.weighed {
			if &e.cands[n.from+j] == c[k] {
				readings[k] = j
			}
		}
	}
	if !loadBounds().isReason(g.At(&readings)) {
		return "", false
	}
	if f, ok := e.caseOf(g); ok {
		s := f.rule.Doc
		sep := ": "
		for i := range f.c.Args[:min(len(f.c.Args), 4)] {
			if int32(i) == f.args[self] {
				continue
			}
			q := f.base[i]
			for k := range g.N {
				if f.args[k] == int32(i) {
					q = c[k].quantity()
				}
			}
			s += sep + q.String()
			sep = ", "
		}
		return s + " (" + e.plainSource(f.rule.Source) + ")", true
	}
	f := &e.facts[g.Label]
	words := factWords[f.kind]
	if words == "" {
		_, o := e.relate(f, c)
		words = o.words
	}
	s := words + ":"
	for k := range g.N {
		if k == self {
			continue
		}
		m := e.mention(e.nodes[g.Nodes[k]].last - 1)
		s += " " + e.quantity(c[k], m).String()
		if at := e.doc.Transcript.Moment(int(e.doc.Tokens[m.First].Start)); at != nil {
			s += " at " + at.Clock()
		}
		if k < g.N-1 && !(self == g.N-1 && k == g.N-2) {
			s += ","
		}
	}
	if f.kind == factMultiple || f.kind == factTimes {
		s += " × " + strconv.Itoa(int(f.extra))
	}
	return s, true
}
