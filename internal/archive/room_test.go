package archive

import (
	"testing"

	"saywatt/schema"
)

// The temperature of the room is none of the product, and of two temperatures in
// degrees there is no ratio.
func TestRoomIsApart(t *testing.T) {
	a := pair(t)
	for name, degrees := range map[string][2]string{"tarn": {"21 Cel", "60 Cel"}, "esk": {"24 Cel", "50 Cel"}} {
		_, r, _, err := a.Record(name)
		if err != nil {
			t.Fatal(err)
		}
		for i, property := range []string{"ambient", "temperature"} {
			r.Measurements = append(r.Measurements, schema.Measurement{Property: property,
				Value: schema.Value{Quantity: schema.MustQuantity(degrees[i]), Basis: schema.BasisMeasured,
					Status: schema.StatusHeard, Confidence: 1}})
		}
		w := begin(t, a)
		if _, err := w.Add(name, r, "Ada", day, true); err != nil {
			t.Fatal(err)
		}
		finish(t, w)
	}
	for query, want := range map[string]int{"temperature < 30 °C": 0, "measured temperature < 30 °C": 0,
		"temperature > 55 °C": 1, "ambient temperature < 30 °C": 2, "ambient temperature > 22 °C": 1} {
		if got := search(t, a, Request{Query: query}).Total; got != want {
			t.Errorf("%s: %d reviews, want %d", query, got, want)
		}
	}
	for subject, most := range map[string]float64{"temperature": 60, "ambient temperature": 24} {
		d, err := a.Stats(subject, "")
		if err != nil || d.Most != most || d.Values != 2 {
			t.Errorf("%s: %+v, %v", subject, d, err)
		}
	}
	c, err := a.Compare("tarn", "esk")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for i := range c.Rows {
		if r := &c.Rows[i]; r.Label == "ambient" || r.Label == "temperature" {
			seen++
			if !r.Differs || r.Cells[1].Ratio != "" {
				t.Errorf("%s: %+v", r.Label, r.Cells)
			}
		}
	}
	if seen != 2 {
		t.Errorf("%d rows of temperatures, want 2", seen)
	}
}
