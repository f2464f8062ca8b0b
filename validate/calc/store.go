package calc

import (
	"math"
	"strconv"

	"saywatt/internal/knowledge"
	"saywatt/schema"
	"saywatt/validate/standard"
)

// cRate is a cell's current over its charge.
var cRate = &Calculator{
	Name: "c-rate",
	Doc: "how fast a cell is charged or emptied: its current over its charge, and the current at the end of " +
		"discharge",
	Formula:  "current = power / (efficiency × series × voltage × parallel); rate = current / capacity",
	Source:   "definition; handbook 8.1 I22, I23",
	Standing: standard.Computed,
	Assumptions: []string{"voltage is that of one cell: the nominal one, or the cut-off for the worst case",
		"cells in parallel share the current evenly"},
	Cautions: []string{"S4"},
	Run: func(a *Arguments) ([]Result, error) {
		x, err := a.singles("power", "capacity", "voltage", "series", "parallel", "efficiency")
		if err != nil {
			return nil, err
		}
		current := quo(x[0].Shift(2), x[5].Mul(x[3]).Mul(x[2]).Mul(x[4]))
		return []Result{
			{Name: "current", Doc: "current of one cell", Quantity: schema.One(current, "A")},
			{Name: "rate", Doc: "current over charge, C", Quantity: schema.One(quo(current.Shift(3), x[1]),
				"1"), Text: "times its charge in an hour"},
		}, nil
	},
	Take: takeCell,
}

// phoneRefills is how often a bank fills a device.
var phoneRefills = &Calculator{
	Name:     "refills",
	Doc:      "how often a power bank fills a phone",
	Formula:  "energy × efficiency / device",
	Source:   "conservation of energy; efficiency of bank and phone together common practice, no source",
	Standing: standard.Practice,
	Assumptions: []string{"the phone is off, and filled from empty",
		"what the phone's own charging circuit wastes is in the efficiency"},
	Cautions: []string{"S4"},
	Run: func(a *Arguments) ([]Result, error) {
		energy, x, err := cellEnergyWith(a, "device", "efficiency")
		if err != nil {
			return nil, err
		}
		return []Result{{Name: "refills", Doc: "refills", Quantity: schema.One(quo(energy.Mul(x[1]),
			x[0].Shift(2)), "1")}}, nil
	},
	Take: energyAlone,
}

// energyPrice is what a watt-hour costs.
var energyPrice = &Calculator{
	Name:        "energy-price",
	Doc:         "what a watt-hour of a power bank costs",
	Formula:     "price / energy",
	Source:      "by definition",
	Standing:    standard.Computed,
	Assumptions: []string{"the price is in any currency, and so is the result"},
	Run: func(a *Arguments) ([]Result, error) {
		energy, err := cellEnergy(a)
		if err != nil {
			return nil, err
		}
		price, err := a.single("price")
		if err != nil {
			return nil, err
		}
		each := quo(price, energy)
		return []Result{
			{Name: "each_watt_hour", Doc: "price of a watt-hour", Quantity: schema.One(each, "1"),
				Text: "in the currency of the price"},
			{Name: "each_kilowatt_hour", Doc: "price of a kilowatt-hour", Quantity: schema.One(each.Shift(3),
				"1"), Text: "in the currency of the price"},
		}, nil
	},
	Take: energyAlone,
}

// nearestValue is the preferred number next to a value.
var nearestValue = &Calculator{
	Name:        "nearest-value",
	Doc:         "the preferred numbers next to a value",
	Formula:     "the members of the series, times powers of ten, below, above and nearest by ratio",
	Source:      "IEC 60063:2015 Tables 1 and 2 (R23); R series ISO 3 and ISO 17, unverified",
	Standing:    standard.Verified,
	Assumptions: []string{"nearest is by ratio, as the series are made"},
	Run: func(a *Arguments) ([]Result, error) {
		v, err := a.single("value")
		if err != nil {
			return nil, err
		}
		name := a.text("series")
		if name == "" {
			name = "E24"
		}
		below, above, ok := seriesAround(name, v)
		if !ok {
			return nil, a.refuse("series", ErrInputImpossible, "it is E3, E6, E12, E24, E48, E96, R5, R10 or R20")
		}
		best := below
		if quo(v, below).Cmp(quo(above, v)) > 0 {
			best = above
		}
		word := "a member of " + name
		if !best.Equal(v) {
			word = "no member of " + name
		}
		return []Result{
			{Name: "nearest", Doc: "nearest member", Quantity: schema.One(best, "1"), Text: word},
			{Name: "below", Doc: "next below, or itself", Quantity: schema.One(below, "1")},
			{Name: "above", Doc: "next above, or itself", Quantity: schema.One(above, "1")},
		}, nil
	},
	Take: takeValues,
}

