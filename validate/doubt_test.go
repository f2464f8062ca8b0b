package validate

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saywatt/schema"
	"saywatt/validate/testdata/notation"
)

// TestOpenValuesOnlyNote: whatever the rule, a finding on open values is a
// note that says which, and one on settled or repaired values stands.
func TestOpenValuesOnlyNote(t *testing.T) {
	for _, r := range Rules() {
		a, _ := Example(r.Name)
		for _, f := range a.Files {
			if !strings.HasPrefix(f.Name, "fires") {
				continue
			}
			rec := notation.Parse(t, string(f.Data))
			plain := CheckWith([]*Rule{r}, rec)
			everyValue(rec, func(v *schema.Value) { v.Status = schema.StatusSettled })
			if diff := cmp.Diff(printFindings(plain), printFindings(CheckWith([]*Rule{r}, rec))); diff != "" &&
				!strings.Contains(f.Name, "open") {
				t.Errorf("%s, %s: settled values are judged otherwise:\n%s", r.Name, f.Name, diff)
			}
			everyValue(rec, func(v *schema.Value) { v.Status = schema.StatusOpen })
			found := CheckWith([]*Rule{r}, rec)
			if len(found) == 0 {
				t.Errorf("%s, %s: nothing is found once the values are open", r.Name, f.Name)
			}
			for _, g := range found {
				valued := len(g.Said) > 0
				if valued && (g.Severity > schema.SeverityNote || !strings.Contains(g.Message, "(uncertain: ")) {
					t.Errorf("%s, %s: %s %q rests on open values", r.Name, f.Name, g.Severity, g.Message)
				}
			}
		}
	}
}

// TestDoubt: what is uncertain is named, and only what the finding is about
// counts; a value is reported once as implausible.
func TestDoubt(t *testing.T) {
	for _, test := range []struct{ name, record, want string }{
		{"an open value that the finding is not about changes nothing", `
claim power, 65 W, port=USB-C1
level output, USB-C1, PD, 15 V, 3 A (open)
level output, USB-C1, PD, 20 V, 3 A`,
			"note claims[0].value: USB-C1: 65 W claimed, but the strongest level named gives 60 W (uncertain: whether both " +
				"are said of one thing)\n" +
				"note levels[1].current: USB-C1 PD: a source of 65 W that shows 20 V 3 A has a 3 A cable; its own level is 3.25 A"},
		{"the one it is about does", `
claim power, 65 W, port=USB-C1
level output, USB-C1, PD, 15 V, 3 A
level output, USB-C1, PD, 20 V (open), 3 A`,
			"note claims[0].value: USB-C1: 65 W claimed, but the strongest level named gives 60 W (uncertain: 20 V)\n" +
				"note levels[1].current: USB-C1 PD: a source of 65 W that shows 20 V 3 A has a 3 A cable; its own level is 3.25 A (uncertain: 20 V)"},
		{"an error with a repaired value stays one", `
level output, USB-C1, PD, 20 V, 6 A (repaired)`,
			"error levels[0].current: USB-C1 PD: 6 A is above the 5 A that USB PD, its connector and its cables end at"},
		{"a part that is open for itself", `
component fuse, current 3.25 A, status=open`,
			"note components[0].ratings[0].value: fuse: 3.25 A is no rated current of the IEC 60127 list; the nearest is 3.15 A (unverified) (uncertain: which part it is)"},
		{"a part that is open for another of its ratings", `
component fuse, current 3.25 A, voltage 250 V (open), status=open`,
			"warning components[0].ratings[0].value: fuse: 3.25 A is no rated current of the IEC 60127 list; the nearest is 3.15 A (unverified)"},
		{"502 W at a USB port is reported once", `
claim power, 100 W, port=USB-C1
claim power, 502 W, port=USB-C1
level output, USB-C1, PD, 20 V, 5 A`,
			"error claims[1].value: USB-C1: 502 W is above the 240 W that USB ends at"},
		{"a value outside its window is not also off its list", `
component bulk capacitor, voltage 45000 V`,
			"note components[0].ratings[0].value: bulk capacitor: 45000 V is outside 160 V to 550 V (usual: 400/420/450 V) " +
				"(uncertain: what kind of part it is)"},
		{"a note on one value leaves what rests on it", `
battery.pack.energy = 120 W.h
battery.rated.energy = 130 W.h`,
			"error battery.rated.energy: rated output: 130 Wh, 108.3 % of the 120 Wh in the cells: more than they hold\n" +
				"note battery.pack.energy: 120 Wh is above 100 Wh: a flight needs the approval of the airline, and at most two go per person, as of 2026-03-27"},
	} {
		t.Run(test.name, func(t *testing.T) {
			if diff := cmp.Diff(test.want, printFindings(Check(notation.Parse(t, test.record)))); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

// TestPerhapsNothing: a claim that the words do not tie to the product raises no
// error, nor one of which it is in doubt what it is of.
func TestPerhapsNothing(t *testing.T) {
	const sure = "error claims[0].value: USB-C1: 502 W is above the 240 W that USB ends at"
	const doubtful = "note claims[0].value: USB-C1: 502 W is above the 240 W that USB ends at (uncertain: "
	for _, test := range []struct {
		name, want string
		belongs    []string
	}{
		{"sure", sure, nil},
		{"of this product or another", doubtful + "502 W may be of nothing of the product)", []string{"power.port", "aside.other"}},
		{"of this product or nothing", doubtful + "502 W may be of nothing of the product)", []string{"power.port", "none"}},
		{"of one port or all", doubtful + "where 502 W belongs)", []string{"power.port", "power"}},
	} {
		rec := notation.Parse(t, "\nclaim power, 502 W, port=USB-C1")
		for i := range rec.Quantities {
			for _, to := range test.belongs {
				b := schema.Belonging{Place: schema.BelongsTo{To: to}, Confidence: 0.5}
				rec.Quantities[i].Belongs = append(rec.Quantities[i].Belongs, b)
			}
		}
		if diff := cmp.Diff(test.want, printFindings(Check(rec))); diff != "" {
			t.Errorf("%s: (-want +got)\n%s", test.name, diff)
		}
	}
}
