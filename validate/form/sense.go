package form

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"saywatt/schema"
)

// SenseRule is the rule name of findings on records that contradict themselves:
// no reading of anything could have led to them, so they are not checked further.
const SenseRule = "record-sense"

// senseSource is the source of such findings.
const senseSource = "a record's own arithmetic, \"saywatt schema --guide\""

// senseOf lists what no record can hold: counts that do not add up, quantities
// of another kind than their unit's, ranges that fall, amounts below nothing,
// spans and places that are not there, and numbers of quantities that were not
// said. places are those of the values in its document, by JSON pointer.
func senseOf(r *schema.Record, places map[string]int64) []problem {
	s := &sense{r: r, places: places}
	s.counts()
	for i := range r.Quantities {
		s.said(i, "/quantities/"+strconv.Itoa(i))
	}
	s.numbers(r.Unplaced, "/unplaced")
	s.numbers(r.Withdrawn, "/withdrawn")
	for i, n := range r.Unplaced {
		if q := r.Quantity(n); q != nil && q.Place != "" {
			s.object("/unplaced/"+strconv.Itoa(i), "quantity %d has a place: %s", n, q.Place)
		}
	}
	for i := range r.Findings {
		s.numbers(r.Findings[i].Said, "/findings/"+strconv.Itoa(i)+"/said")
	}
	for i := range r.Levels {
		l, at := &r.Levels[i], "/levels/"+strconv.Itoa(i)
		s.value(&l.Voltage, at+"/voltage", schema.KindVoltage)
		s.value(l.Current, at+"/current", schema.KindCurrent)
		s.value(l.Power, at+"/power", schema.KindPower)
	}
	for i := range r.Claims {
		c := &r.Claims[i]
		s.value(&c.Value, "/claims/"+strconv.Itoa(i)+"/value", kindOf(c.Property))
	}
	for i := range r.Components {
		s.ratings(r.Components[i].Ratings, "/components/"+strconv.Itoa(i)+"/ratings")
	}
	for i := range r.Measurements {
		s.measured(&r.Measurements[i], "/measurements/"+strconv.Itoa(i))
	}
	s.body()
	s.battery()
	return s.found
}

// kindOf is the kind that a property says it has by its own name, such as voltage.
func kindOf(property string) schema.Kind {
	k, err := schema.ParseKind(property)
	if err != nil {
		return schema.KindUnknown
	}
	return k
}

type sense struct {
	r      *schema.Record
	places map[string]int64
	found  []problem
}

func (s *sense) object(at, format string, args ...any) {
	s.found = append(s.found, problem{at, fmt.Sprintf(format, args...)})
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
	var stand [schema.StatusSettled + 1]int
	for i := range s.r.Quantities {
		if n := s.r.Quantities[i].Status; int(n) < len(stand) {
			stand[n]++
		}
	}
	for _, k := range [...]struct {
		name       string
		said, most int
	}{
		{"heard", c.Heard, stand[schema.StatusHeard]},
		{"repaired", c.Repaired, stand[schema.StatusRepaired]},
		{"open", c.Open, stand[schema.StatusOpen]},
		{"settled", c.Settled, stand[schema.StatusSettled]},
		{"unplaced", c.Unplaced, len(s.r.Unplaced)},
		{"withdrawn", c.Withdrawn, len(s.r.Withdrawn)},
	} {
		if k.said > k.most {
			s.object("/counts/"+k.name, "%d are counted, but %d are listed", k.said, k.most)
		}
	}
}

