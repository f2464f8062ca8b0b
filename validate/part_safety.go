package validate

import (
	"math"
	"slices"
	"strings"
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// ruleDischarge is the discharge of the X capacitors.
var ruleDischarge = &Rule{
	Name: "x-discharge",
	Doc:  "X capacitors above 300 nF fall below 60 V within 2 s of unplugging",
	Detail: "Resistance × capacitance × ln(peak / 60 V), with the mains given, ten percent high. Only looked at " +
		"where a discharge resistor was given: a chip may do it instead. Several resistors are taken to lie in " +
		"parallel, which is the fastest that they can be.",
	Source:   "discharge of a capacitor; 60 V in 2 s above 300 nF: IEC 62368-1 clause 5.5.2.2, unverified",
	Standing: standard.Unverified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.X capacitor.capacitance", "component.discharge resistor.resistance", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		x := dischargeCase{}
		var args []Arg
		for i, k := range place.Ratings(r, "capacitance", "X capacitor") {
			args = append(args, ratingArg(r, i, k))
			x.capacitors = append(x.capacitors, float64(place.Copies(&r.Components[i])))
		}
		for i, k := range place.Ratings(r, "resistance", "discharge resistor") {
			args = append(args, ratingArg(r, i, k))
			x.resistors = append(x.resistors, float64(place.Copies(&r.Components[i])))
		}
		if x.capacitors != nil && x.resistors != nil {
			yield(Case{Label: "X capacitors", Extra: x, Args: append(args, mainsVoltages(r)...)})
		}
	},
	Loose: looseNoMains,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		x := c.Extra.(dischargeCase)
		farads, ohms, ok := x.sums(q)
		if !ok {
			return none
		}
		if farads <= dischargeLeast().High {
			return fits()
		}
		peak := worstOf(q[len(x.capacitors)+len(x.resistors):]) * math.Sqrt2
		if t := ohms * farads * math.Log(peak/dischargeVoltage().High); t > dischargeTime().High*(1+gridError) {
			return odd(0, t, dischargeTime().High)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		farads, ohms, _ := c.Extra.(dischargeCase).sums(q)
		return amount(farads, "uF") + " with " + amount(ohms, scaled(ohms, "Ohm")) + " take " + amount(j.Got, "s") +
			" to " +
			"fall below " +
			amount(dischargeVoltage().High, "V") + "; " + amount(j.Limit, "s") + " are allowed"
	},
}

var (
	dischargeVoltage = standard.Bound("discharge.voltage")
	dischargeTime    = standard.Bound("discharge.time")
	dischargeLeast   = standard.Bound("discharge.least")
)

// dischargeCase says how many equal parts the first arguments stand for.
type dischargeCase struct{ capacitors, resistors []float64 }

// sums are all capacitors, and all resistors in parallel.
func (x dischargeCase) sums(q []schema.Quantity) (farads, ohms float64, ok bool) {
	for i, n := range x.capacitors {
		f, ok := one(&q[i], schema.KindCapacitance)
		if !ok {
			return 0, 0, false
		}
		farads += f * n
	}
	siemens := 0.0
	for i, n := range x.resistors {
		r, ok := one(&q[len(x.capacitors)+i], schema.KindResistance)
		if !ok {
			return 0, 0, false
		}
		siemens += n / r
	}
	return farads, 1 / siemens, true
}

// capacitorClass is a row of capacitor_classes.tsv.
type capacitorClass struct {
	class, kind string
	words       []string
	low, high   float64
	standard.Ground
}

var capacitorClasses = sync.OnceValue(func() []capacitorClass {
	var rows []capacitorClass
	for _, r := range schema.MustReadTable(tables, "tables/capacitor_classes.tsv").Rows {
		rows = append(rows, capacitorClass{r.Get("class"), r.Get("kind"), r.List("words"), mustFloat(r, "low"),
			mustFloat(r, "high"), standard.GroundOf(r)})
	}
	return rows
})

// classOf is the class that the words which named a part give, nil for none.
func classOf(c *schema.Component) *capacitorClass {
	heard := " " + strings.ToLower(c.Heard) + " "
	for i := range capacitorClasses() {
		row := &capacitorClasses()[i]
		if row.kind == c.Kind && slices.ContainsFunc(row.words, func(w string) bool {
			return strings.Contains(heard, " "+
				""+w+" ")
		}) {
			return row
		}
	}
	return nil
}

