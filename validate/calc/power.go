package calc

import (
	"fmt"
	"slices"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// levelPower multiplies what a level states, and compares with the power given
// within the rounding of labels.
var levelPower = &Calculator{
	Name:     "level-power",
	Doc:      "power of a level from its voltage and current",
	Formula:  "P = voltage × current",
	Source:   "definition of the watt, SI Brochure 9 Table 4; label rounding: handbook 2.4 and 8.1 I01",
	Standing: standard.Computed,
	Assumptions: []string{
		"voltage and current hold at the same time",
		"over a range of voltages the same current holds throughout; a programmable supply (PPS) may go above the " +
			"rating at the top of its range",
		"a power given agrees when it differs by no more than 0.5 % of the voltage in V plus 0.5 % of the power plus " +
			"half its last digit",
	},
	Run:  runLevelPower,
	Take: takeLevels,
}

func runLevelPower(a *Arguments) ([]Result, error) {
	v := a.quantity("voltage")
	i, err := a.single("current")
	if err != nil {
		return nil, err
	}
	p := schema.Quantity{Low: v.Low.Mul(i).Trim(), High: v.High.Mul(i).Trim(), Range: v.Range, Unit: "W"}
	results := []Result{{Name: "power", Doc: "power", Quantity: p}}
	if !a.has("power") {
		return results, nil
	}
	given, err := a.single("power")
	if err != nil {
		return nil, err
	}
	gap := absolute(p.High.Sub(given)).Trim()
	slack := labelSlack(v.High, given)
	verdict := fmt.Sprintf("agrees with the %s given, within label rounding of %s", watts(given), watts(slack))
	if gap.Cmp(slack) > 0 {
		verdict = fmt.Sprintf("does not agree with the %s given: label rounding explains only %s", watts(given),
			watts(slack))
	}
	return append(results, Result{Name: "difference", Doc: "difference to the power given",
		Quantity: schema.One(gap, "W"), Text: verdict}), nil
}

// labelSlack is what the rounding of a label may take (handbook 2.4).
func labelSlack(voltage, power schema.Decimal) schema.Decimal {
	rounding := constant("label.rounding.whole")
	if !power.IsWhole() {
		rounding = constant("label.rounding.tenth")
	}
	return voltage.Mul(constant("label.voltage")).Add(power.Mul(constant("label.power"))).Add(rounding).Trim()
}

func watts(d schema.Decimal) string { return schema.One(d, "W").String() }

// takeLevels offers each level of a record that states voltage and current.
func takeLevels(r *schema.Record) []Taken {
	var taken []Taken
	for i := range r.Levels {
		l := &r.Levels[i]
		if l.Current == nil || place.IsMains(l) {
			continue // volts times amperes of the mains are no power
		}
		t := Taken{Label: offerLabel(l)}
		t.take("voltage", &l.Voltage, place.Item("levels", i, "voltage"))
		t.take("current", l.Current, place.Item("levels", i, "current"))
		t.take("power", l.Power, place.Item("levels", i, "power"))
		taken = append(taken, t)
	}
	return taken
}

// offerLabel names a level for people: "output USB-C1 PD 20 V".
func offerLabel(l *schema.Level) string {
	return place.Label(l.Mode, l.Port, l.Protocol, l.Voltage.Quantity.String())
}

// take adds a value of the record, if it is said.
func (t *Taken) take(input string, v *schema.Value, p place.Path) {
	if v != nil {
		t.Given = append(t.Given, Given{Input: input, Quantity: v.Quantity, From: p.String(),
			Open: v.Status == schema.StatusOpen, Said: v.Said})
	}
}

// product adds the volts times the amperes of level i as a power, false where the
// level has not one of each.
func (t *Taken) product(r *schema.Record, input string, i int) bool {
	l := &r.Levels[i]
	if l.Current == nil || !single(&l.Voltage.Quantity, "V") || !single(&l.Current.Quantity, "A") {
		return false
	}
	volts, amperes := l.Voltage.Quantity.Low, l.Current.Quantity.Low
	g := Given{Input: input, Quantity: schema.One(volts.Mul(amperes).Trim(), "W"),
		From: place.Item("levels", i, "voltage").String() + " × " + place.Item("levels", i, "current").String(),
		Open: l.Voltage.Status == schema.StatusOpen || l.Current.Status == schema.StatusOpen}
	for _, o := range otherSingles(r, &l.Voltage) {
		g.others = append(g.others, schema.One(o.Low.Mul(amperes).Trim(), "W"))
	}
	for _, o := range otherSingles(r, l.Current) {
		g.others = append(g.others, schema.One(o.Low.Mul(volts).Trim(), "W"))
	}
	t.Given = append(t.Given, g)
	return true
}

// single reports whether a quantity is one number of a unit.
func single(q *schema.Quantity, u schema.Unit) bool { return !q.Range && q.Unit == u }

// otherSingles are the other single readings of an open value in its unit.
func otherSingles(r *schema.Record, v *schema.Value) []schema.Quantity {
	if v.Status != schema.StatusOpen {
		return nil
	}
	return slices.DeleteFunc(otherReadings(r, v.Said, v.Quantity), func(o schema.Quantity) bool {
		return !single(&o, v.Quantity.Unit)
	})
}

// number adds a count of the record.
func (t *Taken) number(input string, n int, p place.Path) {
	if n > 0 {
		t.Given = append(t.Given, Given{Input: input, Quantity: schema.One(schema.NewDecimal(int64(n), 0), "1"),
			From: p.String()})
	}
}

func absolute(d schema.Decimal) schema.Decimal {
	if d.Sign() < 0 {
		return d.Neg()
	}
	return d
}

// quo divides by a number known to be above zero.
func quo(a, b schema.Decimal) schema.Decimal {
	q, ok := a.Quo(b)
	if !ok {
		panic("validate: division by an input whose bounds exclude zero")
	}
	return q
}
