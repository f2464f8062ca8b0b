package pipeline

import (
	"testing"

	"saywatt/extract/transcript"
	"saywatt/normalize"
	"saywatt/schema"
)

// TestAsides: what is of another product or of the work on it fills no field and
// says why; what is of the product does not.
func TestAsides(t *testing.T) {
	const text = "This is the Orrindale Reed 30, a wall charger with one USB C port. It cost me 29 euros. My laptop " +
		"takes 45 watts, " +
		"so this one is too small for it.\n\n" +
		"The rating says input 100 to 240 volts, 1 amp, and the output is 5 volts 3 amps, 9 volts 3 amps and 20 volts 1.5 amps.\n\n" +
		"Opening it took 15 minutes to pry open, with the knife heated to 80 degrees. Last week's charger had 65 watts, and my phone takes 11 volts " +
		"1.8 amps. The fuse is 2 amps, 250 volts.\n"
	tr, err := transcript.Parse("talk.txt", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	rec, err := Run(tr, Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]schema.Aside{"45 watts": schema.AsideOther, "65 watts": schema.AsideOther,
		"11 volts": schema.AsideOther, "1.8 amps": schema.AsideOther, "15 minutes": schema.AsideProcess,
		"80 degrees": schema.AsideProcess}

	for i := range rec.Quantities {
		q := &rec.Quantities[i]
		if q.Aside != want[q.Heard] {
			t.Errorf("%q is an aside %q, want %q", q.Heard, q.Aside, want[q.Heard])
		}
		if (q.Place == "") != (want[q.Heard] != schema.AsideNone) {
			t.Errorf("%q is in %q", q.Heard, q.Place)
		}
		delete(want, q.Heard)
	}
	for heard := range want {
		t.Errorf("%q was not read", heard)
	}
	for _, f := range rec.Findings {
		if f.Severity == schema.SeverityError {
			t.Errorf("an aside raises %s", f.Message)
		}
	}

	// A person says that the product is the one of 65 watts after all.
	q := &rec.Quantities[0]
	for i := range rec.Quantities {
		if rec.Quantities[i].Heard == "65 watts" {
			q = &rec.Quantities[i]
		}
	}
	said := []normalize.Answer{{Span: q.Span, Place: &schema.BelongsTo{To: "power"}}}
	after, err := Run(tr, Options{Answers: said})
	if err != nil {
		t.Fatal(err)
	}
	if s := after.Quantity(q.Number); !s.BelongsSettled || s.Aside != schema.AsideNone || s.Place == "" {
		t.Errorf("settled as the product's, it is an aside %q in %q", s.Aside, s.Place)
	}
}
