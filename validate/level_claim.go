package validate

import (
	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// ruleLevelWithinClaim: a level is no stronger than its port, a port no
// stronger than it says.
var ruleLevelWithinClaim = &Rule{
	Name: "level-within-claim",
	Doc:  "no level gives more than the power claimed for its port, or for the whole product",
	Detail: "USB PD forbids a fixed object above the rated power of its port, and no product gives more through " +
		"one port than through all. A level that meets the claim speaks for both. Programmable levels are left to " +
		"pps-power: they may pass the rating at their upper end.",
	Source:   "USB PD R3.x §10.2 (handbook 2.2, R10); handbook 8.1 I05, tolerance 2.4",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"level.current", "level.voltage", "claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		levelsUnderClaims(r, place.Stated, false, yield)
	},
	Loose: looseCeiling,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, v, w, ok := three(q, schema.KindCurrent, schema.KindVoltage, schema.KindPower)
		if !ok {
			return none
		}
		tol := powerTolerance(c, q, v, w)
		if v*a > w+tol {
			return breaks(0, v*a, w)
		}
		j := fits()
		if v*a > w-tol {
			j.Chance = chanceWithin(w, tol)
		}
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[1].String() + " × " + q[0].String() + " is " + amount(j.Got, "W") + ", more than the " +
			q[2].String() + " claimed"
	},
	Propose: func(c *Case, q []schema.Quantity, j Judgement) (schema.Quantity, bool) {
		if q[1].SI() <= 0 {
			return schema.Quantity{}, false
		}
		return toGrid(j.Limit/q[1].SI(), labelDecimals, "A"), true
	},
}

// levelsUnderClaims finds current and voltage of each level that want accepts,
// with each claim that it must not exceed. Extra is the level where that is
// asked for.
func levelsUnderClaims(r *schema.Record, want func(*schema.Level) bool, extra bool, yield func(Case) bool) {
	var args stock
	claims := newClaimsOf(r)
	for i, l := range levelsOf(r, want) {
		if l.Current == nil {
			continue
		}
		c := Case{Level: l}
		if extra {
			c.Extra = l
		}
		if !claims.ceilings(l, func(k int) bool {
			c.Args = args.of(arg(l.Current, place.Level(i, "current")), arg(&l.Voltage, place.Level(i, "voltage")),
				arg(&r.Claims[k].Value, place.Claim(k)))
			return yield(c)
		}) {
			return
		}
	}
}

// ruleHeadlineReached looks from the claim to the levels.
var ruleHeadlineReached = &Rule{
	Name: "headline-reached",
	Doc:  "the strongest level of a port gives the power claimed for it",
	Detail: "A port sold with 65 W has a level of 65 W. Where none of the levels given reaches the claim, one of " +
		"them may be misheard, or the speaker left the strongest out. A programmable level reaches every power " +
		"between its rated voltage and the top of its range: a 33 W claim beside 3.3–11 V 3 A is right.",
	Source:   "P = V × I (handbook 8.1 I01); a PPS level may pass its rating: USB PD R3.x §10.2.3 (handbook 2.5, R49)",
	Standing: standard.Computed,
	Severity: schema.SeverityWarning,
	Relates:  []string{"claim.power", "level.current", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		var all []Arg // of all cases, one after the other
		levels := newLevelsFor(r, func(l *schema.Level) bool { return l.Current != nil && place.Stated(l) })
		for k := range r.Claims {
			c := &r.Claims[k]
			from := len(all)
			all = append(all, arg(&c.Value, place.Claim(k)))
			levels.of(c, func(i int) bool {
				l := &r.Levels[i]
				all = append(all, arg(l.Current, place.Level(i, "current")), arg(&l.Voltage, place.Level(i, "voltage")))
				return len(all)-from <= 2*mostOfPort
			})
			args := all[from:len(all):len(all)]
			if len(args) == 1 || len(args) > 2*mostOfPort { // no levels, or more than one port has
				all = all[:from]
			} else if !yield(Case{Claim: c, Args: args}) {
				return
			}
		}
	},
	Loose: either(looseHeadline, looseWithin(onSameThing, 3)),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		w, ok := one(&q[0], schema.KindPower)
		if !ok {
			return none
		}
		t := limits()
		slack := t.labelPower*w + roundingOf(&q[0])
		if c.Args[0].Value.Qualifier == schema.QualifierAbout {
			slack += t.hedge * w
		}
		best, at := 0.0, 0
		for i := 1; i+1 < len(q); i += 2 {
			a, ok1 := one(&q[i], schema.KindCurrent)
			_, v, ok2 := in(&q[i+1], schema.KindVoltage)
			if !ok1 || !ok2 {
				return none
			}
			tol := slack + t.labelVolt*v
			from := v * a
			if q[i+1].Range {
				from = nominalOf(v) * a
			}
			if w >= from-tol && w <= v*a+tol {
				j := fits()
				j.Chance = min(chanceWithin(w, tol)*float64(len(q)/2), 0.5)
				return j
			}
			if v*a > best {
				best, at = v*a, i
			}
		}
		if best > w {
			return none // level-within-claim speaks of it
		}
		return odd(0, best, w).of(0, at, at+1)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " claimed, but the strongest level named gives " + amount(j.Got, "W")
	},
}

