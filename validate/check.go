package validate

import (
	"cmp"
	"slices"

	"saywatt/schema"
	"saywatt/validate/standard"
)

// Check runs the suite over a record and returns what it has to say, grave
// first; findings of one severity stand in the order in which their
// quantities were said, then by rule and place. It does not look at
// r.Findings and changes nothing. A finding that rests on an open value is a
// note at most and says which value is uncertain; what only follows from
// another finding is left out (doubt.go has both).
func Check(r *schema.Record) []schema.Finding { return CheckWith(Rules(), r) }

// CheckWith is Check with other rules.
func CheckWith(rules []*Rule, r *schema.Record) []schema.Finding {
	found := make([]reported, 0, 16)
	var q []schema.Quantity
	var c Case
	plain := map[string]string{} // sources as people read them
	given := r
	r = withMains(given)
	for _, rule := range rules {
		left := mostCases(r)
		rule.Find(r, func(next Case) bool {
			c = next
			q = q[:0]
			for _, a := range c.Args {
				q = append(q, a.Value.Quantity)
			}
			if j := rule.Judge(&c, q); j.Verdict >= VerdictOdd {
				f := rule.finding(r, &c, q, j, plain)
				if r != given { // what was supposed has no place
					f.Paths = slices.DeleteFunc(f.Paths, func(p string) bool { return p == supposedPath(given) })
				}
				found = append(found, f)
			}
			left -= 1 + len(c.Args)/manyArgs
			return left > 0
		})
	}
	slices.SortStableFunc(found, func(a, b reported) int { return compare(a.Finding, b.Finding) })
	return once(found)
}

// finding turns a judgement into what people read.
func (r *Rule) finding(rec *schema.Record, c *Case, q []schema.Quantity, j Judgement,
	plain map[string]string) reported {
	source, ok := plain[r.source(j)]
	if !ok {
		source = schema.PlainSource(r.source(j))
		plain[r.source(j)] = source
	}
	f := schema.Finding{
		Rule:     r.Name,
		Severity: r.severity(j),
		Message:  r.Explain(c, q, j),
		Source:   source,
		Standing: r.standing(j).String(),
	}
	if l := c.label(); l != "" {
		f.Message = l + ": " + f.Message
	}
	if r.standing(j) == standard.Unverified {
		f.Message += " (unverified)"
	}
	for i, a := range c.Args {
		if !j.about(i) {
			continue
		}
		f.Paths = append(f.Paths, a.Path.String())
		for _, n := range a.Value.Said {
			if len(f.Said) == mostSaid {
				break
			}
			if slices.Contains(f.Said, n) {
				continue
			}
			f.Said = append(f.Said, n)
			if s := rec.Quantity(n); s != nil && s.At != nil && !slices.Contains(f.At, *s.At) {
				f.At = append(f.At, *s.At)
			}
		}
	}
	if r.Propose != nil {
		if p, ok := r.Propose(c, q, j); ok {
			f.Proposal = &p
		}
	}
	t := reported{alone: len(f.Said) == 1 && f.Severity > schema.SeverityNote}
	if words, open := doubtful(rec, c, j); words != nil {
		f.Severity = schema.SeverityNote
		f.Message += uncertainty(words)
		t.open = open
	} else if words, numbers := misplaced(rec, c, j); words != nil && f.Severity > schema.SeverityNote {
		f.Severity = schema.SeverityNote
		f.Message += whereBelongs(words)
		t.open = numbers
	}
	if r.Loose != nil && f.Severity > schema.SeverityNote {
		if on := r.Loose(rec, c, q, j); on != "" {
			f.Severity = schema.SeverityNote
			f.Message += uncertainty([]string{on})
		}
	}
	t.Finding = f
	return t
}

// compare is the total order of findings: grave first, then what was said
// first, then by rule, main place and message.
func compare(a, b schema.Finding) int {
	return cmp.Or(
		cmp.Compare(b.Severity, a.Severity),
		cmp.Compare(firstSaid(a), firstSaid(b)),
		cmp.Compare(a.Rule, b.Rule),
		slices.Compare(a.Paths, b.Paths),
		cmp.Compare(a.Message, b.Message),
	)
}

// firstSaid is the lowest number of a finding's quantities. Findings that rest
// on nothing said come last.
func firstSaid(f schema.Finding) int {
	if len(f.Said) == 0 {
		return int(^uint(0) >> 1)
	}
	return slices.Min(f.Said)
}
