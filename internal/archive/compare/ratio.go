package compare

import (
	"strings"

	"saywatt/internal/archive/facts"
	"saywatt/schema"
)

// ratios has a row for what a product gives for its mass and size.
func (t *aligner) ratios(i int, r *schema.Record, said []facts.Fact) {
	power, ofPower := facts.HighestOutput(said)
	ratio := func(label string, over schema.Decimal, of facts.Doubt, below measure, in, unit schema.Unit) {
		under := below.quantity
		if under == nil || over.IsZero() {
			return
		}
		u, err := under.Unit.Convert(under.High, in)
		if err != nil {
			return
		}
		if v, ok := over.Quo(u); ok {
			q := schema.One(significant(v, 3), unit)
			c := t.cell(i, "ratios", label)
			c.Quantity, c.Text = &q, q.String()
			c.doubted(of.And(below.doubt))
		}
	}
	mass, volume := massOf(r), volumeOf(r)
	ratio("highest output power per mass", power, ofPower, mass, "g", "W/g")
	ratio("highest output power per volume", power, ofPower, volume, "cm3", "W/cm3")
	if b := r.Battery; b != nil && b.Pack.Energy != nil {
		if wh, err := b.Pack.Energy.Quantity.Unit.Convert(b.Pack.Energy.Quantity.High, "W.h"); err == nil {
			ratio("pack energy per mass", wh, facts.DoubtOf(r, b.Pack.Energy), mass, "kg", "W.h/kg")
			ratio("pack energy per volume", wh, facts.DoubtOf(r, b.Pack.Energy), volume, "L", "W.h/L")
		}
	}
}

// A measure is what a ratio is to, with the doubt of it; no quantity for none.
type measure struct {
	quantity *schema.Quantity
	doubt    facts.Doubt
}

func massOf(r *schema.Record) measure {
	if r.Body.Mass == nil {
		return measure{}
	}
	return measure{&r.Body.Mass.Quantity, facts.DoubtOf(r, r.Body.Mass)}
}

// volumeOf is the volume as said, or that of the box of three dimensions.
func volumeOf(r *schema.Record) measure {
	if r.Body.Volume != nil {
		return measure{&r.Body.Volume.Quantity, facts.DoubtOf(r, r.Body.Volume)}
	}
	if len(r.Body.Dimensions) != 3 {
		return measure{}
	}
	v, of := schema.NewDecimal(1, 0), facts.Doubt{}
	for i := range r.Body.Dimensions {
		q := &r.Body.Dimensions[i].Quantity
		cm, err := q.Unit.Convert(q.High, "cm")
		if err != nil {
			return measure{}
		}
		v, of = v.Mul(cm), of.And(facts.DoubtOf(r, &r.Body.Dimensions[i]))
	}
	q := schema.One(v, "cm3")
	return measure{&q, of}
}

// significant rounds to n significant digits.
func significant(d schema.Decimal, n int) schema.Decimal {
	if d.IsZero() {
		return d
	}
	whole, fraction, _ := strings.Cut(strings.TrimPrefix(d.String(), "-"), ".")
	first := len(strings.TrimLeft(whole, "0")) - 1 // the power of ten of the first digit
	if first < 0 {
		first -= len(fraction) - len(strings.TrimLeft(fraction, "0"))
	}
	return d.Round(max(n-1-first, 0)).Trim()
}
