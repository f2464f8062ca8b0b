package validate

import (
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// familyLimit is a row of protocol_limits.tsv.
type familyLimit struct {
	family         place.Protocol
	voltages       []float64 // V, the only ones; nil where there is a range
	low, high      float64   // V
	step           float64   // V, 0 where none
	currents       []float64 // A, the only ones advertised
	current, power float64   // A, W, the most; 0 where not known
	volts, amps    standard.Ground
}

var familyLimits = sync.OnceValue(func() []familyLimit {
	var t []familyLimit
	for _, r := range schema.MustReadTable(tables, "tables/protocol_limits.tsv").Rows {
		f := familyLimit{volts: standard.GroundIn(r, "v"), amps: standard.GroundOf(r)}
		f.family = place.FamilyNamed(r.Get("family"))
		if f.family == place.NoProtocol || f.volts.Standing == standard.Unknown {
			panic("protocol_limits.tsv: " + r.Get("family"))
		}
		f.voltages, f.currents = floats(r, "voltages", "V"), floats(r, "currents", "A")
		for column, to := range map[string]*float64{"low": &f.low, "high": &f.high, "step": &f.step,
			"current": &f.current, "power": &f.power} {
			if r.Get(column) != "-" {
				*to = mustFloat(r, column)
			}
		}
		t = append(t, f)
	}
	return t
})

// limitsOf gives the row of a family, nil if it has none.
func limitsOf(p place.Protocol) *familyLimit {
	for i := range familyLimits() {
		if f := &familyLimits()[i]; f.family == p {
			return f
		}
	}
	return nil
}

// ofFamily accepts the stated levels of the given families.
func ofFamily(families ...place.Protocol) func(*schema.Level) bool {
	return func(l *schema.Level) bool {
		p := place.ProtocolOf(l.Protocol)
		for _, f := range families {
			if p == f {
				return place.Stated(l)
			}
		}
		return false
	}
}

// row is the row of the case's own protocol.
func row(c *Case) *familyLimit { return limitsOf(place.ProtocolOf(c.Extra.(*schema.Level).Protocol)) }

// testVoltage judges the voltage of a level, a value or a range, against the
// row of its family.
func testVoltage(c *Case, q []schema.Quantity) Judgement {
	low, high, ok := in(&q[0], schema.KindVoltage)
	f := row(c)
	if !ok || f == nil || high <= 0 {
		return none
	}
	switch {
	case f.voltages != nil && q[0].Range:
		return none
	case f.voltages != nil && member(high, f.voltages) < 0:
		return breaks(causeNotListed, high, nearest(high, f.voltages)).on(f.volts.Source, f.volts.Standing)
	case f.voltages == nil && low < f.low*(1-gridError):
		return breaks(causeUnder, low, f.low).on(f.volts.Source, f.volts.Standing)
	case f.voltages == nil && high > f.high*(1+gridError):
		return breaks(causeOver, high, f.high).on(f.volts.Source, f.volts.Standing)
	}
	return fits().on(f.volts.Source, f.volts.Standing)
}

// explainVoltage is the sentence to testVoltage.
func explainVoltage(c *Case, q []schema.Quantity, j Judgement) string {
	f := row(c)
	switch j.Cause {
	case causeNotListed:
		return q[0].String() + noneOf + list(f.voltages, "V")
	case causeUnder:
		return q[0].String() + " is below the " + amount(f.low, "V") + " at which it begins"
	}
	return q[0].String() + " is above the " + amount(f.high, "V") + " at which it ends"
}

// testStep judges the voltage against the step of its family.
func testStep(c *Case, q []schema.Quantity) Judgement {
	low, high, ok := in(&q[0], schema.KindVoltage)
	f := row(c)
	if !ok || f == nil || f.step == 0 {
		return none
	}
	if !onGrid(low, f.step) || !onGrid(high, f.step) {
		return Judgement{Verdict: VerdictBreaks, Got: high, Limit: f.step}.on(f.volts.Source, f.volts.Standing)
	}
	return fits().on(f.volts.Source, f.volts.Standing)
}

// explainStep is the sentence to testStep.
func explainStep(c *Case, q []schema.Quantity, j Judgement) string {
	return q[0].String() + " is not on its steps of " + amount(j.Limit, "V")
}

// testCurrent judges the current of a level against the row of its family.
func testCurrent(c *Case, q []schema.Quantity) Judgement {
	a, ok := one(&q[0], schema.KindCurrent)
	f := row(c)
	if !ok || f == nil || f.current == 0 {
		return none
	}
	switch {
	case f.currents != nil && member(a, f.currents) < 0:
		return breaks(causeNotListed, a, nearest(a, f.currents)).on(f.amps.Source, f.amps.Standing)
	case a > f.current*(1+gridError):
		return breaks(causeOver, a, f.current).on(f.amps.Source, f.amps.Standing)
	}
	return fits().on(f.amps.Source, f.amps.Standing)
}

// explainCurrent is the sentence to testCurrent.
func explainCurrent(c *Case, q []schema.Quantity, j Judgement) string {
	if j.Cause == causeNotListed {
		return q[0].String() + noneOf + list(row(c).currents, "A")
	}
	return q[0].String() + " is above the " + amount(j.Limit, "A") + " at which it ends"
}

// Causes of the rules on families.
const (
	causeNotListed = iota
	causeUnder
	causeOver
)

// nearest is the value of the list that is nearest in ratio.
func nearest(x float64, of []float64) float64 {
	best := of[0]
	for _, y := range of {
		if apart(x, y) < apart(x, best) {
			best = y
		}
	}
	return best
}

// noneOf begins the end of a sentence on a list of lawful values.
const noneOf = " is not among what it gives: "

// notPublic ends the details of the vendor protocols.
const notPublic = " There is no public standard, so this only warns."

// ruleTypeCCurrent: what the pull-up resistor says.
var ruleTypeCCurrent = &Rule{
	Name: "type-c-current",
	Doc:  "a USB Type-C port without Power Delivery advertises 0.5, 0.9, 1.5 or 3 A",
	Detail: "Default USB power is 0.5 A (USB 2.0) or 0.9 A (USB 3.x); a pull-up of 22 kΩ says 1.5 A, one of 10 kΩ " +
		"3 A. Only levels said as Type-C without PD are judged.",
	Source:   "USB Type-C R2.4 Table 4-24 (handbook 2.1; R15, R17)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"level.current"},
	Find:     currents(ofFamily(place.TypeC)), Test: testCurrent, Explain: explainCurrent,
}

// ruleTypeCVoltage: more than 5 V has to be negotiated.
var ruleTypeCVoltage = &Rule{
	Name:     "type-c-voltage",
	Doc:      "a USB Type-C port without Power Delivery gives 5 V",
	Detail:   "Anything above 5 V or above 3 A needs USB Power Delivery.",
	Source:   "USB Type-C R2.4; IEC 63002 §4.4 (handbook 2.1, R17)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"level.voltage"},
	Find:     voltages(ofFamily(place.TypeC)), Test: testVoltage, Explain: explainVoltage,
}

// ruleBCVoltage and ruleBCCurrent: charging ports.
var ruleBCVoltage = &Rule{
	Name:     "bc-voltage",
	Doc:      "a charging port of Battery Charging 1.2 gives 4.75 to 5.25 V",
	Detail:   "Higher voltages on the same socket belong to another protocol.",
	Source:   "USB Battery Charging 1.2 Table 5-1 (handbook 3.1, R21)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"level.voltage"},
	Find:     voltages(ofFamily(place.BC)), Test: testVoltage, Explain: explainVoltage,
}

var ruleBCCurrent = &Rule{
	Name: "bc-current",
	Doc:  "a charging port of Battery Charging 1.2 gives at most 5 A",
	Detail: "1.5 A is what a charging downstream port must give at the least, and what many chips stop at; both " +
		"kinds of port may give up to 5 A. 5 V 2.4 A is lawful.",
	Source:   "USB Battery Charging 1.2 Table 5-2, ICDP and IDCP",
	Standing: standard.Unverified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"level.current"},
	Find:     currents(ofFamily(place.BC)), Test: testCurrent, Explain: explainCurrent,
}

