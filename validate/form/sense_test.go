package form

import (
	"strings"
	"testing"

	"saywatt/schema"
)

// TestSense breaks the sense of a good record in one place at a time.
func TestSense(t *testing.T) {
	good := strings.NewReplacer(`"said": 0,`, `"said": 4,`, `"heard": 0,`, `"heard": 4,`).Replace(wellFormed(t))
	if r, fs, err := Read([]byte(good)); err != nil || r == nil {
		t.Fatalf("a good record: %v, %v", fs, err)
	}
	for _, tt := range []struct{ name, old, new, want string }{
		{"counts", `"heard": 4,`, `"heard": 3,`,
			"counts.said: 4 were said, but heard, repaired, open, settled and unplaced make 3"},
		{"list", `"said": 4,
    "heard": 4,`, `"said": 5,
    "heard": 5,`, "counts.said: 5 were said, but 4 are listed"},
		{"kind", `"kind": "current",`, `"kind": "mass",`, "quantities[1].kind: 3.25 A is a current, not a mass"},
		{"range", `"value": 3.25,`, `"low": 5, "high": 3.25,`,
			"levels[0].current.quantity: 5–3.25 A falls: its low end is above its high one"},
		{"less than nothing", `"value": 65,`, `"value": -65,`, "claims[0].value.quantity: -65 W is less than nothing"},
		{"said by nobody", `"said": [
          2`, `"said": [
          12`, "levels[0].current.said[0]: no quantity has the number 12"},
		{"unit of a level", `"unit": "A"`, `"unit": "Hz"`, "levels[0].current.quantity: 3.25 Hz is no current"},
		{"place", `"place": ""`, `"place": "levels[7].voltage"`,
			"quantities[0].place: levels[7].voltage points nowhere"},
		{"place of what is not there", `"place": ""`, `"place": "battery.pack.energy"`,
			"quantities[0].place: battery.pack.energy points nowhere"},
		{"span too short", `"span": [
        0,
        0
      ],
      "heard": "3.25 A"`, `"span": [
        7,
        9
      ],
      "heard": "3.25 A"`, "quantities[1].span: points nowhere: 2 bytes do not hold “3.25 A”"},
		{"moment before the first", `"at": 10,`, `"at": -10,`, "quantities[0].at: -10 s is no moment of the captions"},
		{"moment behind the last", `"format": "vtt"`, `"format": "vtt", "duration": 25`,
			"quantities[2].at: 30 s is no moment of the captions"},
		{"repaired by nobody", `"heard": 4,
    "repaired": 0,`, `"heard": 3,
    "repaired": 1,`, "counts.repaired: 1 are counted, but 0 are listed"},
		{"taken back by nobody", `"withdrawn": 0`, `"withdrawn": 2`, "counts.withdrawn: 2 are counted, but 0 are listed"},
		{"said twice", `"said": [
          2`, `"said": [
          2, 2`, "levels[0].current.said[1]: quantity 2 is listed twice"},
		{"in no place twice", `"counts": {`, `"unplaced": [1, 1], "counts": {`, "unplaced[1]: quantity 1 is listed twice"},
		{"in a place and in none", `"place": "",
      "why": []
    }
  ],
`, `"place": "claims[0]",
      "why": []
    }
  ],
  "unplaced": [4],
`, "unplaced[0]: quantity 4 has a place: claims[0]"},
		{"colder than can be", `"levels": [`, `"measurements": [{"property": "temperature", "value": {"quantity":
			{"value": -300, "unit": "Cel"}, "basis": "measured", "status": "heard", "confidence": 1, "said": []}}],
			"levels": [`, "measurements[0].value.quantity: -300 °C is below absolute zero"},
		{"power in volts", `"unit": "W"`, `"unit": "V"`, "claims[0].value.quantity: 65 V is no power"},
		{"charge in watts", `"quantities": [`, `"battery": {"cell": {}, "pack": {}, "rated": {"capacity": {"quantity":
			{"value": 5, "unit": "W"}, "basis": "label", "status": "heard", "confidence": 1, "said": []}}},
			"quantities": [`, "battery.rated.capacity.quantity: 5 W is no charge"},
		{"finding about nobody", `"counts": {`, `"findings": [{"rule": "x", "severity": "note", "message": "m",
			"said": [9]}], "counts": {`, "findings[0].said[0]: no quantity has the number 9"},
	} {
		if !strings.Contains(good, tt.old) {
			t.Errorf("%s: %q is not in\n%s", tt.name, tt.old, good)
			continue
		}
		r, fs, err := Read([]byte(strings.Replace(good, tt.old, tt.new, 1)))
		if err != nil || r != nil {
			t.Errorf("%s: %v, record %v", tt.name, err, r != nil)
		}
		var got []string
		for _, f := range fs {
			got = append(got, strings.Join(f.Paths, ",")+": "+f.Message)
			if f.Rule != SenseRule || len(f.Positions) != 1 {
				t.Errorf("%s: %s at %v", tt.name, f.Rule, f.Positions)
			}
		}
		if s := strings.Join(got, "; "); !strings.Contains(s, tt.want) {
			t.Errorf("%s: %q, want %q", tt.name, s, tt.want)
		}
	}
}

// What an open value is nobody knows yet: its likeliest reading may be of another
// kind than its place. One that stands may not.
func TestSenseOfOpen(t *testing.T) {
	r := schema.Record{Measurements: []schema.Measurement{{Property: "temperature", Value: schema.Value{
		Quantity: schema.One(schema.NewDecimal(50, 0), "dB"), Status: schema.StatusOpen}}}}
	if found := senseOf(&r, nil); len(found) != 0 {
		t.Errorf("open: %v", found)
	}
	r.Measurements[0].Value.Status = schema.StatusRepaired
	const want = "50 dB is no temperature"
	if found := senseOf(&r, nil); len(found) != 1 || found[0].message != want {
		t.Errorf("repaired: %v, want %s", found, want)
	}
}
