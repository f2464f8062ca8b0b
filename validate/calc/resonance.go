package calc

import (
	"saywatt/schema"
	"saywatt/validate/standard"
)

// resonance is the frequency of a coil with a capacitor.
var resonance = &Calculator{
	Name:     "resonance",
	Doc:      "frequency at which a coil and a capacitor resonate",
	Formula:  "f = 1 / (2π × √(inductance × capacitance))",
	Source:   "Thomson's formula",
	Standing: standard.Computed,
	Assumptions: []string{"losses are small",
		"leakage of a transformer, and what is coupled to the coil, are not looked at"},
	Run: func(a *Arguments) ([]Result, error) {
		x, err := a.singles("inductance", "capacitance")
		if err != nil {
			return nil, err
		}
		root := sqrtDecimal(x[0].Mul(x[1])) // of uH × nF = 10^-15 s²
		// 1 / (2π × root × 10^-7.5 s) in kHz
		f := quo(sqrtDecimal(schema.NewDecimal(10, 0)), pi.Add(pi).Mul(root)).Shift(4)
		return []Result{{Name: "frequency", Doc: "resonant frequency", Quantity: schema.One(f, "kHz")}}, nil
	},
	Take: takeResonant,
}

// sqrtDecimal is the square root of a number that is not negative.
func sqrtDecimal(x schema.Decimal) schema.Decimal {
	root, _ := x.Sqrt()
	return root
}
