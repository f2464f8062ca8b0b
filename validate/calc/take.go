package calc

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// Inputs of calculators on parts, from the ratings of a record. Of several equal
// parts the value of one is taken, and the label says so: whether they lie in
// parallel was not said.

// takeParts takes an input from a rating of every part of a kind.
func takeParts(r *schema.Record, kind, property, input string) []Taken {
	var taken []Taken
	for i, k := range place.Ratings(r, property, kind) {
		c := &r.Components[i]
		name := place.Label(c.Board, c.Kind, c.Part)
		if n := place.Copies(c); n > 1 {
			name += ", one of " + strconv.Itoa(n)
		}
		t := Taken{Label: name}
		t.take(input, &c.Ratings[k].Value, place.Rating(i, k))
		taken = append(taken, t)
	}
	return taken
}

// paired gives each of one list of inputs each of the other; where a record says
// only one side, that one.
func paired(a, b []Taken) []Taken {
	if len(a) == 0 || len(b) == 0 {
		return append(a, b...)
	}
	var taken []Taken
	for _, x := range a {
		for _, y := range b {
			t := x.extended(x.Label + " with " + y.Label)
			t.Given = append(t.Given, y.Given...)
			taken = append(taken, t)
		}
	}
	return taken
}

// takeLineCapacitors is for x-discharge. A resistor alone discharges nothing.
func takeLineCapacitors(r *schema.Record) []Taken {
	caps := takeParts(r, "X capacitor", "capacitance", "capacitance")
	if caps == nil {
		return nil
	}
	return paired(caps, takeParts(r, "discharge resistor", "resistance", "resistance"))
}

// takeBridging is for y-leakage.
func takeBridging(r *schema.Record) []Taken {
	return takeParts(r, "Y capacitor", "capacitance", "capacitance")
}

// takeBulk is for hold-up: what the output may take at the most.
func takeBulk(r *schema.Record) []Taken {
	taken := takeParts(r, "bulk capacitor", "capacitance", "capacitance")
	if power, path, ok := claimedPower(r); ok {
		for i := range taken {
			taken[i].take("power", power, path)
		}
	}
	return taken
}

// takeResonant is for resonance.
func takeResonant(r *schema.Record) []Taken {
	return paired(takeParts(r, "coil", "inductance", "inductance"),
		takeParts(r, "resonant capacitor", "capacitance", "capacitance"))
}

// takeNothing is for calculators on what no record holds.
func takeNothing(*schema.Record) []Taken { return nil }

// takeCell is for c-rate: one cell under the greatest power of the outputs. Where
// the arrangement was not said, it does not matter: each cell gives its share.
func takeCell(r *schema.Record) []Taken {
	if r.Battery == nil || r.Battery.Cell.Capacity == nil {
		return nil
	}
	c := &r.Battery.Cell
	t := Taken{Label: "cell"}
	if power, path, ok := claimedPower(r); ok {
		t.take("power", power, path)
	} else if i := strongest(r); i >= 0 {
		t.product(r, "power", i)
	}
	t.take("capacity", c.Capacity, place.Field("battery.cell.capacity"))
	t.take("voltage", c.Voltage, place.Field("battery.cell.voltage"))
	t.number("series", c.Series, place.Field("battery.cell.series"))
	t.number("parallel", c.Count/max(c.Series, 1), place.Field("battery.cell.count"))
	return []Taken{t}
}

// strongest is the output level with the most volts times amperes, -1 where none has
// both as single values.
func strongest(r *schema.Record) int {
	best, most := -1, schema.Decimal{}
	for i := range r.Levels {
		l := &r.Levels[i]
		if place.IsInput(l.Mode) || l.Current == nil || !single(&l.Voltage.Quantity, "V") ||
			!single(&l.Current.Quantity, "A") {
			continue
		}
		if w := l.Voltage.Quantity.Low.Mul(l.Current.Quantity.Low); w.Cmp(most) > 0 {
			best, most = i, w
		}
	}
	return best
}

// takeMains is for apparent-power.
func takeMains(r *schema.Record) []Taken {
	var taken []Taken
	for i := range r.Levels {
		l := &r.Levels[i]
		if l.Current == nil || !place.IsMains(l) {
			continue
		}
		t := Taken{Label: offerLabel(l)}
		lowest := l.Voltage
		lowest.Quantity = schema.One(lowest.Quantity.Low, lowest.Quantity.Unit)
		t.take("voltage", &lowest, place.Item("levels", i, "voltage"))
		t.take("current", l.Current, place.Item("levels", i, "current"))
		t.take("power", l.Power, place.Item("levels", i, "power"))
		taken = append(taken, t)
	}
	return taken
}

