package normalize

import (
	"testing"

	"saywatt/extract"
	"saywatt/extract/place"
	"saywatt/normalize/channel"
	"saywatt/normalize/prior"
	"saywatt/normalize/testdata/tabletest"
	"saywatt/schema"
)

// TestPlaceUnitsTable walks every row: a unit that a quantity of the class can have,
// counted in three narrations at least; and a bare number of that class alone may have
// it, where it is not too rare there.
func TestPlaceUnitsTable(t *testing.T) {
	type key struct {
		class place.Class
		unit  schema.Unit
	}
	seen := map[key]bool{}
	for _, r := range tabletest.Rows(t, "prior/tables", "placeunits.tsv") {
		class, ok := place.ParseClass(r.Get("class"))
		unit := schema.Unit(r.Get("unit"))
		if !ok || !class.Fits(unit.Kind()) {
			t.Errorf("placeunits.tsv:%d: %s has nothing in %s", r.Line, r.Get("class"), unit)
			continue
		}
		if seen[key{class, unit}] {
			t.Errorf("placeunits.tsv:%d: %s in %s stands twice", r.Line, class, unit)
		}
		seen[key{class, unit}] = true
		n, bare := tabletest.Number(t, "placeunits.tsv", r, "n"), tabletest.Number(t, "placeunits.tsv", r, "bare")
		if in := tabletest.Number(t, "placeunits.tsv", r, "narrations"); n < in || bare > n || in < 3 {
			t.Errorf("placeunits.tsv:%d: %v of %v in %v narrations", r.Line, bare, n, in)
		}
		e := (&Ranker{}).engine(read(t, "It is 134."))
		e.options = e.options[:0]
		e.placeUnits(&extract.Mention{Context: extract.Context{Class: class}}, schema.KindUnknown)
		found, share := false, 0.0
		for _, u := range prior.UnitsIn(class) {
			if u.Unit == unit {
				share = u.Bare
			}
		}
		for _, o := range e.options {
			found = found || o.unit == unit && o.source == sourcePlace && o.by == channel.UnitDropped
		}
		if found != (share >= e.weights.PlaceUnit) {
			t.Errorf("placeunits.tsv:%d: share %.3f, entered %t", r.Line, share, found)
		}
		e.giveBack()
	}
}

// TestBareUnits: what units a number without one may have by a sign, by a unit that
// stands alone, by a prefix, and behind "at", which says that the two are unlike.
func TestBareUnits(t *testing.T) {
	for _, c := range []struct {
		text  string
		unit  schema.Unit
		from  unitSource
		there bool
	}{
		{"It still gives 20 volts at minus 20.", "Cel", sourceSign, true},
		{"It still gives 19 volts at 20.", "Cel", sourceSign, false},
		{"In centimetres? 20 by 21 by 24.", "cm", sourceLone, true},
		{"In centimetres 5. And 20.", "cm", sourceLone, false}, // another number has it
		{"The choke has 20 micro.", "uH", sourceOwn, true},
		{"Open it up. A transistor, 30 volts, and another of 20 million.", "mOhm", sourcePlace, true},
		{"Outputs. 5 volts at 20.", "V", sourcePlace, false},
	} {
		e := (&Ranker{}).engine(read(t, c.text))
		e.cuts = cutsOf(e.doc, nil)
		e.build()
		found := false
		for i := range e.doc.Mentions {
			m := e.mention(int32(i))
			if w := e.doc.Words(m.First, m.NumEnd); w != "20" && w != "minus 20" && w != "20 million" {
				continue
			}
			e.options = e.options[:0]
			e.setTurn(int32(i))
			e.decoder.Single(m)
			e.units(int32(i))
			for _, o := range e.options {
				found = found || o.unit == c.unit && o.source == c.from
			}
		}
		if found != c.there {
			t.Errorf("%s: %s entered %t, want %t", c.text, c.unit, found, c.there)
		}
		e.giveBack()
	}
}
