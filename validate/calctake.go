package validate

import (
	"strconv"

	"saywatt/schema"
)

// Inputs of calculators on parts, from the ratings of a record. Of several equal
// parts the value of one is taken, and the label says so: whether they lie in
// parallel was not said.

// takeParts takes an input from a rating of every part of a kind.
func takeParts(r *schema.Record, kind, property, input string) []Taken {
	var taken []Taken
	for i, k := range ratingsOf(r, property, kind) {
		c := &r.Components[i]
		name := label(c.Board, c.Kind, c.Part)
		if n := copies(c); n > 1 {
			name += ", one of " + strconv.Itoa(n)
		}
		t := Taken{Label: name}
		t.take(input, &c.Ratings[k].Value, rating(i, k))
		taken = append(taken, t)
	}
	return taken
}

// paired gives each of one list of inputs each of the other; where a record tells
// only one side, that one.
func paired(a, b []Taken) []Taken {
	if len(a) == 0 || len(b) == 0 {
		return append(a, b...)
	}
	var taken []Taken
	for _, x := range a {
		for _, y := range b {
			t := x.extended(x.Label + " with " + y.Label)
			t.Given = append(t.Given, y.Given...)
			taken = append(taken, t)
		}
	}
	return taken
}

// takeLineCapacitors is for x-discharge. A resistor alone discharges nothing.
func takeLineCapacitors(r *schema.Record) []Taken {
	caps := takeParts(r, "X capacitor", "capacitance", "capacitance")
	if caps == nil {
		return nil
	}
	return paired(caps, takeParts(r, "discharge resistor", "resistance", "resistance"))
}

// takeBridging is for y-leakage.
func takeBridging(r *schema.Record) []Taken {
	return takeParts(r, "Y capacitor", "capacitance", "capacitance")
}

// takeBulk is for hold-up: what the output may take at the most.
func takeBulk(r *schema.Record) []Taken {
	taken := takeParts(r, "bulk capacitor", "capacitance", "capacitance")
	if power, path, ok := claimedPower(r); ok {
		for i := range taken {
			taken[i].take("power", power, path)
		}
	}
	return taken
}

// takeResonant is for resonance.
func takeResonant(r *schema.Record) []Taken {
	return paired(takeParts(r, "coil", "inductance", "inductance"),
		takeParts(r, "resonant capacitor", "capacitance", "capacitance"))
}
