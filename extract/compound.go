package extract

import (
	"fmt"
	"strconv"

	"saywatt/schema"
)

// compound is a row of compounds.tsv.
type compound struct {
	large, small schema.Unit
	factor       int64
	joined       bool
}

func (x *Lexicon) loadCompounds() error {
	t, err := schema.ReadTable(tables, "tables/compounds.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		n, err := strconv.ParseInt(r.Get("factor"), 10, 64)
		if err != nil || n < 2 {
			return fmt.Errorf("compounds.tsv:%d: factor %q", r.Line, r.Get("factor"))
		}
		c := compound{large: schema.Unit(r.Get("large")), small: schema.Unit(r.Get("small")), factor: n}
		switch joined := r.Get("joined"); joined {
		case "yes":
			c.joined = true
		case "no":
		default:
			return fmt.Errorf("compounds.tsv:%d: joined %q", r.Line, joined)
		}
		x.compounds = append(x.compounds, c)
	}
	return nil
}

// compound marks m as the second part of one value with the mention before: "2
// hours 25 minutes". Behind a comma it is only where the sentence ends with it:
// in "after 2 hours, 25 minutes later" they are two.
func (p *parser) compound(dst []Mention, m *Mention) {
	if len(dst) == 0 || m.From != UnitOwn || m.Range || m.Withdrawn {
		return
	}
	f := &dst[len(dst)-1]
	switch m.Joint {
	case JointSpace:
	case JointAnd:
		if f.Joint == JointComma {
			return // "4 hours, 2 hours and 30 minutes" are a list
		}
	case JointComma:
		if f.Joint == JointComma || !p.sentenceEnds(int(m.Last)) {
			return
		}
	default:
		return
	}
	if f.From != UnitOwn || f.Range || f.Withdrawn || f.Low.Exp < 0 || f.Low.Coef > 1e6 {
		return
	}
	for _, c := range p.x.compounds {
		if c.joined && f.Unit.Unit == c.large && m.Unit.Unit == c.small {
			m.Compound = m.Low.Float() < float64(c.factor) && m.Low.Coef > 0
			return
		}
	}
}

// sentenceEnds reports whether nothing of the sentence stands at token i.
func (p *parser) sentenceEnds(i int) bool {
	i = p.skipBreak(i)
	if i >= len(p.tokens) || p.tokens[i].Kind == TokenPara {
		return true
	}
	c, _ := p.at(i)
	return c == classStop
}

// Compound is the one value of two parts, in the unit of the second: 145 min of
// 2 h and 25 min. It reports false where the two are none.
func (x *Lexicon) Compound(large, small schema.Quantity) (schema.Quantity, bool) {
	for _, c := range x.compounds {
		if !c.joined || large.Unit != c.large || small.Unit != c.small || large.Range || small.Range ||
			small.Low.Cmp(schema.NewDecimal(c.factor, 0)) >= 0 {
			continue
		}
		a := large.Low.Mul(schema.NewDecimal(c.factor, 0))
		sum := a.Add(small.Low)
		return schema.Quantity{Low: sum, High: sum, Unit: c.small}, true
	}
	return schema.Quantity{}, false
}

// Smaller is the unit that is left out behind a whole number of a larger one, and how
// many of it make one of the larger; "" where none is.
func (x *Lexicon) Smaller(large schema.Unit) (small schema.Unit, factor int64) {
	for _, c := range x.compounds {
		if c.large == large {
			return c.small, c.factor
		}
	}
	return "", 0
}