// ruleClaimRepeated compares a claim with itself.
var ruleClaimRepeated = &Rule{
	Name: "claim-repeated",
	Doc:  "a power claimed twice is the same both times",
	Detail: "Port, mode and protocol are the same, so one of two different numbers is misheard, taken back, or a " +
		"contradiction of the speaker. Each is compared with the one said before it. Powers of a wireless pad are " +
		"a list of what it offers, 5, 7.5 and 15 W, and are compared only where the same profile was said with " +
		"them. A device has many lengths, frequencies and rates, so only powers are compared.",
	Source:   "identity",
	Standing: standard.Computed,
	Severity: schema.SeverityWarning,
	Relates:  []string{"claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		type group struct {
			list  listOf
			basis schema.Basis
		}
		var args stock
		last := map[group]int{}
		for k := range r.Claims {
			c := &r.Claims[k]
			if _, f := claimMode(c.Mode); c.Property != "power" || f == place.Shared {
				continue // the share of a port depends on the others in use
			}
			if isWireless(c.Port, c.Protocol) && qi().profile(place.ProtocolOf(c.Protocol)) == nil {
				continue // a list of what the pad offers
			}
			at := group{listOf{c.Mode, c.Port, c.Protocol}, c.Value.Basis}
			if i, ok := last[at]; ok && !yield(Case{Label: place.Label(claimLabel(c), c.Property), Args: args.of(
				arg(&c.Value, place.Claim(k)), arg(&r.Claims[i].Value, place.Claim(i)))}) {
				return
			}
			last[at] = k
		}
	},
	Loose: rests(onSameThing),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		k := q[0].Unit.Kind()
		low, high, ok1 := in(&q[0], k)
		l, h, ok2 := in(&q[1], k)
		if !ok1 || !ok2 {
			return none
		}
		if same(low, l) && same(high, h) {
			return fits()
		}
		return breaks(0, high, h)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " here, but " + q[1].String() + " was said before"
	},
	Propose: func(c *Case, q []schema.Quantity, j Judgement) (schema.Quantity, bool) { return q[1], true },
}

