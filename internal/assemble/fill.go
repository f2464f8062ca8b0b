package assemble

import (
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
	Loose   bool            // nothing but its words speaks for it: it takes no place
	// Unweighed: the text ties it to more values than are weighed together, and
	// so it is open. It takes its place all the same.
	Unweighed bool
}

// Fill puts the quantities of rec.Quantities, parallel to placed, in their
// places, and sets Said.Place, Unplaced, Withdrawn, Terms, NamesToCheck, Counts,
// Product, Ports and Cautions. A quantity goes to one place; a level said twice, a
// rating said again and a total that equals its parts are evidence for the one
// value (Value.Said). Nothing is dropped: what finds no place is in Unplaced, what
// the speaker took back in Withdrawn. placed and doc are not changed.
func Fill(rec *schema.Record, doc *extract.Document, placed []Placed) {
	f := fill(rec, doc, placed)
	f.paths()
	f.ids()
	f.terms()
	f.check()
	f.count()
	rec.Cautions = cautions(rec)
}

// Values is the part of Fill that rules find their cases in: it puts the
// quantities in their places and leaves the rest of the record as it is.
func Values(rec *schema.Record, doc *extract.Document, placed []Placed) { fill(rec, doc, placed) }

// fill puts the quantities in their places.
func fill(rec *schema.Record, doc *extract.Document, placed []Placed) *filler {
	f := &filler{rec: rec, doc: doc, placed: placed, reach: loadReaches(), parts: make([]int, len(doc.Subjects)),
		bases: make([]schema.Basis, len(placed)), open: -1, loose: -1, lastMeasured: -1, behind: -1}
	f.final = make([]int, len(doc.Subjects))
	for i := range f.parts {
		f.parts[i], f.final[i] = -1, -1
	}
	for i := range placed {
		f.bases[i] = basisOf(placed[i].Role)
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
	bases  []schema.Basis // on what each quantity rests
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

// basisOf says on what a value of a role rests.
func basisOf(role string) schema.Basis {
	switch place, _ := prior.Split(role); place {
	case prior.Measurement, prior.Condition:
		return schema.BasisMeasured
	case prior.Level, prior.Input, prior.Component, prior.Rated:
		return schema.BasisLabel
	}
	return schema.BasisClaimed
}

// basis says on what the measured quantity i rests, where its section says so.
func (f *filler) basis(i int, s extract.Section) {
	switch s {
	case extract.SectionTest, extract.SectionThermal:
		f.bases[i] = schema.BasisMeasured
	case extract.SectionInput, extract.SectionOutput, extract.SectionProduct, extract.SectionBattery,
		extract.SectionWireless:
		f.bases[i] = schema.BasisClaimed // "it is full in three hours", said with the ratings
	}
}

// context is where quantity i belongs.
func (f *filler) context(i int) *extract.Context { return &f.placed[i].Context }

// mention returns the mention of quantity i.
func (f *filler) mention(i int) *extract.Mention { return &f.doc.Mentions[f.placed[i].Mention] }

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
