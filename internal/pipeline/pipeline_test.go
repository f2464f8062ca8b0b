package pipeline

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"saywatt/extract/transcript"
	"saywatt/normalize"
	"saywatt/schema"
	"saywatt/validate"
	"saywatt/validate/form"

	"github.com/google/go-cmp/cmp"
)

// captionFiles are the caption files beside all truth files.
func captionFiles(t testing.TB) []string {
	t.Helper()
	var names []string
	for _, s := range scoredSets {
		golds, err := filepath.Glob(s.glob)
		if err != nil || len(golds) != s.files {
			t.Fatalf("%s: %d truth files, want %d (%v)", s.name, len(golds), s.files, err)
		}
		for _, g := range golds {
			truth, _, err := readTruth(g)
			if err != nil {
				t.Fatal(err)
			}
			names = append(names, filepath.Join(filepath.Dir(g), truth.File))
		}
	}
	return names
}

func run(t testing.TB, name string, o Options) (*schema.Record, []byte) {
	t.Helper()
	raw, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	tr, err := transcript.Parse(filepath.Base(name), raw)
	if err != nil {
		t.Fatal(err)
	}
	rec, err := Run(tr, o)
	if err != nil {
		t.Fatal(err)
	}
	return rec, raw
}

// checkForm checks a written record by the published JSON Schema, and that it does
// not contradict itself.
func checkForm(t *testing.T, name string, document []byte) {
	t.Helper()
	findings, err := form.Check(document)
	if err == nil && len(findings) == 0 {
		findings, _, err = validate.CheckDocumentWith(nil, document)
	}
	if err != nil {
		t.Errorf("%s: %v", name, err)
	}
	for _, f := range findings {
		t.Errorf("%s: %s: %s %v", name, f.Rule, f.Message, f.Paths)
	}
}

// The record of every caption file is valid by the published JSON Schema, and
// reading it back and writing it again gives the same bytes.
func TestRecordsAreValid(t *testing.T) {
	for _, name := range captionFiles(t) {
		rec, _ := run(t, name, Options{})
		out := written(t, rec)
		checkForm(t, name, out)
		back, err := schema.ReadRecord(bytes.NewReader(out))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if again := written(t, back); !bytes.Equal(out, again) {
			t.Errorf("%s: written, read and written again (-first +second):\n%s", name,
				cmp.Diff(string(out), string(again)))
		}
	}
}

func written(t *testing.T, rec *schema.Record) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := rec.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// inTwoParts reports whether a value is the sum of the two quantities that it rests on:
// 2 hours 20 minutes.
func inTwoParts(rec *schema.Record, v *schema.Value) bool {
	if len(v.Said) != 2 {
		return false
	}
	a, b := &rec.Quantities[v.Said[0]-1].Quantity, &rec.Quantities[v.Said[1]-1].Quantity
	return a.Unit.Kind() == b.Unit.Kind() && math.Abs(a.SI()+b.SI()-v.Quantity.SI()) < 1e-9*v.Quantity.SI()
}

// What the parts of a record say of each other agrees: quantities are
// numbered in the order said, words stand where their spans say, every value
// rests on quantities that fill it, and findings cite quantities that exist.
func TestRecordsAgreeWithThemselves(t *testing.T) {
	for _, name := range captionFiles(t) {
		rec, raw := run(t, name, Options{})
		n := len(rec.Quantities)
		if n < 20 {
			t.Errorf("%s: %d quantities", name, n)
		}
		checkQuantities(t, name, rec, raw)
		c := rec.Counts
		evidence := checkEvidence(t, name, rec)
		placed, withdrawn, unplaced := 0, 0, 0 // what was taken back needs no place
		for i := range rec.Quantities {
			switch s := &rec.Quantities[i]; {
			case s.Place != "":
				placed++
			case !s.Withdrawn:
				unplaced++
			}
			if rec.Quantities[i].Withdrawn {
				withdrawn++
			}
		}
		if c.Unplaced != unplaced || c.Withdrawn != withdrawn {
			t.Errorf("%s: counts %+v, but %d have no place and %d were withdrawn", name, c, unplaced, withdrawn)
		}
		if placed == 0 || evidence == 0 || placed < evidence/2 {
			t.Errorf("%s: %d of %d quantities have a place, %d values have evidence", name, placed, n, evidence)
		}
		for _, f := range rec.Findings {
			for _, k := range f.Said {
				if k < 1 || k > n {
					t.Errorf("%s: finding %s cites quantity %d of %d", name, f.Rule, k, n)
				}
			}
		}
	}
}

