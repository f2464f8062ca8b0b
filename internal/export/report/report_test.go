package report

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saywatt/schema"
	"saywatt/validate"
)

// filed is a report of two records, with something switched off.
func filed(t *testing.T) *Report {
	t.Helper()
	r := &Report{Records: []Checked{*found(), {File: "-", Record: 1, Captions: "=c.vtt", Findings: []schema.Finding{
		{Rule: "level-power", Severity: schema.SeverityWarning, Message: "+1, and more", Source: "handbook 2.2; P = V × I", Standing: "computed"},
		{Rule: "level-power", Severity: schema.SeverityNote, Message: "again"},
	}}}}
	if err := r.Off.AddSettings("s", []byte("off cables not ours\n")); err != nil {
		t.Fatal(err)
	}
	return r
}

func TestReportCounts(t *testing.T) {
	want := []ruleCount{
		{Rule: "level-power", Family: "levels", Errors: 1, Warnings: 1, Notes: 1, Records: 2},
		{Rule: "record-form", Family: "record", Errors: 1, Records: 1},
		{Rule: "level-trend", Family: "levels", Notes: 1, Records: 1},
	}
	if diff := cmp.Diff(want, filed(t).Counts()); diff != "" {
		t.Error(diff)
	}
}

func TestWriteReportCSV(t *testing.T) {
	var b strings.Builder
	if err := WriteReportCSV(&b, filed(t)); err != nil {
		t.Fatal(err)
	}
	want := strings.ReplaceAll(`file,record,captions,time,severity,rule,family,message,places,would_agree,source,standing
,,,,off,cables,,not ours,,,s:1,
a.jsonl,2,,0:25–0:33,error,level-power,levels,"USB-C1 PD: 20 V × 325 A is 6500 W, but 65 W was said",levels[0].current; levels[0].voltage,3.25 A,P = V × I,computed
a.jsonl,2,,,error,record-form,record,"must have value, which is missing",claims[0],,JSON Schema,verified
a.jsonl,2,,1:02:05,note,level-trend,levels,steer\x1b[2J me,,,a published source,
-,1,'=c.vtt,,warning,level-power,levels,"'+1, and more",,,P = V × I,computed
-,1,'=c.vtt,,note,level-power,levels,again,,,a published source,
`, "\n", "\r\n")
	if diff := cmp.Diff(want, b.String()); diff != "" {
		t.Error(diff)
	}
}

func TestWriteReportJSON(t *testing.T) {
	var b strings.Builder
	if err := WriteReportJSON(&b, filed(t)); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Off     []struct{ Name, Where, Why string }
		Rules   []ruleCount
		Records []Checked
	}
	if err := json.Unmarshal([]byte(b.String()), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Off) != 1 || got.Off[0].Name != "cables" || len(got.Rules) != 3 || len(got.Records) != 2 ||
		strings.Contains(b.String(), "handbook") {
		t.Errorf("%s", b.String())
	}
	b.Reset()
	if err := WriteReportJSON(&b, &Report{}); err != nil || strings.Contains(b.String(), "null") {
		t.Errorf("empty: %v %s", err, b.String())
	}
}

func TestWriteCounts(t *testing.T) {
	var b strings.Builder
	if err := (Text{Width: 60}).WriteCounts(&b, filed(t)); err != nil {
		t.Fatal(err)
	}
	const want = `
In 2 records
  rule       errors warnings notes records
  level-power     1        1     1       2
  record-form     1                      1
  level-trend                    1       1

Switched off
  cables: not ours (s:1)
`
	if diff := cmp.Diff(want, b.String()); diff != "" {
		t.Error(diff)
	}
	b.Reset()
	if err := (Text{}).WriteCounts(&b, &Report{Records: []Checked{{}}, Off: validate.Off{}}); err != nil ||
		b.Len() > 0 {
		t.Errorf("one record: %v %q", err, b.String())
	}
	if err := (Text{}).WriteCounts(&b, &Report{Records: []Checked{{}, {}}}); err != nil ||
		!strings.Contains(b.String(), "no proof") {
		t.Errorf("nothing found: %v %q", err, b.String())
	}
}
