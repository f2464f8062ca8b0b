package pipeline

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"saywatt/extract/transcript"
	"saywatt/internal/narration"
	"saywatt/normalize"
	"saywatt/schema"
	"saywatt/validate"
)

const ruleScoresHead = `# How often the rules are right: go test ./internal/pipeline -run TestRuleScores -update writes this file, and the same
# test fails where a number moves.
#
# A true review is a narration of testdata/tuning with every garble replaced by what was said, and every quantity settled at
# what was meant; what is wrong in it is where values were put, and what the speaker said that is odd (rule-oddities.tsv,
# read off the narrations by hand). A misprint is such a review with one of its quantities settled at another value: ten
# times as much, a tenth, or half as much again. Only what its change brought about counts.
#
# right    findings about an odd, or about the changed, quantity
# false    the others
# found    misprints with a finding of any severity about the changed quantity, of so many
# exit 1   true reviews with an error
#
# Findings about a quantity that could not be settled (the captions show nothing of it) are left out. Of testdata/heldout,
# whose texts nobody reads, all findings are counted as they come.
`

// Bars of precision, in per cent.
const (
	barErrors   = 95
	barWarnings = 80
)

// misprintEach is one of how many quantities of a review is changed in turn.
const misprintEach = 9

// TestRuleScores counts the findings on true reviews and on misprints, and
// compares with the committed table. With -v it lists the errors and warnings
// on true reviews.
func TestRuleScores(t *testing.T) {
	tuning, heldout := asSaid(readNarrations(t, "tuning")), asSaid(readNarrations(t, "heldout"))
	odd := readOddities(t)
	var all ruleTally
	all.rules = map[string]*[2]counts{}
	all.log = t.Logf
	for _, n := range tuning {
		true0 := trueReview(t, n)
		all.review(n.Name, true0.settled, odd)
		for i := range true0.answers {
			if i%misprintEach == len(n.Name)%misprintEach {
				a := &true0.answers[i]
				all.misprint(true0.settled, true0.record(t, i, changed(*a.Quantity, i)), a.Span)
			}
		}
	}
	var b strings.Builder
	b.WriteString(ruleScoresHead)
	all.write(&b, len(tuning))
	var held ruleTally
	for _, n := range heldout {
		held.review("", trueReview(t, n).settled, nil)
	}
	e, w := held.sum[0].of(schema.SeverityError), held.sum[0].of(schema.SeverityWarning)
	fmt.Fprintf(&b, "\nheldout: %d true reviews, %d errors, %d warnings, exit 1: %d\n", len(heldout),
		e.right+e.wrong, w.right+w.wrong, held.grave)
	committed(t, "../../testdata/rule-scores.txt", b.String())
	all.holdBars(t)
}

