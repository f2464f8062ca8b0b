package normalize

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/internal/assemble"
	"saywatt/schema"

	"pgregory.net/rapid"
)

// failer is what tests, fuzz targets and properties share.
type failer interface {
	Helper()
	Fatal(...any)
	Fatalf(string, ...any)
}

// checkSaid holds what every run promises, whatever the text: probabilities
// are probabilities, statuses follow from them, spans lie in the file.
func checkSaid(t failer, doc *extract.Document, source []byte, said []schema.Said, threshold float64) {
	t.Helper()
	end := 0
	for i := range said {
		s := &said[i]
		fault := func(format string, args ...any) {
			t.Helper()
			t.Fatalf("quantity %d, %q as %s: %s", i+1, s.Heard, s.Quantity, fmt.Sprintf(format, args...))
		}
		if s.Number != i+1 {
			fault("has number %d", s.Number)
		}
		if s.Span.Start < 0 || s.Span.Start >= s.Span.End || s.Span.End > len(source) {
			fault("span %v of a file of %d bytes", s.Span, len(source))
		}
		if s.Span.End < end {
			fault("span %v stands before one that ends at %d", s.Span, end)
		}
		end = s.Span.End
		if s.Quantity.Unit == "" || s.Quantity.Unit.Kind() != s.Kind {
			fault("kind %s", s.Kind)
		}
		if s.Quantity.Range && s.Quantity.Low.Cmp(s.Quantity.High) >= 0 && s.Status != schema.StatusOpen {
			fault("a range that does not rise stands as %s", s.Status)
		}
		if math.IsNaN(s.Confidence) || s.Confidence < 0 || s.Confidence >= 1 {
			fault("confidence %v", s.Confidence)
		}
		switch s.Status {
		case schema.StatusOpen:
			if s.Confidence >= threshold && !outOfPlace(s) {
				fault("open at %v, threshold %v", s.Confidence, threshold)
			}
		case schema.StatusHeard, schema.StatusRepaired:
			if s.Confidence < threshold {
				fault("%s at %v, threshold %v", s.Status, s.Confidence, threshold)
			}
		default:
			fault("status %q", s.Status)
		}
		if len(s.Readings) == 0 || len(s.Readings) > 5 {
			fault("%d readings", len(s.Readings))
		}
		checkReadings(s, fault)
		if s.Status == schema.StatusRepaired && len(s.Why) == 0 {
			fault("repaired without a reason")
		}
	}
}

// checkReadings: the readings of a quantity fall in their confidence, differ, add up to
// one at the most, give terms, and the quantity is one of them.
func checkReadings(s *schema.Said, fault func(format string, args ...any)) {
	sum, before, chosen := 0.0, math.Inf(1), false
	for j := range s.Readings {
		r := &s.Readings[j]
		if math.IsNaN(r.Confidence) || r.Confidence < 0 || r.Confidence >= 1 {
			fault("reading %s has %v", r.Quantity, r.Confidence)
		}
		if r.Confidence > before {
			fault("reading %s with %v stands behind one with %v", r.Quantity, r.Confidence, before)
		}
		before = r.Confidence
		sum += r.Confidence
		if same(r.Quantity, s.Quantity) {
			chosen = true
			if r.Confidence != s.Confidence {
				fault("its reading has %v, it has %v", r.Confidence, s.Confidence)
			}
		}
		for k := range s.Readings[:j] {
			if same(s.Readings[k].Quantity, r.Quantity) {
				fault("reading %s twice", r.Quantity)
			}
		}
		if len(r.Terms) == 0 {
			fault("reading %s has no terms", r.Quantity)
		}
		for _, term := range r.Terms {
			if math.IsNaN(term.Score) || math.IsInf(term.Score, 0) {
				fault("reading %s has a %s term of %v", r.Quantity, term.Name, term.Score)
			}
		}
	}
	if sum > 1+5*5e-5 { // each is rounded to four places
		fault("its readings add up to %v", sum)
	}
	if !chosen {
		fault("it is not among its readings")
	}
}

// same says that two quantities are one, in whatever unit of their kind: a
// watt is no volt-ampere.
func same(a, b schema.Quantity) bool { return a.Unit.Kind() == b.Unit.Kind() && a.Same(b) }