// checkQuantities: quantities are numbered in the order of the file, stand at their
// words, and are counted by their status.
func checkQuantities(t *testing.T, name string, rec *schema.Record, raw []byte) {
	t.Helper()
	n := len(rec.Quantities)
	status := map[schema.Status]int{}
	end := 0
	for i := range rec.Quantities {
		s := &rec.Quantities[i]
		if !s.Unplaced() {
			status[s.Status]++
		}
		if s.Number != i+1 {
			t.Errorf("%s: quantity %d is numbered %d", name, i+1, s.Number)
		}
		if s.Span.Start < 0 || s.Span.End > len(raw) || s.Span.Empty() || s.Span.End < end {
			t.Errorf("%s: quantity %d stands at %v, the one before ends at %d, the file at %d", name, i+1, s.Span,
				end, len(raw))
			continue
		}
		end = s.Span.End
		first := bytes.Fields([]byte(s.Heard))[0]
		if !bytes.HasPrefix(raw[s.Span.Start:s.Span.End], first[:1]) {
			t.Errorf("%s: quantity %d, heard %q, stands at %q", name, i+1, s.Heard, raw[s.Span.Start:s.Span.End])
		}
		if s.Quantity.Unit.Kind() != s.Kind {
			t.Errorf("%s: quantity %d, %s, is called a %s", name, i+1, s.Quantity, s.Kind)
		}
	}
	c := rec.Counts
	if c.Said != n || c.Heard != status[schema.StatusHeard] || c.Repaired != status[schema.StatusRepaired] ||
		c.Open != status[schema.StatusOpen] ||
		c.Settled != status[schema.StatusSettled] || c.Unplaced != len(rec.Unplaced) ||
		c.Heard+c.Repaired+c.Open+c.Settled+c.Unplaced != n {
		t.Errorf("%s: counts %+v of %d quantities, of which %v", name, c, n, status)
	}
}

// checkEvidence: values rest on quantities of the record. It returns how many do.
func checkEvidence(t *testing.T, name string, rec *schema.Record) int {
	t.Helper()
	n := len(rec.Quantities)
	evidence := 0
	for _, v := range values(t, rec) {
		if len(v.Said) == 0 {
			continue
		}
		evidence++
		for _, k := range v.Said {
			if k < 1 || k > n {
				t.Errorf("%s: a value rests on quantity %d of %d", name, k, n)
			}
		}
		if lead := &rec.Quantities[v.Said[0]-1]; !lead.Quantity.Same(v.Quantity) && !inTwoParts(rec, &v) {
			t.Errorf("%s: %s rests on quantity %d, which is %s", name, v.Quantity, v.Said[0], lead.Quantity)
		}
	}
	return evidence
}

// values collects all values of a record, by way of its JSON: whatever has
// "said" beside a unit.
func values(t *testing.T, rec *schema.Record) []schema.Value {
	t.Helper()
	b, err := json.Marshal(rec)
	if err != nil {
		t.Fatal(err)
	}
	var any any
	if err := json.Unmarshal(b, &any); err != nil {
		t.Fatal(err)
	}
	var out []schema.Value
	collect(t, any, &out)
	return out
}

func collect(t *testing.T, node any, out *[]schema.Value) {
	switch x := node.(type) {
	case []any:
		for _, e := range x {
			collect(t, e, out)
		}
	case map[string]any:
		_, said := x["said"]
		_, quantity := x["quantity"]
		if said && quantity {
			b, _ := json.Marshal(x)
			var v schema.Value
			if err := json.Unmarshal(b, &v); err != nil {
				t.Fatalf("%s: %v", b, err)
			}
			*out = append(*out, v)
			return
		}
		for _, e := range x {
			collect(t, e, out)
		}
	}
}

