package assemble

import (
	"slices"

	"saywatt/extract"
	"saywatt/schema"
)

// value makes the value of quantity i.
func (f *filler) value(i int) schema.Value {
	q := &f.rec.Quantities[i]
	v := schema.Value{Quantity: q.Quantity, Basis: f.bases[i], Status: q.Status, Confidence: q.Confidence,
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
	return m.From == extract.UnitNone && !m.Range && m.GoesOn(f.mention(i-1), m.Joint)
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

// own returns a value that shares nothing with another; nil of nil.
func own(v *schema.Value) *schema.Value {
	if v == nil {
		return nil
	}
	c := *v
	c.Said = slices.Clone(v.Said)
	return &c
}