// rankTwice reads a text twice and checks that both runs agree to the byte.
func rankTwice(t failer, source []byte, threshold float64) {
	t.Helper()
	tr, err := transcript.Parse("garbage", source)
	if err != nil {
		return // binary, or a caption file that cannot be read
	}
	var first []byte
	for run := range 2 {
		doc := extract.Find(tr)
		r := Ranker{Threshold: threshold}
		said, placed := r.Rank(doc)
		if len(said) != len(placed) {
			t.Fatalf("%d quantities, %d places", len(said), len(placed))
		}
		used := threshold
		if used == 0 {
			used = DefaultThreshold()
		}
		checkSaid(t, doc, source, said, used)
		for i := range placed {
			if m := placed[i].Mention; m < 0 || int(m) >= len(doc.Mentions) {
				t.Fatalf("quantity %d is of mention %d of %d", i+1, m, len(doc.Mentions))
			}
		}
		out, err := json.Marshal(said)
		if err != nil {
			t.Fatal(err)
		}
		if run == 0 {
			first = out
		} else if !bytes.Equal(first, out) {
			t.Fatalf("two runs differ:\n%s\n%s", first, out)
		}
	}
}

// outOfPlace reports whether a reading is open however likely it is: its value is far
// beyond what is plausible in its place.
func outOfPlace(s *schema.Said) bool {
	return slices.ContainsFunc(s.Why, func(t string) bool { return strings.HasPrefix(t, "outside what is plausible") })
}

// words of which garbage is made: numbers in every dress, units clear and
// misheard, what ties them together, and where one is in a review.
var garbage = strings.Split("0 1 2 3 5 9 20 25 48 50 65 100 240 325 2025 5060 10000 0.5 3.25 .95 3:25 1,000 1/2 01 "+
	"000 9999999999999999999999 "+
	"one two three five thirteen thirty twenty hundred thousand million point oh half a "+
	"volts amps watts milliohms microfarads millivolts percent hours grams millimetres hertz celsius degrees kilo k V A W mAh Wh % MΩ µF m "+
	"apps faults what watch our em mega bolts to too for ate "+
	"and or at by plus times , . - – / : ; | $ ( ) ± minus about up max sorry actually no "+
	"output input USB-C port fuse bulk capacitor MOSFET ripple efficiency weighs measures cell battery capacity mains cable e-marker test load thermal "+
	"charger ports the it gives March 2024 USB 3.2 GaN", " ")

func TestRankGarbage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		for range rapid.IntRange(0, 60).Draw(t, "words") {
			w := rapid.SampledFrom(garbage).Draw(t, "word")
			if w == "|" {
				w = "\n"
			}
			b.WriteString(w)
			if rapid.IntRange(0, 9).Draw(t, "glue") > 0 {
				b.WriteByte(' ')
			}
		}
		threshold := rapid.SampledFrom([]float64{0, 0.5, 0.8, 0.99, 0.9999}).Draw(t, "threshold")
		rankTwice(t, []byte(b.String()), threshold)
	})
}

func FuzzRank(f *testing.F) {
	for _, c := range sentences {
		f.Add([]byte(strings.ReplaceAll(c.text, " | ", "\n")))
	}
	for _, s := range []string{"", "0 volts", "0 by 0 by 0 millimetres, 0 cubic centimetres, 0 grams", "1..2 V",
		"-5 to -3 volts",
		"00000000000000000000 amps", "999999999999999999999999999999 volts", "1/0 amp", "two to two to two amps", "$ $5 5 5 volts",
		"WEBVTT\n\n00:01.000 --> 00:02.000\n20 volts at\n\n00:02.000 --> 00:03.000\n325 amps\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, source []byte) {
		if len(source) > 4<<10 {
			return
		}
		rankTwice(t, source, 0)
	})
}

// A higher threshold opens more and changes no reading.
func TestThreshold(t *testing.T) {
	for _, c := range sentences {
		doc := read(t, c.text)
		low, high := Ranker{Threshold: 0.6}, Ranker{Threshold: 0.999}
		a, _ := low.Rank(doc)
		b, _ := high.Rank(doc)
		if len(a) != len(b) {
			t.Errorf("%s: %d quantities, with a higher threshold %d", c.name, len(a), len(b))
			continue
		}
		for i := range a {
			if !a[i].Quantity.Same(b[i].Quantity) || a[i].Confidence != b[i].Confidence {
				t.Errorf("%s: %s at %v became %s at %v", c.name, a[i].Quantity, a[i].Confidence, b[i].Quantity,
					b[i].Confidence)
			}
			if a[i].Status == schema.StatusOpen && b[i].Status != schema.StatusOpen {
				t.Errorf("%s: %s is open at 0.6 and %s at 0.999", c.name, a[i].Quantity, b[i].Status)
			}
		}
	}
}

