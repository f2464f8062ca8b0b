package calc

import (
	"fmt"
	"slices"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

const capacityAssumption = "capacity is the sum over the cells at single-cell voltage, as labels of power banks have it"

// packEnergy is cells to pack.
var packEnergy = &Calculator{
	Name: "pack-energy",
	Doc:  "energy, charge and voltage of a pack from its cells",
	Formula: "E = capacity × voltage × cells; pack voltage = series × voltage; pack charge = cells / series × " +
		"capacity",
	Source:   "E = Q × V, arithmetic (handbook 5.5 E1 and E2, R34)",
	Standing: standard.Verified,
	Assumptions: []string{
		"all cells are equal and the voltage is the nominal one that the capacity refers to",
		"with cells left at 1, capacity may as well be the label's sum over all cells",
	},
	Cautions: []string{"S4", "S5", "S11"},
	Run:      runPackEnergy,
	Take:     takePack,
}

func runPackEnergy(a *Arguments) ([]Result, error) {
	x, err := a.singles("capacity", "voltage", "cells", "series")
	if err != nil {
		return nil, err
	}
	capacity, voltage, cells, series := x[0], x[1], x[2], x[3]
	parallel := quo(cells, series)
	if !parallel.IsWhole() {
		return nil, a.refuse("series", ErrInputConflict, fmt.Sprintf("it must divide the %s cells", cells))
	}
	energy := capacity.Shift(-3).Mul(voltage).Mul(cells).Trim()
	return []Result{
		{Name: "energy", Doc: "energy of all cells", Quantity: schema.One(energy, "W.h")},
		{Name: "pack_voltage", Doc: "nominal voltage of the pack",
			Quantity: schema.One(series.Mul(voltage).Trim(), "V")},
		{Name: "pack_capacity", Doc: "charge of the pack at that voltage",
			Quantity: schema.One(parallel.Mul(capacity).Trim(), "mA.h")},
		{Name: "label_capacity", Doc: "sum over the cells at single-cell voltage",
			Quantity: schema.One(cells.Mul(capacity).Trim(), "mA.h")},
		{Name: "air_travel", Doc: "class for passenger flights", Text: airClass(energy).Get("class")},
	}, nil
}

func takePack(r *schema.Record) []Taken {
	if r.Battery == nil || r.Battery.Cell.Capacity == nil || r.Battery.Cell.Voltage == nil {
		return nil
	}
	c := &r.Battery.Cell
	t := Taken{Label: "battery"}
	t.take("capacity", c.Capacity, place.Field("battery.cell.capacity"))
	t.take("voltage", c.Voltage, place.Field("battery.cell.voltage"))
	t.number("cells", c.Count, place.Field("battery.cell.count"))
	t.number("series", c.Series, place.Field("battery.cell.series"))
	return []Taken{t}
}

// usableEnergy is what comes out at a level.
var usableEnergy = &Calculator{
	Name:     "usable-energy",
	Doc:      "energy and charge that a pack gives at an output voltage",
	Formula:  "E out = energy × efficiency; charge out = E out / output voltage",
	Source:   "E = Q × V and conservation of energy (handbook 5.6 and 8.1 I11, R33)",
	Standing: standard.Verified,
	Assumptions: []string{
		capacityAssumption,
		"the efficiency stands for conversion, cut-off, protection and leads together",
	},
	Cautions: []string{"S4"},
	Run:      runUsableEnergy,
	Take:     takeUsable,
}

func runUsableEnergy(a *Arguments) ([]Result, error) {
	energy, x, err := cellEnergyWith(a, "output_voltage", "efficiency")
	if err != nil {
		return nil, err
	}
	out := energy.Mul(x[1]).Shift(-2).Trim()
	lossless := quo(energy.Shift(3), x[0])
	results := []Result{
		{Name: "usable_energy", Doc: "energy out", Quantity: schema.One(out, "W.h")},
		{Name: "usable_capacity", Doc: "charge out at the output voltage",
			Quantity: schema.One(quo(out.Shift(3), x[0]), "mA.h")},
		{Name: "lossless_capacity", Doc: "the same without losses, a bound", Quantity: schema.One(lossless, "mA.h")},
	}
	if a.has("capacity") {
		capacity, err := a.single("capacity")
		if err != nil {
			return nil, err
		}
		results = append(results, Result{Name: "share", Doc: "charge out over charge of the cells",
			Quantity: schema.One(quo(quo(out.Shift(3), x[0]).Shift(2), capacity), "%")})
	}
	if !a.has("rated") {
		return results, nil
	}
	rated, err := a.single("rated")
	if err != nil {
		return nil, err
	}
	implied := schema.One(quo(rated.Shift(2), lossless), "%")
	verdict := "possible: the cells hold enough for it"
	if rated.Cmp(lossless) > 0 {
		verdict = fmt.Sprintf("impossible: the cells hold %s, which is at most %s at %s",
			schema.One(energy, "W.h"), schema.One(lossless.Round(0), "mA.h"), schema.One(x[0], "V"))
	}
	return append(results,
		Result{Name: "rated_efficiency", Doc: "efficiency that the rated charge implies", Quantity: implied},
		Result{Name: "verdict", Doc: "whether the rated charge can be",
			Text: fmt.Sprintf("%s at %s is %s", schema.One(rated, "mA.h"), schema.One(x[0], "V"), verdict)}), nil
}

func takeUsable(r *schema.Record) []Taken {
	energy, ok := takeEnergy(r)
	if !ok {
		return nil
	}
	if v := r.Battery.Rated.Voltage; v != nil {
		t := energy.extended("rated output")
		t.take("output_voltage", v, place.Field("battery.rated.voltage"))
		t.take("rated", r.Battery.Rated.Capacity, place.Field("battery.rated.capacity"))
		return []Taken{t}
	}
	var taken []Taken
	for i := range r.Levels {
		if l := &r.Levels[i]; !place.IsInput(l.Mode) && !l.Voltage.Quantity.Range {
			t := energy.extended(offerLabel(l))
			t.take("output_voltage", &l.Voltage, place.Item("levels", i, "voltage"))
			taken = append(taken, t)
		}
	}
	return orAlone(taken, energy)
}

// rechargeTime is the time to fill with constant power, then a taper.
var rechargeTime = &Calculator{
	Name:    "recharge-time",
	Doc:     "time to charge a pack, with the constant-voltage taper",
	Formula: "t = energy / (efficiency × power) × (s + (1−s) × ln(1/e) / (1−e)), s = taper_start, e = taper_end",
	Source: "conservation of energy for the least time (handbook 8.1 I20); usual ratio of 1.15 to 1.6 and " +
		"exponential taper common practice, no source",
	Standing: standard.Practice,
	Assumptions: []string{
		capacityAssumption,
		"full power until the state of charge taper_start, then constant voltage with the current falling " +
			"exponentially to the share taper_end",
		"the cells start empty, and no power goes through to an output",
	},
	Cautions: []string{"S4"},
	Run:      runRechargeTime,
	Take:     takeRecharge,
}

func runRechargeTime(a *Arguments) ([]Result, error) {
	energy, err := cellEnergy(a)
	if err != nil {
		return nil, err
	}
	power, err := inputPower(a)
	if err != nil {
		return nil, err
	}
	x, err := a.singles("efficiency", "taper_start", "taper_end")
	if err != nil {
		return nil, err
	}
	least := quo(energy.Shift(2), x[0].Mul(power))
	ratio := taper(x[1].Shift(-2), x[2].Shift(-2))
	usual := standard.Exact("charge.taper")
	return []Result{
		{Name: "power", Doc: "input power", Quantity: schema.One(power.Trim(), "W")},
		{Name: "least_time", Doc: "at full power to the end", Quantity: schema.One(least, "h")},
		{Name: "time", Doc: "with the taper", Quantity: schema.One(least.Mul(ratio).Round(timeDigits).Trim(), "h")},
		{Name: "ratio", Doc: "time over least time", Quantity: schema.One(ratio.Round(timeDigits).Trim(), "1"),
			Text: fmt.Sprintf("usual: %s to %s", usual.Low, usual.High)},
	}, nil
}

// timeDigits is where results of a logarithm are cut, far below any meaning.
const timeDigits = 12

// taper is the ratio of charge time to energy over power: s of the charge at
// full current I, the rest at a current falling as exp(−t/τ) to e·I. The tail
// carries (1−s)·Q = I·τ·(1−e), so τ = (1−s)·Q / (I·(1−e)), and takes
// τ·ln(1/e). With e = 1 nothing falls, and the ratio is 1.
func taper(s, e schema.Decimal) schema.Decimal {
	one := schema.NewDecimal(1, 0)
	if e.Equal(one) {
		return one
	}
	return s.Add(quo(one.Sub(s).Mul(lnDecimal(quo(one, e))), one.Sub(e)))
}

// lnDecimal is the natural logarithm of a positive number.
func lnDecimal(x schema.Decimal) schema.Decimal {
	l, _ := x.Ln()
	return l
}

func takeRecharge(r *schema.Record) []Taken {
	energy, ok := takeEnergy(r)
	if !ok {
		return nil
	}
	var taken []Taken
	for i := range r.Levels {
		l := &r.Levels[i]
		if !place.IsInput(l.Mode) || l.Voltage.Quantity.Range {
			continue
		}
		t := energy.extended(offerLabel(l))
		switch {
		case l.Power != nil:
			t.take("power", l.Power, place.Item("levels", i, "power"))
		case l.Current != nil:
			t.take("input_voltage", &l.Voltage, place.Item("levels", i, "voltage"))
			t.take("input_current", l.Current, place.Item("levels", i, "current"))
		default:
			continue
		}
		taken = append(taken, t)
	}
	return orAlone(taken, energy)
}

// runtimeAtLoad is how long a pack feeds a load.
var runtimeAtLoad = &Calculator{
	Name:     "runtime",
	Doc:      "how long a pack feeds a load",
	Formula:  "t = energy × (1 − reserve) × efficiency / (load + own_use × efficiency)",
	Source:   "conservation of energy; efficiency: handbook 8.4, common practice, no source",
	Standing: standard.Practice,
	Assumptions: []string{
		capacityAssumption,
		"from a record: the loads are the levels that the cells feed, those of the battery mode where the product " +
			"has one",
		"the load is constant; the product's own use is drawn from the cells, beside the converter",
	},
	Cautions: []string{"S4"},
	Run:      runRuntime,
	Take:     takeRuntime,
}

func runRuntime(a *Arguments) ([]Result, error) {
	energy, x, err := cellEnergyWith(a, "load", "efficiency", "own_use", "reserve")
	if err != nil {
		return nil, err
	}
	hundred := schema.NewDecimal(100, 0)
	efficiency := x[1].Shift(-2)
	given := energy.Mul(hundred.Sub(x[3])).Shift(-2).Mul(efficiency).Trim()
	hours := quo(given, x[0].Add(x[2].Mul(efficiency)))
	return []Result{
		{Name: "time", Doc: "until the cells are down to the reserve", Quantity: schema.One(hours, "h")},
		{Name: "energy_out", Doc: "energy to the load",
			Quantity: schema.One(hours.Mul(x[0]).Round(timeDigits).Trim(), "W.h")},
	}, nil
}

func takeRuntime(r *schema.Record) []Taken {
	energy, ok := takeEnergy(r)
	if !ok {
		return nil
	}
	var taken []Taken
	for i := range r.Levels {
		l := &r.Levels[i]
		if place.IsInput(l.Mode) || !fromBattery(r, l.Mode) {
			continue
		}
		t := energy.extended(offerLabel(l))
		if l.Power != nil {
			t.take("load", l.Power, place.Item("levels", i, "power"))
		} else if !t.product(r, "load", i) {
			continue
		}
		taken = append(taken, t)
	}
	return orAlone(taken, energy)
}

// fromBattery reports whether a mode feeds from the cells: the mode "battery"
// of a product that has it, else any that is neither on mains nor passes
// through.
func fromBattery(r *schema.Record, mode string) bool {
	battery := func(mode string) bool {
		product, _ := place.ModeOf(mode)
		return product == "battery"
	}
	if slices.ContainsFunc(r.Levels, func(l schema.Level) bool { return battery(l.Mode) && !place.IsInput(l.Mode) }) {
		return battery(mode)
	}
	product, _ := place.ModeOf(mode)
	return product != "mains" && product != "pass-through"
}

// cellEnergyWith is cellEnergy with other inputs, a number each.
func cellEnergyWith(a *Arguments, names ...string) (schema.Decimal, []schema.Decimal, error) {
	energy, err := cellEnergy(a)
	if err != nil {
		return energy, nil, err
	}
	x, err := a.singles(names...)
	return energy, x, err
}

// cellEnergy is the energy input, or capacity × voltage.
func cellEnergy(a *Arguments) (schema.Decimal, error) {
	if a.has("energy") {
		return a.single("energy")
	}
	for _, in := range []string{"capacity", "voltage"} {
		if !a.has(in) {
			return schema.Decimal{}, a.refuse("energy", ErrInputMissing, "give it, or capacity and voltage")
		}
	}
	x, err := a.singles("capacity", "voltage")
	if err != nil {
		return schema.Decimal{}, err
	}
	return x[0].Shift(-3).Mul(x[1]).Trim(), nil
}

// inputPower is the power input, or input voltage × input current.
func inputPower(a *Arguments) (schema.Decimal, error) {
	if a.has("power") {
		return a.single("power")
	}
	if !a.has("input_voltage") || !a.has("input_current") {
		return schema.Decimal{}, a.refuse("power", ErrInputMissing, "give it, or input-voltage and input-current")
	}
	x, err := a.singles("input_voltage", "input_current")
	if err != nil {
		return schema.Decimal{}, err
	}
	return x[0].Mul(x[1]), nil
}

// takeEnergy finds the energy of the cells in a record: of the pack if given,
// else charge and voltage of the pack, else of all cells.
func takeEnergy(r *schema.Record) (Taken, bool) {
	t := Taken{Label: "battery"}
	b := r.Battery
	switch {
	case b == nil:
		return t, false
	case b.Pack.Energy != nil:
		t.take("energy", b.Pack.Energy, place.Field("battery.pack.energy"))
	case b.Pack.Capacity != nil && b.Pack.Voltage != nil:
		t.take("capacity", b.Pack.Capacity, place.Field("battery.pack.capacity"))
		t.take("voltage", b.Pack.Voltage, place.Field("battery.pack.voltage"))
	case b.Pack.Capacity != nil && b.Cell.Voltage != nil:
		t.take("capacity", b.Pack.Capacity, place.Field("battery.pack.capacity"))
		t.take("voltage", b.Cell.Voltage, place.Field("battery.cell.voltage"))
	case b.Cell.Capacity != nil && b.Cell.Voltage != nil && !b.Cell.Capacity.Quantity.Range:
		q := b.Cell.Capacity.Quantity
		n := schema.NewDecimal(int64(max(b.Cell.Count, 1)), 0)
		g := Given{Input: "capacity", Quantity: schema.One(q.Low.Mul(n), q.Unit),
			From: "battery.cell.capacity", Open: b.Cell.Capacity.Status == schema.StatusOpen}
		for _, o := range otherSingles(r, b.Cell.Capacity) {
			g.others = append(g.others, schema.One(o.Low.Mul(n), o.Unit))
		}
		t.Given = append(t.Given, g)
		t.take("voltage", b.Cell.Voltage, place.Field("battery.cell.voltage"))
	default:
		return t, false
	}
	return t, true
}

// energyAlone takes the energy of the cells and nothing else.
func energyAlone(r *schema.Record) []Taken {
	if t, ok := takeEnergy(r); ok {
		return []Taken{t}
	}
	return nil
}

// orAlone is what was taken of each level, or the energy alone where there is none.
func orAlone(taken []Taken, energy Taken) []Taken {
	if taken == nil {
		return []Taken{energy}
	}
	return taken
}

// extended copies t under another label, to take more.
func (t Taken) extended(label string) Taken {
	return Taken{Label: label, Given: append([]Given(nil), t.Given...)}
}
