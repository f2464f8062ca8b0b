package validate

import (
	"math"
	"strings"
	"testing"

	"saywatt/schema"
	"saywatt/validate/testdata/notation"
)

// TestDoubtfulPlaces: a finding is a note where it is less than nine in ten that
// all its values belong where they were put, and says which may not; an answer
// settles a value and not its place.
func TestDoubtfulPlaces(t *testing.T) {
	const record = "level output, USB-C1, PD, 20 V, 5 A\nclaim power, 60 W, port=USB-C1"
	for _, tt := range []struct {
		name   string
		places []float64 // of 20 V, 5 A, 60 W; 0 sure
		want   string
	}{
		{"sure", []float64{0, 0, 0}, "error levels[0].current: USB-C1 PD: 20 V × 5 A is 100 W, more than the 60 " +
			"W claimed => 3 A"},
		{"likely", []float64{0.97, 0.97, 0.97}, "error levels[0].current: USB-C1 PD: 20 V × 5 A is 100 W, more " +
			"than the 60 W claimed => 3 A"},
		{"one in doubt", []float64{0.97, 0, 0.6},
			"note levels[0].current: USB-C1 PD: 20 V × 5 A is 100 W, more than the 60 W claimed (uncertain: " +
				"where 60 W belongs) => 3 A"},
		{"two in doubt", []float64{0.5, 0, 0.6},
			"note levels[0].current: USB-C1 PD: 20 V × 5 A is 100 W, more than the 60 W claimed (uncertain: " +
				"where 20 V and 60 W belong) => 3 A"},
		{"together in doubt", []float64{0.94, 0, 0.95},
			"note levels[0].current: USB-C1 PD: 20 V × 5 A is 100 W, more than the 60 W claimed (uncertain: " +
				"where 20 V belongs) => 3 A"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			rec := notation.Parse(t, record)
			for i, p := range tt.places {
				if p > 0 {
					rec.Quantities[i].Belongs = []schema.Belonging{{Confidence: p}}
				}
			}
			if got := printFindings(CheckWith([]*Rule{ruleLevelWithinClaim}, rec)); got != tt.want {
				t.Errorf("got  %s\nwant %s", got, tt.want)
			}
		})
	}
}

// TestSaidAgainIsSurer: of several tellings of one value the surest counts.
func TestSaidAgainIsSurer(t *testing.T) {
	rec := &schema.Record{Quantities: []schema.Said{{Number: 1, Belongs: []schema.Belonging{{Confidence: 0.5}}},
		{Number: 2,
			Belongs: []schema.Belonging{{Confidence: 0.8}}}, {Number: 3}}}
	for _, tt := range []struct {
		said []int
		want float64
	}{{[]int{1}, 0.5}, {[]int{1, 2}, 0.8}, {[]int{1, 2, 3}, 1}, {nil, 1}, {[]int{9}, 1}} {
		if p, _ := placeOf(rec, &schema.Value{Said: tt.said}); p != tt.want {
			t.Errorf("%v: %v, want %v", tt.said, p, tt.want)
		}
	}
}

// TestTogether: said in one breath is within three quantities.
func TestTogether(t *testing.T) {
	for _, tt := range []struct {
		a, b []int
		want bool
	}{{[]int{4}, []int{7}, true}, {[]int{4}, []int{8}, false}, {[]int{1, 9}, []int{7}, true}, {nil, []int{7}, true}} {
		if got := together(&schema.Value{Said: tt.a}, &schema.Value{Said: tt.b}); got != tt.want {
			t.Errorf("%v and %v: %v", tt.a, tt.b, got)
		}
	}
}

