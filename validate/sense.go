package validate

import (
	"fmt"
	"strconv"
	"strings"

	"saywatt/schema"
)

// SenseRule is the rule name of findings on records that contradict themselves:
// no reading of anything could have led to them, so they are not checked further.
const SenseRule = "record-sense"

// senseSource is the source of such findings.
const senseSource = "a record's own arithmetic, \"saywatt schema --guide\""

// senseOf lists what no record can hold: counts that do not add up, quantities
// of another kind than their unit's, ranges that fall, amounts below nothing,
// places that are not there, and numbers of quantities that were not said.
func senseOf(r *schema.Record) []formProblem {
	s := &sense{r: r}
	s.counts()
	for i := range r.Quantities {
		s.said(i, "/quantities/"+strconv.Itoa(i))
	}
	for i, n := range r.Unplaced {
		s.number(n, "/unplaced/"+strconv.Itoa(i))
	}
	for i, n := range r.Withdrawn {
		s.number(n, "/withdrawn/"+strconv.Itoa(i))
	}
	for i := range r.Levels {
		l, at := &r.Levels[i], "/levels/"+strconv.Itoa(i)
		s.value(&l.Voltage, at+"/voltage", schema.KindVoltage)
		s.value(l.Current, at+"/current", schema.KindCurrent)
		s.value(l.Power, at+"/power", schema.KindPower)
	}
	for i := range r.Claims {
		s.value(&r.Claims[i].Value, "/claims/"+strconv.Itoa(i)+"/value", schema.KindUnknown)
	}
	for i := range r.Components {
		for k := range r.Components[i].Ratings {
			s.value(&r.Components[i].Ratings[k].Value,
				"/components/"+strconv.Itoa(i)+"/ratings/"+strconv.Itoa(k)+"/value", schema.KindUnknown)
		}
	}
	for i := range r.Measurements {
		s.value(&r.Measurements[i].Value, "/measurements/"+strconv.Itoa(i)+"/value", schema.KindUnknown)
	}
	s.body()
	return s.found
}

type sense struct {
	r     *schema.Record
	found []formProblem
}

func (s *sense) object(at, format string, args ...any) {
	s.found = append(s.found, formProblem{at, fmt.Sprintf(format, args...)})
}

// counts holds the counts against each other and against the quantities.
func (s *sense) counts() {
	c := &s.r.Counts
	if sum := c.Heard + c.Repaired + c.Open + c.Settled + c.Unplaced; c.Said != sum {
		s.object("/counts/said", "%d were said, but heard, repaired, open, settled and unplaced make %d", c.Said, sum)
	}
	if n := len(s.r.Quantities); c.Said != n {
		s.object("/counts/said", "%d were said, but %d are listed", c.Said, n)
	}
}

// said checks the list of quantities.
func (s *sense) said(i int, at string) {
	q := &s.r.Quantities[i]
	if list, n, ok := indexed(q.Place); ok {
		length := map[string]int{"levels": len(s.r.Levels), "claims": len(s.r.Claims),
			"components": len(s.r.Components), "measurements": len(s.r.Measurements)}
		if most, known := length[list]; known && n >= most {
			s.object(at+"/place", "%s points nowhere: there are %d", q.Place, most)
		}
	}
	if k := q.Quantity.Unit.Kind(); q.Kind != k && q.Kind != schema.KindOther && k != schema.KindOther &&
		k != schema.KindUnknown {
		s.object(at+"/kind", "%s is a %s, not a %s", q.Quantity, k, q.Kind)
	}
	s.quantity(&q.Quantity, at+"/quantity")
	for k := range q.Readings {
		s.quantity(&q.Readings[k].Quantity, at+"/readings/"+strconv.Itoa(k)+"/quantity")
	}
}

// indexed takes the list and the index from the front of a path, "levels[3].current".
func indexed(path string) (list string, n int, ok bool) {
	list, rest, ok := strings.Cut(path, "[")
	digits, _, closed := strings.Cut(rest, "]")
	n, err := strconv.Atoi(digits)
	return list, n, ok && closed && err == nil && n >= 0
}

func (s *sense) number(n int, at string) {
	if n < 1 || n > len(s.r.Quantities) {
		s.object(at, "no quantity has the number %d", n)
	}
}

// value checks a value, of a kind where one is given.
func (s *sense) value(v *schema.Value, at string, kind schema.Kind) {
	if v == nil {
		return
	}
	for i, n := range v.Said {
		s.number(n, at+"/said/"+strconv.Itoa(i))
	}
	if k := v.Quantity.Unit.Kind(); kind != schema.KindUnknown && k != kind &&
		!(kind == schema.KindPower && k == schema.KindApparentPower) {
		s.object(at+"/quantity", "%s is no %s", v.Quantity, kind)
	}
	s.quantity(&v.Quantity, at+"/quantity")
}

// body checks what is said of body, cable and battery.
func (s *sense) body() {
	b := &s.r.Body
	for i := range b.Dimensions {
		s.value(&b.Dimensions[i], "/body/dimensions/"+strconv.Itoa(i), schema.KindLength)
	}
	s.value(b.Mass, "/body/mass", schema.KindMass)
	s.value(b.Volume, "/body/volume", schema.KindVolume)
	if c := s.r.Cable; c != nil {
		s.value(c.Length, "/cable/length", schema.KindLength)
		s.value(c.Current, "/cable/current", schema.KindCurrent)
		s.value(c.Voltage, "/cable/voltage", schema.KindVoltage)
		s.value(c.Power, "/cable/power", schema.KindPower)
		s.value(c.Resistance, "/cable/resistance", schema.KindResistance)
	}
	if t := s.r.Battery; t != nil {
		s.value(t.Cell.Capacity, "/battery/cell/capacity", schema.KindCharge)
		s.value(t.Cell.Voltage, "/battery/cell/voltage", schema.KindVoltage)
		s.value(t.Cell.Energy, "/battery/cell/energy", schema.KindEnergy)
		s.value(t.Pack.Capacity, "/battery/pack/capacity", schema.KindCharge)
		s.value(t.Pack.Voltage, "/battery/pack/voltage", schema.KindVoltage)
		s.value(t.Pack.Energy, "/battery/pack/energy", schema.KindEnergy)
	}
}

// quantity refuses a falling range and less than nothing of what has no sign.
func (s *sense) quantity(q *schema.Quantity, at string) {
	if q.Range && q.Low.Cmp(q.High) > 0 {
		s.object(at, "%s falls: its low end is above its high one", q)
	}
	if q.Low.Sign() < 0 && unsigned(q.Unit.Kind()) {
		s.object(at, "%s is less than nothing", q)
	}
}

// unsigned reports whether a kind has no values below zero. Voltages, currents,
// temperatures, levels and ratios have.
func unsigned(k schema.Kind) bool {
	switch k {
	case schema.KindPower, schema.KindApparentPower, schema.KindEnergy, schema.KindCharge, schema.KindResistance,
		schema.KindCapacitance, schema.KindInductance, schema.KindFrequency, schema.KindLength, schema.KindMass,
		schema.KindVolume, schema.KindTime, schema.KindDataRate:
		return true
	}
	return false
}
