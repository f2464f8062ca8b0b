package calc

import (
	"saywatt/schema"
	"saywatt/validate/standard"
)

// efficiencyFloor is the least efficiency that the law asks of a supply.
var efficiencyFloor = &Calculator{
	Name:    "efficiency-floor",
	Doc:     "least average efficiency, and most power without load, that the law asks of a power supply",
	Formula: "floor = a × ln(power) + b × power + c, with a, b, c of the band of power; efficiency against it",
	Source: "Regulation (EU) 2019/1782 Annex II (R28); Code of Conduct version 5 tier 2, 10 CFR 430.32(w) level VI " +
		"unverified; worked values: handbook 11.4 W81 to W83",
	Standing: standard.Verified,
	Assumptions: []string{
		"the efficiency of the law is the mean at 25, 50, 75 and 100 % of the rated current, not that at one load",
		"law: eu where not given, coc for tier 2 of the EU Code of Conduct, doe for the US level VI",
		"kind: ac-dc for one output, low for one output below 6 V with 0.55 A or more, multiple for several " +
			"outputs at once",
	},
	Run: runEfficiencyFloor,
	Take: func(r *schema.Record) []Taken {
		v, at, ok := claimedPower(r)
		if !ok {
			return nil
		}
		t := Taken{Label: "output"}
		t.take("power", v, at)
		return []Taken{t}
	},
}

func runEfficiencyFloor(a *Arguments) ([]Result, error) {
	power, err := a.single("power")
	if err != nil {
		return nil, err
	}
	kind := a.text("kind")
	if kind == "" {
		kind = "ac-dc"
	}
	law := a.text("law")
	if law == "" {
		law = standard.LawEU
	}
	row, ok := floorOf(law, kind, power)
	if !ok {
		return nil, a.refuse("kind", ErrInputImpossible,
			"it is ac-dc, low or multiple, of the law eu or coc up to 250 W, or doe; coc has no multiple")
	}
	floor := row.floor(power).Shift(2)
	results := []Result{
		{Name: "floor", Doc: "least average efficiency", Quantity: schema.One(floor, "%")},
		{Name: "no_load_most", Doc: "most power without load", Quantity: schema.One(row.noload, "W")},
	}
	for _, given := range []struct {
		input, result, doc string
		unit               schema.Unit
		bound              schema.Decimal
		above              bool
	}{
		{"efficiency", "efficiency_margin", "efficiency above the floor", "%", floor, true},
		{"no_load", "no_load_margin", "power without load below the most", "W", row.noload, false},
	} {
		if !a.has(given.input) {
			continue
		}
		x, err := a.single(given.input)
		if err != nil {
			return nil, err
		}
		margin := x.Sub(given.bound)
		if !given.above {
			margin = margin.Neg()
		}
		word := "keeps the bound"
		if margin.Sign() < 0 {
			word = "misses the bound"
		}
		results = append(results, Result{Name: given.result, Doc: given.doc, Quantity: schema.One(margin,
			given.unit), Text: word})
	}
	return results, nil
}

// efficiencyFloorRow is a row of efficiency_floors.tsv.
type efficiencyFloorRow struct{ log, linear, constant, noload schema.Decimal }

// floor is the least efficiency at a power in W, of 1.
func (f efficiencyFloorRow) floor(power schema.Decimal) schema.Decimal {
	x := f.constant.Add(f.linear.Mul(power))
	if !f.log.IsZero() {
		x = x.Add(f.log.Mul(lnDecimal(power)))
	}
	return x
}

// floorOf gives the row of a law for a kind of supply and a power in W.
func floorOf(law, kind string, power schema.Decimal) (efficiencyFloorRow, bool) {
	for _, r := range standard.EfficiencyFloors().Rows {
		if r.Get("law") != law || r.Get("kind") != kind || power.Cmp(schema.MustDecimal(r.Get("over"))) <= 0 {
			continue
		}
		if upto := r.Get("upto"); upto != "-" && power.Cmp(schema.MustDecimal(upto)) > 0 {
			continue
		}
		return efficiencyFloorRow{schema.MustDecimal(r.Get("log")), schema.MustDecimal(r.Get("linear")),
			schema.MustDecimal(r.Get("constant")), schema.MustDecimal(r.Get("noload"))}, true
	}
	return efficiencyFloorRow{}, false
}

// xDischarge is how fast the X capacitors of an unplugged supply empty.
var xDischarge = &Calculator{
	Name:     "x-discharge",
	Doc:      "time in which the X capacitors of an unplugged supply fall to a safe voltage, and the resistor for it",
	Formula:  "t = resistance × capacitance × ln(√2 × mains / 60 V)",
	Source:   "discharge of a capacitor; 60 V within 2 s above 300 nF: IEC 62368-1 §5.5.2.2, unverified",
	Standing: standard.Unverified,
	Assumptions: []string{
		"the plug is drawn at the peak of the mains",
		"only the resistor discharges: a chip that does it is not looked at",
	},
	Cautions: []string{"S1", "S3"},
	Run: func(a *Arguments) ([]Result, error) {
		x, err := a.singles("capacitance", "mains")
		if err != nil {
			return nil, err
		}
		ratio := quo(x[1].Mul(sqrtDecimal(schema.NewDecimal(2, 0))), constant("discharge.voltage"))
		if ratio.Cmp(schema.NewDecimal(1, 0)) <= 0 {
			return []Result{{Name: "time", Doc: "time to the safe voltage",
				Text: "none: the peak of the mains is no higher"}}, nil
		}
		logarithm := lnDecimal(ratio)
		most := quo(constant("discharge.time"), x[0].Mul(logarithm)) // Ohm × 10^6, as C is in uF
		results := []Result{{Name: "resistance_most", Doc: "greatest resistance that is fast enough",
			Quantity: schema.One(most.Shift(3), "kOhm")}}
		if !a.has("resistance") {
			return results, nil
		}
		r, err := a.single("resistance")
		if err != nil {
			return nil, err
		}
		t := r.Mul(x[0]).Mul(logarithm).Shift(-3)
		word := "fast enough: at most 2 s"
		if t.Cmp(constant("discharge.time")) > 0 {
			word = "too slow: more than 2 s"
		}
		return append(results, Result{Name: "time", Doc: "time to the safe voltage", Quantity: schema.One(t,
			"s"), Text: word}), nil
	},
	Take: takeLineCapacitors,
}

