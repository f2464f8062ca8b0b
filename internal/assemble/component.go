package assemble

import (
	"math"

	"saywatt/extract"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// component files a rating of the part that quantity i is said of.
func (f *filler) component(i int, property string) {
	subject := f.context(i).Subject
	if subject < 0 {
		return
	}
	s := &f.doc.Subjects[subject]
	if s.Kind == "cell" || s.Kind == "pack" || s.Kind == "rated" {
		f.side(i, s.Kind+".", property)
		return
	}
	c := f.part(subject)
	v := f.value(i)
	for k := range c.Ratings {
		r := &c.Ratings[k]
		if r.Property != property {
			continue
		}
		if agree(&r.Value, &v) {
			return
		}
		if f.total(s, &r.Value, &v) {
			r.Value.Said = append(r.Value.Said, i+1)
			return
		}
		if f.corrects(&r.Value, &v, i) {
			return
		}
	}
	c.Ratings = append(c.Ratings, schema.Rating{Property: property, Value: v})
}

// total reports whether v is what several equal parts have together: three of
// 27 µF make 81 µF. It is then evidence for the one.
func (f *filler) total(s *extract.Subject, one, v *schema.Value) bool {
	if one.Quantity.Unit.Kind() != v.Quantity.Unit.Kind() || one.Quantity.Range || v.Quantity.Range {
		return false
	}
	switch v.Quantity.Unit.Kind() {
	case schema.KindCapacitance, schema.KindCharge, schema.KindEnergy, schema.KindMass:
	default:
		return false
	}
	a, b := one.Quantity.SI(), v.Quantity.SI()
	if a <= 0 {
		return false
	}
	n := math.Round(b / a)
	if n < 2 || n > 24 || math.Abs(b-n*a) > 0.005*b {
		return false
	}
	return s.Count == 0 || float64(s.Count) == n
}

// corrects reports whether v says the same value again with the digits put
// right ("78 milliohms … it's 7.8 milliohms"): same digits, another point.
// The surer one stands, resting on both.
func (f *filler) corrects(old, v *schema.Value, i int) bool {
	a, b := old.Quantity, v.Quantity
	if a.Range || b.Range || a.Unit.Kind() != b.Unit.Kind() || a.SI() <= 0 || b.SI() <= 0 {
		return false
	}
	d := math.Log10(a.SI() / b.SI())
	if math.Abs(d-math.Round(d)) > 1e-9 || math.Abs(d) > 3.5 {
		return false
	}
	if sureness(v.Status) > sureness(old.Status) || v.Confidence > old.Confidence {
		v.Said = append(v.Said, old.Said...)
		*old = *v
		return true
	}
	old.Said = append(old.Said, i+1)
	return true
}

// part returns the component of a subject, made where it is new.
func (f *filler) part(subject int32) *schema.Component {
	if f.parts[subject] < 0 {
		f.parts[subject] = len(f.rec.Components)
		f.rec.Components = append(f.rec.Components, f.component0(subject))
	}
	return &f.rec.Components[f.parts[subject]]
}

// component0 is the component of a subject without its ratings.
func (f *filler) component0(subject int32) schema.Component {
	s := &f.doc.Subjects[subject]
	c := schema.Component{Board: s.Board, Side: s.Side, Kind: s.Kind, Function: s.Function, Count: s.Count,
		Maker: s.Maker, Part: s.Part,
		Package: s.Package, Topology: s.Topology, Status: schema.StatusHeard, Heard: f.doc.Words(s.First, s.Last)}
	if s.Renamed {
		c.Status = schema.StatusRepaired
	}
	if s.Doubtful {
		c.Status = schema.StatusOpen
	}
	if int(s.First) < len(f.doc.Tokens) {
		c.At = f.moment(s.First)
	}
	return c
}

// bareParts adds the parts that were named with a number, package, maker or
// count of several but no rating, or by a name that says all, puts all parts in the order said, and sets their
// status: the least sure of what they hold.
func (f *filler) bareParts() {
	var all []schema.Component
	for j := range f.doc.Subjects {
		s := &f.doc.Subjects[j]
		switch s.Kind {
		case "pack", "rated", "cable", "body":
			continue
		case "cell":
			if c := f.cellPart(int32(j)); c != nil {
				f.final[j] = len(all)
				all = append(all, *c)
			}
			continue
		}
		f.final[j] = len(all)
		if f.parts[j] >= 0 {
			all = append(all, f.rec.Components[f.parts[j]])
		} else if t := f.doc.Title; s.First >= t[0] && s.Last <= t[1] {
			f.final[j] = -1 // the name of the product
		} else if s.Bare || s.Part != "" || s.Package != "" ||
			(s.Maker != "" || s.Count > 1) && s.Kind != prior.AnyPart {
			all = append(all, f.component0(int32(j)))
		} else {
			f.final[j] = -1
		}
	}
	for i := range all {
		for k := range all[i].Ratings {
			all[i].Status = lessSure(all[i].Status, all[i].Ratings[k].Value.Status)
		}
	}
	f.rec.Components = all
}

// cellPart is the cell as one of the parts found: its ratings are those of
// battery.cell, resting on the same quantities.
func (f *filler) cellPart(subject int32) *schema.Component {
	c := f.component0(subject)
	c.Board = "battery"
	if b := f.rec.Battery; b != nil {
		for _, field := range cellFields(&b.Cell) {
			switch field.name {
			case "mass", "resistance", "cycles", "cutoff":
				continue // said of the cell, but no rating on it
			}
			if v := *field.value; v != nil && len(v.Said) > 0 && f.context(v.Said[0]-1).Spot != "" {
				continue // said of the chip that guards the cells: where it acts
			}
			if *field.value != nil {
				c.Ratings = append(c.Ratings, schema.Rating{Property: field.name, Value: **field.value})
			}
		}
	}
	if len(c.Ratings) == 0 && c.Part == "" && c.Maker == "" && c.Count == 0 && c.Package == "" {
		return nil
	}
	return &c
}
