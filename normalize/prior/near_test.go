package prior

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestWindow holds windows to what near says, but for their very edges.
func TestWindow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(-1e6, 1e6).Draw(t, "a")
		off := rapid.Float64Range(-3, 3).Filter(func(v float64) bool {
			return math.Abs(math.Abs(v)-1) > 0.001
		}).Draw(t, "off")
		b := a * (1 + off*nearBy)
		w := around(a)
		if got := w.has(b); got != Near(a, b) {
			t.Fatalf("%v beside %v: %v, want %v", b, a, got, Near(a, b))
		}
	})
	zero := around(0)
	if !zero.has(0) || zero.has(1e-300) {
		t.Error("zero is near itself alone")
	}
}
