package extract

import (
	"fmt"
	"strconv"

	"saywatt/schema"
)

// compound is a row of compounds.tsv: so many of the small unit make one of the
// large.
type compound struct {
	large, small schema.Unit
	times        int64
	alone        bool // the small unit may be left out
}

func (x *Lexicon) loadCompounds() error {
	t, err := schema.ReadTable(tables, "tables/compounds.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		c := compound{large: schema.Unit(r.Get("large")), small: schema.Unit(r.Get("small")), alone: r.Get("alone") == "yes"}
		if c.times, err = strconv.ParseInt(r.Get("times"), 10, 64); err != nil || c.times < 2 {
			return fmt.Errorf("compounds.tsv:%d: times %q", r.Line, r.Get("times"))
		}
		if !inTable(c.large) || !inTable(c.small) {
			return fmt.Errorf("compounds.tsv:%d: a unit is not known", r.Line)
		}
		x.compounds = append(x.compounds, c)
	}
	return nil
}

// smallBehind adds what is said in the smaller unit behind a whole number of the
// larger: "2 hours 25 minutes", "one hour and 48". All is then in the smaller.
func (p *parser) smallBehind(m *Mention) bool {
	if m.Range || m.Low.Exp != 0 || m.Low.Big != nil || m.Low.Coef > maxSmall || m.Unit.Manner == MannerHeard {
		return false
	}
	for k := range p.x.compounds {
		if c := &p.x.compounds[k]; c.large == m.Unit.Unit {
			return p.addSmall(m, c)
		}
	}
	return false
}

// maxSmall bounds the number of the larger unit, so that the sum is exact.
const maxSmall = 1_000_000

func (p *parser) addSmall(m *Mention, c *compound) bool {
	j := p.skipBreak(int(m.Last))
	and := p.isAnd(j)
	if and {
		j = p.skipBreak(j + 1)
	}
	n, ok := p.number(j)
	if !ok || n.num.Exp != 0 || n.num.Big != nil || n.num.Coef < 0 || n.num.Coef >= c.times {
		return false
	}
	last := int32(n.end)
	switch u, ok := p.unitBehind(n.end, &Mention{First: int32(j), NumEnd: int32(n.end), Low: n.num, High: n.num}); {
	case ok && u.Unit == c.small && u.Manner != MannerHeard:
		m.Unit, last = u, u.End
	case ok || !c.alone || and || n.num.Coef < 10 || !p.clauseEnds(n.end):
		return false
	default:
		m.Unit.Unit = c.small
	}
	sum := Num{Coef: m.Low.Coef*c.times + n.num.Coef}
	m.Low, m.High, m.Last, m.Style = sum, sum, last, StyleExact
	return true
}

// clauseEnds reports whether nothing stands at token i that a number before it
// could count: no word, or one that opens another part of the sentence.
func (p *parser) clauseEnds(i int) bool {
	if p.ends(i) {
		return true
	}
	w := p.tokens[p.skipBreak(i)].Word
	return int(w) < len(p.x.function) && p.x.function[w]
}

func inTable(u schema.Unit) bool {
	_, ok := u.Info()
	return ok
}
