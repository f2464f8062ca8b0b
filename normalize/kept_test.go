package normalize

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/extract"
	"saywatt/extract/transcript"
)

// lost returns the words of the numbers with a unit that the reading engine
// leaves out.
func lost(text []byte) ([]string, int) {
	t, err := transcript.Parse("t", text)
	if err != nil {
		return nil, 0
	}
	d := extract.Find(t)
	_, placed := (&Ranker{}).Rank(d)
	kept := map[int32]bool{}
	for _, p := range placed {
		kept[p.Mention] = true
	}
	var out []string
	n := 0
	for i := range d.Mentions {
		m := &d.Mentions[i]
		if !d.SaysUnit(m) {
			continue
		}
		if n++; !kept[int32(i)] {
			out = append(out, d.Words(m.First, m.Last))
		}
	}
	return out, n
}

// TestNumbersWithUnitsAreKept: every number that the scanner finds with a unit
// is among the quantities said.
func TestNumbersWithUnitsAreKept(t *testing.T) {
	total := 0
	for _, root := range []string{"../testdata/captions", os.Getenv("SAYWATT_BENCHMARKS")} {
		if root == "" {
			continue
		}
		err := filepath.WalkDir(root, func(name string, f fs.DirEntry, err error) error {
			switch filepath.Ext(name) {
			case ".vtt", ".srt", ".ttml", ".txt", ".md":
			default:
				return err
			}
			b, err := os.ReadFile(name)
			if err != nil || len(b) > 1<<20 {
				return err
			}
			out, n := lost(b)
			total += n
			for _, words := range out {
				t.Errorf("%s: %q is not in the record", name, words)
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if total < 1000 {
		t.Errorf("only %d numbers with a unit looked at", total)
	}
	t.Logf("%d numbers with a unit", total)
}

// TestNumbersWithUnitsAreKeptInAnyText puts numbers, units and words together
// at random.
func TestNumbersWithUnitsAreKeptInAnyText(t *testing.T) {
	numbers := []string{"5", "20", "3.25", "2,22", "1,200", "0", "0–40", "12-28", "twenty", "three point two five",
		"one hundred and ten",
		"2.2e3", "5x10^3", "10−7", "20 000", "３.２５", "half", "4k7", "R002", "~20", "<5", "±3",
		"5 to 10", "20..60", "2x", "00", "999999999"}
	units := []string{" V", "V", " volts", " kΩ", " mA", " h", " g", " m", " %", " °C", " nits", " hPa", " psi",
		" stone",
		" frames per second",
		" years", " W", " watt hours", " mAh", " bar", " in", " ft", "\"", " Hz", " milliamp hours", ""}
	words := []string{" the output is ", ", ", " and ", ". ", " capacitor ", " at ", "\n", " of ", " USB-C ", " | ",
		"\t", "  ",
		" to ", " port ", " by ", " or ", ": "}
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		for range rapid.IntRange(1, 12).Draw(t, "parts") {
			b.WriteString(rapid.SampledFrom(words).Draw(t, "word"))
			b.WriteString(rapid.SampledFrom(numbers).Draw(t, "number"))
			b.WriteString(rapid.SampledFrom(units).Draw(t, "unit"))
		}
		if out, _ := lost([]byte(b.String())); len(out) > 0 {
			t.Fatalf("%q: %q is not in the record", b.String(), out)
		}
	})
}
