package normalize

import (
	"strings"
	"testing"

	"saywatt/extract"
)

// variantCase is words as heard, and readings of their number that must
// (or, behind "!", must not) be among the candidates, each with the
// distortions that made it.
type variantCase struct {
	heard string
	want  string
	from  string // the pattern: shared garbles table row, or what it is
}

// One number as the captions show it.
var singleCases = []variantCase{
	// the point lost
	{"325 amps", "325 intact; 32.5 point_lost; 3.25 point_lost; 0.325 point_lost+zero_lost", "row 20"},
	{"111 volts", "111 intact; 11.1 point_lost", "row 20"},
	{"48 volts", "48 intact; 4.8 point_lost", "row 20"},
	{"01 amps", "1 intact; 0.1 point_lost", "row 20"},
	{"005 ohms", "5 intact; 0.05 point_lost; 0.005 point_lost+zero_lost", "row 20, zeros shown"},
	{"5 amps", "5 intact; 0.5 point_lost+zero_lost; !5.0 point_lost", "row 10"},
	{"3.25 amps", "3.25 intact; !32.5 point_lost; !0.325 point_lost", "a point is there: none was lost"},
	{"10000 milliamp hours", "10000 intact; 10.000 point_lost; !1.0000 point_lost", "at most three decimals"},
	{"1234567 hertz", "1234567 intact; !123456.7 point_lost", "too long to be a garbled number"},
	{"three hundred twenty five amps", "325 intact; 3.25 point_word_lost; !3.25 point_lost", "row 9, said in words"},
	// teens and tens
	{"30 volts", "30 intact; 13 teen_ty", "row 16"},
	{"thirteen volts", "13 intact; 30 teen_ty", "row 16"},
	{"fifteen volts", "15 intact; 50 teen_ty", "row 16, 24"},
	{"50 watts", "50 intact; 15 teen_ty", "row 16, 24"},
	{"115 volts", "115 intact; 150 teen_ty", "row 16 behind a hundred"},
	{"30.5 volts", "30.5 intact; 13.5 teen_ty", "row 16 with decimals"},
	{"12 volts", "12 intact; !20 teen_ty", "twelve and twenty do not sound alike"},
	{"20 volts", "20 intact; !12 teen_ty", "twelve and twenty do not sound alike"},
	// words of like sound
	{"nine volt to amp", "2 homophone", "row 15"},
	{"free amps", "3 homophone", "handbook 9.2: free for three"},
	{"for .95 volts", "0.95 intact; 4.95 homophone", "row 10, 15"},
	{"one oh 8.6 grams", "8.6 intact; 108.6 homophone", "handbook 9.1: oh for 0"},
	{"up 23 amps", "23 intact; 3 to_as_2+homophone", "row 15: to as 2 before the number"},
	// digits and tens lost
	{"33 microfarads", "33 intact; 330 digit_dropped; 3.3 point_lost", "row 24"},
	{"3.1 percent", "3.1 intact; 93.1 tens_lost; 83.1 tens_lost; 13.1 tens_lost", "row 8: the tens apart"},
	// two ends of a range run together
	{"5060 hertz", "5060 intact; 50..60 range_merged", "row 22"},
	{"100240 volts", "100240 intact; 100..240 range_merged", "row 22"},
	{"6050 hertz", "6050 intact; !60..50 range_merged", "a range rises"},
	{"5005 hertz", "5005 intact; !50..05 range_merged", "nobody says 05 hertz"},
	// ranges
	{"3.3 to 21 volts", "3.3..21 intact", "a range is there"},
	{"33 to 21 volts", "", "a falling pair is two values"},
	{"33 to 110 volts", "33..110 intact; 3.3..110 point_lost; 33..11.0 point_lost", "row 20 at either end"},
	{"5 to 50 volts", "5..50 intact; 5..15 teen_ty", "row 16 at an end"},
}

