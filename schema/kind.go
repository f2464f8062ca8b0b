package schema

import "fmt"

// Kind is the physical kind of a quantity, as in the ISO/IEC 80000 sense of
// "kind of quantity": it keeps apart what shares dimensions, such as power
// and apparent power.
type Kind uint8

// The kinds of quantity that the trade meets.
const (
	KindUnknown Kind = iota
	KindVoltage
	KindCurrent
	KindPower
	KindApparentPower
	KindEnergy
	KindCharge
	KindResistance
	KindConductance
	KindCapacitance
	KindInductance
	KindFrequency
	KindLength
	KindArea
	KindVolume
	KindMass
	KindTemperature
	KindTemperatureDifference
	KindRatio
	KindTime
	KindDataRate
	KindData
	KindForce
	KindTorque
	KindPressure
	KindFluxDensity
	KindFieldStrength
	KindLevel
	KindLuminousFlux
	KindLuminousIntensity
	KindIlluminance
	KindRotation
	KindAngle
	KindCount
	KindGauge
	KindPowerDensity
	KindSpecificPower
	KindSpecificEnergy
	KindEnergyDensity
	KindMassDensity
	KindResistancePerLength
	KindThermalConductivity
	KindThermalResistance
	KindSlewRate
	KindSpeed
	KindFlow
	KindIrradiance
	KindOther
	kindEnd
)

// kindNames is the one table of names, in the order of the constants.
var kindNames = [...]string{"", "voltage", "current", "power", "apparent_power", "energy", "charge", "resistance",
	"conductance", "capacitance", "inductance", "frequency", "length", "area", "volume", "mass", "temperature",
	"temperature_difference", "ratio", "time", "data_rate", "data", "force", "torque", "pressure", "flux_density",
	"field_strength", "level", "luminous_flux", "luminous_intensity", "illuminance", "rotation", "angle", "count",
	"gauge", "power_density", "specific_power", "specific_energy", "energy_density", "mass_density",
	"resistance_per_length", "thermal_conductivity", "thermal_resistance", "slew_rate", "speed", "flow",
	"irradiance", "other"}

func (k Kind) String() string { return enumName(kindNames[:], k) }

// Words is the name for people: "apparent power".
func (k Kind) Words() string { return blanks.Replace(k.String()) }

// ParseKind reads a kind by its name.
func ParseKind(s string) (Kind, error) { return parseEnum[Kind](kindNames[:], "kind", s) }

// MarshalText writes the name; the zero Kind is an error.
func (k Kind) MarshalText() ([]byte, error) { return marshalEnum(kindNames[:], "kind", k) }

// UnmarshalText reads the name.
func (k *Kind) UnmarshalText(b []byte) (err error) {
	*k, err = ParseKind(string(b))
	return err
}

// Convertible reports whether quantities of the two kinds convert into each
// other when their dimensions agree.
func (k Kind) Convertible(l Kind) bool {
	if k == l || k == KindOther || l == KindOther {
		return true
	}
	pair := func(a, b Kind) bool { return k == a && l == b || k == b && l == a }
	return pair(KindTemperature, KindTemperatureDifference) || pair(KindPower, KindApparentPower)
}

// enumName, parseEnum and marshalEnum serve the closed sets of this package:
// one name table each, the zero value unusable.
func enumName[E ~uint8](names []string, e E) string {
	if int(e) < len(names) {
		return names[e]
	}
	return fmt.Sprintf("?%d", e)
}

func parseEnum[E ~uint8](names []string, what, s string) (E, error) {
	for i, n := range names {
		if i > 0 && n == s {
			return E(i), nil
		}
	}
	return 0, fmt.Errorf("%s %q is not known", what, s)
}

func marshalEnum[E ~uint8](names []string, what string, e E) ([]byte, error) {
	if e == 0 || int(e) >= len(names) {
		return nil, fmt.Errorf("%s %d has no name", what, e)
	}
	return []byte(names[e]), nil
}
