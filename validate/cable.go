package validate

import (
	"slices"
	"strconv"
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// cableTable is what the rules on cables need.
type cableTable struct {
	plain, marked                      standard.Limit
	standard, extended, contract, gone standard.Limit
	marks                              []float64 // W
	older                              standard.Limit
	drop, contacts, ratio              standard.Limit
	length, resistance, diameter       standard.Limit
	rates                              []dataRate
	gauge                              map[int]float64 // Ω/m of one conductor
}

// dataRate is a row of data_rates.tsv.
type dataRate struct {
	rate   float64 // bit/s
	name   string
	length float64 // m, 0 where none is known
	standard.Ground
	lengths standard.Ground
}

var cables = sync.OnceValue(func() *cableTable {
	t := &cableTable{
		plain: standard.LimitOf("cable.current.plain"), marked: standard.LimitOf("cable.current.marked"),
		standard: standard.LimitOf("cable.voltage.standard"), extended: standard.LimitOf("cable.voltage.extended"),
		contract: standard.LimitOf("cable.voltage.contract"), gone: standard.LimitOf("cable.voltage.deprecated"),
		marks: []float64{standard.LimitOf("cable.power.plain").High, standard.LimitOf("cable.power.marked").High},
		older: standard.LimitOf("cable.power.older"),
		drop:  standard.LimitOf("cable.drop"), contacts: standard.LimitOf("cable.contacts"),
		ratio:  standard.LimitOf("cable.resistance"),
		length: standard.LimitOf("cable.window.length"), resistance: standard.LimitOf("cable.window.resistance"),
		diameter: standard.LimitOf("cable.window.diameter"),
		gauge:    map[int]float64{},
	}
	for _, r := range schema.MustReadTable(tables, "tables/data_rates.tsv").Rows {
		d := dataRate{rate: mustFloat(r, "rate") * schema.Unit("Mbit/s").Scale(), name: r.List("names")[0],
			Ground:  standard.GroundOf(r),
			lengths: standard.GroundIn(r, "l")}
		if r.Get("length") != "-" {
			d.length = mustFloat(r, "length")
		}
		t.rates = append(t.rates, d)
	}
	for _, r := range standard.WireGauges().Rows {
		n, err := strconv.Atoi(r.Get("awg"))
		if err != nil {
			panic(err)
		}
		t.gauge[n] = mustFloat(r, "ohm_per_km") * schema.Unit("Ohm/km").Scale()
	}
	return t
})

// cablePath is the path of a cable's field.
func cablePath(name string) place.Path { return place.Field("cable." + name) }

// cableCase yields one case over the cable's values, in order, if it has all
// of them as ratings: a current that was measured, or that a measurement was
// taken at, is none. Extra is the cable.
func cableCase(want func(*schema.Cable) bool, names ...string) finder {
	return func(r *schema.Record, yield func(Case) bool) {
		c := r.Cable
		if c == nil || want != nil && !want(c) {
			return
		}
		args := make([]Arg, 0, len(names))
		for _, n := range names {
			v := cableValue(c, n)
			if v == nil || n != "resistance" && n != "length" && !isRating(r, v) {
				return
			}
			args = append(args, arg(v, cablePath(n)))
		}
		yield(Case{Label: "cable", Extra: c, Args: args})
	}
}

// isRating reports whether a value is stated, and not the state that something
// was measured in.
func isRating(r *schema.Record, v *schema.Value) bool {
	if v.Basis == schema.BasisMeasured {
		return false
	}
	for i := range r.Measurements {
		x := r.Measurements[i].Condition
		if x == nil {
			continue
		}
		for _, y := range [...]*schema.Value{x.Current, x.Voltage, x.Power} {
			if y != nil && len(v.Said) > 0 && slices.Contains(y.Said, v.Said[0]) {
				return false
			}
		}
	}
	return true
}

// cableValue is a cable's value by its JSON name.
func cableValue(c *schema.Cable, name string) *schema.Value {
	switch name {
	case "length":
		return c.Length
	case "diameter":
		return c.Diameter
	case "voltage":
		return c.Voltage
	case "current":
		return c.Current
	case "power":
		return c.Power
	case "data_rate":
		return c.DataRate
	case "resistance":
		return c.Resistance
	}
	panic("cable has no value " + name)
}

// hasMarker accepts a cable with an e-marker, hasGauge one whose conductors
// are said and in the wire table.
func hasMarker(c *schema.Cable) bool { return c.EMarker == "yes" }

func hasGauge(c *schema.Cable) bool {
	_, ok := cables().copper(c)
	return ok
}

// copper gives the resistance per metre of the thickest conductor given, which
// carries the power.
func (t *cableTable) copper(c *schema.Cable) (float64, bool) {
	if len(c.Gauge) == 0 {
		return 0, false
	}
	r, ok := t.gauge[slices.Min(c.Gauge)]
	return r, ok
}

// ruleCableMarker is the line between plain and marked cables.
var ruleCableMarker = &Rule{
	Name: "cable-marker",
	Doc:  "a USB-C cable without e-marker carries at most 3 A",
	Detail: "More than 3 A must be allowed by the cable's e-marker. Asked only where the record says that there is " +
		"none.",
	Source:   "USB Type-C R2.4 §4.9 (handbook 2.9, R13b)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"cable.current"},
	Find:     cableCase(func(c *schema.Cable) bool { return c.EMarker == "no" }, "current"),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, ok := one(&q[0], schema.KindCurrent)
		if !ok {
			return none
		}
		if limit := cables().plain.High; a > limit {
			return breaks(0, a, limit)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " needs an e-marker, and this one has none; without, " + amount(j.Limit, "A") +
			" is the end"
	},
}

// ruleCableCurrent knows the two codes.
var ruleCableCurrent = &Rule{
	Name: "cable-current",
	Doc:  "the e-marker of a USB-C cable says 3 A or 5 A",
	Detail: "Its current field has two codes in use, 01 for 3 A and 10 for 5 A. Cables above 5 A belong to other " +
		"systems (UFCS, vendors) and are warned of.",
	Source:   "USB PD R3.2 v1.2 Table 6.42 (handbook 2.9, R13)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"cable.current"},
	Find:     cableCase(hasMarker, "current"),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, ok := one(&q[0], schema.KindCurrent)
		if !ok {
			return none
		}
		t := cables()
		switch {
		case same(a, t.plain.High), same(a, t.marked.High):
			return fits()
		case a > t.marked.High:
			return breaks(causeOver, a, t.marked.High).at(schema.SeverityWarning)
		}
		return breaks(causeNotListed, a, t.plain.High)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		if j.Cause == causeOver {
			return q[0].String() + " is above the " + amount(j.Limit, "A") + " that a USB e-marker can say"
		}
		return "an e-marker says " + list([]float64{cables().plain.High, cables().marked.High}, "A") +
			", it has no code for " + q[0].String()
	},
}