// The terms of a reading add up to its probability, but for what is common to
// all readings of the quantity: the promise of schema.Reading.
func TestTermsAddUp(t *testing.T) {
	checked := 0
	for _, c := range sentences {
		e := engineOf(t, c.text)
		e.build()
		e.infer()
		for i := range e.nodes {
			n := &e.nodes[i]
			for k := n.from; k < n.to; k++ {
				x, first := &e.cands[k], &e.cands[n.from]
				if x.posterior < 1e-6 || first.posterior < 1e-6 || x.joint == 0 && first.joint != 0 ||
					first.joint == 0 && x.joint != 0 {
					continue
				}
				sum := func(c *candidate) float64 {
					return float64(c.channel) + float64(c.context) + float64(c.prior) + float64(c.repeat) +
						float64(c.trait) + float64(c.joint)
				}
				if got, want := sum(x)-sum(first), math.Log(x.posterior/first.posterior); math.Abs(got-want) > 1e-3 {
					t.Errorf("%s: %s against %s: terms differ by %.4f, probabilities by %.4f", c.name,
						shown(x.lo, x.hi, x.isRange), shown(first.lo, first.hi, first.isRange), got, want)
				}
				checked++
			}
		}
	}
	if checked < 200 {
		t.Errorf("only %d readings were compared", checked)
	}
}

// adversaries are texts in which very many mentions are doubtful and tied to
// each other, each of about a thousand mentions.
var adversaries = []struct{ name, text string }{
	{"levels with lost points", "The output is " + strings.Repeat("20 volts at 325 amps, 65 watts, ", 333)},
	{"one list", "It gives " + strings.Repeat("20, 325, ", 500) + "15 volts."},
	{"powers that add up", "It splits " + strings.Repeat("45 watts plus 20 watts, ", 500) + "65 watts in all."},
	{"charges and energies", "The pack: " + strings.Repeat("10000 million hours at 37 volts, 37 what hours, ", 333)},
	{"ratios of energies", "The test: " + strings.Repeat("37 watt hours in, 31.5 watt hours out, 851 percent, ", 333)},
	{"readings near a level", "Under load " + strings.Repeat("at 20 volts the output voltage is 1987 volts. ", 500)},
	{"parts by the dozen", strings.Repeat("There are three solid capacitors of 270 microfarads 25 volts, 810 microfarads in all. ", 333)},
	{"one part of a thousand values", "The sync rectifier MOSFET is " + strings.Repeat("100 volts, 52 million ohms, ", 500)},
	{"products", "It measures " + strings.Repeat("662 by 385 by 301 millimetres, 767 cubic centimetres, 1086 grams, ", 200)},
	{"numbers without units", strings.Repeat("20 325 9 3 15 volts, ", 200)},
	{"one mode of many ports", strings.Repeat("With all ports in use USB-C one gives 20 volts 325 amps, USB-C two 20 volts 225 amps, 110 watts in all. ", 200)},
	{"corrections", "It is 20 volts" + strings.Repeat(", sorry, 325 volts", 1000)},
}

// Whatever is tied to whatever: it comes back, with every quantity a quantity.
// How long it takes is BenchmarkRankAdversary's.
func TestAdversaries(t *testing.T) {
	for _, c := range adversaries {
		doc := read(t, c.text)
		if len(doc.Mentions) < 900 {
			t.Errorf("%s: %d mentions", c.name, len(doc.Mentions))
		}
		r := Ranker{}
		said, _ := r.Rank(doc)
		checkSaid(t, doc, []byte(c.text), said, DefaultThreshold())
		if len(said) < len(doc.Mentions)/4 {
			t.Errorf("%s: %d quantities of %d mentions", c.name, len(said), len(doc.Mentions))
		}
	}
}

// Rank is Decide where answers that fit nothing do not matter.
func (r *Ranker) Rank(d *extract.Document) ([]schema.Said, []assemble.Placed) {
	said, placed, _ := r.rank(d)
	return said, placed
}
