package pipeline

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"saywatt/extract/transcript"
	"saywatt/internal/narration"
	"saywatt/normalize"
	"saywatt/schema"
)

// saidRecord reads a narration as it was said, every quantity settled at what
// was meant: a record whose values are right, whatever place they were put in.
func saidRecord(t *testing.T, n *narration.Narration) *schema.Record {
	t.Helper()
	said := n.Said()
	tr, at, err := said.Transcript()
	if err != nil {
		t.Fatal(err)
	}
	rec, err := Run(tr, Options{})
	if err != nil {
		t.Fatal(err)
	}
	answers := meant(said, tr, at, rec)
	for {
		settled, err := Run(tr, Options{Answers: answers})
		var stray normalize.StrayAnswers
		if !errors.As(err, &stray) {
			if err != nil {
				t.Fatal(err)
			}
			return settled
		}
		answers = without(answers, stray)
	}
}

// meant answers each quantity read in the narration with the one that was meant.
func meant(n *narration.Narration, tr *transcript.Transcript, at *narration.Offsets, rec *schema.Record) []normalize.Answer {
	marks := map[schema.Span]*narration.Mark{}
	for i := range n.Marks {
		m := &n.Marks[i]
		if m.Kind == narration.MarkName {
			continue
		}
		start, end := at.Span(m)
		if spans := tr.SourceSpans(schema.Span{Start: start, End: end}); len(spans) > 0 {
			marks[spans[0]] = m
		}
	}
	var answers []normalize.Answer
	for i := range rec.Quantities {
		m, ok := marks[rec.Quantities[i].Span]
		if !ok {
			continue
		}
		a := normalize.Answer{Span: rec.Quantities[i].Span}
		if m.Kind == narration.MarkQuantity {
			a.Quantity = &m.Meant
		}
		answers = append(answers, a)
	}
	return answers
}

// without leaves out the answers that fit nothing.
func without(answers []normalize.Answer, stray normalize.StrayAnswers) []normalize.Answer {
	out := map[schema.Span]bool{}
	for _, s := range stray {
		out[s.Answer.Span] = true
	}
	var kept []normalize.Answer
	for _, a := range answers {
		if !out[a.Span] {
			kept = append(kept, a)
		}
	}
	return kept
}

func TestRuleScores(t *testing.T) {
	for _, dir := range []string{"tuning", "heldout"} {
		files, err := filepath.Glob("../../testdata/" + dir + "/*.mark")
		if err != nil || len(files) == 0 {
			t.Fatal(err)
		}
		all, err := narration.Read(files)
		if err != nil {
			t.Fatal(err)
		}
		count := map[schema.Severity]int{}
		exit1 := 0
		for _, n := range all {
			rec := saidRecord(t, n)
			grave := 0
			for _, f := range rec.Findings {
				count[f.Severity]++
				if f.Severity == schema.SeverityError {
					grave = 1
				}
				if dir == "tuning" && os.Getenv("SHOW") != "" {
					fmt.Printf("%s\t%s\t%s\t%s\t%v\n", n.Name, f.Severity, f.Rule, f.Message, f.Paths)
					for _, k := range f.Said {
						if q := rec.Quantity(k); q != nil {
							fmt.Printf("\t\t%s %s [%s] …%s\n", q.Heard, q.Quantity, q.Status, q.Context)
						}
					}
				}
			}
			exit1 += grave
		}
		fmt.Println(dir, len(all), count, exit1)
	}
}
