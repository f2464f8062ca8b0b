package normalize

import (
	"math"
	"slices"
	"strings"

	"saywatt/extract"
	"saywatt/extract/feature"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// Truth says what was said at bytes [start, end) of the text: the quantity, or
// nil for none; known is false where that is not known.
type Truth func(start, end int) (q *schema.Quantity, known bool)

// A Study is a document whose truth is known, prepared to fit the weights of
// traits on: the readings of each node with their score but for the traits,
// what joint evidence made of it, and their traits.
type Study struct {
	Nodes []StudyNode
}

// StudyNode is one node of a study.
type StudyNode struct {
	Readings []StudyReading
	Words    string
	Known    bool // a reading is right
	Intact   bool // the literal one
	Cut      float64
	Said     string
	Best     int // index of the likeliest reading that is a quantity, -1 none
	BestP    float64
	Doubt    []seenTrait // traits of the doubt in it
	Off      float64     // what traits of the doubt that are not fitted add
}

// StudyReading is one reading of a node.
type StudyReading struct {
	Base    float64 // score but for the traits, with what joint evidence added
	P       float64 // probability with the weights that it was read with
	Traits  []seenTrait
	Right   bool
	Literal bool
	Nothing bool
	Text    string
}

// Study prepares a document. Nodes of which the truth is not known are left
// out.
func (r *Ranker) Study(d *extract.Document, truth Truth) *Study {
	e := r.engine(d)
	e.keep = true
	e.build()
	e.infer()
	s := &Study{}
	for i := range e.nodes {
		n := &e.nodes[i]
		if n.to == n.from || n.share > 0 {
			continue
		}
		m := e.mention(n.last - 1)
		q, known := truth(int(d.Tokens[e.mention(n.first).First].Start), int(d.Tokens[m.Last-1].End))
		if !known || q == nil && (d.SaysUnit(m) || m.From != extract.UnitNone && !e.byEar(m)) {
			continue
		}
		said := "nothing"
		if q != nil {
			said = q.String()
		}
		v := StudyNode{Best: -1, Said: said, Words: d.Words(e.mention(n.first).First, m.Last), Cut: n.cut}
		for k := n.from; k < n.to; k++ {
			c := &e.cands[k]
			r := StudyReading{Base: float64(c.score-c.trait) + float64(c.joint), P: c.posterior, Traits: e.kept[c.kept],
				Literal: c.literal, Nothing: c.nothing}
			if c.nothing {
				r.Right = q == nil
			} else {
				r.Right = q != nil && e.means(c, q)
				r.Text = c.quantity().String()
			}
			v.Known = v.Known || r.Right
			v.Intact = v.Intact || r.Right && r.Literal
			v.Readings = append(v.Readings, r)
		}
		if best := e.choose(n); best != nil {
			for k := n.from; k < n.to; k++ {
				if &e.cands[k] == best {
					v.Best = int(k - n.from)
				}
			}
			v.BestP = e.belief(n, best) * n.cut
			if e.ceiling(best) < 1 {
				continue
			}
			doubt := traitList{families: loadFamilies()}
			e.doubtTraits(&doubt, i, best)
			v.Doubt = doubt.seen
		}
		s.Nodes = append(s.Nodes, v)
	}
	return s
}

// means reports whether a reading is the quantity.
func (e *engine) means(c *candidate, q *schema.Quantity) bool {
	factor, offset := scaleOf(q.Unit)
	lo, hi := (q.Low.Float64()+offset)*factor, (q.High.Float64()+offset)*factor
	return c.kind == q.Unit.Kind() && c.isRange == q.Range && prior.Near(c.si, hi) && prior.Near(c.siLo, lo)
}

// posterior returns the probabilities of the node's readings with the weights.
func (n *StudyNode) posterior(w []float64, p []float64) []float64 {
	p = p[:0]
	for i := range n.Readings {
		r := &n.Readings[i]
		p = append(p, r.Base+Traits(w).sum(r.Traits))
	}
	return feature.Softmax(p)
}

// LogLikelihood returns the logarithm of the probability of the right readings,
// of the nodes that have one, and adds its gradient.
func (s *Study) LogLikelihood(w, gradient []float64) float64 {
	total := 0.0
	var p []float64
	for i := range s.Nodes {
		n := &s.Nodes[i]
		if !n.Known || len(n.Readings) < 2 {
			continue
		}
		p = n.posterior(w, p)
		right := 0.0
		for k := range p {
			if n.Readings[k].Right {
				right += p[k]
			}
		}
		right = math.Max(right, 1e-12)
		total += math.Log(right)
		if gradient == nil {
			continue
		}
		for k := range p {
			g := -p[k]
			if n.Readings[k].Right {
				g += p[k] / right
			}
			for _, t := range n.Readings[k].Traits {
				gradient[t.row] += g * float64(t.value)
			}
		}
	}
	return total
}

// EachTrait calls see with the row of every trait of every reading.
func (s *Study) EachTrait(see func(row int32)) {
	for i := range s.Nodes {
		for k := range s.Nodes[i].Readings {
			for _, t := range s.Nodes[i].Readings[k].Traits {
				see(t.row)
			}
		}
		for _, t := range s.Nodes[i].Doubt {
			see(t.row)
		}
	}
}

// DoubtLikelihood is LogLikelihood for the doubt in the likeliest readings.
func (s *Study) DoubtLikelihood(w, gradient []float64) float64 {
	total := 0.0
	for i := range s.Nodes {
		n := &s.Nodes[i]
		if n.Best < 0 {
			continue
		}
		u := n.unlisted(w)
		slope := -u // of the likelihood by the sum of the weights
		if n.Readings[n.Best].Right {
			total += math.Log(math.Max(1e-12, n.BestP*(1-u)))
		} else {
			wrong := math.Max(1e-12, 1-n.BestP*(1-u))
			total += math.Log(wrong)
			slope = n.BestP * u * (1 - u) / wrong
		}
		if gradient == nil {
			continue
		}
		for _, t := range n.Doubt {
			gradient[t.row] += slope * float64(t.value)
		}
	}
	return total
}

func (n *StudyNode) unlisted(w []float64) float64 {
	return 1 / (1 + math.Exp(-n.Off-Traits(w).sum(n.Doubt)))
}

// Wrong is the probability that the node's likeliest reading is wrong.
func (n *StudyNode) Wrong(w []float64) float64 { return 1 - n.BestP*(1-n.unlisted(w)) }

// Only returns the study with the traits that have a number, by that; what others add
// with the weights w is counted in.
func (s *Study) Only(number []int32, w Traits) *Study {
	out := &Study{Nodes: slices.Clone(s.Nodes)}
	keep := func(list []seenTrait) (kept []seenTrait, off float64) {
		kept = make([]seenTrait, 0, len(list))
		for _, t := range list {
			if k := number[t.row]; k >= 0 {
				kept = append(kept, seenTrait{k, t.value})
			} else {
				off += w[t.row] * float64(t.value)
			}
		}
		return slices.Clip(kept), off
	}
	for i := range out.Nodes {
		n := &out.Nodes[i]
		n.Readings = slices.Clone(n.Readings)
		for k := range n.Readings {
			r, off := &n.Readings[k], 0.0
			r.Traits, off = keep(r.Traits)
			r.Base += off
		}
		n.Doubt, n.Off = keep(n.Doubt)
	}
	return out
}

// IsDoubt reports whether a trait is one of the doubt.
func IsDoubt(name string) bool { return strings.HasPrefix(name, "doubt.") }

// Start is the weight of a trait before anything is learned: one value in a
// hundred has suffered what no distortion knows, three where there is no
// punctuation, six where nothing but its usual size speaks for a reading or it may
// be the tail of a longer number (common practice, no source). Readings count as
// they are scored.
func Start(row int32) float64 {
	switch captions, odd := loadFamilies().list[doubtCaptions].base, loadFamilies().list[doubtOdd].base; row {
	case captions:
		return -4.6
	case captions + 1:
		return -3.5
	case odd, odd + 1:
		return 1.9
	}
	return 0
}