// takeCodes is for component-code: parts whose designation is nothing but a code, and
// those that were said to be marked with one.
func takeCodes(r *schema.Record) []Taken {
	var taken []Taken
	for i := range r.Components {
		c := &r.Components[i]
		for k := range standard.PartCodes() {
			row := &standard.PartCodes()[k]
			if row.Code == standard.VoltsCode || !slices.Contains(row.Kinds, c.Kind) {
				continue
			}
			take := func(code, from string, open bool) {
				if _, _, ok := standard.DecodeCode(code, row.Code); ok {
					taken = append(taken, Taken{Label: place.Label(c.Board, c.Kind), Given: []Given{
						{Input: "code", Text: code, From: from, Open: open},
						{Input: "part", Text: row.Code, From: place.Item("components", i, "kind").String()},
					}})
				}
			}
			take(c.Part, place.Item("components", i, "part").String(), c.Status == schema.StatusOpen)
			for j := range c.Ratings {
				said := c.Ratings[j].Value.Said
				for _, n := range said[:min(len(said), place.MostLooked)] {
					if q := r.Quantity(n); q != nil {
						take(q.Heard, place.Rating(i, j).String(), q.Status == schema.StatusOpen)
					}
				}
			}
		}
	}
	return taken
}

// takeValues is for nearest-value: what the codes of parts can say, as a number
// in the unit said, as the series are the same in each decade.
func takeValues(r *schema.Record) []Taken {
	var taken []Taken
	for i := range r.Components {
		c := &r.Components[i]
		for j := range c.Ratings {
			v := &c.Ratings[j].Value
			if !preferredKind(c.Ratings[j].Property) {
				continue
			}
			t := Taken{Label: place.Label(c.Board, c.Kind, c.Part, v.Quantity.String())}
			if v.Quantity.Range {
				t.Skipped = "a range has no nearest value"
			} else {
				number := *v
				number.Quantity = schema.One(v.Quantity.Low, "1")
				t.take("value", &number, place.Rating(i, j))
			}
			taken = append(taken, t)
		}
	}
	return taken
}

// preferredKind says whether a property is one of those that codes say in ohms,
// farads or henries.
func preferredKind(property string) bool {
	return slices.ContainsFunc(standard.PartCodes(), func(p standard.PartCode) bool {
		return p.Code != standard.VoltsCode && p.Property == property
	})
}

// takeGauges is for wire-gauge.
func takeGauges(r *schema.Record) []Taken {
	if r.Cable == nil {
		return nil
	}
	var taken []Taken
	for i, g := range r.Cable.Gauge {
		taken = append(taken, Taken{Label: "cable", Given: []Given{{Input: "gauge",
			Quantity: schema.One(schema.NewDecimal(int64(g), 0), "{AWG}"),
			From:     place.Item("cable.gauge", i, "").String()}}})
	}
	return taken
}

// takeLists is for pdo-list: the USB PD levels of each port as the list that a
// source would send. Levels of other protocols are none of it.
func takeLists(r *schema.Record) []Taken {
	var ports []string
	lists := map[string]*portList{}
	for i := range r.Levels {
		l := &r.Levels[i]
		if place.IsInput(l.Mode) || !place.IsFixedPD(l) && place.ProtocolOf(l.Protocol) != place.PPS {
			continue
		}
		at := place.Label(l.Mode, l.Port)
		if lists[at] == nil {
			ports, lists[at] = append(ports, at), &portList{}
		}
		lists[at].add(takeObject(l, i), place.Item("levels", i, ""))
	}
	taken := make([]Taken, 0, len(ports))
	for _, at := range ports {
		taken = append(taken, lists[at].taken(at))
	}
	return taken
}

// portList collects the objects of a port.
type portList struct {
	objects []PDO
	from    []string
	open    bool
	fault   string // why there is no list
}

// add puts the object of a level into the list. A level that has none spoils
// it: what the rules then miss may be the level left out.
func (l *portList) add(t Taken, at place.Path) {
	kind, fields := "", map[string]schema.Quantity{}
	for _, g := range t.Given {
		if g.Text != "" {
			kind = g.Text
			continue
		}
		fields[g.Input] = g.Quantity
		l.open = l.open || g.Open
	}
	fault := t.Skipped
	p, err := PDO{}, error(nil)
	if fault == "" {
		if p, err = encodePDO(kind, fields); err != nil {
			fault = err.Error()
		}
	}
	if fault != "" {
		if l.fault == "" {
			l.fault = t.Label + ": " + fault
		}
		return
	}
	l.from = append(l.from, at.String())
	if !slices.ContainsFunc(l.objects, func(q PDO) bool { return q.Word == p.Word }) {
		l.objects = append(l.objects, p)
	}
}

// taken gives the list in the order of the rules: those of the extended power
// range from the eighth place on, by kind, by voltage.
func (l *portList) taken(port string) Taken {
	if l.fault != "" {
		return Taken{Label: port, Skipped: "not all of its levels have an object: " + l.fault}
	}
	top := constant("pd.voltage.spr")
	extended := func(p PDO) int { // programmable ones end at 21 V and stay below
		if p.Kind == "fixed" && p.voltage().High.Cmp(top) > 0 {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(l.objects, func(p, q PDO) int {
		return cmp.Or(extended(p)-extended(q), kindOrder[p.Kind]-kindOrder[q.Kind],
			p.voltage().High.Cmp(q.voltage().High))
	})
	var words []string
	for _, p := range l.objects {
		for extended(p) > 0 && len(words) < int(constant("pd.objects.spr").Float64()) {
			words = append(words, "0")
		}
		words = append(words, fmt.Sprintf("0x%08X", p.Word))
	}
	return Taken{Label: port, Given: []Given{{Input: "words", Text: strings.Join(words, " "),
		From: strings.Join(l.from, ", "), Open: l.open}}}
}
