package normalize

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"

	"saywatt/extract"
	"saywatt/schema"
)

// clamp sets the nodes that a person decided: one reading, certain. An answer
// finds its node by the place of the heard words in the source; two numbers
// run together have one place, and each takes the answer of its own kind.
func (e *engine) clamp(answers []Answer) {
	if len(answers) == 0 {
		return
	}
	bySpan := make(map[schema.Span][]*Answer, len(answers))
	for i := range answers {
		bySpan[answers[i].Span] = append(bySpan[answers[i].Span], &answers[i])
	}
	for i := range e.nodes {
		n := &e.nodes[i]
		a, like := e.answerFor(n, bySpan)
		if a == nil {
			continue
		}
		from := int32(len(e.cands))
		e.cands = append(e.cands, e.answered(n, a, like))
		n.from, n.to, n.cut, n.settled = from, from+1, 1, true
	}
}

// answerFor looks an answer up under every span that the node's readings
// would be told with, and returns it with the reading that has the span.
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
	first := e.lead(e.mention(c.firstMention).First, c)
	last := e.mention(n.last - 1).Last
	t := e.doc.Tokens
	spans := e.doc.Transcript.SourceSpans(schema.Span{Start: int(t[first].Start), End: int(t[last-1].End)})
	if len(spans) == 0 {
		return schema.Span{}
	}
	return spans[0]
}

// answered makes the candidate of a decision. It is told with the words of the
// reading that the answer was found under.
func (e *engine) answered(n *node, a *Answer, like *candidate) candidate {
	c := candidate{firstMention: like.firstMention, role: -1}
	if like.by[0] == homophone { // the word before it belongs to it
		c.by[0] = homophone
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

// numOf keeps an exact decimal as the engine's number.
func numOf(d schema.Decimal) extract.Num { return extract.Num{Coef: int64(d.Sign()), Big: &d} }

// information estimates in bits what an answer to a node would tell: its own
// entropy, and for every joint fact half of the smaller entropy of the node
// and each doubtful partner, which the answer would settle in part.
func (e *engine) information(n *node) float64 {
	own := e.entropy(n)
	total := own
	for f := range e.factors {
		g := &e.factors[f]
		mine := false
		for k := range g.n {
			mine = mine || &e.nodes[g.nodes[k]] == n
		}
		if !mine {
			continue
		}
		for k := range g.n {
			if p := &e.nodes[g.nodes[k]]; p != n {
				total += math.Min(own, e.entropy(p)) / 2
			}
		}
	}
	return math.Round(total*1000) / 1000
}

// entropy of a node's posterior, in bits.
func (e *engine) entropy(n *node) float64 {
	h := 0.0
	for k := n.from; k < n.to; k++ {
		if p := e.cands[k].posterior; p > 1e-9 {
			h -= p * math.Log2(p)
		}
	}
	return h
}

// answerJSON is one line of an answer file.
type answerJSON struct {
	Span     *schema.Span     `json:"span"`
	Quantity *schema.Quantity `json:"quantity"`
	Nothing  bool             `json:"nothing"`
	Note     string           `json:"note"`
}

// ReadAnswers reads decisions as JSON Lines, one a line:
//
//	{"span":[715,723],"quantity":{"value":3.25,"unit":"A"}}
//	{"span":[40,44],"nothing":true,"note":"a price"}
//
// span is that of the quantity in the record (or of the words in the source
// file), quantity what was said there; nothing says that no quantity was. An
// error names the file and line.
func ReadAnswers(r io.Reader, name string) ([]Answer, error) {
	var answers []Answer
	s := bufio.NewScanner(r)
	s.Buffer(nil, 1<<20)
	for line := 1; s.Scan(); line++ {
		text := bytes.TrimSpace(s.Bytes())
		if len(text) == 0 {
			continue
		}
		var a answerJSON
		d := json.NewDecoder(bytes.NewReader(text))
		d.DisallowUnknownFields()
		if err := d.Decode(&a); err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, line, err)
		}
		if _, err := d.Token(); err != io.EOF {
			return nil, fmt.Errorf("%s:%d: %w", name, line, schema.ErrTrailing)
		}
		if a.Span == nil || (a.Quantity == nil) != a.Nothing {
			return nil, fmt.Errorf("%s:%d: %w", name, line, ErrAnswer)
		}
		answers = append(answers, Answer{Span: *a.Span, Quantity: a.Quantity})
	}
	if err := s.Err(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return answers, nil
}

// ErrAnswer is the cause of an answer that decides nothing.
var ErrAnswer = errors.New(`want "span", and either "quantity" or "nothing":true`)