// seriesAround gives the members of a series around a value above zero: the
// greatest that is no greater, and the least that is no less.
func seriesAround(name string, v schema.Decimal) (below, above schema.Decimal, ok bool) {
	ten := schema.NewDecimal(10, 0)
	shift := 0
	n := v
	for ; n.Cmp(ten) >= 0; shift++ {
		n = n.Shift(-1)
	}
	for ; n.Cmp(schema.NewDecimal(1, 0)) < 0; shift-- {
		n = n.Shift(1)
	}
	for _, r := range knowledge.Series().Rows {
		if r.Get("series") != name {
			continue
		}
		ok, above = true, ten
		for _, s := range r.List("values") {
			m := schema.MustDecimal(s)
			for m.Cmp(ten) >= 0 {
				m = m.Shift(-1)
			}
			if m.Cmp(n) <= 0 {
				below = m
			}
			if m.Cmp(n) >= 0 && m.Cmp(above) < 0 {
				above = m
			}
		}
	}
	return below.Shift(shift).Trim(), above.Shift(shift).Trim(), ok
}

// wireGauge converts between gauge numbers and areas.
var wireGauge = &Calculator{
	Name:        "wire-gauge",
	Doc:         "diameter, area and resistance of a wire gauge, or the gauge next to an area",
	Formula:     "row of the wire table; the gauge whose area is nearest by ratio",
	Source:      "published wire table (R29), ASTM B258",
	Standing:    standard.Verified,
	Assumptions: []string{"solid copper at 20 °C; stranded wire has 2 to 6 % more resistance"},
	Run: func(a *Arguments) ([]Result, error) {
		if a.has("gauge") == a.has("area") {
			return nil, a.refuse("gauge", ErrInputMissing, "give a gauge or an area")
		}
		rows := standard.WireGauges().Rows
		if a.has("gauge") {
			g, err := a.single("gauge")
			if err != nil {
				return nil, err
			}
			for _, r := range rows {
				if r.Get("awg") == g.Trim().String() {
					return wireResults(r), nil
				}
			}
			return nil, a.refuse("gauge", ErrInputImpossible,
				"the table goes from "+rows[0].Get("awg")+" to "+rows[len(rows)-1].Get("awg"))
		}
		area, err := a.single("area")
		if err != nil {
			return nil, err
		}
		apart := func(r schema.Row) float64 {
			return math.Abs(math.Log(area.Float64() / schema.MustDecimal(r.Get("area_mm2")).Float64()))
		}
		best := rows[0]
		for _, r := range rows {
			if apart(r) < apart(best) {
				best = r
			}
		}
		return wireResults(best), nil
	},
	Take: takeGauges,
}

func wireResults(r schema.Row) []Result {
	return []Result{
		{Name: "gauge", Doc: "wire gauge", Text: "AWG " + strconv.Itoa(atoi(r.Get("awg")))},
		{Name: "diameter", Doc: "diameter", Quantity: schema.One(schema.MustDecimal(r.Get("diameter_mm")), "mm")},
		{Name: "area", Doc: "area", Quantity: schema.One(schema.MustDecimal(r.Get("area_mm2")), "mm2")},
		{Name: "resistance", Doc: "resistance of one conductor",
			Quantity: schema.One(schema.MustDecimal(r.Get("ohm_per_km")), "Ohm/km")},
	}
}