// Two mentions that captions may have cut out of one number: what the last
// two of the text may have been together.
var pairCases = []variantCase{
	{"1.3 5 volts", "1.35 point_shown_wrong", "row 8"},
	{"0.99 2 volts", "0.992 point_shown_wrong", "row 8"},
	{"1.4 1 volts", "1.41 point_shown_wrong", "row 8"},
	{"80 3.1 percent", "83.1 split_number", "row 8: the tens apart"},
	{"4 .8 volts", "4.8 point_shown_wrong", "row 21: space"},
	{"69 | .8 millimetres", "69.8 point_shown_wrong", "row 21: cue break"},
	{"3. 25 amps", "3.25 point_shown_wrong", "row 21: full stop"},
	{"3. | 25 amps", "3.25 point_shown_wrong", "row 21: full stop and cue break"},
	{"66-20 millimetres", "66.20 point_shown_wrong", "row 21: hyphen"},
	{"27, 6 millimetres", "27.6 point_shown_wrong", "row 21: comma"},
	{"3:25 amps", "3.25 point_shown_wrong; 325 split_number", "row 12, 21: colon"},
	{"6 boys 8 millimetres", "6.8 point_misheard", "dev recognised: point misheard"},
	{"3 boy 25 amps", "3.25 point_misheard", "dev recognised: point misheard"},
	{"2 1 amp output", "2.1 point_shown_wrong", "row 11"},
	{"2 9 volt batteries", "2.9 point_shown_wrong", "row 11: the shape alone cannot tell"},
	{"29:30 milliamp hours", "2930 split_number", "row 12"},
	{"13:40 milliamp hours", "1340 split_number", "row 12"},
	{"27 16 milliamp hours", "2716 split_number", "row 13"},
	{"10 50 watt", "1050 split_number", "row 13"},
	{"1 9.35 volts", "19.35 split_number", "row 13"},
	{"400 and 71 milliamps", "471 and_join", "row 14"},
	{"300 and 400 amps", "!700 and_join; !300400 and_join", "row 14: two values"},
	{"110 or 240 volts", "!110240 split_number; !350 and_join", "row 14: two values"},
	{"49 and 0.5 watts", "49.5 and_join", "dev stress: a half behind and"},
	{"120 240 volts", "120..240 to_lost", "row 15"},
	{"190, 240 volts", "190..240 to_lost", "row 15"},
	{"9 volts, 3 amps", "!9..3 to_lost; !93 split_number", "no range falls"},
	{"3.3 221 volts", "3.3..21 to_as_2; 3.3..221 to_lost", "row 22"},
	{"100 2240 volts", "100..240 to_as_2", "row 22"},
	{"3.3 201 volts", "3.3..201 to_lost; !3.3..01 to_as_2", "nobody says 01"},
	{"30 30 volts", "!30..30 to_lost", "row 18: a range rises"},
}

// variantsOf lists the readings of the last mention of a text, alone or
// together with the one before it.
func variantsOf(t *testing.T, heard string, pair bool) map[string]bool {
	t.Helper()
	e := engineOf(t, heard)
	n := len(e.doc.Mentions)
	if n == 0 || pair && n < 2 {
		t.Fatalf("%s: %d mentions", heard, n)
	}
	m := &e.doc.Mentions[n-1]
	if pair {
		e.varyPair(&e.doc.Mentions[n-2], m, m.Joint)
	} else {
		e.varySingle(m)
	}
	got := map[string]bool{}
	for i := range e.variants {
		v := &e.variants[i]
		got[shown(v.lo, v.hi, v.isRange)+" "+names(v.by[:]...)] = true
		if v.cost < 0 || v.cost > 40 {
			t.Errorf("%s: %s costs %v", heard, shown(v.lo, v.hi, v.isRange), v.cost)
		}
	}
	return got
}

