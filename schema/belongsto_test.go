package schema

import "testing"

// A place is in doubt as far as the place taken is, and a value as far as the
// surest quantity that says it.
func TestPlaceDoubt(t *testing.T) {
	of := func(q, place string, shares ...float64) Said {
		s := Said{Quantity: MustQuantity(q), Place: place}
		for i, p := range shares {
			s.Belongs = append(s.Belongs, Belonging{Confidence: p, Taken: i == len(shares)-1})
		}
		return s
	}
	settled := of("5 V", "levels[0].voltage", 0.76, 0.24)
	settled.BelongsSettled = true
	older := Said{Place: "body.mass", Belongs: []Belonging{{Confidence: 0.6}, {Confidence: 0.4}}}
	took := Said{Place: "levels[0].voltage", Belongs: []Belonging{
		{Place: BelongsTo{To: "none"}, Confidence: 0.77, Taken: true},
		{Place: BelongsTo{To: "level.input"}, Confidence: 0.13}, {Place: BelongsTo{To: "level.output"}, Confidence: 0.1}}}
	even := Said{Place: "body.mass", Belongs: []Belonging{{Confidence: 0.5}, {Confidence: 0.5}}}
	for _, c := range []struct {
		name string
		said Said
		want PlaceDoubt
	}{
		{"sure", of("5 V", "levels[0].voltage"), PlaceSure},
		{"likelier than all else", of("5 V", "levels[0].voltage", 0.2, 0.8), PlaceUncertain},
		{"no likelier than all else", of("5 V", "levels[0].voltage", 0.5, 0.5), PlaceUnlikely},
		{"less likely", of("38 g", "body.mass", 0.76, 0.24), PlaceUnlikely},
		{"in no field", of("38 g", "", 0.76, 0.24), PlaceUncertain},
		{"settled by a person", settled, PlaceSure},
		{"a record that does not say which was taken", older, PlaceUncertain},
		{"the same, none of them likely", even, PlaceUnlikely},
		{"in no field, and yet in one", took, PlaceUnlikely},
	} {
		if got := c.said.PlaceDoubt(); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
	r := &Record{Quantities: []Said{of("30 W", "claims[0].value", 0.1, 0.9), of("30 W", "claims[0].value"),
		of("3 h", "measurements[0].value", 0.2, 0.8), of("10 min", "measurements[0].value", 0.7, 0.3)}}
	for i := range r.Quantities {
		r.Quantities[i].Number = i + 1
	}
	for _, c := range []struct {
		name string
		v    Value
		want PlaceDoubt
	}{
		{"nothing said", Value{Quantity: MustQuantity("30 W")}, PlaceSure},
		{"said once", Value{Quantity: MustQuantity("30 W"), Said: []int{1}}, PlaceUncertain},
		{"said again, and sure there", Value{Quantity: MustQuantity("30 W"), Said: []int{1, 2}}, PlaceSure},
		{"made of two", Value{Quantity: MustQuantity("190 min"), Said: []int{3, 4}}, PlaceUnlikely},
	} {
		if got := r.PlaceDoubtOf(&c.v); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}
