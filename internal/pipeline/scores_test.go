package pipeline

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/normalize"
	"saywatt/schema"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write testdata/reading-scores.txt anew")

// scored is a set of files that are scored together.
type scored struct {
	name, glob string
	files      int // that must be there
}

var scoredSets = []scored{
	{"stress", "../../testdata/captions/stress/*.gold.json", 3},
	{"recognised/clean", "../../testdata/captions/recognised/clean/*.gold.json", 6},
	{"recognised/clean-digits", "../../testdata/captions/recognised/clean-digits/*.gold.json", 6},
	{"recognised/hard", "../../testdata/captions/recognised/hard/*.gold.json", 6},
	{"recognised/hard-digits", "../../testdata/captions/recognised/hard-digits/*.gold.json", 6},
	{"narrations", "../demo/narrations/*.gold.json", 6},
	{"independent/digits", "../../testdata/independent/digits/*.gold.json", 6},
	{"independent/words", "../../testdata/independent/words/*.gold.json", 6},
}

// ablations are the engine without one of its parts.
var ablations = []struct {
	name    string
	without normalize.Parts
}{
	{"everything", 0},
	{"without rules", normalize.PartRules},
	{"without joint facts", normalize.PartFacts},
	{"without rules and facts", normalize.PartRules | normalize.PartFacts},
	{"without repetition", normalize.PartRepetition},
	{"without priors", normalize.PartPriors},
	{"without traits", normalize.PartTraits},
}

const scoresHead = `# How well quantities are read: go test ./internal/pipeline -run TestReadingScores -update writes this file, and the
# same test fails where a change moves a number, so that the diff shows it. Truth: README.md beside it.
#
# said     quantities said
# right    % that stand (heard or repaired) with the value said
# repair   % of the garbled but recoverable ones that stand with the value said
# changed  % of the intact ones that stand with another value: wrongly changed
# silent   per 100 said: stand with a wrong value, or are made of what is no quantity
# open     per 100 said: put to a person
# hit3     % of the open ones whose value is among the first three readings
# missed   % of which nothing was read
# extra    quantities read where none is in the truth
# brier    mean squared error of the confidence; ece: expected calibration error over ten bins
`

// TestReadingScores scores the committed captions and narrations and compares
// with the committed table.
func TestReadingScores(t *testing.T) {
	const file = "../../testdata/reading-scores.txt"
	got := scoresHead + scoreTable(t)
	committed(t, file, got)
}

// committed holds a table of scores against the committed one, or writes it.
func committed(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); diff != "" {
		t.Errorf("the scores moved (-committed +now); read them, then -update:\n%s", diff)
	}
}

func scoreTable(t *testing.T) string {
	var b strings.Builder
	head := fmt.Sprintf("%-58s %5s %6s %6s %7s %6s %6s %6s %6s %5s %7s %7s\n", "", "said", "right", "repair", "changed",
		"silent", "open", "hit3", "missed", "extra", "brier", "ece")
	b.WriteString("\n" + head)
	all := &tally{}
	var sets []string
	for _, s := range scoredSets {
		set := &tally{}
		for _, name := range goldFiles(t, s) {
			one := scoreFile(t, name, 0)
			b.WriteString(scoreLine(s.name+"/"+strings.TrimSuffix(filepath.Base(name), ".gold.json"), one))
			set.add(one)
		}
		sets = append(sets, scoreLine(s.name, set))
		all.add(set)
	}
	b.WriteString("\n" + strings.Join(sets, "") + scoreLine("all", all))
	b.WriteString("\n# What each part of the engine is worth, over all files.\n\n" + head)
	for _, a := range ablations {
		sum := &tally{}
		for _, s := range scoredSets {
			for _, name := range goldFiles(t, s) {
				sum.add(scoreFile(t, name, a.without))
			}
		}
		b.WriteString(scoreLine(a.name, sum))
	}
	b.WriteString("\n# Confidence against truth, over all files: what is said with so much confidence is right so " +
		"often.\n\n")
	fmt.Fprintf(&b, "%-12s %6s %7s %7s\n", "confidence", "n", "mean", "right")
	for _, bin := range all.bins(0, 0.25, 0.5, 0.75, 0.9, 0.95, 0.98, 0.99, 0.999, 1) {
		fmt.Fprintf(&b, "%-5g to %-5g %5.0f %7.3f %7.3f\n", bin.from, bin.to, bin.n, bin.mean, bin.right)
	}
	return b.String()
}

