package normalize

import (
	"strconv"
	"strings"

	"saywatt/extract"
	"saywatt/extract/place"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// Placed is a decided quantity with where it was heard.
type Placed struct {
	Mention int32           // index into the document's mentions, of the one that carries unit and context
	Context extract.Context // where it belongs
	Role    string          // what it is for, see package prior; "" or "any." and a kind where none is known
	Basis   schema.Basis
	Loose   bool // nothing but its words speaks for it: it takes no place
	// Unweighed: the text ties it to more values than are weighed together, and
	// so it is open.
	Unweighed bool
}

// Fill puts the quantities of rec.Quantities, parallel to placed, in their
// places, and sets Said.Place, Unplaced, Withdrawn, Terms, Counts, Product, Ports and
// Cautions. A quantity goes to one place; a level said twice, a rating said
// again and a total that equals its parts are evidence for the one value
// (Value.Said). Nothing is dropped: what finds no place is in Unplaced, what
// the speaker took back in Withdrawn.
func Fill(rec *schema.Record, doc *extract.Document, placed []Placed) {
	f := put(rec, doc, placed)
	f.paths()
	f.ids()
	f.terms()
	f.check()
	f.count()
	rec.Cautions = cautions(rec)
}

// put is the part of Fill that rules find their cases in: the quantities in their
// places.
func put(rec *schema.Record, doc *extract.Document, placed []Placed) *filler {
	f := &filler{rec: rec, doc: doc, placed: placed, reach: loadReaches(), parts: make([]int, len(doc.Subjects)),
		open: -1, loose: -1, lastMeasured: -1, behind: -1}
	f.final = make([]int, len(doc.Subjects))
	for i := range f.parts {
		f.parts[i], f.final[i] = -1, -1
	}
	rec.Product = doc.Product
	rec.Ports = doc.Ports
	rec.Body.Materials = doc.Materials
	for i := range rec.Quantities {
		q := &rec.Quantities[i]
		q.Place = ""
		if q.Withdrawn {
			rec.Withdrawn = append(rec.Withdrawn, i+1)
			continue
		}
		f.put(i)
	}
	f.endLevel()
	f.alike()
	f.mainsPort()
	f.bareParts()
	f.battery()
	return f
}

// filler is the state of one Fill.
type filler struct {
	rec    *schema.Record
	doc    *extract.Document
	placed []Placed
	reach  *reaches

	// levels (level.go)
	run   []schema.Level // levels of ports spoken of alike, in the order said
	ports []string       // of the run
	open  int            // level of the run that may still take a current or power, -1 none
	from  int            // quantity that opened it
	loose int            // current waiting for its voltage, -1 none

	parts []int // by subject: index into rec.Components while they are made, -1 none
	final []int // by subject: index into rec.Components at the end, -1 none

	// measurements (measure.go)
	condition    schema.Condition
	conditionNew bool               // no measurement yet since it changed
	loadClause   int32              // clause that spoke of the load
	loadPort     string             // port that it was said of
	loads        []schema.Condition // loads said in the section
	discharging  bool               // what is measured comes from a battery
	localMains   *schema.Value      // mains given for one clause only
	mainsClause  int32              // that clause
	mainsAt      int                // quantity that says it
	section      extract.Section
	lastMeasured int // quantity measured last, -1 none
	behind       int // quantity that was a voltage said behind a reading, -1 none
	lastAt       int // its measurement
}

// put finds the place of quantity i.
func (f *filler) put(i int) {
	if f.placed[i].Loose || f.ofNothing(i) || f.goesWith(i-1) {
		return
	}
	role := f.placed[i].Role
	place, property := prior.Split(role)
	if place == "" || place == prior.Any {
		role = roleOf(f.doc, f.context(i), f.rec.Quantities[i].Kind)
		place, property = prior.Split(role)
	}
	if c := f.context(i); place == prior.Claim && f.doc.Lexicon.Measured(property) &&
		(c.Section == extract.SectionTest || c.Section == extract.SectionThermal) {
		place = prior.Measurement
	}
	if place == prior.Measurement && !f.doc.Lexicon.Measured(property) {
		if r := roleOf(f.doc, f.context(i), f.rec.Quantities[i].Kind); r != "" {
			place, property = prior.Split(r)
		}
	}
	place, property = f.overruled(i, place, property)
	if place != prior.Level && place != prior.Input {
		f.loose = -1
	}
	switch place {
	case prior.Level, prior.Input:
		f.level(i, place, property)
	case prior.Claim:
		f.claim(i, property)
	case prior.Body:
		f.body(i, property)
	case prior.Cell, prior.Pack, prior.Rated:
		f.side(i, place, property)
	case prior.Cable:
		f.cable(i, property)
	case prior.Component:
		f.component(i, property)
	case prior.Measurement:
		f.measure(i, property)
	case prior.Condition:
		f.conditionOf(i, property)
	}
}

// ofNothing reports whether quantity i is of nothing of the product: an aside,
// or what a person said to be nothing.
func (f *filler) ofNothing(i int) bool {
	class := f.context(i).Class
	return class.Info().Aside != schema.AsideNone || class == place.None && f.mention(i).Ruling != nil
}

// overruled lets the words around quantity i overrule the place that its value was
// weighed for, where they name a property: a voltage that "I read" is no mains,
// a power "with no load" no load, a limit spoken of nothing measured. Readings
// said while tests are spoken of is measured, whoever did the arithmetic.
func (f *filler) overruled(i int, place, property string) (string, string) {
	m := f.mention(i)
	c, q := f.context(i), &f.rec.Quantities[i]
	switch c.Property {
	case "limit", "air_limit", "absent": // spoken of, no property of the product
		return prior.Any, property
	case "capacity_retention":
		return prior.Claim, c.Property
	case "cycles":
		if place == prior.Pack {
			place = prior.Cell // the pack lives as long as its cells
		}
	case "full", "cutoff", "charge_limit":
		if (c.Named && place == prior.Cell || place == prior.Pack) && q.Kind == schema.KindVoltage {
			property = c.Property
		}
	}
	if c.Named && f.doc.Lexicon.Measured(c.Property) && c.Property != property && q.Kind == m.Unit.Unit.Kind() &&
		(place == prior.Condition || place == prior.Measurement) {
		place, property = prior.Measurement, c.Property
	}
	if f.doc.Product.Kind == "cable" {
		if property == "input_voltage" || place == prior.Condition && property == "mains" {
			return prior.Condition, "voltage" // what a cable is fed with is the load's voltage
		}
		if property == "ripple" && !c.Named {
			property = "voltage_drop" // a cable has no ripple of its own
		}
	}
	if place == prior.Cable && (c.Property == "conductor_diameter" || c.Property == "thickness") {
		return place, c.Property
	}
	if place == prior.Measurement {
		f.basis(i, c.Section)
	}
	return place, property
}

// basis says on what the measured quantity i rests, where its section says so.
func (f *filler) basis(i int, s extract.Section) {
	switch s {
	case extract.SectionTest, extract.SectionThermal:
		f.placed[i].Basis = schema.BasisMeasured
	case extract.SectionInput, extract.SectionOutput, extract.SectionProduct, extract.SectionBattery,
		extract.SectionWireless:
		f.placed[i].Basis = schema.BasisClaimed // "it is full in three hours", said with the ratings
	}
}

// context is where quantity i belongs.
func (f *filler) context(i int) *extract.Context { return &f.placed[i].Context }

// mention returns the mention of quantity i.
func (f *filler) mention(i int) *extract.Mention { return &f.doc.Mentions[f.placed[i].Mention] }

// value makes the value of quantity i.
func (f *filler) value(i int) schema.Value {
	q := &f.rec.Quantities[i]
	b := f.placed[i].Basis
	if b == schema.BasisUnknown {
		b = schema.BasisClaimed
	}
	v := schema.Value{Quantity: q.Quantity, Basis: b, Status: q.Status, Confidence: q.Confidence,
		Qualifier: q.Qualifier, Said: []int{i + 1}}
	for k := i; f.goesWith(k); k++ { // "2 hours 25 minutes" is one value
		next := &f.rec.Quantities[k+1]
		v.Quantity, _ = f.doc.Lexicon.Compound(v.Quantity, next.Quantity)
		v.Status, v.Confidence = lessSure(v.Status, next.Status), min(v.Confidence, next.Confidence)
		v.Said = append(v.Said, k+2)
	}
	return v
}

// stated is the value of quantity i where it fills a claim or a level: what was
// read as a condition, or as a reading of an instrument, is one in a test alone.
func (f *filler) stated(i int) schema.Value {
	v := f.value(i)
	if s := f.context(i).Section; v.Basis == schema.BasisMeasured && s != extract.SectionTest &&
		s != extract.SectionThermal {
		v.Basis = schema.BasisClaimed
	}
	return v
}

// goesWith reports whether quantity i makes one value with the next: the words
// say so, their readings fit each other, and no person gave the next another place.
func (f *filler) goesWith(i int) bool {
	if i < 0 || i+1 >= len(f.placed) || f.placed[i].Loose || f.ofNothing(i) {
		return false
	}
	if r := f.mention(i + 1).Ruling; r != nil && r.Class != f.context(i).Class {
		return false
	}
	a, b := &f.rec.Quantities[i], &f.rec.Quantities[i+1]
	if !f.mention(i+1).Compound && !f.lacksUnit(i+1) || f.placed[i].Mention != f.placed[i+1].Mention-1 ||
		a.Withdrawn || b.Withdrawn {
		return false
	}
	_, ok := f.doc.Lexicon.Compound(a.Quantity, b.Quantity)
	return ok
}

// lacksUnit reports whether quantity i is the bare second part of a value whose
// unit was left out: "3 hours 20". What it was read as decides whether it is.
func (f *filler) lacksUnit(i int) bool {
	m := f.mention(i)
	return m.From == extract.UnitNone && !m.Range && goesOn(f.mention(i-1), m, m.Joint)
}

// set fills a single place, or adds the evidence where the same value stands
// there; it reports false where another one does.
func (f *filler) set(to **schema.Value, i int) bool {
	v := f.value(i)
	if *to == nil {
		*to = &v
		return true
	}
	return agree(*to, &v)
}

// agree adds the evidence of v to old where both are the same quantity on the
// same ground.
func agree(old, v *schema.Value) bool {
	if !old.Quantity.Same(v.Quantity) || (old.Basis == schema.BasisMeasured) != (v.Basis == schema.BasisMeasured) {
		return false
	}
	support(old, v)
	return true
}

// support lets old rest on the numbers of v as well. Said twice, it is as
// sure as the surer time.
func support(old, v *schema.Value) {
	// else taken over from another port
	if a, b := len(old.Said), len(v.Said); a == 0 || b == 0 || v.Said[b-1] > old.Said[a-1] {
		old.Said = append(old.Said, v.Said...)
	}
	if v.Confidence > old.Confidence && old.Quantity.Same(v.Quantity) {
		old.Confidence, old.Status = v.Confidence, surer(old.Status, v.Status)
	}
}

// sureness orders statuses from the least sure.
func sureness(s schema.Status) int {
	switch s {
	case schema.StatusOpen:
		return 1
	case schema.StatusRepaired:
		return 2
	case schema.StatusHeard:
		return 3
	case schema.StatusSettled:
		return 4
	}
	return 5
}

func surer(a, b schema.Status) schema.Status {
	if sureness(b) > sureness(a) {
		return b
	}
	return a
}

func lessSure(a, b schema.Status) schema.Status {
	if sureness(b) < sureness(a) {
		return b
	}
	return a
}

// claim files a headline property.
func (f *filler) claim(i int, property string) {
	c := f.context(i)
	for _, port := range eachPort(c.Port) {
		f.addClaim(schema.Claim{Property: property, Mode: c.Mode, Port: port, Protocol: c.Protocol, Value: f.stated(i)})
	}
}

func (f *filler) addClaim(c schema.Claim) {
	if c.Property == "power" {
		c.Protocol = ""
	}
	for k := max(0, len(f.rec.Claims)-int(f.reach.same)); k < len(f.rec.Claims); k++ {
		o := &f.rec.Claims[k]
		if o.Property == c.Property && o.Mode == c.Mode && o.Port == c.Port && o.Protocol == c.Protocol &&
			agree(&o.Value, &c.Value) {
			return
		}
	}
	f.rec.Claims = append(f.rec.Claims, c)
}

// body files a property of the outside.
func (f *filler) body(i int, property string) {
	b := &f.rec.Body
	switch property {
	case "dimension", "length", "width", "height":
		b.Dimensions = append(b.Dimensions, f.value(i))
		return
	case "mass":
		if f.set(&b.Mass, i) {
			return
		}
	case "volume":
		if f.set(&b.Volume, i) {
			return
		}
	case "density":
		if f.set(&b.Density, i) {
			return
		}
	case "display":
		if f.set(&b.Display, i) {
			return
		}
	}
	b.Other = append(b.Other, schema.Rating{Property: property, Value: f.value(i)})
}

// cable files a property of the cable.
func (f *filler) cable(i int, property string) {
	if f.rec.Cable == nil {
		f.rec.Cable = &schema.Cable{}
	}
	c := f.rec.Cable
	if property == "gauge" {
		q := &f.rec.Quantities[i]
		if n := int(q.Quantity.Low.Float64()); n > 0 {
			c.Gauge = append(c.Gauge, n)
			q.Place = "cable.gauge[" + strconv.Itoa(len(c.Gauge)-1) + "]"
		}
		return
	}
	var to **schema.Value
	switch property {
	case "length":
		to = &c.Length
	case "diameter":
		to = &c.Diameter
	case "mass":
		to = &c.Mass
	case "voltage":
		to = &c.Voltage
	case "current":
		to = &c.Current
	case "power":
		to = &c.Power
	case "data_rate":
		to = &c.DataRate
	case "resistance":
		to = &c.Resistance
	}
	if to == nil || !f.set(to, i) {
		f.addClaim(schema.Claim{Property: "cable_" + property, Value: f.value(i)})
	}
}

// paths writes into every quantity the path of the field that holds it.
func (f *filler) paths() {
	r := f.rec
	at := func(v *schema.Value, parts ...string) {
		if v == nil {
			return
		}
		path := strings.Join(parts, "")
		for _, n := range v.Said {
			if q := r.Quantity(n); q != nil && q.Place == "" {
				q.Place = path
			}
		}
	}
	n := strconv.Itoa
	for i := range r.Body.Dimensions {
		at(&r.Body.Dimensions[i], "body.dimensions[", n(i), "]")
	}
	at(r.Body.Mass, "body.mass")
	at(r.Body.Volume, "body.volume")
	at(r.Body.Density, "body.density")
	at(r.Body.Display, "body.display")
	for i := range r.Body.Other {
		at(&r.Body.Other[i].Value, "body.other[", n(i), "]")
	}
	for i := range r.Claims {
		at(&r.Claims[i].Value, "claims[", n(i), "]")
	}
	for i := range r.Levels {
		l := &r.Levels[i]
		at(&l.Voltage, "levels[", n(i), "].voltage")
		at(l.Current, "levels[", n(i), "].current")
		at(l.Power, "levels[", n(i), "].power")
	}
	if b := r.Battery; b != nil {
		for _, c := range cellFields(&b.Cell) {
			at(*c.value, "battery.cell.", c.name)
		}
		for _, c := range packFields(&b.Pack) {
			at(*c.value, "battery.pack.", c.name)
		}
		for _, c := range packFields(&b.Rated) {
			at(*c.value, "battery.rated.", c.name)
		}
		for i := range b.Other {
			at(&b.Other[i], "battery.other[", n(i), "]")
		}
	}
	if c := r.Cable; c != nil {
		at(c.Length, "cable.length")
		at(c.Diameter, "cable.diameter")
		at(c.Mass, "cable.mass")
		at(c.Voltage, "cable.voltage")
		at(c.Current, "cable.current")
		at(c.Power, "cable.power")
		at(c.DataRate, "cable.data_rate")
		at(c.Resistance, "cable.resistance")
	}
	for i := range r.Components {
		for k := range r.Components[i].Ratings {
			at(&r.Components[i].Ratings[k].Value, "components[", n(i), "].ratings[", n(k), "]")
		}
	}
	for i := range r.Measurements {
		m := &r.Measurements[i]
		at(&m.Value, "measurements[", n(i), "]")
		if c := m.Condition; c != nil {
			for _, v := range conditionFields(c) {
				at(*v.value, "measurements[", n(i), "].condition.", v.name)
			}
		}
	}
}

// count lists what found no place and counts how the quantities stand.
func (f *filler) count() {
	r := f.rec
	c := &r.Counts
	*c = schema.Counts{Said: len(r.Quantities), Withdrawn: len(r.Withdrawn)}
	for i := range r.Quantities {
		q := &r.Quantities[i]
		if q.Unplaced() {
			r.Unplaced = append(r.Unplaced, q.Number)
		} else {
			q.Aside = schema.AsideNone
		}
		c.Count(q, 1)
	}
}
