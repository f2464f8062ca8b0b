package validate

import (
	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// ruleContractVoltage compares a meter with the contract.
var ruleContractVoltage = &Rule{
	Name: "contract-voltage",
	Doc:  "a voltage measured at a port is within 5 % of the contract",
	Detail: "At the source's receptacle a fixed contract of 9 V must give 8.55 to 9.45 V, one of 5 V up to 5.5 V " +
		"(vSafe5V, unverified). A reading at the far end of a cable may be up to 0.75 V lower, which is noted and " +
		"not faulted. A reading that misses its contract but suits another level given was most likely taken at " +
		"that level: that is noted too.",
	Source:   "USB PD R3.2 v1.2 Table 4.6 (handbook 2.11, R45); cable: USB Type-C R2.4 §4.4.1 (R14)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"measurement.output_voltage", "measurement.condition.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		var args stock
		for i := range r.Measurements {
			m := &r.Measurements[i]
			if m.Property != "output_voltage" || m.Condition == nil || m.Condition.Voltage == nil ||
				place.SocketOf(m.Condition.Port) == place.SocketMains ||
				place.ProtocolOf(m.Condition.Protocol) == place.AC {
				continue
			}
			// The levels are no arguments: they are looked at as they stand,
			// and a reading is no evidence for them.
			if !yield(Case{Label: place.Label(m.Condition.Mode, m.Condition.Port),
				Extra: contractCase{r, m.Condition.Port},
				Args: args.of(
					arg(&m.Value, place.Measurement(i)),
					arg(m.Condition.Voltage, conditionPath(i, "voltage")),
				)}) {
				return
			}
		}
	},
	Loose: looseContract,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		got, want, ok := two(q, schema.KindVoltage, schema.KindVoltage)
		if !ok {
			return none
		}
		j := contract(got, want)
		if j.Verdict == VerdictBreaks {
			if other := c.Extra.(contractCase).suits(got); other > 0 {
				return odd(causeOtherLevel, got, other).at(schema.SeverityNote)
			}
		}
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		s := q[0].String() + " measured at a contract of " + q[1].String()
		switch j.Cause {
		case causeOtherLevel:
			return s + " suits the level of " + amount(j.Limit, "V") + " instead: at which of the two was it?"
		case causeTooHigh:
			return s + " is above the " + amount(j.Limit, "V") + " allowed"
		case causeCable:
			return s + " is below the " + amount(j.Limit, "V") + " allowed at the port, but a cable may lose that much"
		}
		return s + " is below the " + amount(j.Limit, "V") + " allowed, by more than a cable may lose"
	},
}

// Causes of ruleContractVoltage.
const (
	causeTooHigh = iota
	causeCable
	causeTooLow
	causeOtherLevel
)

// contractCase is a record and the port that a voltage was measured at, "" where
// that was not said.
type contractCase struct {
	r    *schema.Record
	port string
}

// suits gives the voltage of a level at which a voltage may have been measured,
// 0 for none. It looks at so many levels as ports have.
func (x contractCase) suits(got float64) float64 {
	left := mostLevels
	for _, l := range levelsOf(x.r, place.Stated) {
		if left == 0 {
			break
		}
		left--
		if x.port != "" && l.Port != x.port {
			continue
		}
		if v, ok := one(&l.Voltage.Quantity, schema.KindVoltage); ok && contract(got, v).Verdict != VerdictBreaks {
			return v
		}
	}
	return 0
}

// safe5V is the nominal voltage of vSafe5V and the most that a source may give there.
var safe5V = standard.Bound("pd.safe5v")

// contract judges a voltage measured at a contract.
func contract(got, want float64) Judgement {
	low, high := want*pd().contract.Low, want*pd().contract.High
	if t := safe5V(); same(want, t.Low) {
		high = t.High
	}
	switch {
	case got > high*(1+gridError):
		return breaks(causeTooHigh, got, high)
	case got >= low*(1-gridError):
		j := fits()
		j.Chance = chanceWithin(want, high-want)
		return j
	case got >= low-pd().drop.High:
		return odd(causeCable, got, low).at(schema.SeverityNote)
	}
	return breaks(causeTooLow, got, low)
}