func goldFiles(t *testing.T, s scored) []string {
	t.Helper()
	names, err := filepath.Glob(s.glob)
	if err != nil || len(names) != s.files {
		t.Fatalf("%s: %d truth files, want %d (%v)", s.name, len(names), s.files, err)
	}
	return names
}

// scoreFile reads the captions beside a truth file and scores them.
func scoreFile(t *testing.T, gold string, without normalize.Parts) *tally {
	t.Helper()
	truth, raw, err := readTruth(gold)
	if err != nil {
		t.Fatal(err)
	}
	return score(truth, raw, readQuantities(t, truth.File, raw, without))
}

func readQuantities(t *testing.T, name string, raw []byte, without normalize.Parts) []schema.Said {
	t.Helper()
	tr, err := transcript.Parse(name, raw)
	if err != nil {
		t.Fatal(err)
	}
	if without == 0 {
		rec, err := Run(tr, Options{})
		if err != nil {
			t.Fatal(err)
		}
		return rec.Quantities
	}
	r := normalize.Ranker{Without: without}
	said, _, err := r.Decide(extract.Find(tr))
	if err != nil {
		t.Fatal(err)
	}
	return said
}

func scoreLine(name string, t *tally) string {
	n := sum(t.said)
	silent := sum(t.wrong) + t.nonquantity
	return fmt.Sprintf("%-58s %5d %6s %6s %7s %6s %6s %6s %6s %5d %7.4f %7.4f\n", name, n, percent(sum(t.right), n),
		percent(t.right[classGarbled], t.said[classGarbled]), percent(t.wrong[classIntact], t.said[classIntact]),
		percent(silent, n),
		percent(sum(t.open), n), percent(sum(t.hit), sum(t.open)), percent(sum(t.missed), n), t.extra,
		t.brier(), t.calibrationError())
}

func percent(a, b int) string {
	if b == 0 {
		return "-"
	}
	return fmt.Sprintf("%.1f", 100*float64(a)/float64(b))
}

// The scorer itself, on captions small enough to score by hand.
func TestScore(t *testing.T) {
	raw := []byte("It gives 20 volts at 325 amps, 65 watts. Model 300. Weighs 120 grams, 9 volts.")
	number := func(s, unit, heard string, intact bool) *spoken {
		q := schema.MustQuantity(s + " " + unit)
		lo, hi := q.Low.Float64(), q.High.Float64()
		x := &spoken{Heard: heard, Unit: unit, Intact: intact, Value: hi}
		if q.Range {
			x.Low, x.High = &lo, &hi
		}
		at := strings.Index(string(raw), heard)
		x.Pos = &at
		return x
	}
	read := func(heard, value string, status schema.Status, p float64, readings ...string) schema.Said {
		at := strings.Index(string(raw), heard)
		s := schema.Said{Span: schema.Span{Start: at, End: at + len(heard)}, Quantity: schema.MustQuantity(value),
			Status: status, Confidence: p}
		for _, r := range readings {
			s.Readings = append(s.Readings, schema.Reading{Quantity: schema.MustQuantity(r)})
		}
		return s
	}
	gold := &truth{Nonquantities: []string{"Model 300"}, Quantities: []*spoken{
		number("20", "V", "20 volts", true),
		number("3.25", "A", "325 amps", false),
		number("65", "W", "65 watts", true),
		number("112", "g", "120 grams", false),
		number("9", "V", "9 volts", true),
	}}
	got := score(gold, raw, []schema.Said{
		read("20 volts", "20000 mV", schema.StatusHeard, 0.99), // right in another unit
		read("325 amps", "3.25 A", schema.StatusRepaired, 0.97),
		read("65 watts", "66 W", schema.StatusRepaired, 0.96), // an intact one changed
		read("300", "300 A", schema.StatusHeard, 0.95),        // no quantity at all
		read("120 grams", "120 g", schema.StatusOpen, 0.6, "120 g", "12 g", "112 g", "1 g"),
	})
	for _, c := range []struct {
		name      string
		got, want any
	}{
		{"said", got.said, [classes]int{3, 2, 0}}, {"right", got.right, [classes]int{1, 1, 0}}, {"wrong", got.wrong, [classes]int{1, 0, 0}},
		{"open", got.open, [classes]int{0, 1, 0}}, {"among three", got.hit, [classes]int{0, 1, 0}}, {"missed", got.missed, [classes]int{1, 0, 0}},
		{"extra", got.extra, 1}, {"made of no quantity", got.nonquantity, 1}, {"rated", len(got.ratings), 4},
		{"brier", fmt.Sprintf("%.6f", got.brier()), fmt.Sprintf("%.6f", (0.01*0.01+0.03*0.03+0.96*0.96+0.6*0.6)/4)},
		// bins: 0.9–1.0 holds .99 and .97 right, .96 wrong; 0.6–0.7 holds .6 wrong
		{"calibration", fmt.Sprintf("%.6f", got.calibrationError()), fmt.Sprintf("%.6f", (0.99+0.97+0.96-2+0.6)/4)},
	} {
		if fmt.Sprint(c.got) != fmt.Sprint(c.want) {
			t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
		}
	}
	// a pair said as two values counts as one range
	pair := &truth{Quantities: []*spoken{number("20..65", "W", "65 watts", true)}}
	if got := score(pair, raw, []schema.Said{read("65 watts", "20 W", schema.StatusHeard, 0.9),
		read("9 volts", "65 W", schema.StatusHeard, 0.9)}); got.right[classIntact] != 1 || got.extra != 0 {
		t.Errorf("a pair as two values: %+v", got)
	}
}