// rulePortWithinTotal: a part is no greater than the whole.
var rulePortWithinTotal = &Rule{
	Name: "port-within-total",
	Doc:  "no port, and no set of ports, is claimed with more power than the whole product",
	Detail: "The total is a power claimed without a port. A port that has the whole total alone is the rule for " +
		"small chargers.",
	Source:   "conservation of energy (handbook 8.1 I05)",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates:  []string{"claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		var args stock
		var all []int // claims of ports
		byMode := map[string][]int{}
		for i := range r.Claims {
			c := &r.Claims[i]
			if on, f := claimMode(c.Mode); isPower(c) && c.Port != "" && f != place.Input {
				all, byMode[on] = append(all, i), append(byMode[on], i)
			}
		}
		totals(r, func(k int, whole *schema.Claim) bool {
			parts := all
			if product, _ := claimMode(whole.Mode); product != "" {
				parts = byMode[product]
			}
			for _, i := range parts {
				c := &r.Claims[i]
				if !yield(Case{Claim: c, Args: args.of(arg(&c.Value, place.Claim(i)),
					arg(&whole.Value, place.Claim(k)))}) {
					return false
				}
			}
			return true
		})
	},
	Loose: looseTotal(1),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		part, whole, ok := two(q, schema.KindPower, schema.KindPower)
		if !ok {
			return none
		}
		if part > whole*sums().share {
			return breaks(0, part, whole)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is more than the " + q[1].String() + " of the whole product"
	},
}

// ruleUSBPower is the end of the road.
var ruleUSBPower = &Rule{
	Name: "usb-power-limit",
	Doc:  "no USB port delivers more than 240 W",
	Detail: "48 V × 5 A is the most that USB PD with Extended Power Range has. A power measured at a port may be " +
		"that at which it trips, so it is only noted.",
	Source:   "USB PD R3.1 (handbook 2.2b, R5)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"claim.power", "measurement.output_power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		going := true
		portPowers(r, func(c Case) bool {
			going = yield(c)
			return going
		})
		for i := range r.Measurements {
			m := &r.Measurements[i]
			if m.Property != "output_power" || m.Condition == nil {
				continue
			}
			if s := place.SocketOf(m.Condition.Port); going && (s == place.SocketA || s == place.SocketC) {
				going = yield(Case{Label: measureLabel(m), Args: []Arg{arg(&m.Value, place.Measurement(i))}})
			}
		}
	},
	Loose: looseLevel,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		w, ok := one(&q[0], schema.KindPower)
		limit := sums().usb
		switch {
		case !ok:
			return none
		case w > limit && c.Claim == nil:
			return odd(0, w, limit).at(schema.SeverityNote)
		case w > limit:
			return breaks(0, w, limit)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is above the " + amount(j.Limit, "W") + " that USB ends at"
	},
}

// rulePowerClass knows what is sold.
var rulePowerClass = &Rule{
	Name: "power-class",
	Doc:  "the power of a USB port is one that ports are sold with",
	Detail: "Makers keep to few powers: 20, 30, 45, 65, 100 W and some between. Another number is worth a second " +
		"hearing, no more. Shares of a split are left out.",
	Source:   "common practice, no source (handbook 2.3, 3.1)",
	Standing: standard.Practice,
	Severity: schema.SeverityNote,
	Relates:  []string{"claim.power"},
	Find:     portPowers,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		w, ok := one(&q[0], schema.KindPower)
		if !ok {
			return none
		}
		if member(w, sums().classes) < 0 {
			return odd(0, w, 0)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return "ports of " + q[0].String() + " are unusual"
	},
}

// portPowers finds the power claimed for one USB port alone.
func portPowers(r *schema.Record, yield func(Case) bool) {
	var args stock
	for k := range r.Claims {
		c := &r.Claims[k]
		_, f := claimMode(c.Mode)
		if s := place.SocketOf(c.Port); !isPower(c) || f == place.Shared || s != place.SocketA && s != place.SocketC {
			continue
		}
		if !yield(Case{Claim: c, Args: args.of(arg(&c.Value, place.Claim(k)))}) {
			return
		}
	}
}

// nominalOf is the voltage by which the power of a programmable range with
// the given top counts; a top that no standard range has counts for itself.
func nominalOf(top float64) float64 {
	for i := range programmables() {
		p := &programmables()[i]
		if p.kind == place.PPS && same(p.high, top) {
			return p.nominal
		}
	}
	return top
}