// Runs share nothing: many at once, each file several times, give what one
// after the other gives. Under -race this is where goroutines meet.
func TestParallelRunsAgree(t *testing.T) {
	names := captionFiles(t)
	want := make([][]byte, len(names))
	for i, name := range names {
		rec, _ := run(t, name, Options{})
		want[i], _ = json.Marshal(rec)
	}
	const copies = 3
	var wg sync.WaitGroup
	faults := make(chan string, copies*len(names))
	for range copies {
		for i, name := range names {
			wg.Add(1)
			go func() {
				defer wg.Done()
				raw, err := os.ReadFile(name)
				if err != nil {
					faults <- err.Error()
					return
				}
				tr, err := transcript.Parse(filepath.Base(name), raw)
				if err != nil {
					faults <- err.Error()
					return
				}
				rec, err := Run(tr, Options{})
				if err != nil {
					faults <- err.Error()
					return
				}
				if got, _ := json.Marshal(rec); !bytes.Equal(got, want[i]) {
					faults <- fmt.Sprintf("%s: read beside others it differs", name)
				}
			}()
		}
	}
	wg.Wait()
	close(faults)
	for f := range faults {
		t.Error(f)
	}
}

// A file in which nobody names a quantity gives an empty record that is valid.
func TestNothingSaid(t *testing.T) {
	for _, text := range []string{"WEBVTT\n", "Hello and welcome back to the bench.",
		"WEBVTT\n\n00:01.000 --> 00:02.000\nhello again\n"} {
		tr, err := transcript.Parse("quiet", []byte(text))
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		rec, err := Run(tr, Options{})
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if len(rec.Quantities) != 0 || len(rec.Components) != 0 {
			t.Errorf("%q: %d quantities, %d components", text, len(rec.Quantities), len(rec.Components))
		}
		checkForm(t, "quiet", written(t, rec))
	}
}

// Answers to every open quantity, each with its likeliest reading, settle
// them all and leave the settled ones alone.
func TestAnswersSettle(t *testing.T) {
	for _, name := range captionFiles(t) {
		rec, _ := run(t, name, Options{})
		var answers []normalize.Answer
		for i := range rec.Quantities {
			if s := &rec.Quantities[i]; s.Status == schema.StatusOpen {
				q := s.Quantity
				answers = append(answers, normalize.Answer{Span: s.Span, Quantity: &q})
			}
		}
		after, _ := run(t, name, Options{Answers: answers})
		settled := map[schema.Span][]*schema.Said{} // two numbers run together have one span
		number := 0                                 // the counts leave the unplaced out
		for i := range after.Quantities {
			if s := &after.Quantities[i]; s.Status == schema.StatusSettled {
				settled[s.Span] = append(settled[s.Span], s)
				number++
			}
		}
		for _, a := range answers {
			found := false
			for _, s := range settled[a.Span] {
				found = found || s.Quantity.Same(*a.Quantity) && s.Confidence == 1
			}
			if !found {
				t.Errorf("%s: the answer for %v, %s, did not settle", name, a.Span, a.Quantity)
			}
		}
		if number != len(answers) {
			t.Errorf("%s: %d answers settled %d quantities", name, len(answers), number)
		}
	}
}

// A number that is too long to be one is reported with its place, and what
// comes behind it is read.
func TestTooLongNumber(t *testing.T) {
	tr, err := transcript.Parse("long.txt",
		[]byte("Hello.\nIt says "+strings.Repeat("9", 1000)+" volts. Then 20 watts."))
	if err != nil {
		t.Fatal(err)
	}
	rec, err := Run(tr, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(rec.Quantities) != 1 || rec.Quantities[0].Heard != "20 watts" {
		t.Errorf("read %v", rec.Quantities)
	}
	want := `long.txt:2:9: "999999999999…", a number of more than 400 digits, is not read`
	if len(rec.Source.Problems) != 1 || rec.Source.Problems[0] != want {
		t.Errorf("reported %q, want %q", rec.Source.Problems, want)
	}
	checkForm(t, "long.txt", written(t, rec))
}