// TestLooseBounds: how far two values are apart says that a finding may rest on two
// things; each case is the last of its row of bounds.tsv, or the first beyond.
func TestLooseBounds(t *testing.T) {
	size := &schema.Record{Body: schema.Body{Dimensions: make([]schema.Value, 4)}}
	folds := func(times float64) string {
		return looseBodySize(size, nil, nil, Judgement{Got: times, Limit: 1, Cause: causeAbove})
	}
	several := func(times string) string {
		farads := func(n string) schema.Quantity { return schema.One(schema.MustDecimal(n), "uF") }
		return looseSeveral(nil, nil, []schema.Quantity{farads("1"), farads(times)}, Judgement{})
	}
	rec := notation.Parse(t, "level output, USB-C1, PD, 20 V, 5 A\nclaim power, 60 W, port=USB-C1\n"+
		"claim power, 45 W, port=USB-C2")
	said := func(v *schema.Value, n int) *schema.Value { v.Said = []int{n}; return v }
	level := &rec.Levels[0]
	args := []Arg{{Value: said(&level.Voltage, 1)}, {Value: said(level.Current, 2)},
		{Value: said(&rec.Claims[0].Value, 4)}}
	level.Power = &schema.Value{}
	claimed := func(times float64) string {
		return looseCeiling(rec, &Case{Level: level, Args: args}, nil, Judgement{Got: times, Limit: 1})
	}
	for _, c := range []struct{ bound, got, want string }{
		{"body.unfolded", folds(4.99), onBodySize},
		{"body.unfolded", folds(5.01), ""},
		{"parts.apart", several("999.5"), ""},
		{"parts.apart", several("1000.5"), onSameThing},
		{"point.lost", claimed(6.99), onSameThing},
		{"point.lost", claimed(7.01), ""},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", c.bound, c.got, c.want)
		}
	}
}

// TestLooseIsANote: what a finding rests on is printed with it, and it is a note.
func TestLooseIsANote(t *testing.T) {
	seen := 0
	for _, r := range Rules() {
		a, _ := Example(r.Name)
		for _, f := range a.Files {
			if f.Name != "findings" {
				continue
			}
			for l := range strings.Lines(string(f.Data)) {
				if strings.Contains(l, "(uncertain: whether") {
					seen++
					if !strings.HasPrefix(l, "note ") {
						t.Errorf("%s: %s", r.Name, l)
					}
				}
			}
		}
	}
	if seen < 10 {
		t.Errorf("%d cases rest on something, want more", seen)
	}
}

// TestPlacesThatCanNotBe: a place where a quantity can not be is no doubt of where it
// is.
func TestPlacesThatCanNotBe(t *testing.T) {
	place := func(to, port string) schema.BelongsTo { return schema.BelongsTo{To: to, Port: port} }
	for _, tt := range []struct {
		name, record string
		said         int // the quantity, by its number
		a, b         schema.BelongsTo
		want         float64
	}{
		{"a condition where nothing was read", "cable.current = 3 A", 1, place("cable", ""),
			place("cond.current", ""), 1},
		{"a condition where something was", "cable.current = 3 A\nmeasure output_voltage, 5 V", 1, place("cable", ""),
			place("cond.current", ""), 0.6},
		{"the mains at a USB port", "level input, , AC, 100..340 V", 1, place("level.input", "none"),
			place("level.input", "USB-C"), 1},
		{"an input of a charger", "product.kind = charger\nlevel output, USB-C, PD, 20 V", 1,
			place("level.output", "USB-C"), place("level.input", "USB-C"), 1},
		{"an input of a power bank", "product.kind = power bank\nlevel output, USB-C, PD, 20 V", 1,
			place("level.output", "USB-C"), place("level.input", "USB-C"), 0.6},
		{"a second mass of one cell", "body.mass = 180 g\nbattery.cell.mass = 70 g", 1, place("mass", ""),
			place("cell", ""), 1},
		{"the mass of a cell that has none", "body.mass = 180 g\nbattery.cell.capacity = 5 A.h", 1, place("mass", ""),
			place("cell", ""), 0.6},
		{"a power that opens the review", "product.kind = charger\nclaim power, 65 W", 1, place("power", ""),
			place("aside.other", ""), 1},
		{"one behind it", "product.kind = charger\nlevel output, USB-C, PD, 20 V\nclaim power, 65 W", 2,
			place("power", ""), place("aside.other", ""), 0.6},
	} {
		rec := notation.Parse(t, "\n"+tt.record)
		q := rec.Quantity(tt.said)
		if q == nil {
			t.Fatalf("%s: no quantity %d", tt.name, tt.said)
		}
		q.Belongs = []schema.Belonging{{Place: tt.a, Confidence: 0.6}, {Place: tt.b, Confidence: 0.4}}
		if got := belongs(rec, q); math.Abs(got-tt.want) > 1e-9 {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}
