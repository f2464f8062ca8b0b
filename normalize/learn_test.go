package normalize

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/schema"
)

func learnFrom(t *testing.T, l *Learned, text string, answers ...Answer) int {
	t.Helper()
	tr, err := transcript.Read(strings.NewReader(text), transcript.Options{Name: "review.txt"})
	if err != nil {
		t.Fatal(err)
	}
	r := Ranker{Answers: answers}
	n, err := r.Learn(extract.Find(tr), l)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func answerAt(text, heard, value string, unit schema.Unit) Answer {
	d, err := schema.ParseDecimal(value)
	if err != nil {
		panic(err)
	}
	i := strings.Index(text, heard)
	return Answer{Span: schema.Span{Start: i, End: i + len(heard)},
		Quantity: &schema.Quantity{Low: d, High: d, Unit: unit}}
}

// The decisions and what is certain beside them are counted, for the
// distortions that could have happened to them and no others.
func TestLearnCounts(t *testing.T) {
	const text = "The output is 20 volts 325 amps, 65 watts. The lead is 15 meters. The efficiency is 91.5 percent."
	l := &Learned{}
	if n := learnFrom(t, l, text, answerAt(text, "325 amps", "3.25", "A"),
		answerAt(text, "15 meters", "1.5", "m")); n != 2 {
		t.Fatalf("%d decisions counted, want 2", n)
	}
	sum := l.sum()
	for _, w := range []struct {
		d     distortion
		n, of int
	}{
		{pointLost, 2, 3},     // 3.25 and 1.5 lost it, 91.5 did not; 20 and 65 had none to lose
		{pointWordLost, 0, 0}, // no number in words
		{rangeMerged, 0, 0},   // no range
		{intact, 3, 5},        // all five could have come through whole
		{unitDropped, 0, 5},   // all units were said
		{hourLost, 0, 0},      // no energy or charge
	} {
		if sum.n[w.d] != w.n || sum.of[w.d] != w.of {
			t.Errorf("%s: %d of %d, want %d of %d", distortionNames[w.d], sum.n[w.d], sum.of[w.d], w.n, w.of)
		}
	}

	// the same file again counts once
	learnFrom(t, l, text, answerAt(text, "325 amps", "3.25", "A"), answerAt(text, "15 meters", "1.5", "m"))
	if again := l.sum(); again != sum {
		t.Error("learnt again, a file counts twice")
	}
	// costs follow these counts, beside which those of the table are worth learned_worth
	table, with := loadCosts(), loadCosts().with(l)
	worth := loadWeights().LearnedWorth
	want := -math.Log((table.n[pointLost]*worth/table.of[pointLost] + 2 + 0.5) / (worth + 3 + 1))
	if got := float64(with.cost[pointLost]); math.Abs(got-want) > 1e-6 {
		t.Errorf("cost of a lost point %v, want %v", got, want)
	}
	if table != loadCosts() || with.cost[pointWordLost] != table.cost[pointWordLost] {
		t.Error("what was not counted has changed")
	}
	if l.Forget("review.txt") != 1 || len(l.reviews) != 0 {
		t.Error("the file is not forgotten")
	}
}

// A decision that no reading has is not counted.
func TestLearnUnexplained(t *testing.T) {
	const text = "The output is 20 volts 3 amps."
	l := &Learned{}
	if n := learnFrom(t, l, text, answerAt(text, "3 amps", "7.77", "A")); n != 0 {
		t.Errorf("%d decisions counted, want none", n)
	}
}

func TestLearnedRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := &Learned{}
		for range rapid.IntRange(0, 4).Draw(t, "files") {
			r := learnedReview{hash: rapid.StringMatching("[0-9a-f]{4}").Draw(t, "hash"),
				file: rapid.StringMatching("[a-z]{1,5}").Draw(t, "file")}
			for d := range r.counts.n {
				r.counts.of[d] = rapid.IntRange(0, 50).Draw(t, "of")
				r.counts.n[d] = rapid.IntRange(0, r.counts.of[d]).Draw(t, "n")
			}
			r.counts.of[intact]++ // a review without a count leaves no line
			l.put(r)
		}
		var b bytes.Buffer
		if err := l.Write(&b); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		got, err := ReadLearned(&b, "counts.tsv")
		if err != nil {
			t.Fatal(err)
		}
		var again bytes.Buffer
		if err := got.Write(&again); err != nil || again.String() != text {
			t.Fatalf("read and written again: %v\n%s\nwant\n%s", err, again.String(), text)
		}
	})
}

func TestReadLearnedErrors(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"", ""},
		{learnedHead + "\n", ""},
		{"x\n", "c:1: " + ErrLearnedHead.Error()},
		{learnedHead + "\nab\tf\tpoint_lost\t1\n", "c:2: " + ErrLearnedFields.Error()},
		{learnedHead + "\nab\tf\tmumbled\t1\t2\n", "c:2: " + ErrLearnedName.Error()},
		{learnedHead + "\nab\tf\tpoint_lost\t3\t2\n", "c:2: " + ErrLearnedCounts.Error()},
		{learnedHead + "\nab\tf\tpoint_lost\t-1\t2\n", "c:2: " + ErrLearnedCounts.Error()},
		{learnedHead + "\nab\tf\tpoint_lost\t1\t2\nab\tf\tpoint_lost\t1\t2\n", "c:3: " + ErrLearnedTwice.Error()},
		{learnedHead + "\n" + strings.Repeat("x", 1<<17), "c:2: " + ErrLearnedLong.Error()},
	} {
		got := ""
		if _, err := ReadLearned(strings.NewReader(test.text), "c"); err != nil {
			got = err.Error()
		}
		if got != test.want {
			t.Errorf("%.40q: %q, want %q", test.text, got, test.want)
		}
	}
}

func FuzzReadLearned(f *testing.F) {
	f.Add(learnedHead + "\nab\tf\tpoint_lost\t1\t2\n")
	f.Fuzz(func(t *testing.T, text string) {
		l, err := ReadLearned(strings.NewReader(text), "c")
		if err != nil {
			return
		}
		loadCosts().with(l)
		var b bytes.Buffer
		if err := l.Write(&b); err != nil {
			t.Fatal(err)
		}
		if _, err := ReadLearned(&b, "c"); err != nil {
			t.Fatalf("what was written cannot be read: %v", err)
		}
	})
}