// ruleCapacitorClass pairs class and rated voltage.
var ruleCapacitorClass = &Rule{
	Name: "capacitor-class",
	Doc:  "the rated voltage of a capacitor on the mains is one of its class",
	Detail: "X1 and X2 lie across the line and have 250 V AC and more, Y1 up to 500 V, Y2 up to 300 V, Y4 up to " +
		"150 V. The class is that of the words that named the part. Parts are also said with a voltage that is no " +
		"AC rating, so this only notes.",
	Source:   "IEC 60384-14 (R25, R25b), voltages unverified",
	Standing: standard.Unverified,
	Severity: schema.SeverityNote,
	Relates:  []string{"component.X capacitor.voltage", "component.Y capacitor.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i, k := range place.Ratings(r, "voltage", "X capacitor", "Y capacitor") {
			c := &r.Components[i]
			if class := classOf(c); class != nil &&
				!yield(Case{Label: partLabel(c), Extra: class, Args: []Arg{ratingArg(r,
					i, k)}}) {
				return
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		row := c.Extra.(*capacitorClass)
		v, ok := one(&q[0], schema.KindVoltage)
		switch {
		case !ok:
			return none
		case v < row.low:
			return odd(causeBelow, v, row.low).on(row.Source, row.Standing)
		case v > row.high:
			return odd(causeAbove, v, row.high).on(row.Source, row.Standing)
		}
		return fits().on(row.Source, row.Standing)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is " + beyond(j, "V") + " AC of class " + c.Extra.(*capacitorClass).class
	},
}

// inlets is inlets.tsv: the current in A that a kind of inlet or plug carries.
var inlets = sync.OnceValue(func() map[string]standard.Limit {
	m := map[string]standard.Limit{}
	for _, r := range schema.MustReadTable(tables, "tables/inlets.tsv").Rows {
		x := mustFloat(r, "current")
		m[r.Get("name")] = standard.Limit{Low: x, High: x, Ground: standard.GroundOf(r)}
	}
	return m
})

// ruleInletCurrent compares the input with what it comes through.
var ruleInletCurrent = &Rule{
	Name: "inlet-current",
	Doc:  "the mains input takes no more current than its inlet or plug carries",
	Detail: "2.5 A through C6, C8 and the flat two-pin Europlug, 10 A through C14, 13 A through the fuse of a BS " +
		"1363 plug. The current is that of the label, or the rating said of the inlet or plug.",
	Source:   "IEC 60320-1 standard sheets, EN 50075, BS 1362",
	Standing: standard.Unverified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"level.current", "component.current"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := range r.Components {
			row, ok := inlets()[r.Components[i].Kind]
			if !ok {
				continue
			}
			if k := ratingNamed(&r.Components[i], "current"); k >= 0 && !yield(Case{Label: r.Components[i].Kind,
				Extra: row, Args: []Arg{ratingArg(r, i, k)}}) {
				return
			}
			for k, l := range levelsOf(r, isMainsInput) {
				if l.Current != nil && !yield(Case{Label: r.Components[i].Kind, Extra: row,
					Args: []Arg{arg(l.Current, place.Level(k, "current"))}}) {
					return
				}
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, ok := one(&q[0], schema.KindCurrent)
		if !ok {
			return none
		}
		if row := c.Extra.(standard.Limit); a > row.High*(1+gridError) {
			return on(row, odd(0, a, row.High))
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		if _, ok := c.Args[0].Path.Component(); ok {
			return q[0].String() + " is said of it, and it carries " + amount(j.Limit, "A")
		}
		return q[0].String() + " comes in, and it carries " + amount(j.Limit, "A")
	},
}

// ruleCreepage is the way over the insulation.
var ruleCreepage = &Rule{
	Name: "creepage-distance",
	Doc:  "creepage between mains and output is 5 mm and more, usually 6 mm, clearance 3 mm",
	Detail: "Reinforced insulation at 250 V in the usual dirt takes twice 2.5 mm over the board and 3 mm through " +
		"the air, and designs keep 6.4 mm. A gap read on a photo proves nothing either way, so this only notes.",
	Source:   "IEC 62368-1:2018 Tables 14 and 17; creepage of 5 to 6.4 mm, 6.4 mm in an application note (R25b)",
	Standing: standard.Unverified,
	Severity: schema.SeverityNote,
	Relates:  []string{"measurement.creepage", "measurement.clearance"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := range r.Measurements {
			m := &r.Measurements[i]
			if (m.Property == "creepage" || m.Property == "clearance") &&
				!yield(Case{Label: measureLabel(m), Extra: m.Property,
					Args: []Arg{arg(&m.Value, place.Measurement(i))}}) {
				return
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		d, ok := one(&q[0], schema.KindLength)
		if !ok {
			return none
		}
		least := creepageLeast().High
		if c.Extra == "clearance" {
			least = clearanceLeast().High
		}
		if d < least*(1-gridError) {
			return odd(0, d, least)
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is less than the " + amount(j.Limit, "mm") + " between mains and output"
	},
}

var (
	creepageLeast  = standard.Bound("creepage.least")
	clearanceLeast = standard.Bound("clearance.least")
)

// ruleIsolation is what the parts across the insulation are rated for.
var ruleIsolation = &Rule{
	Name: "isolation-voltage",
	Doc:  "an optocoupler across the insulation is rated for the test voltage of the supply, 3 kV and more",
	Detail: "The insulation of a supply is tested with 3 kV AC, or 4.24 kV DC; 3.75 and 5 kV are usual ratings. " +
		"Less is met on parts that do not bridge the insulation.",
	Source:   "IEC 62368-1 clause 5.4.9, from memory; ratings common practice, no source (handbook 7.2)",
	Standing: standard.Unverified,
	Severity: schema.SeverityNote,
	Relates:  []string{"component.optocoupler.voltage", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if len(mainsVoltages(r)) == 0 {
			return
		}
		ratingCases(r, yield, "voltage", "optocoupler")
	},
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		v, ok := one(&q[0], schema.KindVoltage)
		if !ok {
			return none
		}
		if least := isolationLeast().High; v < least*(1-gridError) {
			return odd(0, v, least)
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is less than the " + amount(j.Limit, "kV") +
			" that the insulation of a supply is tested " +
			"with"
	},
}

var isolationLeast = standard.Bound("isolation.least")