// Places of heard words in rolling captions: over cue breaks, tags and times
// left out, with the copies of a line that comes again; two numbers that the
// captions fused have one place.
func TestTruthInRollingCaptions(t *testing.T) {
	raw := []byte("WEBVTT\n\n1\n00:00:01.000 --> 00:00:03.000\nit gives 20 volts\n\n2\n00:00:03.000 --> " +
		"00:00:05.000\n" +
		"it gives 20 volts\n<00:00:03.200>at 325 <c>amps</c> 15\n\n3\n00:00:05.000 --> 00:00:07.000\n15 153 amps\n")
	at := func(s float64) *float64 { return &s }
	pos := 40
	gold := &truth{Quantities: []*spoken{
		{At: at(1), Heard: "20 volts"},
		{At: at(3), Heard: "325 amps"},
		{At: at(3), Heard: "153 amps", Pos: &pos},
		{At: at(5), Heard: "153 amps", Pos: &pos},
	}}
	gold.place(raw)
	for i, want := range []string{"20 volts", "325 <c>amps", "153 amps", "153 amps"} {
		q := gold.Quantities[i]
		if got := string(raw[q.span.Start:q.span.End]); got != want {
			t.Errorf("%q stands at %q, want %q", q.Heard, got, want)
		}
	}
	if a, b := gold.Quantities[2].span, gold.Quantities[3].span; a != b {
		t.Errorf("two fused numbers stand at %v and %v", a, b)
	}
	copies := gold.Quantities[0].copies
	if len(copies) != 1 || string(raw[copies[0].Start:copies[0].End]) != "20 volts" ||
		copies[0].Start <= gold.Quantities[0].span.Start {
		t.Errorf("the copies of 20 volts are %v", copies)
	}
}

// Every quantity of every truth file stands in its captions, in order.
func TestTruthPlaces(t *testing.T) {
	for _, s := range scoredSets {
		for _, name := range goldFiles(t, s) {
			truth, raw, err := readTruth(name)
			if err != nil {
				t.Fatal(err)
			}
			truth.place(raw)
			last := 0
			for i, q := range truth.Quantities {
				if q.span.Start < last || q.span.End > len(raw) || q.span.Start > q.span.End {
					t.Errorf("%s: quantity %d %q at %v, the one before at %d", name, i, q.Heard, q.span, last)
				}
				last = q.span.Start
				first := strings.Fields(q.Heard)[0]
				if q.span.Empty() || !strings.Contains(string(raw[q.span.Start:q.span.End]),
					string(bare([]byte(first)))) {
					t.Errorf("%s: quantity %d %q is not at %v: %q", name, i, q.Heard, q.span,
						raw[q.span.Start:q.span.End])
				}
			}
		}
	}
}
