package schema

import (
	"encoding/json"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestSpan(t *testing.T) {
	a := Span{3, 7}
	for _, tt := range []struct {
		b                  Span
		contains, overlaps bool
		hull               Span
	}{
		{Span{3, 7}, true, true, Span{3, 7}},
		{Span{4, 6}, true, true, Span{3, 7}},
		{Span{7, 9}, false, false, Span{3, 9}}, // half open: they touch and share no byte
		{Span{0, 3}, false, false, Span{0, 7}},
		{Span{6, 9}, false, true, Span{3, 9}},
		{Span{0, 10}, false, true, Span{0, 10}},
		{Span{5, 5}, true, true, Span{3, 7}},
		{Span{8, 12}, false, false, Span{3, 12}},
	} {
		if a.Contains(tt.b) != tt.contains || a.Overlaps(tt.b) != tt.overlaps || a.Hull(tt.b) != tt.hull {
			t.Errorf("%v and %v: contains %v, overlaps %v, hull %v", a, tt.b, a.Contains(tt.b), a.Overlaps(tt.b),
				a.Hull(tt.b))
		}
	}
	if a.Len() != 4 || a.Empty() || !(Span{}).Empty() || !(Span{4, 4}).Empty() || (Span{4, 4}).Len() != 0 {
		t.Error("Len or Empty")
	}
}

func TestSpanJSON(t *testing.T) {
	for _, tt := range []struct {
		in   string
		want Span
		ok   bool
	}{
		{"[0,0]", Span{}, true}, {"[3,7]", Span{3, 7}, true}, {" [\n  3 ,\t7\n] ", Span{3, 7}, true},
		{"[7,3]", Span{}, false}, {"[-1,3]", Span{}, false}, {"[3]", Span{}, false}, {"[]", Span{}, false}, {"[1,2,3]", Span{}, false},
		{"[1.5,2]", Span{}, false}, {"[1,2e1]", Span{}, false}, {`["1","2"]`, Span{}, false}, {"[null,2]", Span{}, false},
		{"null", Span{}, false}, {"7", Span{}, false}, {`{"start":1,"end":2}`, Span{}, false}, {"[[1,2]]", Span{}, false},
		{"[99999999999999999999,99999999999999999999]", Span{}, false},
	} {
		var got Span
		if err := json.Unmarshal([]byte(tt.in), &got); (err == nil) != tt.ok || got != tt.want {
			t.Errorf("%s: %v, error %v", tt.in, got, err)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		start := rapid.IntRange(0, math.MaxInt/2).Draw(t, "start")
		s := Span{start, start + rapid.IntRange(0, math.MaxInt/2).Draw(t, "len")}
		b, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		var back Span
		if err := json.Unmarshal(b, &back); err != nil || back != s {
			t.Fatalf("%v is written %s and read %v, %v", s, b, back, err)
		}
	})
}
