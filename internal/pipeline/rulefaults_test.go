package pipeline

import (
	"os"
	"slices"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/normalize"
	"saywatt/schema"
)

// fault is a row of rule-faults.tsv.
type fault struct {
	rule     string
	severity schema.Severity // 0 where nothing is wrong
	raised   string          // what comes of it now
	text     string
	why      string
	line     int
}

func readFaults(t *testing.T) (all []fault) {
	t.Helper()
	table, err := schema.ReadTable(os.DirFS("../../testdata"), "rule-faults.tsv")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range table.Rows {
		f := fault{rule: r.Get("rule"), raised: r.Get("raised"), why: r.Get("why"), line: r.Line,
			text: strings.ReplaceAll(r.Get("text"), "¶", "\n")}
		if s := r.Get("severity"); s != "-" {
			if f.severity, err = schema.ParseSeverity(s); err != nil {
				t.Fatal(err)
			}
		}
		all = append(all, f)
	}
	return all
}

// confirmed reads a text with every quantity confirmed as it was heard.
func confirmed(t *testing.T, tr *transcript.Transcript, rec *schema.Record) *schema.Record {
	t.Helper()
	doc := extract.Find(tr)
	var answers []normalize.Answer
	k := 0
	for i := range rec.Quantities {
		for ; k < len(doc.Mentions); k++ {
			m := &doc.Mentions[k]
			if m.HasUnit() && m.Not == extract.NotNothing && doc.Words(m.First, m.Last) == rec.Quantities[i].Heard {
				q := m.Quantity()
				answers = append(answers, normalize.Answer{Span: rec.Quantities[i].Span, Quantity: &q})
				k++
				break
			}
		}
	}
	out, err := Run(tr, Options{Answers: answers})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// TestRuleFaults: labels and sentences with one fault raise it where every value
// stands, as far as the table says; those without raise neither an error nor a
// warning, confirmed or not. What begins to be raised must be written there.
func TestRuleFaults(t *testing.T) {
	var heard, stand, toned, faults int
	for _, f := range readFaults(t) {
		tr, err := transcript.Parse("label.txt", []byte(f.text))
		if err != nil {
			t.Fatal(err)
		}
		rec, err := Run(tr, Options{})
		if err != nil {
			t.Fatal(err)
		}
		sure := confirmed(t, tr, rec)
		if f.severity == 0 {
			for _, r := range []*schema.Record{rec, sure} {
				for _, g := range r.Findings {
					if g.Severity > schema.SeverityNote {
						t.Errorf("%s\n\tis right, and raises %s %s: %s", f.text, g.Severity, g.Rule, g.Message)
					}
				}
			}
			continue
		}
		faults++
		raises := func(r *schema.Record, least schema.Severity) bool {
			return slices.ContainsFunc(r.Findings, func(g schema.Finding) bool {
				return g.Rule == f.rule && g.Severity >= least
			})
		}
		if raises(rec, f.severity) {
			heard++
		}
		got := "no"
		switch {
		case raises(sure, f.severity):
			got = "yes"
			stand++
		case raises(sure, schema.SeverityNote):
			got = "note"
			toned++
		}
		if got == "no" && !strings.Contains(f.why, "nothing") {
			t.Errorf("rule-faults.tsv:%d: why nothing is raised is not said", f.line)
		}
		if got != f.raised {
			t.Errorf("rule-faults.tsv:%d: %s %s is raised: %s, want %s\n\t%s", f.line, f.severity, f.rule, got,
				f.raised, f.text)
			for _, g := range sure.Findings {
				t.Logf("\t\t%s %s: %s", g.Severity, g.Rule, g.Message)
			}
		}
	}
	t.Logf("%d faults: raised as heard %d, with confirmed values %d, toned down to a note %d", faults, heard, stand,
		toned)
}
