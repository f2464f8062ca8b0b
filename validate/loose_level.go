package validate

import (
	"math"
	"slices"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// looseContract: a reading far from the contract, or said long after it, is one of
// another contract, of a programmable voltage, or where something cut off; and other
// sockets than those of USB PD have other tolerances.
func looseContract(r *schema.Record, c *Case, q []schema.Quantity, j Judgement) string {
	if apart(j.Got, j.Limit) > math.Log(contractFar().High) || !together(c.Args[0].Value, c.Args[1].Value) {
		return onContract
	}
	for i := range r.Measurements {
		m := &r.Measurements[i]
		if &m.Value != c.Args[0].Value {
			continue
		}
		p := place.ProtocolOf(m.Condition.Protocol)
		if p == place.PD || p == place.NoProtocol && place.SocketOf(m.Condition.Port) == place.SocketC {
			return ""
		}
	}
	return onContract
}

var contractFar = standard.Bound("contract.far")

// looseQi: without a profile the mode may be a vendor's.
func looseQi(_ *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	if qi().profile(place.ProtocolOf(c.Extra.(*schema.Claim).Protocol)) == nil {
		return onProtocol
	}
	return ""
}

// looseShared: of a list of powers said of a port, any may be the one alone.
func looseShared(r *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	alone := 0
	for i := range r.Claims {
		d := &r.Claims[i]
		if _, f := claimMode(d.Mode); isPower(d) && d.Port == c.Claim.Port && f == place.Output {
			alone++
		}
	}
	if alone > 1 {
		return onSameThing
	}
	return ""
}

// looseCeiling: a claim that sums up its level was said right behind it, where the
// level has no power of its own; another one near by may be of something else, unless the two are so far apart that a
// point was lost. What an input is claimed to take is that of one of its levels.
func looseCeiling(r *schema.Record, c *Case, _ []schema.Quantity, j Judgement) string {
	level, claim := c.Args[:2], c.Args[2].Value
	if place.IsInput(c.Level.Mode) || claimedBefore(r, c.Level, claim, j.Got) {
		return onSameThing
	}
	for i := range level {
		if c.Level.Power == nil && behind(level[i].Value, claim) {
			return ""
		}
	}
	if onlyClaim(r, claim) {
		return ""
	}
	if apart(j.Got, j.Limit) > math.Log(lostPoint().High) &&
		(together(level[0].Value, claim) || together(level[1].Value, claim)) {
		return ""
	}
	return onSameThing
}

// claimedBefore reports whether a level, or its port, was said with as much power
// as the level makes: a smaller claim for that port is of another state then, or
// of its input.
func claimedBefore(r *schema.Record, l *schema.Level, claim *schema.Value, watts float64) bool {
	for k := range r.Claims {
		c := &r.Claims[k]
		w, ok := one(&c.Value.Quantity, schema.KindPower)
		if ok && isPower(c) && &c.Value != claim && l.Port != "" && c.Port == l.Port && w*sums().share >= watts {
			return true
		}
	}
	return false
}

// lostPoint is the factor that only a lost point or prefix explains: ten, and the
// strongest level may give less than the claim.
var lostPoint = standard.Bound("point.lost")

// behind reports whether b was said right behind a, or both were written.
func behind(a, b *schema.Value) bool {
	if len(a.Said) == 0 || len(b.Said) == 0 {
		return true
	}
	d := slices.Min(b.Said) - slices.Max(a.Said)
	return d > 0 && d < int(breath().High)
}

// looseLevel: a power that a level makes was not misheard; then the level's port is
// no USB port.
func looseLevel(r *schema.Record, _ *Case, q []schema.Quantity, _ Judgement) string {
	w, _ := one(&q[0], schema.KindPower)
	for i := range r.Levels {
		l := &r.Levels[i]
		if l.Current == nil {
			continue
		}
		v, ok1 := one(&l.Voltage.Quantity, schema.KindVoltage)
		a, ok2 := one(&l.Current.Quantity, schema.KindCurrent)
		if ok1 && ok2 && math.Abs(v*a-w) <= limits().labelVolt*v+limits().labelPower*w+roundingOf(&q[0]) {
			return onPort
		}
	}
	return ""
}

// looseRow: of powers said in a row for ports joined the last may be their sum, the
// first unheard.
func looseRow(_ *schema.Record, c *Case, q []schema.Quantity, _ Judgement) string {
	if row, ok := c.Extra.(bool); !ok || !row {
		return ""
	}
	sum, last := 0.0, 0.0
	for i := range q[1:] {
		sum, last = sum+last, q[1+i].SI()
	}
	if last >= sum {
		return onSum
	}
	return ""
}
