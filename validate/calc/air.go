package calc

import (
	"fmt"

	"saywatt/schema"
	"saywatt/validate/standard"
)

// airTravel places a power bank in the classes of passenger flights.
var airTravel = &Calculator{
	Name:     "air-travel",
	Doc:      "how a power bank may fly, by its energy",
	Formula:  "class by energy: up to 100 Wh, over 100 Wh to 160 Wh, over 160 Wh; banks against the number per person",
	Source:   "IATA DGR passenger provisions and ICAO Doc 9284 addendum 1, as in handbook 5.7 (R34, R34b-d)",
	Standing: standard.Verified,
	Assumptions: []string{
		"the energy is the one on the label, of one bank",
		"rules change and airlines are stricter: each sentence carries the date from which it holds, where the " +
			"source names one",
	},
	Cautions: []string{"S4", "S11"},
	Run:      runAirTravel,
	Take:     energyAlone,
}

func runAirTravel(a *Arguments) ([]Result, error) {
	energy, err := cellEnergy(a)
	if err != nil {
		return nil, err
	}
	banks, err := a.single("banks")
	if err != nil {
		return nil, err
	}
	class := airClass(energy)
	results := []Result{
		{Name: "verdict", Doc: "for that many of them", Text: airVerdict(energy, banks, class)},
		{Name: "energy", Doc: "energy of one bank", Quantity: schema.One(energy, "W.h")},
		{Name: "class", Doc: "class", Text: class.Get("class")},
		{Name: "cabin", Doc: "hand baggage", Text: class.Get("cabin")},
		{Name: "hold", Doc: "checked baggage", Text: class.Get("hold")},
	}
	for _, r := range deskKnowledge().air.Rows {
		if r.Get("class") != "all" {
			continue
		}
		text := fmt.Sprintf("since %s: %s (%s)", r.Get("since"), r.Get("cabin"),
			schema.PlainSource(r.Get("source")))
		results = append(results, Result{Name: "also", Doc: "for every class", Text: text})
	}
	return results, nil
}

// airVerdict says whether so many banks of an energy in W.h may go with one
// person.
func airVerdict(energy, banks schema.Decimal, class schema.Row) string {
	what := schema.One(energy, "W.h").String()
	if banks.Equal(schema.NewDecimal(1, 0)) {
		what = "one bank of " + what
	} else {
		what = banks.String() + " banks of " + what + " each"
	}
	most := standard.Exact("air.banks").Low
	switch {
	case energy.Cmp(standard.Exact("air.approval").Low) > 0:
		return what + ": no, " + class.Get("cabin")
	case banks.Cmp(most) > 0:
		return fmt.Sprintf("%s: no, at most %s per person", what, most)
	case energy.Cmp(standard.Exact("air.free").Low) > 0:
		return what + ": only with the approval of the airline"
	}
	return what + ": yes, in the cabin"
}

// airClass is the row of tables/air_travel.tsv for an energy in W.h.
func airClass(energy schema.Decimal) schema.Row {
	for _, r := range deskKnowledge().air.Rows {
		above, to := r.Get("above"), r.Get("up_to")
		if above == "-" || energy.Cmp(schema.MustDecimal(above)) <= 0 {
			continue
		}
		if to == "-" || energy.Cmp(schema.MustDecimal(to)) <= 0 {
			return r
		}
	}
	panic("air_travel.tsv has no class for " + energy.String())
}
