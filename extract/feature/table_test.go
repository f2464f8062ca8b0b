package feature

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"pgregory.net/rapid"
)

func TestReadWeights(t *testing.T) {
	table := "# a comment\nfeature\tn\tweight\n\nb1:volts\t3\t-0.25\ntight\t1\t2\n"
	names, weights, err := ReadWeights(table)
	if err != nil || !slices.Equal(names, []string{"b1:volts", "tight"}) ||
		!slices.Equal(weights, []float64{-0.25, 2}) {
		t.Errorf("%v, %v, %v", names, weights, err)
	}
	for text, want := range map[string]string{
		"a\t1\n":         "line 1: 2 columns, want 3",
		"# x\na\t1\tb\n": "line 2: ",
	} {
		if _, _, err := ReadWeights(text); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

func TestMustNumbers(t *testing.T) {
	tables := fstest.MapFS{
		"tables/priors.tsv": {Data: []byte("feature\tmean\treason\nsecond\t-3\tone voltage\n")},
		"tables/bad.tsv":    {Data: []byte("feature\tmean\nsecond\tx\n")},
	}
	if got := MustNumbers(tables, "tables/priors.tsv", "feature", "mean"); len(got) != 1 || got["second"] != -3 {
		t.Errorf("%v", got)
	}
	defer func() {
		if r := recover(); r == nil || !strings.HasPrefix(r.(string), "tables/bad.tsv:2: ") {
			t.Errorf("%v", r)
		}
	}()
	MustNumbers(tables, "tables/bad.tsv", "feature", "mean")
}

// Numbers are those that strconv reads, to the last bit, or errors as there.
func TestNumber(t *testing.T) {
	same := func(t interface{ Errorf(string, ...any) }, s string) {
		got, err := number(s)
		want, wanted := strconv.ParseFloat(s, 64)
		if math.Float64bits(got) != math.Float64bits(want) || (err == nil) != (wanted == nil) {
			t.Errorf("%q: %v, %v, want %v, %v", s, got, err, want, wanted)
		}
	}
	for _, s := range []string{"", "-", ".", "-.5", "5.", "0", "-0", "-0.25", "1.2.3", "+1", "1e3", "x", "0.1234567",
		"1_0", "999999999999999", "9999999999999999", "123456789012345678901", "NaN", "-inf", "--1"} {
		same(t, s)
	}
	rapid.Check(t, func(t *rapid.T) {
		same(t, rapid.StringMatching(`-?[0-9]{0,17}(\.[0-9]{0,8})?`).Draw(t, "s"))
	})
}