// yLeakage is the current that Y capacitors let through to whoever touches.
var yLeakage = &Calculator{
	Name:    "y-leakage",
	Doc:     "touch current through the Y capacitors of a supply",
	Formula: "I = 2π × frequency × capacitance × mains",
	Source: "reactance of a capacitor; limits 0.5 mA (IEC 62368-1 Table 4, ES1) and before 0.25 mA (IEC 60950-1 " +
		"Table 5A), both unverified",
	Standing: standard.Unverified,
	Assumptions: []string{"the whole mains voltage lies across the capacitors together",
		"what leaks elsewhere is not looked at"},
	Cautions: []string{"S8"},
	Run: func(a *Arguments) ([]Result, error) {
		x, err := a.singles("capacitance", "mains", "frequency")
		if err != nil {
			return nil, err
		}
		perVolt := pi.Add(pi).Mul(x[1]).Mul(x[2])
		current := perVolt.Mul(x[0]).Shift(-6) // nF to mA
		limit, older := constant("touch.current"), constant("touch.current.older")
		word := "at most " + schema.One(older, "mA").String() + ", the limit of both standards"
		switch {
		case current.Cmp(limit) > 0:
			word = "above " + schema.One(limit, "mA").String() + ", the limit of IEC 62368-1"
		case current.Cmp(older) > 0:
			word = "at most " + schema.One(limit, "mA").String() + ", above the " + schema.One(older, "mA").String() +
				" of the older standard"
		}
		return []Result{
			{Name: "current", Doc: "touch current", Quantity: schema.One(current.Round(30), "mA"), Text: word},
			{Name: "capacitance_most", Doc: "capacitance that keeps the limit",
				Quantity: schema.One(quo(limit.Shift(6), perVolt), "nF")},
		}, nil
	},
	Take: takeBridging,
}

// apparentPower relates volt-amperes, watts and power factor.
var apparentPower = &Calculator{
	Name:     "apparent-power",
	Doc:      "volt-amperes, watts and power factor of a load on the mains",
	Formula:  "apparent = voltage × current; factor = power / apparent",
	Source:   "definition (IEC 60050-131)",
	Standing: standard.Computed,
	Assumptions: []string{"voltage and current are effective values, as meters show them",
		"of a record: a level for a range of voltages draws its current at the lowest"},
	Run: func(a *Arguments) ([]Result, error) {
		x, err := a.singles("voltage", "current")
		if err != nil {
			return nil, err
		}
		apparent := x[0].Mul(x[1])
		results := []Result{{Name: "apparent", Doc: "apparent power", Quantity: schema.One(apparent.Trim(), "V.A")}}
		if !a.has("power") {
			return results, nil
		}
		p, err := a.single("power")
		if err != nil {
			return nil, err
		}
		r := Result{Name: "factor", Doc: "power factor", Quantity: schema.One(quo(p, apparent), "1")}
		if p.Cmp(apparent) > 0 {
			r.Text = "above 1, which is impossible: one of the readings is wrong"
		}
		return append(results, r), nil
	},
	Take: takeMains,
}

// holdUp is how long a bulk capacitor carries a load without mains.
var holdUp = &Calculator{
	Name:     "hold-up",
	Doc:      "capacitance for each watt, and how long a bulk capacitor carries the load when the mains is gone",
	Formula:  "t = capacitance × (full² − least²) / 2 × efficiency / power",
	Source:   "energy of a capacitor, handbook 8.1 I13; usual 1 to 2 µF a watt: handbook 4.9 (R27)",
	Standing: standard.Computed,
	Assumptions: []string{
		"full is the voltage at the moment when the mains goes; 325 V is the peak of 230 V",
		"least is where the converter stops",
	},
	Cautions: []string{"S1", "S3"},
	Run: func(a *Arguments) ([]Result, error) {
		x, err := a.singles("capacitance", "power", "full", "least", "efficiency")
		if err != nil {
			return nil, err
		}
		if x[2].Cmp(x[3]) <= 0 {
			return nil, a.refuse("least", ErrInputImpossible, "must be below the full voltage")
		}
		energy := x[0].Mul(x[2].Mul(x[2]).Sub(x[3].Mul(x[3]))) // 2 uJ
		t := quo(energy.Mul(x[4]), x[1].Shift(5)).Mul(schema.MustDecimal("0.5"))
		return []Result{
			{Name: "time", Doc: "hold-up time", Quantity: schema.One(t.Trim(), "ms")},
			{Name: "each_watt", Doc: "capacitance for each watt", Quantity: schema.One(quo(x[0], x[1]), "uF/W")},
		}, nil
	},
	Take: takeBulk,
}
