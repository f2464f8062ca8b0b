package assemble

import (
	"slices"
	"sort"
	"strings"

	"saywatt/extract"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// eachPort returns the ports that a context names one by one; ports in use
// together, joined by "+", are one.
func eachPort(port string) []string {
	if strings.IndexByte(port, ',') < 0 {
		return []string{port}
	}
	return strings.Split(port, ",")
}

// level files voltage, current, power or frequency of an operating level. A
// level opens with its voltage; the current right behind it, and a power that
// is their product, join it. A power that is none is a claim of its port.
func (f *filler) level(i int, place, property string) {
	switch property {
	case "voltage":
		if !f.lone(i) {
			f.openLevel(i, place)
		}
	case "current":
		if l := f.openFor(i); l != nil && l.Current == nil {
			v := f.stated(i)
			l.Current = &v
			f.listCurrent(i)
			return
		}
		f.loose = i
	case "power":
		if l := f.openFor(i); l != nil && l.Power == nil && f.powerOf(l, i) {
			v := f.stated(i)
			l.Power = &v
			return
		}
		f.claim(i, "power")
	default:
		c := f.context(i)
		mode := c.Mode
		if mode == "" && place == prior.Input {
			mode = "input"
		}
		f.addClaim(schema.Claim{Property: property, Mode: mode, Port: c.Port, Value: f.stated(i)})
	}
}

// lone reports whether quantity i is a number without a unit that may be no voltage at
// all, with no current beside it: "yes, really ten, I checked". It makes no level.
func (f *filler) lone(i int) bool {
	if f.rec.Quantities[i].Status != schema.StatusOpen || f.mention(i).From != extract.UnitNone {
		return false
	}
	if i+1 < len(f.placed) && f.rec.Quantities[i+1].Kind == schema.KindCurrent && f.mention(i+1).Joint.Close() {
		return false
	}
	return i == 0 || f.rec.Quantities[i-1].Kind != schema.KindCurrent || !f.mention(i).Joint.Close()
}

// listCurrent gives the current of quantity i to the whole list of voltages that
// the open level ends: "5, 9, 12 and 15 volts at 3 amps".
func (f *filler) listCurrent(i int) {
	for k := f.open; k > 0; k-- {
		l, next := &f.run[k-1], f.run[k].Voltage.Said[0]-1
		if l.Current != nil || l.Voltage.Said[0] != next || !f.listed(next) {
			return
		}
		v := f.stated(i)
		l.Current = &v
	}
}

// listed reports whether the voltage of quantity i goes on a list with the one
// before it, whose unit is said at the end.
func (f *filler) listed(i int) bool {
	if i == 0 || f.mention(i-1).From != extract.UnitList || f.rec.Quantities[i-1].Quantity.Range ||
		f.rec.Quantities[i-1].Kind != schema.KindVoltage {
		return false
	}
	return f.mention(i).Joint.Lists()
}

// openLevel begins a level with the voltage of quantity i.
func (f *filler) openLevel(i int, place string) {
	c := f.context(i)
	l := schema.Level{Mode: c.Mode, Port: c.Port, Protocol: c.Protocol, Voltage: f.stated(i)}
	if place == prior.Input {
		if l.Mode == "" {
			l.Mode = "input"
		}
		if l.Port == "" {
			l.Port = "AC"
		}
	}
	if l.Mode == "" && c.Section != 0 {
		l.Mode = "output"
	}
	ports := eachPort(l.Port)
	if f.ports != nil && (len(f.ports) == 1 && !f.listed(i) || strings.Join(f.ports, ",") != l.Port) {
		f.endLevel() // the levels of one port alone need not wait for each other
	}
	f.ports = ports
	if k := f.loose; k >= 0 && k == i-1 && f.follows(k, i) {
		v := f.stated(k) // "3 amps at 5 volts"
		l.Current = &v
	}
	f.loose = -1
	f.run = append(f.run, l)
	f.open, f.from = len(f.run)-1, i
}

// follows reports whether quantity j is said at quantity i: "3 amps at 5 volts".
func (f *filler) follows(i, j int) bool {
	return f.context(i).Clause == f.context(j).Clause && f.mention(j).Joint == extract.JointAt
}

// openFor returns the level that quantity i may belong to, nil for none.
func (f *filler) openFor(i int) *schema.Level {
	if f.open < 0 {
		return nil
	}
	a, b := f.context(f.from), f.context(i)
	if a.Mode != b.Mode || a.Port != b.Port || a.Section != b.Section {
		return nil
	}
	far := int32(i - f.from)
	if far > f.reach.level || a.Clause != b.Clause && far > f.reach.levelClause {
		return nil
	}
	return &f.run[f.open]
}

// powerOf reports whether the power of quantity i is the level's.
func (f *filler) powerOf(l *schema.Level, i int) bool {
	if l.Current == nil {
		return false
	}
	m := f.mention(i)
	if m.Qualifier == schema.QualifierMaximum || f.context(i).Named && f.context(i).Property == "power" {
		return false
	}
	v := l.Voltage.Quantity
	v.Low, v.Range = v.High, false // a range gives its power at the top
	w := v.SI() * l.Current.Quantity.SI()
	p := f.rec.Quantities[i].Quantity.SI()
	return loadBounds().givesPower(w, p)
}

// givesPower reports whether a power is that of a level whose volts times amperes are w.
func (b *bounds) givesPower(w, p float64) bool {
	return w > 0 && p > w*(1-b.levelSlack) && p < w*(1+b.levelSlack)
}

// endLevel files the levels of the run, once for every port spoken of alike. A
// level that is in the record already adds its evidence there.
func (f *filler) endLevel() {
	for _, port := range f.ports {
	next:
		for _, l := range f.run {
			l.Port = port
			l.Voltage.Said = append([]int(nil), l.Voltage.Said...)
			for k := max(0, len(f.rec.Levels)-int(f.reach.same)); k < len(f.rec.Levels); k++ {
				if o := &f.rec.Levels[k]; sameLevel(o, &l) || briefly(o, &l) {
					support(&o.Voltage, &l.Voltage)
					if l.Current != nil {
						support(o.Current, l.Current)
					}
					if o.Power == nil {
						o.Power = l.Power
					} else if l.Power != nil {
						support(o.Power, l.Power)
					}
					continue next
				}
			}
			l.Current = own(l.Current)
			f.rec.Levels = append(f.rec.Levels, l)
		}
	}
	f.run, f.ports, f.open = f.run[:0], nil, -1
}

// sameLevel reports whether two levels are the same one said twice.
func sameLevel(a, b *schema.Level) bool {
	if a.Mode != b.Mode || a.Port != b.Port || a.Protocol != b.Protocol ||
		!a.Voltage.Quantity.Same(b.Voltage.Quantity) {
		return false
	}
	if (a.Current == nil) != (b.Current == nil) {
		return false
	}
	return a.Current == nil || a.Current.Quantity.Same(b.Current.Quantity)
}

// briefly reports whether b is level a said by its voltage alone: "fixed 5, 9 and 12
// volts" behind a list of levels with their currents.
func briefly(a, b *schema.Level) bool {
	return a.Current != nil && b.Current == nil && b.Power == nil && a.Mode == b.Mode && a.Port == b.Port &&
		(a.Protocol == b.Protocol || a.Protocol == "" || b.Protocol == "") &&
		!b.Voltage.Quantity.Range && a.Voltage.Quantity.Same(b.Voltage.Quantity)
}

// alike gives the ports that were only likened to another its levels and
// powers, in the mode it was said in.
func (f *filler) alike() {
	for i := range f.doc.Alike {
		a := &f.doc.Alike[i]
		mode := "output"
		if a.Product != "" {
			mode = a.Product + "/output"
		}
		except := f.excepted(a)
		f.ports = []string{a.Port}
		f.run = f.run[:0]
		levels := f.rec.Levels
		for k := max(0, len(levels)-int(f.reach.same)); k < len(levels); k++ {
			l := &levels[k]
			if l.Port == a.Of && l.Mode == mode && f.saidBefore(&l.Voltage, a.At) &&
				(except == nil || !except.Same(l.Voltage.Quantity)) {
				f.run = append(f.run, *l)
			}
		}
		f.endLevel()
		claims := f.rec.Claims
		for k := max(0, len(claims)-int(f.reach.same)); k < len(claims); k++ {
			c := claims[k]
			if c.Port == a.Of && c.Mode == mode && c.Property == "power" && f.saidBefore(&c.Value, a.At) {
				c.Port = a.Port
				c.Value.Said = slices.Clone(c.Value.Said)
				f.addClaim(c)
			}
		}
	}
}

// mainsPort names the mains as records have it: AC is the protocol of a level, and
// the port only of an outlet. An inlet is no port of its own.
func (f *filler) mainsPort() {
	for i := range f.rec.Levels {
		if l := &f.rec.Levels[i]; l.Port == schema.MainsPort {
			l.Protocol = schema.MainsProtocol
			if isInput(l.Mode) {
				l.Port = ""
			}
		}
	}
	for i := range f.rec.Claims {
		if c := &f.rec.Claims[i]; c.Port == schema.MainsPort && isInput(c.Mode) {
			c.Port, c.Protocol = "", schema.MainsProtocol
		}
	}
}

// isInput reports whether a mode takes power in.
func isInput(mode string) bool { return mode == "input" || strings.HasSuffix(mode, "/input") }

// excepted returns the voltage that is denied right behind the words that liken
// the ports, nil for none: "the same except it has no 12 volts".
func (f *filler) excepted(a *extract.Alike) *schema.Quantity {
	first := sort.Search(len(f.placed), func(i int) bool { return f.mention(i).First >= a.At })
	for i := first; i < len(f.placed) && f.mention(i).First <= a.At+f.reach.except; i++ {
		if f.context(i).Property == "absent" {
			return &f.rec.Quantities[i].Quantity
		}
	}
	return nil
}

// saidBefore reports whether the value was said before the token.
func (f *filler) saidBefore(v *schema.Value, token int32) bool {
	return len(v.Said) > 0 && f.mention(v.Said[0]-1).First < token
}
