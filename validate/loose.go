package validate

import (
	"math"
	"slices"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// A rule joins values by where they were put: a claim of a port with the levels
// of that port. Speakers also name other things on the way, a phone, last
// week's charger, what the socket had, and these may have been put there with
// good reason. Rule.Loose speaks of a case whose values may well be said of
// different things; its finding is a note, which says so. The reading engine
// does not ask: what is likely is evidence to it.

// Words for what a finding rests on.
const (
	onSameThing = "whether both are said of one thing"
	onWhole     = "whether that is the power of the whole product"
	onInput     = "from which input it was charged, and how far"
	onDirection = "whether the energy went in or came out"
	onCount     = "the number of cells"
	onShare     = "what the share is of"
	onMains     = "whether it is the mains"
	onProtocol  = "the protocol"
	onPlug      = "whether it is the cable's or the plug's"
	onDrop      = "whether it is a rating or a voltage lost"
	onContract  = "at which contract it was measured"
	onInUse     = "whether that cable is used for this level"
	onFull      = "whether the pack was full"
	onProtects  = "whether it is the limit of charging or of the protection"
	onAC        = "whether the rating is of alternating voltage"
	onBodySize  = "whether it is a size of the body"
	onKind      = "what kind of part it is"
	onHeat      = "whether it is a reading of the product"
	onList      = "whether all are of one port and mode"
	onPort      = "whether it is a USB port"
	onBankAlone = "whether the product is a power bank and no more"
	onMainsSide = "whether the part is on the side of the mains"
	onWay       = "whether that is out and back or one way"
	onData      = "whether it only charges, or moves data too"
	onMass      = "which mass is that of the product"
	onStage     = "behind which stage the part is"
	onStaged    = "whether there is such a stage"
	onSum       = "whether the last is the sum of the others"
	onClock     = "whether it is the clock of a processor"
	onNow       = "whether it is the nominal voltage, or that of the moment"
	onCarries   = "whether it carries its rated current for good, as fuses of UL 248-14 do"
	onListed    = "whether it is a fuse of that standard"
	onSide      = "whether that is the load or what it is fed with"
)

// breath is within how many quantities two are said in one breath: volts, amperes and
// watts of one line.
var breath = standard.Bound("breath.quantities")

// together reports whether two values were said in one breath, or were not said
// but written.
func together(a, b *schema.Value) bool {
	if len(a.Said) == 0 || len(b.Said) == 0 {
		return true
	}
	few, many := a.Said, b.Said
	if len(few) > len(many) {
		few, many = many, few
	}
	reach := int(breath().High)
	for _, n := range few[:min(len(few), place.MostLooked)] { // the numbers rise
		if k, _ := slices.BinarySearch(many, n-reach); k < len(many) && many[k] <= n+reach {
			return true
		}
	}
	return false
}

// looseClaim is for a level, in the first arguments, and a claim, the last.
func looseClaim(r *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	claim := c.Args[len(c.Args)-1].Value
	for i := range c.Args[:len(c.Args)-1] {
		if together(c.Args[i].Value, claim) {
			return ""
		}
	}
	if onlyClaim(r, claim) {
		return ""
	}
	return onSameThing
}

// onlyClaim reports whether a power is the only one that the record claims, of a
// product with one port: its levels are of nothing else.
func onlyClaim(r *schema.Record, claim *schema.Value) bool {
	if len(r.Ports) != 1 {
		return false
	}
	for i := range r.Claims {
		if c := &r.Claims[i]; isPower(c) && !c.Value.Quantity.Same(claim.Quantity) {
			return false
		}
	}
	for i := range r.Quantities { // another product was spoken of
		if q := &r.Quantities[i]; q.Aside != schema.AsideNone {
			return false
		}
	}
	return true
}

// looseHeadline is for a claim and its levels.
func looseHeadline(_ *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	if c.Claim.Port == "" {
		return onSameThing
	}
	for i := 1; i < len(c.Args); i++ {
		if together(c.Args[0].Value, c.Args[i].Value) {
			return ""
		}
	}
	return onSameThing
}

// looseTotal is for a case with the power of the whole in argument i: speakers
// begin with it.
func looseTotal(i int) looseTest {
	return func(r *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
		whole := c.Args[i].Value
		if len(whole.Said) == 0 {
			return ""
		}
		first := slices.Min(whole.Said)
		for k := range r.Claims {
			if d := &r.Claims[k]; isPower(d) && len(d.Value.Said) > 0 && slices.Min(d.Value.Said) < first {
				return onWhole
			}
		}
		return ""
	}
}

type looseTest = func(r *schema.Record, c *Case, q []schema.Quantity, j Judgement) string

// rests always rests on something that no value says.
func rests(on string) looseTest {
	return func(*schema.Record, *Case, []schema.Quantity, Judgement) string { return on }
}

// looseCause rests on something for some causes of the rule.
func looseCause(on string, causes ...int) looseTest {
	return func(_ *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
		if slices.Contains(causes, j.Cause) {
			return on
		}
		return ""
	}
}

// looseApart rests on something unless all values were said in one breath, each
// with the next.
func looseApart(on string) looseTest {
	return func(_ *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
		for i := 1; i < len(c.Args); i++ {
			if !together(c.Args[i-1].Value, c.Args[i].Value) {
				return on
			}
		}
		return ""
	}
}

// loosePresumed is for rules on USB PD: a level whose protocol was not said may be
// of another.
func loosePresumed(_ *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	l, ok := c.Extra.(*schema.Level)
	if !ok {
		l = c.Level
	}
	if l != nil && l.Protocol == "" {
		return onProtocol
	}
	return ""
}

// either is loose where one of several is.
func either(tests ...looseTest) looseTest {
	return func(r *schema.Record, c *Case, q []schema.Quantity, j Judgement) string {
		for _, t := range tests {
			if why := t(r, c, q, j); why != "" {
				return why
			}
		}
		return ""
	}
}

// looseBeyond rests on something where the number found is further from its limit
// than a factor: then it is something else.
func looseBeyond(on string, factor float64) looseTest {
	return func(_ *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
		if d := apart(j.Got, j.Limit); d > math.Log(factor) {
			return on
		}
		return ""
	}
}

// looseWithin rests on something where the number found is within a factor of its
// limit: further off, a point or a unit was lost.
func looseWithin(on string, factor float64) looseTest {
	return func(_ *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
		if apart(j.Got, j.Limit) <= math.Log(factor) {
			return on
		}
		return ""
	}
}

// both is loose where all of several are.
func both(tests ...looseTest) looseTest {
	return func(r *schema.Record, c *Case, q []schema.Quantity, j Judgement) string {
		why := ""
		for _, t := range tests {
			if why = t(r, c, q, j); why == "" {
				return ""
			}
		}
		return why
	}
}
