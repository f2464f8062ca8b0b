package validate

import (
	"strings"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// rulePPSExpected knows which range goes with which power.
var rulePPSExpected = &Rule{
	Name: "pps-expected",
	Doc:  "a source that offers programmable levels has the range that its rated power goes with",
	Detail: "Up to 15 W that is 3.3–5.9 V, up to 27 W 3.3–11 V, up to 45 W 3.3–16 V, and 3.3–21 V above. Only " +
		"asked where programmable levels of the port were said: the feature is optional. The speaker may have left " +
		"the widest out, so this only notes; wider ranges than expected are lawful.",
	Source:   "USB PD R3.x §10.2.3 (handbook 2.5, R10)",
	Standing: standard.Verified,
	Severity: schema.SeverityNote,
	Relates:  []string{"claim.power", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		levels := newLevelsFor(r, statedPPS)
		for k := range r.Claims {
			c := &r.Claims[k]
			if _, f := claimMode(c.Mode); !isPower(c) || f != place.Output {
				continue
			}
			args := []Arg{arg(&c.Value, place.Claim(k))}
			levels.of(c, func(i int) bool {
				args = append(args, arg(&r.Levels[i].Voltage, place.Level(i, "voltage")))
				return true
			})
			if len(args) > 1 && !yield(Case{Claim: c, Args: args}) {
				return
			}
		}
	},
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		w, ok := one(&q[0], schema.KindPower)
		row := expectedPPS(w)
		if !ok || row == nil {
			return none
		}
		at, top := highest(q[1:], schema.KindVoltage)
		if at < 0 {
			return none
		}
		if top < row.high*(1-gridError) {
			return odd(0, top, row.high).of(0, 1+at)
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		row := expectedPPS(q[0].SI())
		return "a source of " + q[0].String() + " with programmable levels has " +
			schema.Between(toGrid(row.low, 1, "V").Low,
				toGrid(row.high, 1, "V").Low, "V").String() + ", and those given end at " + amount(j.Got, "V")
	},
}

// expectedPPS is the range of a source of x watts, nil where there is none.
func expectedPPS(x float64) *programmable {
	for i := range programmables() {
		if p := &programmables()[i]; p.kind == place.PPS && x > p.over && x <= p.upto {
			return p
		}
	}
	return nil
}

// ruleAVSExpected knows what revision 3.2 demands.
var ruleAVSExpected = &Rule{
	Name: "avs-expected",
	Doc:  "a source of USB PD 3.2 above 27 W offers standard-range AVS",
	Detail: "9–15 V up to 45 W, 9–20 V above. Asked only where the speaker names the revision 3.2 and at least " +
		"three levels of the port were said; it may have been left out, so this only notes.",
	Source:   "USB PD R3.2 (R12c; that it is demanded above 27 W is unverified)",
	Standing: standard.Unverified,
	Severity: schema.SeverityNote,
	Relates:  []string{"claim.power", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if !saysRevision(r) {
			return
		}
		levels := newLevelsFor(r, place.IsStatedPD)
		for k := range r.Claims {
			c := &r.Claims[k]
			if _, f := claimMode(c.Mode); !isPower(c) || f != place.Output {
				continue
			}
			args, adjustable := []Arg{arg(&c.Value, place.Claim(k))}, false
			levels.of(c, func(i int) bool {
				p := place.ProtocolOf(r.Levels[i].Protocol)
				adjustable = adjustable || p >= place.AVS && p <= place.AVSSPR
				args = append(args, arg(&r.Levels[i].Voltage, place.Level(i, "voltage")))
				return true
			})
			if len(args) > pd().few && !adjustable && !yield(Case{Claim: c, Args: args}) {
				return
			}
		}
	},
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		w, ok := one(&q[0], schema.KindPower)
		if !ok {
			return none
		}
		for i := range programmables() {
			if p := &programmables()[i]; p.kind == place.AVSSPR && w > p.over &&
				(w <= p.upto || p.upto >= pd().sprPower) {
				return odd(0, w, p.high).of(0)
			}
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		return "a source of " + q[0].String() + " of USB PD 3.2 offers AVS from " + amount(steps().avsLow, "V") +
			" to " +
			amount(j.Limit, "V") +
			", but none was said"
	},
}

// revisionAVS is the revision that AVS in the standard range came with.
const revisionAVS = "3.2"

// saysRevision reports whether a protocol given names that revision.
func saysRevision(r *schema.Record) bool {
	is := func(protocol string) bool {
		return place.ProtocolOf(protocol) == place.PD && strings.Contains(protocol, revisionAVS)
	}
	for i := range r.Levels {
		if is(r.Levels[i].Protocol) {
			return true
		}
	}
	for i := range r.Ports {
		for _, p := range r.Ports[i].Protocols {
			if is(p) {
				return true
			}
		}
	}
	return false
}