// The vendor protocols.
var ruleQCVoltage = &Rule{
	Name: "qc-voltage",
	Doc:  "QC 2.0 gives 5, 9, 12 or 20 V, QC 3.0 any voltage from 3.6 to 20 V",
	Detail: "12 V is the end of class A, 20 V that of class B, which is rarely distinguished. QC without a " +
		"generation is given the wider range. QC 4 and 5 are carried by USB PD and judged there." + notPublic,
	Source:   "vendor protocol, not public (handbook 2.8, 3.1, R18)",
	Standing: standard.Verified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"level.voltage"},
	Find:     voltages(ofFamily(place.QC, place.QC2, place.QC3, place.QC3Plus)), Test: testVoltage,
	Explain: explainVoltage,
}

var ruleQCStep = &Rule{
	Name:     "qc-step",
	Doc:      "QC 3.0 moves in steps of 0.2 V, QC 3+ in steps of 20 mV",
	Detail:   "Each pulse on a data line is one step: 5 V and five pulses is 6 V." + notPublic,
	Source:   "vendor protocol, not public (handbook 2.8, 3.1, R18)",
	Standing: standard.Verified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"level.voltage"},
	Find:     voltages(ofFamily(place.QC3, place.QC3Plus)), Test: testStep, Explain: explainStep,
}

