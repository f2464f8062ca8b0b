package validate

import (
	"math"
	"slices"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// within judges an equality: got may miss want by slack.
func within(got, want, slack float64) Judgement {
	if math.Abs(got-want) > slack {
		return breaks(0, got, want)
	}
	j := fits()
	j.Chance = chanceWithin(want, slack)
	return j
}

// Causes of a window.
const (
	causeBelow = iota
	causeAbove
)

// window judges whether x lies in low..high, both positive. What was misheard
// may as well be anything in a stretch wider than the window by the span of
// three decades (evidence.span); the window's share of that is the chance.
func window(x, low, high float64) Judgement {
	switch {
	case x < low:
		return breaks(causeBelow, x, low)
	case x > high:
		return breaks(causeAbove, x, high)
	}
	j := fits()
	j.Chance = chanceInWindow(low, high)
	return j
}

func chanceInWindow(low, high float64) float64 {
	w := apart(high, low)
	return max(w/(w+limits().span), leastChance)
}

// leastChance keeps a window of one point from proving anything.
const leastChance = 0.01

// aside turns a breach of a usual bound into something merely unusual.
func (j Judgement) aside() Judgement {
	if j.Verdict == VerdictBreaks {
		j.Verdict = VerdictOdd
	}
	return j
}

// beyond words a window's outcome: "above the 150 °C …".
func beyond(j Judgement, unit schema.Unit) string {
	if j.Cause == causeBelow {
		return "below the " + amount(j.Limit, unit)
	}
	return "above the " + amount(j.Limit, unit)
}

// ratingArg is the value of a rating with its place.
func ratingArg(r *schema.Record, component, i int) Arg {
	return arg(&r.Components[component].Ratings[i].Value, place.Rating(component, i))
}

// ratingNamed returns the first rating of a property, -1 if there is none.
func ratingNamed(c *schema.Component, property string) int {
	return slices.IndexFunc(c.Ratings, func(r schema.Rating) bool { return r.Property == property })
}

// partLabel opens a sentence about a part: "main bulk capacitor".
func partLabel(c *schema.Component) string { return place.Label(c.Board, c.Kind, c.Part) }

// outputVoltages are the voltages of all output levels.
func outputVoltages(r *schema.Record) []Arg {
	args := make([]Arg, 0, len(r.Levels))
	for i := range r.Levels {
		if _, f := place.ModeOf(r.Levels[i].Mode); f == place.Output || f == place.Shared {
			args = append(args, arg(&r.Levels[i].Voltage, place.Level(i, "voltage")))
		}
	}
	return args
}

// mainsVoltages are the voltages of all mains inputs.
func mainsVoltages(r *schema.Record) []Arg {
	var args []Arg
	for i := range r.Levels {
		l := &r.Levels[i]
		if _, f := place.ModeOf(l.Mode); f != place.Input {
			continue
		}
		if s := place.SocketOf(l.Port); s == place.SocketMains ||
			s == place.SocketUnknown && (place.ProtocolOf(l.Protocol) == place.AC || l.Protocol == "") {
			args = append(args, arg(&l.Voltage, place.Level(i, "voltage")))
		}
	}
	return args
}

// powerClaims are the powers claimed for outputs.
func powerClaims(r *schema.Record) []Arg {
	args := make([]Arg, 0, len(r.Claims))
	for i := range r.Claims {
		c := &r.Claims[i]
		if _, f := place.ModeOf(c.Mode); c.Property == "power" && f != place.Input {
			args = append(args, arg(&c.Value, place.Claim(i)))
		}
	}
	return args
}

// highest is the highest of the values of one kind and its index, -1 where
// none has a value above zero.
func highest(q []schema.Quantity, k schema.Kind) (at int, top float64) {
	at = -1
	for i := range q {
		if _, high, is := in(&q[i], k); is && high > top {
			at, top = i, high
		}
	}
	return at, top
}

// joined puts one main argument before the others.
func joined(main Arg, others []Arg) []Arg {
	args := make([]Arg, 1, 1+len(others))
	args[0] = main
	return append(args, others...)
}

// unsaid is the argument of a case about structure that is no quantity, such
// as a package or a count.
func unsaid(p place.Path) Arg { return Arg{Path: p, Value: &schema.Value{}} }

// on sets the row as the ground of a judgement.
func on(l standard.Limit, j Judgement) Judgement { return j.on(l.Source, l.Standing) }

// ratingCases yields a case for each rating of one property of the given kinds
// of part, in record order.
func ratingCases(r *schema.Record, yield func(Case) bool, property string, kinds ...string) {
	for i, j := range place.Ratings(r, property, kinds...) {
		if !yield(Case{Label: partLabel(&r.Components[i]), Args: []Arg{ratingArg(r, i, j)}}) {
			return
		}
	}
}
