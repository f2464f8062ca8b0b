package normalize

import (
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/normalize/channel"
	"saywatt/schema"
)

func learnFrom(t *testing.T, l *channel.Learned, text string, answers ...Answer) int {
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
	l := &channel.Learned{}
	if n := learnFrom(t, l, text, answerAt(text, "325 amps", "3.25", "A"),
		answerAt(text, "15 meters", "1.5", "m")); n != 2 {
		t.Fatalf("%d decisions counted, want 2", n)
	}
	// file and hash stand before each line; of what none could suffer, there is no line
	const want = "point_lost\t2\t3\n" + // 3.25 and 1.5 lost it, 91.5 did not; 20 and 65 had none to lose
		"intact\t3\t5\n" + // all five could have come through whole
		"unit_dropped\t0\t5\n" // all units were said
	const none = "point_word_lost range_merged hour_lost" // no number in words, no range, no energy or charge
	counts := written(t, l)
	for _, line := range strings.SplitAfter(want, "\n") {
		if !strings.Contains(counts, "\treview.txt\t"+line) {
			t.Errorf("not counted: %q", line)
		}
	}
	for _, d := range strings.Fields(none) {
		if strings.Contains(counts, "\t"+d+"\t") {
			t.Errorf("%s was counted", d)
		}
	}

	// the same file again counts once
	learnFrom(t, l, text, answerAt(text, "325 amps", "3.25", "A"), answerAt(text, "15 meters", "1.5", "m"))
	if written(t, l) != counts {
		t.Error("learnt again, a file counts twice")
	}
}

// written is what is kept of counts.
func written(t *testing.T, l *channel.Learned) string {
	t.Helper()
	var b strings.Builder
	if err := l.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// A decision that no reading has is not counted.
func TestLearnUnexplained(t *testing.T) {
	const text = "The output is 20 volts 3 amps."
	l := &channel.Learned{}
	if n := learnFrom(t, l, text, answerAt(text, "3 amps", "7.77", "A")); n != 0 {
		t.Errorf("%d decisions counted, want none", n)
	}
}
