package normalize

import (
	"fmt"
	"slices"

	"saywatt/extract"
	"saywatt/schema"
)

// An OddAnswer is a decision that stands and may be a slip: volts, where amperes
// were heard and no reading has another unit; or the name of a part, of which the words
// are those of a quantity (Kind is unknown then).
type OddAnswer struct {
	Answer Answer
	Heard  string
	Kind   schema.Kind // of what was heard
}

func (o *OddAnswer) Error() string {
	from := ""
	if o.Answer.From != "" {
		from = o.Answer.From + ": "
	}
	if o.Answer.Name != nil {
		return fmt.Sprintf("%s%q begins with a number and its unit, and the answer names a part; it is taken as it "+
			"stands, and no quantity is left of it", from, o.Heard)
	}
	return fmt.Sprintf(`%s%q is of the kind %s, and the answer %s of the kind %s; it is taken as it stands: `+
		`"sure":true beside it says that it is meant`, from, o.Heard, o.Kind.Words(), o.Answer.Quantity,
		o.Answer.Quantity.Unit.Kind().Words())
}

// oddNames hands on the answers that name a part by words which begin with a number
// and its unit.
func oddNames(d *extract.Document, answers []Answer, report func(*OddAnswer)) {
	for i := range answers {
		a := &answers[i]
		if a.Name == nil || a.Name.Of != schema.TermPart.String() || a.Name.Meant == "" {
			continue
		}
		k := slices.IndexFunc(d.Terms, func(t extract.Term) bool {
			return t.Kind == schema.TermPart && t.Ground == extract.GroundSettled && t.Meant == a.Name.Meant &&
				slices.ContainsFunc(d.Mentions, func(m extract.Mention) bool {
					return m.First == t.First && m.Not == extract.NotCode && m.Last > m.NumEnd
				})
		})
		if k >= 0 {
			report(&OddAnswer{Answer: *a, Heard: d.Words(d.Terms[k].First, d.Terms[k].Last)})
		}
	}
}

// odd says whether an answer to a node, read as the candidate as, is of another
// kind than what was heard, and none of its readings; nil where it is not, or where
// its author is sure. like is the reading whose words are shown.
func (e *engine) odd(n *node, a *Answer, like, as *candidate) *OddAnswer {
	if a.Quantity == nil || a.Sure {
		return nil
	}
	kind, heard := a.Quantity.Unit.Kind(), schema.KindUnknown
	if m := e.mention(n.last - 1); m.HasUnit() {
		heard = m.Unit.Unit.Kind()
	}
	best := like
	for k := n.from; k < n.to; k++ {
		c := &e.cands[k]
		if c.nothing {
			continue
		}
		if heard == schema.KindUnknown && c.kind.Convertible(kind) || sameQuantity(c, as) {
			return nil
		}
		if best.nothing || c.score > best.score {
			best = c
		}
	}
	if heard == schema.KindUnknown {
		heard = best.kind
	}
	if best.nothing || heard.Convertible(kind) {
		return nil
	}
	return &OddAnswer{Answer: *a, Heard: e.heardAs(n, like), Kind: heard}
}
