package extract

import (
	"slices"

	"saywatt/schema"
)

// effectKind is what a cue phrase does to the place of the numbers around it.
type effectKind uint8

const (
	effectNone        effectKind = iota
	effectSection                // goes into a section
	effectEnter                  // goes into a section unless a teardown or test runs
	effectMode                   // direction: input or output
	effectShared                 // ports in use together
	effectSingle                 // one port alone
	effectProductMode            // the product's own mode
	effectBoard
	effectSide
	effectSpot // where something was measured
	effectCount
	effectAnother
	effectAgain
	effectEach
	effectSubject // cell, pack, rated
	effectCells   // series, parallel
	effectTopology
	effectMaterial
	effectProduct
	effectMark
	effectReset
	effectApart // no part is spoken of
	effectChemistry
	effectAlike
	effectPort     // index into ports
	effectProtocol // index into protocols
	effectPackage  // index into packages
	effectPart     // index into parts
	effectBefore   // property of the number behind
	effectAfter    // property of the number before
	effectKinds
)

// effectNames is the one table of the names used in cues.tsv; the kinds that
// come from tables of their own have none.
var effectNames = [effectKinds]string{"", "section", "enter", "mode", "shared", "single", "product-mode", "board",
	"side", "spot", "count",

	"another", "again", "each", "subject", "cells", "topology", "material", "product", "mark", "reset", "apart",
	"chemistry", "alike"}

// effect is one thing that a phrase does.
type effect struct {
	kind  effectKind
	value string
	n     int32 // count, section, or row of the table that owns the kind
}

// portForm, protocolForm, packageForm and partForm are rows of their tables.
type (
	portForm struct {
		port         string
		number, only bool
		digits       []string // of which some must stand behind the form, and are of the name
		manner       Manner
	}
	protocolForm struct {
		protocol string
		version  bool // a number behind it is its version
		only     bool // it is the protocol only with such a number
		manner   Manner
	}
	packageForm struct {
		family string
		shape  packageShape
		joint  string
		values []string
		manner Manner
	}
	partForm struct {
		kind   int32 // index into kinds
		strong bool
		does   bool // what a part does: gives the kind of a chip just named, names none itself
		manner Manner
	}
)

// partKind is a kind of part with the ratings that may be said of it.
type partKind struct {
	name    string
	board   string
	bare    bool                         // its name alone says which part it is
	chip    bool                         // made as a two-terminal chip, whose size is a code
	ratings [schema.KindOther + 1]string // property by physical kind, "" where the kind does not belong
}

// partShape is a row of shapes.tsv.
type partShape struct {
	kinds uint64 // physical kinds, a bit each
	kind  int32
	alone float64 // how probable a lone rating must be to make one
}

// companion is a row of companions.tsv.
type companion struct {
	after, general, kind int32
	words                string
}

// property is a row of properties.tsv.
type property struct {
	name  string
	kinds uint64 // bit set of physical kinds, 0 any
	test  bool   // believed only while tests are spoken of

	general  bool // a bare name that a closer one before it outranks
	bare     bool // may stand behind a number without a unit
	measured bool // a reading of an instrument
	apart    bool // taken without the load spoken of before
	battery  bool // a lone word names it only where cells or the pack are spoken of
}

// fits reports whether a number of the kind can carry the property; a number
// without a unit can.
func (p *property) fits(k schema.Kind) bool {
	return p.kinds == 0 || k == schema.KindUnknown || p.kinds&(1<<k) != 0
}

// letterManner says how a word stands for a letter.
type letterManner uint8

const (
	letterNone letterManner = iota
	letterName              // the letter's name in a spelling of its own
	letterWord              // a common word that sounds like it
)

// cueTable holds the phrases that place a number, and what their tables know.
type cueTable struct {
	phrases    phrases // values index cues
	cues       [][]effect
	events     eventTable // what they do, by name, for the features of places
	ports      []portForm
	ownPorts   map[string]ownRole // by word
	chipSizes  []string
	calendar   map[string]bool      // days and months, folded
	portNames  []string             // in records, each once, in the order of the table
	numbered   map[string][5]string // of those that a number behind them numbers, without and with it
	protocols  []protocolForm
	packages   []packageForm
	parts      []partForm
	kinds      []partKind
	kindIndex  map[string]int32
	properties []property
	defaults   [SectionClosing + 1][schema.KindOther + 1]int32 // property by section and kind, -1 none
	bare       [SectionClosing + 1]int32                       // property of a bare number by section, -1 none
	mains      []float64
	formats    []int64 // names of cell formats
	companions []companion
	kindValues []kindValue
	shapes     []partShape

	letter       []byte         // by word: the letter it stands for, 0 none
	letterManner []letterManner // by word
	stop         []bool         // by word: no part of a name
	counted      []bool         // by word: a noun that is counted
	guards       []uint64       // by word: set of its guards

	s, p, between, both, several, port, size int32
	is, and, with, plus, the, at, on, in, of int32
	channel                                  int32
}

// propertyID returns the row of the property, -1 where there is none.
func (c *cueTable) propertyID(name string) int32 {
	return int32(slices.IndexFunc(c.properties, func(p property) bool { return p.name == name }))
}

// kindID returns the row of the kind of part, -1 where there is none.
func (c *cueTable) kindID(name string) int32 {
	if i, ok := c.kindIndex[name]; ok {
		return i
	}
	return -1
}

// Apart reports whether a property is taken without the load spoken of before:
// noise, the time to charge, a current that flows with everything off.
func (x *Lexicon) Apart(property string) bool {
	i := x.cue.propertyID(property)
	return i >= 0 && x.cue.properties[i].apart
}

// Measured reports whether the property of a Context is a reading of an
// instrument wherever it is said: efficiency, ripple, temperature, …
func (x *Lexicon) Measured(property string) bool {
	i := x.cue.propertyID(property)
	return i >= 0 && x.cue.properties[i].measured
}