var ruleQCCurrent = &Rule{
	Name:     "qc-current",
	Doc:      "QC 2.0 and 3.0 carry at most 3 A",
	Detail:   "Typical levels are 9 V 2 A and 12 V 1.5 A." + notPublic,
	Source:   "common practice, no source (handbook 2.8, 3.1)",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"level.current"},
	Find:     currents(ofFamily(place.QC, place.QC2, place.QC3, place.QC3Plus)), Test: testCurrent,
	Explain: explainCurrent,
}

var ruleAFCVoltage = &Rule{
	Name:     "afc-fcp-voltage",
	Doc:      "AFC and FCP give 5, 9 or 12 V",
	Detail:   "The voltage is asked for over the D− line." + notPublic,
	Source:   "vendor protocols, not public (handbook 3.1, R20)",
	Standing: standard.Verified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"level.voltage"},
	Find:     voltages(ofFamily(place.AFC, place.FCP)), Test: testVoltage, Explain: explainVoltage,
}

var ruleAFCCurrent = &Rule{
	Name:     "afc-fcp-current",
	Doc:      "AFC carries at most 2.1 A, FCP at most 2 A",
	Detail:   "9 V 1.67 A and 12 V 2.1 A are the known levels of AFC, 9 V 2 A and 12 V 1.5 A those of FCP." + notPublic,
	Source:   "vendor protocols, not public, unverified",
	Standing: standard.Unverified,
	Severity: schema.SeverityNote,
	Relates:  []string{"level.current"},
	Find:     currents(ofFamily(place.AFC, place.FCP)), Test: testCurrent, Explain: explainCurrent,
}

var ruleSCPVoltage = &Rule{
	Name:     "scp-voltage",
	Doc:      "SCP goes from 3.3 to 20 V",
	Detail:   "Low-voltage modes up to 5.5 V, higher ones to 10 or 11 V, and the newest at 20 V." + notPublic,
	Source:   "vendor protocol, not public (R20; 11 V unverified, 20 V from memory)",
	Standing: standard.Unverified,
	Severity: schema.SeverityNote,
	Relates:  []string{"level.voltage"},
	Find:     voltages(ofFamily(place.SCP)), Test: testVoltage, Explain: explainVoltage,
}

var ruleSCPPower = &Rule{
	Name: "scp-power",
	Doc:  "SCP carries at most 100 W",
	Detail: "Known levels are 4.5 V 5 A (22.5 W), 10 V 4 A (40 W), 11 V 6 A (66 W), 20 V 4.4 A (88 W) and 20 V 5 A " +
		"(100 W)." + notPublic,
	Source:   "vendor protocol, not public; 40 W on a published page (R20c), 66 W unverified, 100 W from memory",
	Standing: standard.Unverified,
	Severity: schema.SeverityNote,
	Relates:  []string{"level.current", "level.voltage"},
	Find:     pairs(ofFamily(place.SCP)),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, v, ok := two(q, schema.KindCurrent, schema.KindVoltage)
		if !ok {
			return none
		}
		if limit := row(c).power; v*a > limit*(1+gridError) {
			return breaks(0, v*a, limit)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[1].String() + " × " + q[0].String() + " is " + amount(j.Got, "W") + ", above the " +
			amount(j.Limit, "W") + " at which it ends"
	},
}

// ruleUSBALevel: sockets of the old kind, no protocol given.
var ruleUSBALevel = &Rule{
	Name: "usb-a-level",
	Doc:  "a USB-A level without a protocol is one of those found on labels",
	Detail: "5 V up to 4.5 A, 4.5 V 5 A, 9 and 12 V up to 3 A, 10 V up to 4 A, 11 V 6 A, 20 V 3 A: every usual " +
		"label line is among these.",
	Source:   "common practice, no source (handbook 3.1)",
	Standing: standard.Practice,
	Severity: schema.SeverityNote,
	Relates:  []string{"level.current", "level.voltage"},
	Find: pairs(func(l *schema.Level) bool {
		return place.SocketOf(l.Port) == place.SocketA && l.Protocol == "" && place.Stated(l)
	}),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, v, ok := two(q, schema.KindCurrent, schema.KindVoltage)
		if !ok {
			return none
		}
		for _, l := range labelLevels() {
			if !same(l.voltage, v) {
				continue
			}
			if a > l.current*(1+gridError) {
				return breaks(causeOver, a, l.current)
			}
			return fits()
		}
		return breaks(causeNotListed, v, 0)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		if j.Cause == causeOver {
			return q[0].String() + " at " + q[1].String() + " is above the " + amount(j.Limit, "A") + " found on labels"
		}
		return q[1].String() + " is not a voltage found on labels of USB-A sockets"
	},
}

// labelLevel is a row of label_levels.tsv.
type labelLevel struct{ voltage, current float64 }

var labelLevels = sync.OnceValue(func() []labelLevel {
	var t []labelLevel
	for _, r := range schema.MustReadTable(tables, "tables/label_levels.tsv").Rows {
		t = append(t, labelLevel{mustFloat(r, "voltage"), mustFloat(r, "current")})
	}
	return t
})