// ruleCableVoltage knows the codes that are left.
var ruleCableVoltage = &Rule{
	Name: "cable-voltage",
	Doc:  "the e-marker of a USB-C cable says 20 V or 50 V",
	Detail: "50 V 5 A is the marking of a 240 W cable and right, though the contract ends at 48 V. The codes for " +
		"30 V and 40 V are deprecated and must be read as 20 V.",
	Source:   "USB PD R3.2 v1.2 Table 6.42 (handbook 2.9, T7; R13)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"cable.voltage"},
	Find:     cableCase(hasMarker, "voltage"),
	Loose:    looseBeyond(onDrop, 4),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		v, ok := one(&q[0], schema.KindVoltage)
		if !ok {
			return none
		}
		t := cables()
		switch {
		case same(v, t.standard.High), same(v, t.extended.High):
			return fits()
		case same(v, t.gone.Low), same(v, t.gone.High):
			return odd(causeDeprecated, v, t.standard.High)
		case same(v, t.contract.High):
			return odd(causeContract, v, t.extended.High).at(schema.SeverityNote)
		}
		return breaks(causeNotListed, v, t.extended.High)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		switch j.Cause {
		case causeDeprecated:
			return q[0].String() + " is a deprecated code of the e-marker and must be read as " + amount(j.Limit, "V")
		case causeContract:
			return q[0].String() + " is the contract voltage; the e-marker says " + amount(j.Limit, "V")
		}
		return "an e-marker says " + list([]float64{cables().standard.High, cables().extended.High}, "V") +
			", it has no code for " + q[0].String()
	},
	Propose: func(c *Case, q []schema.Quantity, j Judgement) (schema.Quantity, bool) {
		return toGrid(j.Limit, 0, "V"), j.Cause == causeDeprecated
	},
}

// Further causes of ruleCableVoltage, after causeNotListed.
const (
	causeDeprecated = causeOver + 1 + iota
	causeContract
)

