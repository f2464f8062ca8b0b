package name

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestScorer holds the scores that are summed by parts to the sums of the
// features that see.go and title.go name.
func TestScorer(t *testing.T) {
	vocabulary := strings.Fields("Today we look at the Velmora Ridge 65 , a charger . / controller is from TQ3605 " +
		"made by tarquell capacitor | - : x I")
	rapid.Check(t, func(t *rapid.T) {
		all := items(strings.Join(rapid.SliceOfN(rapid.SampledFrom(vocabulary), 1, 60).Draw(t, "words"), " "))
		key := func(a, b int) string { return strings.ToLower(words(all, Choice{First: a, Last: b})) }
		m := Default()
		x := newText(all, m.List())
		s := m.scorer(x)
		want := Likely(m.Score(x.places()), key)
		got := s.places(key)
		if len(got) != len(want) {
			t.Fatalf("%d places, want %d", len(got), len(want))
		}
		for i := range want {
			if w, g := &want[i], &got[i]; w.First != g.First || w.Last != g.Last || w.Key != g.Key ||
				math.Abs(w.Score-g.Score) > 1e-9 {
				t.Fatalf("place %d is %+v, want %+v", i, g, w)
			}
		}
		makers := m.Score(x.makers(want))
		title, given := best(m.Score(x.titles(makers))), s.title(makers)
		if math.Abs(title.Score-given.Score) > 1e-9 || title.First != given.First || title.Last != given.Last {
			t.Fatalf("title [%d,%d) %v, want [%d,%d) %v", given.First, given.Last, given.Score, title.First, title.Last,
				title.Score)
		}
	})
}
