package report

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saywatt/internal/export/word"
	"saywatt/schema"
	"saywatt/validate"
)

// found is one record's findings, of every severity, with and without times,
// places, positions and a proposal.
func found() *Checked {
	fits := schema.MustQuantity("3.25 A")
	return &Checked{File: "a.jsonl", Record: 2, Findings: []schema.Finding{
		{Rule: "level-power", Severity: schema.SeverityError, Message: "USB-C1 PD: 20 V × 325 A is 6500 W, but 65 W was said",
			Paths: []string{"levels[0].current", "levels[0].voltage"}, Said: []int{1, 2},
			At:     []schema.Seconds{25000, 33000},
			Source: "P = V × I", Standing: "computed", Proposal: &fits},
		{Rule: "record-form", Severity: schema.SeverityError, Message: "must have value, which is missing", Paths: []string{"claims[0]"},
			Positions: []schema.Position{{Line: 3, Col: 7}}, Source: "JSON Schema", Standing: "verified"},
		{Rule: "level-trend", Severity: schema.SeverityNote, Message: "steer\x1b[2J me", At: []schema.Seconds{3725000}},
	}}
}

func TestWriteFindings(t *testing.T) {
	for _, tt := range []struct {
		name  string
		sheet Text
		c     *Checked
		want  string
	}{
		{"of every severity", Text{Width: 60}, found(), `a.jsonl, record 2: 2 errors, 1 note

Errors
  0:25–0:33  USB-C1 PD: 20 V × 325 A is 6500 W, but 65 W was
             said
             level-power at levels[0].current;
             levels[0].voltage
             would agree: 3.25 A
             P = V × I
             must have value, which is missing
             record-form at claims[0], line 3 column 7
             JSON Schema

Notes
  1:02:05    steer\x1b[2J me
             level-trend
`},
		{"in ASCII", Text{Width: 60, ASCII: true}, &Checked{File: "b.json", Findings: found().Findings[:1]}, `b.json: 1 error

Errors
  0:25-0:33  USB-C1 PD: 20 V x 325 A is 6500 W, but 65 W was
             said
             level-power at levels[0].current;
             levels[0].voltage
             would agree: 3.25 A
             P = V x I
`},
		{"places in words", Text{}, &Checked{File: "d.json", Findings: found().Findings[:1], Of: &schema.Record{Levels: []schema.Level{{
			Mode: "output", Port: "USB-C1", Protocol: "PD", Voltage: schema.Value{Quantity: schema.MustQuantity("20 V")}}}}}, `d.json: 1 error

Errors
  0:25–0:33  USB-C1 PD: 20 V × 325 A is 6500 W, but 65 W was said
             level-power at USB-C1 PD 20 V, current; USB-C1 PD 20 V, voltage
             would agree: 3.25 A
             P = V × I
`},
		{"nothing was said", Text{}, &Checked{File: "c.json", Of: &schema.Record{}}, "c.json: no quantity was said, nothing to check\n"},
		{"nothing", Text{}, &Checked{File: "c.json"}, "c.json: nothing found by the rules, which is no proof that all is right\n"},
	} {
		var b strings.Builder
		if err := tt.sheet.WriteFindings(&b, tt.c); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(tt.want, b.String()); diff != "" {
			t.Errorf("%s (-want +got)\n%s", tt.name, diff)
		}
	}
}

func TestWriteFindingsJSON(t *testing.T) {
	var b strings.Builder
	r := &Report{Records: []Checked{*found(), {File: "c.json"}}}
	if err := r.Off.Add("parts", "--off", ""); err != nil {
		t.Fatal(err)
	}
	if err := WriteFindingsJSON(&b, r); err != nil {
		t.Fatal(err)
	}
	var got []Checked
	if err := json.Unmarshal([]byte(b.String()), &got); err != nil {
		t.Fatal(err)
	}
	want := []Checked{*found(), {File: "c.json", Findings: []schema.Finding{}}}
	for i := range want {
		want[i].Off = []string{"parts"}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

// TestWriteRule: what a person gets who asks for one rule.
func TestWriteRule(t *testing.T) {
	var b strings.Builder
	if err := (Text{Width: 72}).WriteRule(&b, validate.RuleNamed("cable-marker")); err != nil {
		t.Fatal(err)
	}
	want := `cable-marker: a USB-C cable without e-marker carries at most 3 A

More than 3 A must be allowed by the cable's e-marker. Asked only where
the record says that there is none.

  raises   at most: error
  source   USB Type-C R2.4 §4.9
  standing verified: read in a published text
  relates  cable.current

Worked examples
  No more than 3 A without e-marker. Source: USB Type-C R2.4 §4.9.

  fires: 5 A
    cable.emarker = no
    cable.current = 5 A
    → error cable.current: cable: 5 A needs an e-marker, and this one
      has none; without, 3 A is the end

  passes: 3 A
    cable.emarker = no
    cable.current = 3 A
`
	if diff := cmp.Diff(want, b.String()); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

// TestWriteRules: every rule is listed with its source, and no line is too
// long.
func TestWriteRules(t *testing.T) {
	var b, j strings.Builder
	if err := (Text{}).WriteRules(&b, validate.Families()); err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(b.String(), "\n") {
		if word.Columns(line) > 80 {
			t.Errorf("%d columns: %s", word.Columns(line), line)
		}
	}
	if err := WriteRulesJSON(&j, validate.Families()); err != nil {
		t.Fatal(err)
	}
	var listed []ruleJSON
	if err := json.Unmarshal([]byte(j.String()), &listed); err != nil {
		t.Fatal(err)
	}
	rules := validate.Rules()
	if len(listed) != len(rules) {
		t.Fatalf("%d rules in JSON, %d in the suite", len(listed), len(rules))
	}
	flat := strings.Join(strings.Fields(b.String()), " ")
	for i, r := range rules {
		if !strings.Contains(flat, r.Name+": "+r.Doc) ||
			!strings.Contains(flat, strings.Join(strings.Fields(listedSource(r)), " ")) {
			t.Errorf("%s is not listed with its source", r.Name)
		}
		if listed[i].Name != r.Name || listed[i].Source != schema.PlainSource(r.Source) ||
			listed[i].Severity != r.Severity {
			t.Errorf("JSON has %v in place of %s", listed[i], r.Name)
		}
	}
}