func readNarrations(t *testing.T, dir string) []*narration.Narration {
	t.Helper()
	files, err := filepath.Glob("../../testdata/" + dir + "/*.mark")
	if err != nil || len(files) == 0 {
		t.Fatal(dir, len(files), err)
	}
	all, err := narration.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// asSaid leaves out narrations of which a recogniser wrote what stands outside of the
// marks: nobody said it.
func asSaid(all []*narration.Narration) []*narration.Narration {
	return slices.DeleteFunc(all, (*narration.Narration).ByEar)
}

// count of findings, by whether they are right.
type count struct{ right, wrong int }

func (c *count) add(right bool) {
	if right {
		c.right++
	} else {
		c.wrong++
	}
}

func (c count) String() string { return fmt.Sprintf("%5d %5d", c.right, c.wrong) }

// counts is by severity.
type counts [schema.SeverityError + 1]count

func (c *counts) of(s schema.Severity) *count { return &c[s] }

// ruleTally counts on true reviews (0) and on misprints (1).
type ruleTally struct {
	rules                   map[string]*[2]counts
	log                     func(format string, args ...any) // nil where nobody may see what is wrong
	sum                     [2]counts
	grave, misprints, found int
}

func (y *ruleTally) add(of int, f *schema.Finding, right bool) {
	y.sum[of].of(f.Severity).add(right)
	if y.rules == nil {
		return
	}
	c := y.rules[f.Rule]
	if c == nil {
		c = new([2]counts)
		y.rules[f.Rule] = c
	}
	c[of].of(f.Severity).add(right)
}

// review counts the findings of a true review.
func (y *ruleTally) review(name string, rec *schema.Record, odd map[string]bool) {
	grave := false
	for i := range rec.Findings {
		f := &rec.Findings[i]
		if !settled(rec, f) {
			continue
		}
		grave = grave || f.Severity == schema.SeverityError
		right := false
		for _, k := range f.Said {
			right = right || odd[name+" "+rec.Quantity(k).Quantity.String()]
		}
		y.add(0, f, right)
		if y.log != nil && f.Severity > schema.SeverityNote {
			y.log("%s: right %v, %s %s: %s", name, right, f.Severity, f.Rule, f.Message)
		}
	}
	if grave {
		y.grave++
	}
}

// settled reports whether a finding rests on settled quantities alone.
func settled(rec *schema.Record, f *schema.Finding) bool {
	for _, k := range f.Said {
		if q := rec.Quantity(k); q == nil || q.Status != schema.StatusSettled {
			return false
		}
	}
	return true
}

// misprint counts the findings that a change brought about.
func (y *ruleTally) misprint(before, after *schema.Record, at schema.Span) {
	known := map[string]bool{}
	for _, f := range before.Findings {
		known[f.Rule+strings.Join(f.Paths, " ")] = true
	}
	found := false
	for i := range after.Findings {
		f := &after.Findings[i]
		if known[f.Rule+strings.Join(f.Paths, " ")] || !settled(after, f) {
			continue
		}
		right := false
		for _, k := range f.Said {
			right = right || after.Quantity(k).Span == at
		}
		found = found || right
		y.add(1, f, right)
	}
	y.misprints++
	if found {
		y.found++
	}
}

func (y *ruleTally) write(b *strings.Builder, reviews int) {
	fmt.Fprintf(b, "\n%-26s %-23s   %s\n", "", "true reviews", "misprints")
	fmt.Fprintf(b, "%-26s %11s %11s   %11s %11s %11s\n", "", "errors", "warnings", "errors", "warnings", "notes")
	fmt.Fprintf(b, "%-26s %[2]s %[2]s   %[2]s %[2]s %[2]s\n", "", "right false")
	line := func(name string, c *[2]counts) {
		fmt.Fprintf(b, "%-26s %v %v   %v %v %v\n", name, c[0].of(schema.SeverityError), c[0].of(schema.SeverityWarning),
			c[1].of(schema.SeverityError), c[1].of(schema.SeverityWarning), c[1].of(schema.SeverityNote))
	}
	for _, name := range slices.Sorted(maps.Keys(y.rules)) {
		line(name, y.rules[name])
	}
	line("all", &y.sum)
	fmt.Fprintf(b, "\nexit 1: %d of %d true reviews\nfound: %d of %d misprints\n", y.grave, reviews, y.found,
		y.misprints)
}

// holdBars fails where too many errors or warnings are false.
func (y *ruleTally) holdBars(t *testing.T) {
	for _, bar := range []struct {
		s     schema.Severity
		least int
	}{{schema.SeverityError, barErrors}, {schema.SeverityWarning, barWarnings}} {
		right, all := 0, 0
		for of := range y.sum {
			c := y.sum[of].of(bar.s)
			right, all = right+c.right, all+c.right+c.wrong
		}
		if right*100 < bar.least*all {
			t.Errorf("%s: %d of %d are right, want %d %%", bar.s, right, all, bar.least)
		}
	}
}

// review is a narration as it was said, with what was meant. It is read by a Reader,
// which finds the quantities once; TestReader holds it against Run.
type review struct {
	reader  *Reader
	answers []normalize.Answer
	settled *schema.Record // by the answers
}

// trueReview reads a narration as it was said.
func trueReview(t *testing.T, n *narration.Narration) *review {
	t.Helper()
	said := n.Said()
	tr, at, err := said.Transcript()
	if err != nil {
		t.Fatal(err)
	}
	v := &review{reader: NewReader(tr, nil)}
	rec, err := v.reader.Run(Options{})
	if err != nil {
		t.Fatal(err)
	}
	v.answers = meant(said, tr, at, rec)
	for {
		v.settled, err = v.reader.Run(Options{Answers: v.answers})
		var stray normalize.StrayAnswers
		if !errors.As(err, &stray) {
			if err != nil {
				t.Fatal(err)
			}
			v.settled.Findings = validate.Check(v.settled)
			return v
		}
		v.answers = without(v.answers, stray)
	}
}

// record is the record of the review with answer i changed.
func (v *review) record(t *testing.T, i int, q schema.Quantity) *schema.Record {
	t.Helper()
	answers := slices.Clone(v.answers)
	answers[i].Quantity = &q
	rec, err := v.reader.Run(Options{Answers: answers})
	if err != nil {
		t.Fatal(err)
	}
	rec.Findings = validate.Check(rec)
	return rec
}

// changed is another value for a quantity.
func changed(q schema.Quantity, i int) schema.Quantity {
	by := [...]schema.Decimal{schema.MustDecimal("10"), schema.MustDecimal("0.1"), schema.MustDecimal("1.5")}[i%3]
	q.Low = q.Low.Mul(by)
	q.High = q.High.Mul(by)
	return q
}

// meant answers each quantity read in the narration with the one that was meant.
func meant(n *narration.Narration, tr *transcript.Transcript, at *narration.Offsets,
	rec *schema.Record) []normalize.Answer {
	marks := map[schema.Span]*narration.Mark{}
	for i := range n.Marks {
		m := &n.Marks[i]
		if m.Kind != narration.MarkQuantity {
			continue
		}
		start, end := at.Span(m)
		if spans := tr.SourceSpans(schema.Span{Start: start, End: end}); len(spans) > 0 {
			marks[spans[0]] = m
		}
	}
	var answers []normalize.Answer
	for i := range rec.Quantities {
		if m, ok := marks[rec.Quantities[i].Span]; ok {
			answers = append(answers, normalize.Answer{Span: rec.Quantities[i].Span, Quantity: &m.Meant})
		}
	}
	return answers
}

// without leaves out the answers that fit nothing.
func without(answers []normalize.Answer, stray normalize.StrayAnswers) []normalize.Answer {
	return slices.DeleteFunc(answers, func(a normalize.Answer) bool {
		return slices.ContainsFunc(stray, func(s *normalize.StrayAnswer) bool { return s.Answer.Span == a.Span })
	})
}

// readOddities reads what the speakers said that is odd or wrong: the name of
// the narration and the quantity, with a blank between.
func readOddities(t *testing.T) map[string]bool {
	t.Helper()
	const file = "rule-oddities.tsv"
	table, err := schema.ReadTable(os.DirFS("../../testdata"), file)
	if err != nil {
		t.Fatal(err)
	}
	odd := map[string]bool{}
	for _, r := range table.Rows {
		if r.Get("why") == "" {
			t.Errorf("%s:%d: no reason", file, r.Line)
		}
		odd[r.Get("narration")+" "+r.Get("quantity")] = true
	}
	return odd
}
