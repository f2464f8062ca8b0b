package assemble

import (
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// side files a property of the cell, the pack or the rated output. What has
// no field of its own, or differs from what stands there, is kept beside.
func (f *filler) side(i int, place, property string) {
	if f.rec.Battery == nil {
		f.rec.Battery = &schema.Battery{}
	}
	b := f.rec.Battery
	fields := cellFields(&b.Cell)
	switch place {
	case prior.Pack:
		fields = packFields(&b.Pack)
	case prior.Rated:
		fields = packFields(&b.Rated)
	}
	for _, c := range fields {
		if c.name == property && f.set(c.value, i) {
			return
		}
	}
	if place == prior.Cell && (property == "capacity" || property == "energy" || property == "mass") {
		// all cells together, said in the same breath: "36 watt hours together"
		for _, c := range packFields(&b.Pack) {
			if c.name == property && f.set(c.value, i) {
				return
			}
		}
	}
	switch {
	case place == prior.Pack && property == "charge_limit" && f.set(&b.Pack.Full, i):
		return
	case place == prior.Cell && property == "full" && f.set(&b.Cell.ChargeLimit, i):
		return
	}
	b.Other = append(b.Other, f.value(i))
}

// battery copies what was said of the cells, and of the cable, in words.
func (f *filler) battery() {
	for i := range f.doc.Subjects {
		s := &f.doc.Subjects[i]
		if s.Kind == "cable" && f.rec.Cable != nil {
			switch s.Function {
			case "e-marker":
				f.rec.Cable.EMarker = "yes"
			case "no e-marker":
				f.rec.Cable.EMarker = "no"
			}
		}
		if s.Kind != "cell" {
			continue
		}
		if s.Maker == "" && s.Part == "" && s.Package == "" && s.Count == 0 && s.Series == 0 && s.Parallel == 0 &&
			s.Function == "" && f.rec.Battery == nil {
			continue
		}
		if f.rec.Battery == nil {
			f.rec.Battery = &schema.Battery{}
		}
		c := &f.rec.Battery.Cell
		c.Maker, c.Part, c.Format, c.Chemistry = s.Maker, s.Part, s.Package, s.Function
		c.Count, c.Series, c.Parallel = s.Count, s.Series, s.Parallel
		if c.Count == 0 {
			c.Count = s.Series * s.Parallel
		}
	}
}