func TestVariants(t *testing.T) {
	for _, c := range []struct {
		cases []variantCase
		pair  bool
	}{{singleCases, false}, {pairCases, true}} {
		for _, v := range c.cases {
			got := variantsOf(t, v.heard, c.pair)
			for _, want := range strings.Split(v.want, "; ") {
				if want == "" {
					continue
				}
				reading, unwanted := strings.CutPrefix(want, "!")
				if got[reading] == unwanted {
					t.Errorf("%q (%s): want %s; got %v", v.heard, v.from, want, sorted(got))
				}
			}
		}
	}
}

// The distortions that change a unit, or cut one number in two, are made with
// the node; TestUnitOptions and TestSentences have them.
var elsewhere = map[distortion]string{
	mergedNumbers: "split.go", signStuck: "bareunit.go", unitDropped: "bareunit.go", unitMisheard: "unitoption.go",
	unitSwapped: "unitoption.go", hourLost: "unitoption.go", prefixLost: "unitoption.go", prefixWrong: "unitoption.go",
	code: "engine.go", stray: "engine.go: a cost, no reading",
}

// Every row of distortions.tsv is made by some row above, or elsewhere.
func TestEveryDistortionIsMade(t *testing.T) {
	made := map[string]bool{}
	for _, cases := range [][]variantCase{singleCases, pairCases} {
		for _, c := range cases {
			for _, want := range strings.Split(c.want, "; ") {
				if want == "" || want[0] == '!' {
					continue
				}
				for _, d := range strings.Split(want[strings.IndexByte(want, ' ')+1:], "+") {
					made[d] = true
				}
			}
		}
	}
	for _, c := range unitCases {
		for _, want := range strings.Split(c.want, "; ") {
			if want != "" && want[0] != '!' {
				_, d, _ := strings.Cut(want, " ")
				made[d] = true
			}
		}
	}
	for _, c := range bareCases {
		_, d, _ := strings.Cut(c.want, " ")
		made[d] = true
	}
	made[distortionNames[code]] = len(codeCases) > 0
	made[distortionNames[mergedNumbers]] = len(splitCases) > 0
	for d := range distortionEnd {
		_, there := elsewhere[d]
		if !made[distortionNames[d]] && !(there && d == stray) {
			t.Errorf("no case makes %s", distortionNames[d])
		}
	}
}

// Every row of the shared garbles table has a case here: what captions do to
// quantities, with counts.
func TestEveryGarbleHasACase(t *testing.T) {
	const rows = 24
	have := map[int]bool{}
	note := func(from string) {
		_, list, ok := strings.Cut(from, "row ")
		if !ok {
			return
		}
		for _, s := range strings.Split(list, ", ") {
			n := 0
			for _, c := range s {
				if c < '0' || c > '9' {
					break
				}
				n = n*10 + int(c-'0')
			}
			have[n] = true
		}
	}
	for _, cases := range [][]variantCase{singleCases, pairCases, unitCases} {
		for _, c := range cases {
			note(c.from)
		}
	}
	for _, c := range splitCases {
		note(c.from)
	}
	for n := 1; n <= rows; n++ {
		if !have[n] {
			t.Errorf("row %d of the garbles table has no case", n)
		}
	}
}

// What was heard is always among the readings, at no more than the cost of
// hearing it right.
func TestLiteralIsAmongVariants(t *testing.T) {
	for _, c := range singleCases {
		e := engineOf(t, c.heard)
		e.build()
		for i := range e.nodes {
			n := &e.nodes[i]
			if n.last-n.first > 1 || n.share > 0 {
				continue
			}
			m := e.mention(n.first)
			literal := false
			for k := n.from; k < n.to; k++ {
				if x := &e.cands[k]; x.literal {
					literal = true
					if shown(x.lo, x.hi, x.isRange) != shown(m.Low, m.High, m.Range) || x.unit != m.Unit.Unit {
						t.Errorf("%q: the literal reading is %s %s", c.heard, shown(x.lo, x.hi, x.isRange), x.unit)
					}
				}
			}
			if !literal && m.HasUnit() && m.Style != extract.StyleSound {
				t.Errorf("%q: mention %d has no literal reading", c.heard, n.first)
			}
		}
	}
}
