package calc

import (
	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// energyDensity is energy over mass and over volume.
var energyDensity = &Calculator{
	Name: "energy-density",
	Doc:  "energy over mass and over volume, of a cell or a whole product",
	Formula: "energy / mass, energy / volume, mass / volume; volume = length × width × height, or π/4 × diameter² × " +
		"length",
	Source:   "definitions; worked values: handbook 11.2 W41 and W42",
	Standing: standard.Computed,
	Assumptions: []string{
		capacityAssumption,
		"the body is a full box or cylinder: rounded corners and prongs are not taken off",
	},
	Cautions: []string{"S4"},
	Run:      runEnergyDensity,
	Take: func(r *schema.Record) []Taken {
		t, ok := takeEnergy(r)
		if !ok {
			return nil
		}
		t = t.extended("whole product")
		t.takeBody(r)
		return []Taken{t}
	},
}

func runEnergyDensity(a *Arguments) ([]Result, error) {
	energy, err := cellEnergy(a)
	if err != nil {
		return nil, err
	}
	results := []Result{{Name: "energy", Doc: "energy", Quantity: schema.One(energy, "W.h")}}
	volume, sized, err := bodyVolume(a)
	if err != nil {
		return nil, err
	}
	if !sized && !a.has("mass") {
		return nil, a.refuse("mass", ErrInputMissing, "give it, or a volume, or sizes")
	}
	if a.has("mass") {
		mass, err := a.single("mass")
		if err != nil {
			return nil, err
		}
		results = append(results, Result{Name: "specific_energy", Doc: "energy over mass",
			Quantity: schema.One(quo(energy.Shift(3), mass), "W.h/kg")})
		if sized {
			results = append(results, Result{Name: "density", Doc: "mass over volume",
				Quantity: schema.One(quo(mass, volume), "g/cm3")})
		}
	}
	if sized {
		results = append(results,
			Result{Name: "volume", Doc: "volume", Quantity: schema.One(volume, "cm3")},
			Result{Name: "energy_density", Doc: "energy over volume",
				Quantity: schema.One(quo(energy.Shift(3), volume), "W.h/L")})
	}
	return results, nil
}

// powerDensity is power over volume, the boast of small chargers.
var powerDensity = &Calculator{
	Name:        "power-density",
	Doc:         "power over volume and over mass of a charger",
	Formula:     "power / volume, power / mass; volume as in energy-density",
	Source:      "definitions; 1 W/cm³ = 16.387064 W/in³ (UCUM 2.2)",
	Standing:    standard.Computed,
	Assumptions: []string{"the body is a full box or cylinder; makers differ in whether they count the prongs"},
	Cautions:    nil,
	Run:         runPowerDensity,
	Take: func(r *schema.Record) []Taken {
		power, path, ok := claimedPower(r)
		if !ok {
			return nil
		}
		t := Taken{Label: "whole product"}
		t.take("power", power, path)
		t.takeBody(r)
		return []Taken{t}
	},
}

func runPowerDensity(a *Arguments) ([]Result, error) {
	power, err := a.single("power")
	if err != nil {
		return nil, err
	}
	volume, sized, err := bodyVolume(a)
	if err != nil {
		return nil, err
	}
	if !sized && !a.has("mass") {
		return nil, a.refuse("volume", ErrInputMissing, "give it, or sizes, or mass")
	}
	var results []Result
	if sized {
		metric := quo(power, volume)
		inches, err := schema.Unit("W/cm3").Convert(metric, "W/[cin_i]")
		if err != nil {
			return nil, err
		}
		results = append(results,
			Result{Name: "volume", Doc: "volume", Quantity: schema.One(volume, "cm3")},
			Result{Name: "power_density", Doc: "power over volume", Quantity: schema.One(metric, "W/cm3")},
			Result{Name: "power_density_inch", Doc: "the same per cubic inch",
				Quantity: schema.One(inches, "W/[cin_i]")})
	}
	if a.has("mass") {
		mass, err := a.single("mass")
		if err != nil {
			return nil, err
		}
		results = append(results, Result{Name: "specific_power", Doc: "power over mass",
			Quantity: schema.One(quo(power, mass), "W/g")})
	}
	return results, nil
}

// bodyVolume is the volume input, or that of a box or cylinder, in cm3; false
// where nothing of it is given.
func bodyVolume(a *Arguments) (schema.Decimal, bool, error) {
	if a.has("volume") {
		v, err := a.single("volume")
		return v, true, err
	}
	switch {
	case a.has("diameter"):
		if a.has("width") || a.has("height") {
			return schema.Decimal{}, false, a.refuse("diameter", ErrInputConflict, "a cylinder has no width or height")
		}
		if !a.has("length") {
			return schema.Decimal{}, false, a.refuse("length", ErrInputMissing, "a cylinder needs it")
		}
		x, err := a.singles("diameter", "length")
		if err != nil {
			return schema.Decimal{}, false, err
		}
		quarter := quo(pi, schema.NewDecimal(4, 0))
		return x[0].Mul(x[0]).Mul(x[1]).Mul(quarter).Shift(-3).Trim(), true, nil
	case a.has("length") || a.has("width") || a.has("height"):
		for _, in := range []string{"length", "width", "height"} {
			if !a.has(in) {
				return schema.Decimal{}, false, a.refuse(in, ErrInputMissing, "a box needs length, width and height")
			}
		}
		x, err := a.singles("length", "width", "height")
		if err != nil {
			return schema.Decimal{}, false, err
		}
		return x[0].Mul(x[1]).Mul(x[2]).Shift(-3).Trim(), true, nil
	}
	return schema.Decimal{}, false, nil
}

// pi to 34 digits.
var pi = schema.MustDecimal("3.141592653589793238462643383279503")

// takeBody adds mass and size of the product.
func (t *Taken) takeBody(r *schema.Record) {
	t.take("mass", r.Body.Mass, place.Field("body.mass"))
	if r.Body.Volume != nil {
		t.take("volume", r.Body.Volume, place.Field("body.volume"))
		return
	}
	if len(r.Body.Dimensions) != 3 {
		return
	}
	for i, in := range []string{"length", "width", "height"} {
		t.take(in, &r.Body.Dimensions[i], place.Item("body.dimensions", i, ""))
	}
}
