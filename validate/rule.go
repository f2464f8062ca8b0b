package validate

import (
	"sync"

	"saywatt/schema"
	"saywatt/validate/standard"
)

// Rule is one thing that standards, physics or the trade say about the values
// of a record.
type Rule struct {
	// Name is lower case with hyphens, in our own words: "level-power".
	Name string
	// Doc says in one line what holds.
	Doc string
	// Detail says the rest: why, exceptions, what it cannot see.
	Detail string
	// Source is the standard and clause, or "common practice, no source".
	// References to papers of ours beside them say where it was read; they
	// are not shown (schema.PlainSource).
	Source string
	// Standing says how far Source was verified.
	Standing standard.Standing
	// Severity is the gravest that the rule raises.
	Severity schema.Severity
	// Relates lists the kinds of place it looks at: "level.voltage".
	Relates []string

	// Find yields the rule's cases in a record, in record order, until yield
	// returns false. It goes by structure only and leaves every judgement of a
	// number to Test. Judge may read the yielded Case for as long as the
	// record lives.
	Find func(r *schema.Record, yield func(Case) bool)
	// Test judges one case with q[i] assumed for c.Args[i]. It leaves LogRatio
	// to Judge, and must neither allocate nor keep its arguments.
	Test func(c *Case, q []schema.Quantity) Judgement
	// Explain makes the sentence of a finding: the fact and the bound, with
	// the numbers of both sides.
	Explain func(c *Case, q []schema.Quantity, j Judgement) string
	// Propose gives a quantity for c.Args[0] that would keep the rule; nil, or
	// false, where there is none.
	Propose func(c *Case, q []schema.Quantity, j Judgement) (schema.Quantity, bool)

	// Loose says what a finding rests on that no value says, where the values
	// of the case may well be said of different things; the finding is a note
	// then. nil, or "", where they belong together for sure.
	Loose func(r *schema.Record, c *Case, q []schema.Quantity, j Judgement) string

	once   sync.Once
	weight weight
}

// resting sets what findings of the rule rest on.
func (r *Rule) resting(on looseTest) *Rule {
	r.Loose = on
	return r
}

// Verdict is the outcome of judging a case.
type Verdict uint8

// The verdicts.
const (
	VerdictNone   Verdict = iota // the rule has nothing to say of these numbers
	VerdictFits                  // they keep it
	VerdictOdd                   // lawful or possible, but unusual
	VerdictBreaks                // they break it
)

var verdictNames = [...]string{"none", "fits", "odd", "breaks"}

func (v Verdict) String() string {
	if int(v) < len(verdictNames) {
		return verdictNames[v]
	}
	return "?"
}

// Judgement is what a rule makes of the numbers of one case.
type Judgement struct {
	Verdict Verdict
	// LogRatio is ln P(values | they belong together) − ln P(values | one of
	// them is something else), in nats: positive supports, negative speaks
	// against. Judge sets it, within [minLogRatio, maxLogRatio].
	LogRatio float64
	// Excess grades a breach: how far the bound is missed, as the natural
	// logarithm of the ratio, 0 where that has no meaning.
	Excess float64
	// Chance, where above 0, replaces the rule's chance that unrelated values
	// keep it: an equality knows it better from its tolerance. 1 makes keeping
	// the rule worth nothing.
	Chance float64
	// Severity of the finding; zero means the rule's own for VerdictBreaks and
	// at most a warning for VerdictOdd.
	Severity schema.Severity
	// Cause distinguishes what a rule can object to; its meaning is the rule's.
	Cause int
	// Got and Limit are the numbers that Explain prints, in SI units.
	Got, Limit float64
	// Args are the arguments that a finding is about, as bits; 0 means all.
	Args uint64
	// Source and Standing, where set, replace the rule's: rows of one table
	// may rest on different ground.
	Source   string
	Standing standard.Standing
}

// The four plain judgements.
var none = Judgement{}

func fits() Judgement { return Judgement{Verdict: VerdictFits} }

func odd(cause int, got, limit float64) Judgement {
	return Judgement{Verdict: VerdictOdd, Cause: cause, Got: got, Limit: limit}
}

func breaks(cause int, got, limit float64) Judgement {
	return Judgement{Verdict: VerdictBreaks, Cause: cause, Got: got, Limit: limit, Excess: apart(got, limit)}
}

// at lowers or sets the severity of a judgement.
func (j Judgement) at(s schema.Severity) Judgement {
	j.Severity = s
	return j
}

// on sets the ground that a judgement rests on, where it is not the rule's.
func (j Judgement) on(source string, s standard.Standing) Judgement {
	j.Source, j.Standing = source, s
	return j
}

// of names the arguments that a finding is about, where a case has many and
// only some of them matter.
func (j Judgement) of(args ...int) Judgement {
	for _, i := range args {
		j.Args |= 1 << i
	}
	return j
}

// about reports whether a finding is about argument i.
func (j Judgement) about(i int) bool { return j.Args == 0 || j.Args>>i&1 == 1 }

// The bounds of the evidence that one rule may give, in nats. No rule is so
// sure that a person could not outweigh it.
const (
	minLogRatio = -12
	maxLogRatio = 8
)

// Judge tests one case with q[i] assumed for c.Args[i] and weighs the outcome.
func (r *Rule) Judge(c *Case, q []schema.Quantity) Judgement {
	j := r.Test(c, q)
	if j.Verdict == VerdictNone {
		return j
	}
	r.once.Do(func() { r.weight = weightOf(r.Name) })
	w := &r.weight
	kept, broken := w.kept, w.broken
	if j.Chance > 0 {
		if j.Verdict == VerdictFits {
			kept = w.keeping(j.Chance)
		} else {
			broken = w.breaking(j.Chance)
		}
	}
	switch j.Verdict {
	case VerdictFits:
		j.LogRatio = kept
	case VerdictOdd:
		j.LogRatio = broken / 2
	case VerdictBreaks:
		j.LogRatio = broken - j.Excess
	}
	j.LogRatio = min(max(j.LogRatio, minLogRatio), maxLogRatio)
	return j
}

// severity is that of the finding that a judgement of r becomes.
func (r *Rule) severity(j Judgement) schema.Severity {
	s := j.Severity
	if s == schema.SeverityUnknown {
		s = r.Severity
		if j.Verdict == VerdictOdd {
			s = min(s, schema.SeverityWarning)
		}
	}
	return min(s, r.Severity, r.standing(j).Gravest())
}

func (r *Rule) standing(j Judgement) standard.Standing {
	if j.Standing != standard.Unknown {
		return j.Standing
	}
	return r.Standing
}

func (r *Rule) source(j Judgement) string {
	if j.Source != "" {
		return j.Source
	}
	return r.Source
}
