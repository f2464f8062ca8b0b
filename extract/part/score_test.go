package part

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/extract/feature"
)

// TestScorer holds the scores that grow with a segment to the sums of the
// features that feature.go names.
func TestScorer(t *testing.T) {
	vocabulary := strings.Fields("capacitor inductor thing capacitor voltage=5 voltage=50 capacitance=27 " +
		"capacitance=81 current=3 #AB12 [SO8 @Vrelka x2 . /")
	rapid.Check(t, func(t *rapid.T) {
		all := elements(strings.Join(rapid.SliceOfN(rapid.SampledFrom(vocabulary), 1, 25).Draw(t, "elements"), " "))
		for i := range all {
			all[i].Sure = rapid.IntRange(0, 5).Draw(t, "sure")
			all[i].Number = float64(rapid.SampledFrom([]int{0, 1, 3, 10, 27, 81}).Draw(t, "number"))
		}
		m := Default()
		s := &seer{all, feature.List{Index: m.index}}
		c := m.scorer(s)
		type segment struct {
			j     int
			score float64
			l     layout
		}
		for i := range all {
			var want, got []segment
			s.segments(i, func(j int, features []int32,
				l layout) {
				want = append(want, segment{j, feature.Sum(m.weights, features), l})
			})
			c.segments(i, func(j int, score float64, l layout) { got = append(got, segment{j, score, l}) })
			if len(got) != len(want) {
				t.Fatalf("%d segments, want %d", len(got), len(want))
			}
			for k := range want {
				if w, g := want[k], got[k]; w.j != g.j || w.l != g.l || math.Abs(w.score-g.score) > 1e-9 {
					t.Fatalf("segment [%d,%d) is %+v, want %+v", i, w.j, g, w)
				}
			}
		}
	})
}
