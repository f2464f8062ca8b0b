package extract

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"saywatt/extract/part"
	"saywatt/extract/place"
	"saywatt/extract/product"
	"saywatt/schema"
)

// TestBoundsHeld: of each row of bounds.tsv the last number below it is on one side
// and the first above it on the other. With another number, a tenth or one more or
// less, the case of the row fails.
func TestBoundsHeld(t *testing.T) {
	x := Words()
	level, ok := place.ParseClass("level.output")
	if !ok {
		t.Fatal("no class level.output")
	}
	type boundCase struct {
		bound    string
		not, yes float64
		passes   func(b *bounds, p float64) bool
	}
	cases := map[string]boundCase{}
	for _, c := range []boundCase{
		{"least_place", 0.029, 0.031, func(b *bounds, p float64) bool { return b.weighs(level, schema.KindVoltage, p) }},
		{"bare_none", 0.79, 0.81, func(b *bounds, p float64) bool { return b.weighs(place.None, schema.KindUnknown, p) }},
		{"sure_place", 0.96, 0.98, func(b *bounds, p float64) bool { return b.sure([]option{{level, p}, {place.None, 1 - p}}) }},
		{"least_pair", 0.095, 0.105, func(b *bounds, p float64) bool {
			return b.withVoltage([]option{{place.None, 1 - p}, {level, p}}, level)[0].class == level
		}},
		{"least_port", 0.029, 0.031, func(b *bounds, p float64) bool {
			return len(b.oddsOf([]string{"USB-C", "USB-A"}, []float64{math.Log(1 - p), math.Log(p)})) == 2
		}},
		{"kind_stands", 0.59, 0.61, func(b *bounds, p float64) bool { stands, _ := b.kinds(ofKind(p)); return stands != "" }},
		{"kind_likely", 0.19, 0.21, func(b *bounds, p float64) bool {
			_, likely := b.kinds(ofKind(p))
			return slices.Contains(likely, product.Kinds()[0])
		}},
		{"heard_often", 3, 4, func(b *bounds, p float64) bool { return b.often(int32(p)) }},
		{"least_part", 0.095, 0.105, func(b *bounds, p float64) bool { return b.mayRate(p) }},
		{"sure_plain", 0.96, 0.98, func(b *bounds, p float64) bool {
			s := &placer{parser: &parser{x: &Lexicon{bound: b}}, c: &x.cue, d: &Document{Mentions: make([]Mention, 1)}}
			_, alone := s.kindByShape([]sighting{{what: part.Rating}})
			return p >= alone
		}},
		{"own_port", 0.49, 0.51, func(b *bounds, p float64) bool { return b.ownPortStands(p) }},
		{"tens_apart", 3.1, 2.9, func(b *bounds, p float64) bool { return b.startsNumber(30, p).tens == 30 }},
		{"hundreds_apart", 0.71, 0.69, func(b *bounds, p float64) bool { return b.startsNumber(3, p).hundreds == 300 }},
	} {
		cases[c.bound] = c
		if c.passes(x.bound, c.not) || !c.passes(x.bound, c.yes) {
			t.Errorf("%s: %v %t, %v %t; want only the second", c.bound, c.not, c.passes(x.bound, c.not), c.yes,
				c.passes(x.bound, c.yes))
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/bounds.tsv").Rows {
		name := r.Get("bound")
		other := *x.bound
		field, c := other.fields()[name], cases[name]
		n := *field
		by := n / 10
		if n == math.Trunc(n) {
			by = 1
		}
		for _, *field = range []float64{n - by, n + by} {
			if c.passes == nil || !c.passes(&other, c.not) && c.passes(&other, c.yes) {
				t.Errorf("bounds.tsv:%d: no case of TestBoundsHeld fails where %s is %v", r.Line, name, *field)
			}
		}
	}
}

// ofKind are probabilities of the kinds of product, p of the first.
func ofKind(p float64) []float64 {
	all := make([]float64, len(product.Kinds()))
	for k := range all {
		all[k] = (1 - p) / float64(len(all)-1)
	}
	all[0] = p
	return all
}

// TestLengthsHeld: each row of lengths.tsv has texts in which what it counts is longer
// and longer. The first that is read otherwise where the row is less by one moves with
// the row, so that no other number passes.
func TestLengthsHeld(t *testing.T) {
	transistor := opened + "The transistor is a "
	cases := []struct {
		length string
		text   func(n int) string
		first  int
	}{
		{"annotation", func(n int) string { return "It has 60 " + strings.Repeat("k", n) + " per second." }, 24},
		{"cells", func(n int) string { return "a | V\nb" + strings.Repeat(" | 20", n) + "\n" }, 63},
		{"code_digits", func(n int) string { return transistor + "KX" + strings.Repeat("7", n) + "." }, 1},
		{"code_digits_doubtful", func(n int) string { return transistor + "Z " + strings.Repeat("7", n) + "." }, 2},
		{"code_head_letters", func(n int) string {
			return transistor + strings.Repeat("KL ", n/2) + strings.Repeat("K ", n%2) + "360."
		}, 6},
		{"code_head_words", func(n int) string { return transistor + strings.Repeat("K ", n) + "360." }, 5},
		{"code_most", func(n int) string { return transistor + "KX " + strings.Repeat("7 ", n) + "." }, 16},
		{"code_quantity", func(n int) string { return transistor + "GX " + strings.Repeat("3", n) + " S." }, 2},
		{"code_tail", func(n int) string { return transistor + "KX 7133 " + strings.Repeat("G", n) + "." }, 3},
		{"code_word", func(n int) string { return "The " + strings.Repeat("K", n) + " 53 gives 20 volts." }, 4},
		{"counted", func(n int) string { return "The voltage " + strconv.Itoa(n) + " up to 20 volts." }, 8},
		{"fraction", func(n int) string { return "Output 2 point " + strings.Repeat("7 ", n) + "volts." }, 12},
		{"letter_code_digits", func(n int) string { return opened + "A resistor of 4k" + strings.Repeat("7", n) + "." }, 3},
		{"lower_code", func(n int) string { return transistor + "k" + strings.Repeat("7", n) + " of 2 amps." }, 3},
		{"lower_code_digits", func(n int) string { return transistor + "kxwqv" + strings.Repeat("7", n) + " 33." }, 1},
		{"sound_unit", func(n int) string { return "Output hive " + []string{"V", "UV", "volts"}[min(n, 2)] + "." }, 1},
		{"spelled_digits", func(n int) string { return "The ripple is " + strings.Repeat("5 ", n) + "millivolts." }, 2},
		{"spelled_most", func(n int) string { return "The ripple is " + strings.Repeat("5 ", n) + "millivolts." }, 6},
		{"sound_word", func(n int) string { return "Output 20 v" + strings.Repeat("o", n) + "lts." }, 12},
	}
	held := map[string]bool{}
	less := newLexicon()
	for _, c := range cases {
		held[c.length] = true
		length := less.length.fields()[c.length]
		if length == nil {
			t.Errorf("no length %s", c.length)
			continue
		}
		*length--
		first := 0
		for first < c.first+3 && foundWith(t, less, c.text(first)) == foundWith(t, Words(), c.text(first)) {
			first++
		}
		*length++
		if first != c.first {
			t.Errorf("%s: read otherwise from %d on: %s; want %d", c.length, first, c.text(first), c.first)
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/lengths.tsv").Rows {
		if name := r.Get("length"); !held[name] {
			t.Errorf("lengths.tsv:%d: no case of TestLengthsHeld holds %s", r.Line, name)
		}
	}
}
