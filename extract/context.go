package extract

import (
	"saywatt/extract/place"
	"saywatt/schema"
)

// Section is the part of a review that the speaker is in.
type Section uint8

// The sections.
const (
	SectionNone     Section = iota
	SectionProduct          // what it is, price, box
	SectionBody             // size, weight, shell
	SectionInput            // rating plate, input side
	SectionOutput           // rating plate, output side: ports and levels
	SectionBattery          // cells, capacity, energy
	SectionCable            // a cable under review or in the box
	SectionWireless         // wireless power: coil side levels and distances
	SectionTeardown         // boards and parts
	SectionTest             // load tests, efficiency, ripple, charge and discharge
	SectionThermal          // temperatures
	SectionClosing          // opinion, goodbye
)

var sectionNames = [...]string{"", "product", "body", "input", "output", "battery", "cable", "wireless", "teardown",
	"test", "thermal", "closing"}

func (s Section) String() string { return sectionNames[s] }

// Context is what the words around a mention say of its place: what it may
// belong to, before anyone looks at its value. All strings come from the
// tables or from Subject, so a Context needs no memory of its own.
type Context struct {
	Section Section
	// operating mode: "input", "output", "output-shared", perhaps behind the product's own and a
	// slash: "mains/output"; "" unknown
	Mode string
	// "USB-C1", "USB-A", "AC"; ports in use together "USB-C1+USB-A"; each of several alike "USB-C1,USB-C2"; "" unknown
	Port     string
	Protocol string // "PD", "PPS", "QC 3.0", …; "" unknown
	// property named by the words nearest, a row of properties.tsv: "mass", "thickness", "efficiency", …; "" none
	Property string
	Spot     string      // where a temperature or the like was taken: "top", "plug", "coil", …; "" not given
	Class    place.Class // what it was taken for
	Subject  int32       // index into Document.Subjects of the part it is said of, -1 none
	// number of the clause group it stands in: a sentence, or what lies between two changes of place
	Clause int32
	Named  bool // the property was named by words near it, not taken from its section or subject
	Each   bool // said of each of several: "27 microfarads each"
	Total  bool // said of several together: "in parallel, 81 microfarads"
}

// Subject is a part, or another thing that ratings belong to, in the order
// named.
type Subject struct {
	Kind     string // component kind in trade words ("bulk capacitor"), or "cell", "pack", "rated", "cable", "body"
	Board    string
	Side     string
	Count    int // 0 where not given
	Maker    string
	Part     string
	Package  string
	Topology string
	Function string
	Series   int   // cells in series, where given
	Parallel int   // cells in parallel, where given
	First    int32 // first token of the words that named it
	Last     int32 // token after them
	Bare     bool  // its kind alone says which part it is
	Doubtful bool  // part number or maker that captions may have broken

	// another place of the narration, or the user's glossary, gave another spelling of its part number or maker
	Renamed bool
	Settled [schema.TermKinds]bool // names of it that a person put right, by their kind
	Known   []schema.Quantity      // ratings that the user's glossary knows of the part
}
