package assemble

import (
	"strings"

	"saywatt/extract"
	"saywatt/schema"
)

// measure files a reading of an instrument with the condition it was taken
// in: what was said of the test since the last reading, and the mains spoken of
// before. How far a condition holds:
//
//   - A load (voltage, current, power, time) holds until another is said, the
//     section ends or something is said that no load bears on (apart).
//   - The mains holds as mains says.
//   - The room holds for temperatures of its section.
//   - A port holds for what a load bears on, or where its words are near.
func (f *filler) measure(i int, property string) {
	c := f.context(i)
	f.inSection(c)
	if f.rec.Quantities[i].Quantity.Unit.Kind() == schema.KindAngle && property == "temperature" {
		property = "angle" // "90 degrees" among temperatures is one of the two, never both
	}
	m := schema.Measurement{Property: property, Value: f.value(i), Subject: c.Spot}
	if strings.Contains(c.Port, "+") && c.Port != f.loadPort && !f.conditionNew {
		f.endLoad() // of one port, before several were loaded together
	}
	switch property {
	case "output_voltage":
		f.nearestLoad(i)
	}
	cond := f.condition
	cond.Mode, cond.Port, cond.Protocol = c.Mode, c.Port, c.Protocol
	cond.Mains = f.mains(i, property)
	if f.doc.Lexicon.Apart(property) {
		if !f.loadNear(c) {
			f.endLoad()
			cond.Voltage, cond.Current, cond.Power, cond.Time = nil, nil, nil, nil
			cond.Port, cond.Protocol = "", ""
		}
	}
	switch property {
	case "temperature", "temperature_rise":
	case "energy_in":
		cond.Ambient, cond.Port, cond.Protocol = nil, "", ""
	default:
		cond.Ambient = nil
	}
	if property == "ambient" {
		cond = schema.Condition{}
	}
	if cond != (schema.Condition{}) {
		m.Condition = &cond
	}
	f.rec.Measurements = append(f.rec.Measurements, m)
	f.lastMeasured, f.lastAt = i, len(f.rec.Measurements)-1
	f.conditionNew = false
	switch property {
	case "ambient":
		v := f.value(i)
		f.condition.Ambient = &v
	case "energy_out", "capacity_out":
		f.discharging = cond.Mains == nil
	}
}

// loadNear reports whether the load was said in the clause of c, so that it is
// part of what is said there: "with 20 watts on it the fan is 31 decibels".
func (f *filler) loadNear(c *extract.Context) bool {
	return f.loadClause == c.Clause && f.conditionNew
}

// endLoad forgets the load.
func (f *filler) endLoad() {
	f.condition.Voltage, f.condition.Current, f.condition.Power, f.condition.Time = nil, nil, nil, nil
	f.conditionNew = false
}

// nearestLoad turns back to the load said before that the measured output of
// quantity i belongs to, where it is not that said last: "9 volts 3 amps …
// with 5 volts … the output is 8.91 and 4.97 volts".
func (f *filler) nearestLoad(i int) {
	q := f.rec.Quantities[i].Quantity
	v, slack := q.SI(), loadBounds().loadSlack
	if f.condition.Voltage == nil || q.Unit.Kind() != schema.KindVoltage || away(v, f.condition.Voltage) <= slack {
		return
	}
	best, at := slack, -1
	for k := range f.loads {
		if d := away(v, f.loads[k].Voltage); d <= best {
			best, at = d, k
		}
	}
	if at >= 0 {
		l := &f.loads[at]
		f.condition.Voltage, f.condition.Current, f.condition.Power, f.condition.Time = l.Voltage, l.Current, l.Power,
			l.Time
	}
}

// away is how far v is from the voltage of a load, relative to it.
func away(v float64, of *schema.Value) float64 {
	if of == nil || of.Quantity.Range {
		return 1
	}
	w := of.Quantity.SI()
	if w <= 0 {
		return 1
	}
	return max(v-w, w-v) / w
}

// mains returns the mains that holds for a reading of the property: none while
// a battery is discharged; else the one said in its clause, or that of the test
// as a whole.
func (f *filler) mains(i int, property string) *schema.Value {
	c := f.context(i)
	switch {
	case property == "air_limit", property == "capacity_out", property == "bend_angle", property == "bend_load",
		property == "force",
		property == "voltage_drop", property == "resistance", property == "self_discharge":
		return nil
	case strings.HasPrefix(c.Mode, "battery"):
		return nil
	case strings.HasPrefix(c.Mode, "mains"), strings.HasPrefix(c.Mode, "pass-through"), property == "input_power",
		property == "energy_in", property == "charge_time":
		// fed from the wall, whatever was discharged before
	case f.discharging, property == "energy_out":
		return nil
	}
	if f.localMains != nil && c.Clause == f.mainsClause && i-f.mainsAt <= int(f.reach.mains) {
		return f.localMains
	}
	f.localMains = nil
	return f.condition.Mains
}

// inSection forgets the load of a test when another section begins.
func (f *filler) inSection(c *extract.Context) {
	if c.Section == f.section {
		return
	}
	f.section = c.Section
	f.condition = schema.Condition{Mains: f.condition.Mains}
	f.conditionNew, f.discharging, f.localMains = false, false, nil
	f.loads = f.loads[:0]
}

