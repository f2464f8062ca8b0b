package normalize

import (
	"saywatt/extract"
	"saywatt/schema"
)

// measure files a reading of an instrument with the condition it was taken
// in: what was said of the test since the last reading, and the mains told of
// before.
func (f *filler) measure(i int, property string) {
	c := &f.mention(i).Context
	f.inSection(c)
	m := schema.Measurement{Property: property, Value: f.value(i), Subject: c.Spot}
	cond := f.condition
	cond.Mode, cond.Port, cond.Protocol = c.Mode, c.Port, c.Protocol
	switch property {
	case "ambient":
		cond = schema.Condition{}
	case "no_load_power", "sleep_current", "charge_time", "touch_current": // the load told of before is not on
		cond.Voltage, cond.Current, cond.Power, cond.Time = nil, nil, nil, nil
	}
	if cond != (schema.Condition{}) {
		m.Condition = &cond
	}
	f.rec.Measurements = append(f.rec.Measurements, m)
	f.lastMeasured, f.lastAt = i, len(f.rec.Measurements)-1
	f.conditionNew = false
	if property == "ambient" {
		v := f.value(i)
		f.condition.Ambient = &v
	}
}

// inSection forgets the load of a test when another section begins.
func (f *filler) inSection(c *extract.Context) {
	if c.Section == f.section {
		return
	}
	f.section = c.Section
	f.condition = schema.Condition{Mains: f.condition.Mains}
	f.conditionNew = false
}

// conditionOf notes what a test runs at. Said right behind a reading ("91.8
// percent at 115 volts") it belongs to that; otherwise to the readings that
// follow, until others are told.
func (f *filler) conditionOf(i int, property string) {
	c := &f.mention(i).Context
	f.inSection(c)
	v := f.value(i)
	if f.behindReading(i) {
		m := &f.rec.Measurements[f.lastAt]
		if m.Condition == nil {
			m.Condition = &schema.Condition{Mode: c.Mode, Port: c.Port, Protocol: c.Protocol}
		}
		for _, to := range conditionFields(m.Condition) {
			if to.name == property {
				*to.value = &v
				if property == "mains" {
					return
				}
			}
		}
		return
	}
	if property != "mains" && property != "ambient" && !f.conditionNew {
		f.condition.Voltage, f.condition.Current, f.condition.Power, f.condition.Time = nil, nil, nil, nil
		f.conditionNew = true
	}
	for _, to := range conditionFields(&f.condition) {
		if to.name == property {
			*to.value = &v
		}
	}
}

// behindReading reports whether quantity i follows the last reading with "at",
// "with", "on", "from" or "under" alone between them.
func (f *filler) behindReading(i int) bool {
	if f.lastMeasured != i-1 || f.lastMeasured < 0 {
		return false
	}
	a, b := f.mention(i-1), f.mention(i)
	between := 0
	for k := a.Last; k < b.First; k++ {
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
