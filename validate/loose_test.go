package validate

import (
	"strings"
	"testing"

	"saywatt/schema"
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
			rec := parseNotation(t, record)
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
