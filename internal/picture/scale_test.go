package picture

import (
	"bytes"
	"os"
	"slices"
	"testing"

	"saywatt/schema"
)

// The scale is made for what is usual among the values.
func TestReach(t *testing.T) {
	for _, c := range []struct {
		values []float64
		want   float64
	}{
		{nil, 0},
		{[]float64{3}, 3},
		{[]float64{3, 325}, 325}, // of two nobody knows which is far out
		{[]float64{3, 2.25, 325}, 3},
		{[]float64{3, 2.25, 3.25, 5, 6}, 6},
		{[]float64{1, 1, 4}, 4},
		{[]float64{0.5, 3, 3, 3, 13}, 3},
		{[]float64{3, 3, 300, 310, 3, 2, 1}, 3},
		{[]float64{3, 3, 300, 310, 3}, 310}, // too many to be far out
	} {
		if got := reach(c.values); got != c.want {
			t.Errorf("reach(%v) = %v, want %v", c.values, got, c.want)
		}
	}
}

// One current a hundred times the others is marked at the edge: the others
// stand where they stood without it.
func TestFarOut(t *testing.T) {
	calm := jetty()
	wild := jetty()
	wild.Levels = slices.Clone(wild.Levels)
	amps := schema.MustQuantity("325 A")
	far := wild.Levels[2]
	far.Current = &schema.Value{Quantity: amps, Status: schema.StatusOpen}
	far.Power = nil
	wild.Levels = append(wild.Levels, far)
	a, b := chartOf(calm), chartOf(wild)
	if fa, fb := a.scale(), b.scale(); fa.xMost != fb.xMost || fa.yMost != fb.yMost {
		t.Errorf("the scale went from %v to %v", fa, fb)
	}
	if a.beyond || !b.beyond {
		t.Errorf("beyond the scale: %v, %v; want false, true", a.beyond, b.beyond)
	}
	powers, _ := Powers(wild)
	levels, _ := Levels(wild)
	for _, p := range []*Picture{levels, powers} {
		var svg bytes.Buffer
		if err := p.WriteSVG(&svg); err != nil {
			t.Fatal(err)
		}
		if dir := os.Getenv("SAYWATT_SCREENSHOTS"); dir != "" {
			os.WriteFile(dir+"/far-"+p.Name+".svg", svg.Bytes(), 0o644)
		}
		got := texts(t, svg.Bytes())
		want := "beyond the scale"
		if p == powers {
			want = "20" // a tick of the scale that the others have
		}
		if !slices.Contains(got, want) {
			t.Errorf("%s does not say %q: %q", p.Name, want, got)
		}
	}
}