// ruleCablePower multiplies.
var ruleCablePower = &Rule{
	Name: "cable-power",
	Doc:  "the power of a cable is its voltage times its current, counted at no more than 48 V",
	Detail: "20 V 3 A is a 60 W cable, 20 V 5 A the older 100 W one, and 50 V 5 A a 240 W one: its power counts at " +
		"the contract's 48 V, so 250 W would be wrong.",
	Source:   "P = V × I; cable marks (handbook 2.9, R16)",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates:  []string{"cable.power", "cable.voltage", "cable.current"},
	Find:     cableCase(nil, "power", "voltage", "current"),
	Loose:    looseCablePower,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		w, v, a, ok := three(q, schema.KindPower, schema.KindVoltage, schema.KindCurrent)
		if !ok {
			return none
		}
		if v > cables().contract.High {
			v = cables().contract.High
		}
		tol := limits().labelPower*w + roundingOf(&q[0])
		if v*a > w+tol || v*a < w-tol {
			return breaks(0, v*a, w)
		}
		j := fits()
		j.Chance = chanceWithin(w, tol)
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[1].String() + " and " + q[2].String() + " make a cable of " + amount(j.Got, "W") + ", but " +
			q[0].String() + " was said"
	},
	Propose: func(c *Case, q []schema.Quantity, j Judgement) (schema.Quantity, bool) {
		v, _ := one(&q[1], schema.KindVoltage)
		a, _ := one(&q[2], schema.KindCurrent)
		t := cables()
		lawful := v <= t.standard.High*(1+gridError) || a >= t.marked.High*(1-gridError) // above 20 V only with 5 A
		return toGrid(j.Got, 1, "W"), lawful
	},
}

// ruleCablePowerMark knows what is printed.
var ruleCablePowerMark = &Rule{
	Name: "cable-power-mark",
	Doc:  "a USB-C cable is sold with 60 W or 240 W, or the older 100 W",
	Detail: "The marks in use are 60 W (20 V 3 A) and 240 W (48 V 5 A); 100 W (20 V 5 A) is no longer certified " +
		"and still common. Other powers are said of cables with other plugs.",
	Source:   "cable marks (handbook 2.9, R16)",
	Standing: standard.Verified,
	Severity: schema.SeverityNote,
	Relates:  []string{"cable.power"},
	Find:     cableCase(nil, "power"),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		w, ok := one(&q[0], schema.KindPower)
		if !ok {
			return none
		}
		t := cables()
		if member(w, t.marks) >= 0 || same(w, t.older.High) {
			return fits()
		}
		return odd(0, w, nearest(w, t.marks))
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is none of the powers that USB-C cables are marked with, " + list(cables().marks, "W")
	},
}

// ruleCableRate knows the rates and the usual slip.
var ruleCableRate = &Rule{
	Name: "cable-rate",
	Doc:  "a USB data rate is 480 Mbit/s or 5, 10, 20, 40 or 80 Gbit/s",
	Detail: "1.5 and 12 Mbit/s and 120 Gbit/s (one direction) exist too. \"480 gig\" is 480 Mbit/s, a thousand " +
		"times less; 480 Mbit/s with 240 W is a lawful pair. Any other rate is warned of.",
	Source:   "USB rate names (handbook 2.10, R16)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"cable.data_rate"},
	Find:     cableCase(nil, "data_rate"),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		b, ok := one(&q[0], schema.KindDataRate)
		if !ok {
			return none
		}
		t := cables()
		if t.rate(b) != nil {
			return fits()
		}
		thousand := schema.Unit("Gbit/s").Scale() / schema.Unit("Mbit/s").Scale()
		if r := t.rate(b / thousand); r != nil {
			return breaks(causeThousand, b, r.rate)
		}
		if r := t.rate(b * thousand); r != nil {
			return breaks(causeThousand, b, r.rate)
		}
		return odd(0, b, 0)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		if j.Cause == causeThousand {
			return q[0].String() + " is not a USB rate, but " + amount(j.Limit, otherRateUnit(q[0].Unit)) +
				" is: the unit slipped by a thousand"
		}
		return q[0].String() + " is not a USB rate"
	},
	Propose: func(c *Case, q []schema.Quantity, j Judgement) (schema.Quantity, bool) {
		if j.Cause != causeThousand {
			return schema.Quantity{}, false
		}
		other := otherRateUnit(q[0].Unit)
		return schema.One(q[0].Low, other), other != q[0].Unit
	},
}

// otherRateUnit is the unit that a data rate's was taken for, or the unit
// itself where there is none.
func otherRateUnit(u schema.Unit) schema.Unit {
	switch u {
	case "Gbit/s":
		return "Mbit/s"
	case "Mbit/s":
		return "Gbit/s"
	}
	return u
}

// causeThousand is the cause of ruleCableRate for a slipped prefix.
const causeThousand = 1

// rate finds a row by its rate, nil if there is none.
func (t *cableTable) rate(b float64) *dataRate {
	for i := range t.rates {
		if same(t.rates[i].rate, b) {
			return &t.rates[i]
		}
	}
	return nil
}