// said checks the list of quantities.
func (s *sense) said(i int, at string) {
	q := &s.r.Quantities[i]
	if _, there := s.places[pointerOf(q.Place)]; !there {
		s.object(at+"/place", "%s points nowhere", q.Place)
	}
	s.span(&q.Span, q.Heard, at+"/span")
	if end := s.r.Source.Duration; q.At != nil && (*q.At < 0 || end != nil && *q.At > *end) {
		s.object(at+"/at", "%s s is no moment of the captions", q.At)
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

// span refuses one that cannot hold the words heard: a sign takes a byte and more
// in every form of captions. A record written by hand has none, which is [0, 0].
func (s *sense) span(span *schema.Span, heard, at string) {
	signs := 0
	for _, word := range strings.Fields(heard) {
		signs += utf8.RuneCountInString(word)
	}
	if n := span.End - span.Start; *span != (schema.Span{}) && n < signs {
		s.object(at, "points nowhere: %d bytes do not hold “%s”", n, heard)
	}
}

// numbers refuses numbers that no quantity has, and those listed twice.
func (s *sense) numbers(list []int, at string) {
	seen := make(map[int]bool, len(list))
	for i, n := range list {
		switch at := at + "/" + strconv.Itoa(i); {
		case n < 1 || n > len(s.r.Quantities):
			s.object(at, "no quantity has the number %d", n)
		case seen[n]:
			s.object(at, "quantity %d is listed twice", n)
		}
		seen[n] = true
	}
}

// ratings checks what is rated.
func (s *sense) ratings(ratings []schema.Rating, at string) {
	for k := range ratings {
		s.value(&ratings[k].Value, at+"/"+strconv.Itoa(k)+"/value", kindOf(ratings[k].Property))
	}
}

// measured checks a reading and what it was taken under.
func (s *sense) measured(m *schema.Measurement, at string) {
	s.value(&m.Value, at+"/value", kindOf(m.Property))
	if c := m.Condition; c != nil {
		at += "/condition"
		s.value(c.Mains, at+"/mains", schema.KindVoltage)
		s.value(c.Voltage, at+"/voltage", schema.KindVoltage)
		s.value(c.Current, at+"/current", schema.KindCurrent)
		s.value(c.Power, at+"/power", schema.KindPower)
		s.value(c.Ambient, at+"/ambient", schema.KindTemperature)
		s.value(c.Time, at+"/time", schema.KindTime)
	}
}

// value checks a value, of a kind where one is given. Of an open one nobody knows yet
// what it is: its place and its likeliest reading may be of two kinds.
func (s *sense) value(v *schema.Value, at string, kind schema.Kind) {
	if v == nil {
		return
	}
	s.numbers(v.Said, at+"/said")
	if k := v.Quantity.Unit.Kind(); kind != schema.KindUnknown && k != kind && v.Status != schema.StatusOpen &&
		!(kind == schema.KindPower && k == schema.KindApparentPower) {
		s.object(at+"/quantity", "%s is no %s", v.Quantity, kind)
	}
	s.quantity(&v.Quantity, at+"/quantity")
}

// body checks what is said of body and cable.
func (s *sense) body() {
	b := &s.r.Body
	for i := range b.Dimensions {
		s.value(&b.Dimensions[i], "/body/dimensions/"+strconv.Itoa(i), schema.KindLength)
	}
	s.value(b.Mass, "/body/mass", schema.KindMass)
	s.value(b.Volume, "/body/volume", schema.KindVolume)
	s.value(b.Density, "/body/density", schema.KindUnknown)
	s.value(b.Display, "/body/display", schema.KindLength)
	s.ratings(b.Other, "/body/other")
	if c := s.r.Cable; c != nil {
		s.value(c.Length, "/cable/length", schema.KindLength)
		s.value(c.Diameter, "/cable/diameter", schema.KindLength)
		s.value(c.Mass, "/cable/mass", schema.KindMass)
		s.value(c.Current, "/cable/current", schema.KindCurrent)
		s.value(c.Voltage, "/cable/voltage", schema.KindVoltage)
		s.value(c.Power, "/cable/power", schema.KindPower)
		s.value(c.DataRate, "/cable/data_rate", schema.KindDataRate)
		s.value(c.Resistance, "/cable/resistance", schema.KindResistance)
	}
}

// battery checks what is said of cells and pack.
func (s *sense) battery() {
	t := s.r.Battery
	if t == nil {
		return
	}
	c := &t.Cell
	s.value(c.Capacity, "/battery/cell/capacity", schema.KindCharge)
	s.value(c.Voltage, "/battery/cell/voltage", schema.KindVoltage)
	s.value(c.ChargeLimit, "/battery/cell/charge_limit", schema.KindVoltage)
	s.value(c.Cutoff, "/battery/cell/cutoff", schema.KindVoltage)
	s.value(c.Energy, "/battery/cell/energy", schema.KindEnergy)
	s.value(c.Mass, "/battery/cell/mass", schema.KindMass)
	s.value(c.Resistance, "/battery/cell/resistance", schema.KindResistance)
	s.value(c.Cycles, "/battery/cell/cycles", schema.KindUnknown)
	s.pack(&t.Pack, "/battery/pack")
	s.pack(&t.Rated, "/battery/rated")
	for i := range t.Other {
		s.value(&t.Other[i], "/battery/other/"+strconv.Itoa(i), schema.KindUnknown)
	}
}

func (s *sense) pack(p *schema.Pack, at string) {
	s.value(p.Capacity, at+"/capacity", schema.KindCharge)
	s.value(p.Voltage, at+"/voltage", schema.KindVoltage)
	s.value(p.Current, at+"/current", schema.KindCurrent)
	s.value(p.Full, at+"/full", schema.KindVoltage)
	s.value(p.Cutoff, at+"/cutoff", schema.KindVoltage)
	s.value(p.Energy, at+"/energy", schema.KindEnergy)
	s.value(p.Mass, at+"/mass", schema.KindMass)
}

// quantity refuses a falling range and less than nothing of what has no sign.
func (s *sense) quantity(q *schema.Quantity, at string) {
	if q.Falls() {
		s.object(at, "%s falls: its low end is above its high one", q)
	}
	switch k := q.Unit.Kind(); {
	case q.Low.Sign() < 0 && unsigned(k):
		s.object(at, "%s is less than nothing", q)
	case k == schema.KindTemperature && q.LowSI() < 0:
		s.object(at, "%s is below absolute zero", q)
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
