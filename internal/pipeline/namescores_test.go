package pipeline

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"saywatt/internal/narration"
)

const nameScoresHead = `# How well the names of products and makers are read: go test ./internal/pipeline -run TestNameScores -update writes this
# file, and the same test fails where a change moves a number. Truth: the names marked in the narrations of testdata/tuning, which
# the models were fitted on, and testdata/heldout, which they were not. What narrations that are left out of the fit come to is
# printed by go run ./internal/namefit -fold 4 testdata/tuning/*.mark. Where a recogniser left nothing of the product's name, and
# nobody could say it, the narration is not counted.
#
# title   the product's name, whole or without its maker; maker: of the product; part makers: each once a narration
# clean   the captions with all names as meant; captions: as they show them
# right   as meant; heard: as the captions show them, where those garbled them; other: as something else; missed: nothing read
# extra   makers of parts where no such maker was said
# check   names listed to be checked
`

// TestNameScores scores the names of marked narrations and compares with the
// committed table.
func TestNameScores(t *testing.T) {
	var b strings.Builder
	b.WriteString(nameScoresHead)
	for _, set := range []string{"tuning", "heldout"} {
		files, err := filepath.Glob("../../testdata/" + set + "/*.mark")
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: no narrations (%v)", set, err)
		}
		all, err := narration.Read(files)
		if err != nil {
			t.Fatal(err)
		}
		all = asSaid(all)
		for _, clean := range []bool{true, false} {
			scoreNames(t, &b, set, all, clean)
		}
	}
	committed(t, "../../testdata/name-scores.txt", b.String())
}

// scoreNames writes the lines of a set of narrations, with their names as meant
// or as shown.
func scoreNames(t *testing.T, b *strings.Builder, set string, all []*narration.Narration, clean bool) {
	var sum narration.NameTally
	check := 0
	for _, n := range all {
		if n.Head["maker"] == "" {
			continue
		}
		if clean {
			var err error
			if n, err = n.Spoken(); err != nil {
				t.Fatal(err)
			}
		}
		tr, _, err := n.Transcript()
		if err != nil {
			t.Fatal(err)
		}
		rec, err := Run(tr, Options{})
		if err != nil {
			t.Fatal(err)
		}
		read := narration.NamesRead{Title: rec.Product.Name, Maker: rec.Product.Maker}
		for i := range rec.Components {
			read.Parts = append(read.Parts, rec.Components[i].Maker)
		}
		if rec.Battery != nil {
			read.Parts = append(read.Parts, rec.Battery.Cell.Maker)
		}
		one, err := n.ScoreNames(read)
		if err != nil {
			t.Fatal(err)
		}
		sum.Add(one)
		check += len(rec.NamesToCheck)
	}
	how := "captions"
	if clean {
		how = "clean"
	}
	fmt.Fprintf(b, "\n%-22s %5s %6s %6s %6s %6s %6s %6s\n", set+", "+how, "said", "right", "heard", "other", "missed",
		"extra", "right%")
	for _, row := range []struct {
		what string
		o    narration.Outcome
	}{{"title", sum.Title}, {"maker", sum.Maker}, {"part makers", sum.Parts}} {
		o := row.o
		fmt.Fprintf(b, "%-22s %5d %6d %6d %6d %6d %6d %6s\n", row.what, o.Said, o.Right, o.Heard, o.Other,
			o.Said-o.Right-o.Heard-o.Other, o.Extra, percent(o.Right, o.Said))
	}
	fmt.Fprintf(b, "%-22s %5d\n", "check", check)
}