// ruleCableRateLength: fast and long do not go together.
var ruleCableRateLength = &Rule{
	Name: "cable-rate-length",
	Doc:  "a passive USB cable is no longer than its data rate allows",
	Detail: "About 4 m at 480 Mbit/s, 2 m at 5, 1 m at 10, 2 m at 20 and 0.8 m at 40 Gbit/s. Longer cables are " +
		"active ones, and few speakers say which it is, so this only notes.",
	Source:   "cable list (handbook 2.9, R16b)",
	Standing: standard.Verified,
	Severity: schema.SeverityNote,
	Relates:  []string{"cable.length", "cable.data_rate"},
	Find:     cableCase(nil, "length", "data_rate"),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		l, ok1 := one(&q[0], schema.KindLength)
		b, ok2 := one(&q[1], schema.KindDataRate)
		r := cables().rate(b)
		if !ok1 || !ok2 || r == nil || r.length == 0 {
			return none
		}
		if l > r.length*(1+limits().hedge) {
			return breaks(0, l, r.length).on(r.lengths.Source, r.lengths.Standing)
		}
		return fits().on(r.lengths.Source, r.lengths.Standing)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is long for " + q[1].String() + "; passive cables end at about " + amount(j.Limit, "m")
	},
}

// ruleCableSize keeps the window of what cables are.
var ruleCableSize = &Rule{
	Name:     "cable-size",
	Doc:      "a USB cable is 5 cm to 5 m long, 1.5 to 8 mm thick and has 20 mΩ to 1.5 Ω",
	Detail:   "Generous bounds: outside them a point or a prefix was lost, or the cable is not a USB one.",
	Source:   "common practice, no source (handbook 7.2)",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"cable.length", "cable.diameter", "cable.resistance"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		var args stock
		if r.Cable == nil {
			return
		}
		for _, n := range [...]string{"length", "diameter", "resistance"} {
			if v := cableValue(r.Cable, n); v != nil &&
				!yield(Case{Label: "cable", Extra: n, Args: args.of(arg(v, cablePath(n)))}) {
				return
			}
		}
	},
	Loose: looseCableSize,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		kind, limit := cables().window(c)
		low, high, ok := in(&q[0], kind)
		if !ok || high <= 0 {
			return none
		}
		switch {
		case low < limit.Low:
			return breaks(causeUnder, low, limit.Low)
		case high > limit.High:
			return breaks(causeOver, high, limit.High)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		what := c.Extra.(string) + " of " + q[0].String()
		if j.Cause == causeUnder {
			return "a " + what + " is less than any USB cable has"
		}
		return "a " + what + " is more than any USB cable has"
	},
}

// window gives kind and bounds for a case of ruleCableSize.
func (t *cableTable) window(c *Case) (schema.Kind, standard.Limit) {
	switch c.Extra.(string) {
	case "length":
		return schema.KindLength, t.length
	case "diameter":
		return schema.KindLength, t.diameter
	}
	return schema.KindResistance, t.resistance
}

// ruleCableCarries compares the cable with what it is used for.
var ruleCableCarries = &Rule{
	Name: "cable-carries-level",
	Doc:  "the cable of the record carries the levels of its USB-C ports",
	Detail: "A cable of 3 A beside a level of 5 A is a real shortcoming of what is in the box, or one of the two " +
		"was misheard. Voltages are compared too, where the cable has an e-marker.",
	Source:   "USB Type-C R2.4 §4.9 (handbook 2.9, R13)",
	Standing: standard.Verified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"cable.current", "level.current", "cable.voltage", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		var args stock
		if r.Cable == nil {
			return
		}
		c := r.Cable
		current, voltage := cablePath("current"), cablePath("voltage")
		for i, l := range levelsOf(r, place.Stated) {
			if place.SocketOf(l.Port) != place.SocketC {
				continue
			}
			if c.Current != nil && l.Current != nil && !yield(Case{Level: l, Args: args.of(
				arg(c.Current, current), arg(l.Current, place.Level(i, "current")))}) {
				return
			}
			if c.Voltage != nil && hasMarker(c) && !yield(Case{Level: l, Args: args.of(
				arg(c.Voltage, voltage), arg(&l.Voltage, place.Level(i, "voltage")))}) {
				return
			}
		}
	},
	Loose: rests(onInUse),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		kind := schema.KindCurrent
		have, ok := one(&q[0], kind)
		if !ok {
			kind = schema.KindVoltage
			have, ok = one(&q[0], kind)
		}
		_, need, ok2 := in(&q[1], kind)
		if !ok || !ok2 || need <= 0 {
			return none
		}
		if kind == schema.KindVoltage && same(have, cables().standard.High) && need <= pd().spr.High*(1+gridError) {
			return fits() // PPS to 21 V runs on the 20 V cable
		}
		if need > have {
			return odd(0, need, have)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return "the cable said carries " + q[0].String() + ", this level needs " + q[1].String()
	},
}
