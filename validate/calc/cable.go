package calc

import (
	"fmt"
	"slices"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// cableDrop is what a cable takes.
var cableDrop = &Calculator{
	Name: "cable-drop",
	Doc:  "voltage drop and loss of a cable",
	Formula: "R = 2 × length × r(awg) / parallel × (1 + 0.393 %/K × (temperature − 20 °C)) + contacts; drop = " +
		"current × R; loss = current² × R",
	Source: "wire table (R29) with ASTM B258; limits: USB Type-C 4.4.1 (R14); temperature coefficient of copper " +
		"unverified; contacts common practice, no source",
	Standing: standard.Verified,
	Assumptions: []string{
		"supply and return have the same gauge and length",
		"solid copper; stranded wire runs 2 % to 6 % higher",
	},
	Cautions: []string{"S14"},
	Run:      runCableDrop,
	Take:     takeCable,
}

func runCableDrop(a *Arguments) ([]Result, error) {
	x, err := a.singles("awg", "length", "current", "parallel", "contacts", "temperature")
	if err != nil {
		return nil, err
	}
	length, current := x[1], x[2]
	ohm, ok := wire(x[0])
	if !ok {
		return nil, a.refuse("awg", ErrInputImpossible, "not in the wire table")
	}
	copper := quo(length.Mul(ohm).Mul(schema.NewDecimal(2, 0)).Shift(-3), x[3])
	rise := x[5].Sub(constant("copper.reference")).Mul(constant("copper.coefficient")).Shift(-2)
	copper = copper.Mul(schema.NewDecimal(1, 0).Add(rise))
	loop := copper.Add(x[4].Shift(-3)).Trim()
	drop := current.Mul(loop).Trim()
	loss := drop.Mul(current).Trim()
	limit := constant("cable.drop")
	word := "within"
	if drop.Cmp(limit) > 0 {
		word = "above"
	}
	results := []Result{
		{Name: "loop_resistance", Doc: "out and back with contacts",
			Quantity: schema.One(loop.Shift(3).Trim(), "mOhm")},
		{Name: "drop", Doc: "voltage drop", Quantity: schema.One(drop, "V"),
			Text: fmt.Sprintf("%s the %s that USB Type-C allows a cable at its rated current", word,
				schema.One(limit, "V"))},
		{Name: "loss", Doc: "heat in the cable", Quantity: schema.One(loss, "W")},
	}
	if !a.has("voltage") {
		return results, nil
	}
	voltage, err := a.single("voltage")
	if err != nil {
		return nil, err
	}
	if drop.Cmp(voltage) >= 0 {
		return nil, a.refuse("current", ErrInputImpossible,
			fmt.Sprintf("the cable alone would drop %s of the %s", schema.One(drop, "V"), schema.One(voltage, "V")))
	}
	return append(results,
		Result{Name: "end_voltage", Doc: "at the far end", Quantity: schema.One(voltage.Sub(drop).Trim(), "V")},
		Result{Name: "loss_share", Doc: "share of the power lost",
			Quantity: schema.One(quo(drop.Shift(2), voltage), "%")}), nil
}

// wire is the resistance of a gauge number in Ohm/km.
func wire(awg schema.Decimal) (schema.Decimal, bool) {
	r, ok := deskKnowledge().wires[int(awg.Float64())]
	return r, ok
}

// takeCable offers the cable of a record with its thickest conductor, the
// smallest gauge number: that is the power conductor.
func takeCable(r *schema.Record) []Taken {
	c := r.Cable
	if c == nil || c.Length == nil && len(c.Gauge) == 0 {
		return nil
	}
	t := Taken{Label: "cable"}
	if len(c.Gauge) > 0 {
		t.Given = append(t.Given, Given{Input: "awg",
			Quantity: schema.One(schema.NewDecimal(int64(slices.Min(c.Gauge)), 0), "{AWG}"), From: "cable.gauge"})
	}
	t.take("length", c.Length, place.Field("cable.length"))
	t.take("current", c.Current, place.Field("cable.current"))
	t.take("voltage", c.Voltage, place.Field("cable.voltage"))
	return []Taken{t}
}

// conductionLoss is the heat in a switch that is on.
var conductionLoss = &Calculator{
	Name:     "conduction-loss",
	Doc:      "conduction loss of a MOSFET",
	Formula:  "P = current² × duty × on_resistance × hot_factor / parallel",
	Source:   "Joule's law; hot factor: handbook 8.1 I12, common practice, no source",
	Standing: standard.Computed,
	Assumptions: []string{
		"the current is a rectangle: its RMS value is current × √duty",
		"parts in parallel share the current evenly",
		"no switching, gate or diode loss",
	},
	Run:  runConductionLoss,
	Take: takeSwitches,
}

func runConductionLoss(a *Arguments) ([]Result, error) {
	x, err := a.singles("current", "on_resistance", "duty", "hot_factor", "parallel")
	if err != nil {
		return nil, err
	}
	current, resistance, duty, hot, parallel := x[0], x[1].Shift(-3), x[2].Shift(-2), x[3], x[4]
	total := quo(current.Mul(current).Mul(duty).Mul(resistance).Mul(hot), parallel)
	return []Result{
		{Name: "loss", Doc: "all parts together", Quantity: schema.One(total.Trim(), "W")},
		{Name: "loss_each", Doc: "each part", Quantity: schema.One(quo(total, parallel), "W")},
		{Name: "drop", Doc: "voltage drop while on, hot",
			Quantity: schema.One(quo(current.Mul(resistance).Mul(hot), parallel), "V")},
	}, nil
}

// takeSwitches offers the port switches of a record at the highest output
// current given.
func takeSwitches(r *schema.Record) []Taken {
	var current *schema.Value
	var path place.Path
	for i := range r.Levels {
		l := &r.Levels[i]
		if place.IsInput(l.Mode) || l.Current == nil ||
			current != nil && l.Current.Quantity.SI() <= current.Quantity.SI() {
			continue
		}
		current, path = l.Current, place.Item("levels", i, "current")
	}
	var taken []Taken
	for i := range r.Components {
		c := &r.Components[i]
		if c.Kind != "port switch MOSFET" {
			continue
		}
		for j := range c.Ratings {
			if c.Ratings[j].Property != "on_resistance" {
				continue
			}
			t := Taken{Label: place.Label(c.Kind, c.Part)}
			t.take("on_resistance", &c.Ratings[j].Value, place.Rating(i, j))
			t.take("current", current, path)
			taken = append(taken, t)
		}
	}
	return taken
}