// conditionOf notes what a test runs at. Said right behind a reading ("91.8
// percent at 115 volts") it belongs to that; otherwise to the readings that
// follow, until others are said.
func (f *filler) conditionOf(i int, property string) {
	c := f.context(i)
	f.inSection(c)
	v := f.value(i)
	if f.behindReading(i) || f.pairBehind(i, property) {
		m := &f.rec.Measurements[f.lastAt]
		if m.Condition == nil {
			m.Condition = &schema.Condition{Mode: c.Mode, Port: c.Port, Protocol: c.Protocol}
		}
		switch property {
		case "voltage": // another load, for what follows in the sentence as well
			m.Condition.Voltage, m.Condition.Current, m.Condition.Power = nil, nil, nil
			f.endLoad()
			f.condition.Voltage, f.behind = &v, i
			f.remember()
		case "current":
			if f.behind == i-1 {
				f.condition.Current = &v
				f.remember()
			}
		}
		for _, to := range conditionFields(m.Condition) {
			if to.name == property {
				*to.value = &v
				if property == "mains" {
					return
				}
			}
		}
		if m.Property != "duration" { // "after 2 hours at 100 watts" is what the readings behind were taken at
			return
		}
	}
	switch property {
	case "mains":
		f.noteMains(i, &v)
		return
	case "ambient":
	default:
		if !f.conditionNew {
			f.endLoad()
			f.conditionNew = true
		}
		f.loadClause, f.loadPort = c.Clause, c.Port
		if property == "voltage" {
			f.localMains = nil // the next load: back to the mains of the test
		}
	}
	for _, to := range conditionFields(&f.condition) {
		if to.name == property {
			*to.value = &v
		}
	}
	f.remember()
}

// noteMains notes a mains voltage. The first of a review, and one said alone in
// its sentence, holds for the test as a whole; another holds for its clause:
// "mains is 230 volts unless I say so … on 115 volts it's 92.2 percent".
func (f *filler) noteMains(i int, v *schema.Value) {
	f.discharging = false
	if f.condition.Mains == nil || f.alone(i) {
		f.condition.Mains, f.localMains = v, nil
		return
	}
	f.localMains, f.mainsClause, f.mainsAt = v, f.context(i).Clause, i
}

// alone reports whether nothing but quantity i is said in its clause.
func (f *filler) alone(i int) bool {
	clause := f.context(i).Clause
	return (i == 0 || f.context(i-1).Clause != clause) && (i+1 >= len(f.placed) || f.context(i+1).Clause != clause)
}

// remember keeps the load said last among those of the section.
func (f *filler) remember() {
	l := schema.Condition{Voltage: f.condition.Voltage, Current: f.condition.Current, Power: f.condition.Power,
		Time: f.condition.Time}
	if l.Voltage == nil {
		return
	}
	if n := len(f.loads); n > 0 && f.loads[n-1].Voltage == l.Voltage {
		f.loads[n-1] = l
		return
	}
	f.loads = append(f.loads, l)
}

// pairBehind reports whether quantity i is the current of a load said behind a
// reading: "30 watt hours with 9 volts and 2 amps".
func (f *filler) pairBehind(i int, property string) bool {
	if property != "current" || f.behind != i-1 || i < 2 || f.lastMeasured != i-2 {
		return false
	}
	switch f.mention(i).Joint {
	case extract.JointSpace, extract.JointComma, extract.JointAnd, extract.JointAt:
		return true
	}
	return false
}

// goesOn reports whether what quantity i says, or the load that it begins, is what the
// next reading was taken at, in captions without signs: "… at 115 volts it's 88.9
// percent", "… at 9 volts 3 amps it gave 60.2".
func (f *filler) goesOn(i int) bool {
	b := f.mention(i)
	if i+1 < len(f.placed) && f.mention(i+1).Joint == extract.JointSpace &&
		b.Unit.Unit.Kind() == schema.KindVoltage && f.mention(i+1).Unit.Unit.Kind() == schema.KindCurrent {
		b = f.mention(i + 1)
	}
	for k := b.Last; int(k) < len(f.doc.Tokens) && k < b.Last+2; k++ {
		t := f.doc.Tokens[k]
		switch t.Kind {
		case extract.TokenBreak:
			continue
		case extract.TokenWord:
			switch string(f.doc.Transcript.Text[t.Start:t.End]) {
			case "it's", "it", "i", "we":
				return true
			}
		}
		return false
	}
	return false
}

// behindReading reports whether quantity i follows the last reading with "at",
// "with", "on", "from" or "under" alone between them, but for a word that hedges it.
func (f *filler) behindReading(i int) bool {
	if f.lastMeasured != i-1 || f.lastMeasured < 0 {
		return false
	}
	a, b := f.mention(i-1), f.mention(i)
	if f.goesOn(i) {
		return false
	}
	between := 0
	for k := f.doc.HedgeEnd(a); k < b.First; k++ {
		t := f.doc.Tokens[k]
		if t.Kind == extract.TokenBreak {
			continue
		}
		if between++; between > 1 {
			return false
		}
		switch string(f.doc.Transcript.Text[t.Start:t.End]) {
		case "at", "with", "on", "from", "under", "@":
		default:
			return false
		}
	}
	return between == 1
}
