package infer

import (
	"fmt"
	"math"
	"slices"
	"testing"
)

// Volts as heard, and amperes that may have lost their point: 20 V × 3.25 A is the
// power given, and speaks 14 times as much for the pair.
func ExampleGraph() {
	volts, amperes := []float64{20}, []float64{325, 3.25}
	var g Graph
	g.Reset([]int32{1, 2})
	g.P(0)[0] = 1
	copy(g.P(1), []float64{0.6, 0.4})
	g.Add(Factor{Nodes: [MostNodes]int32{0, 1}, N: 2}, func(at *[MostNodes]int32) float64 {
		if volts[at[0]]*amperes[at[1]] == 65 {
			return 14
		}
		return 1
	})
	g.SumOut()
	fmt.Printf("%.2f\n", g.P(1))
	// Output: [0.10 0.90]
}

// nothing is a factor's ratio where it says nothing.
func nothing(*[MostNodes]int32) float64 { return 1 }

// A factor that says nothing of any combination takes no room; one with the same
// ratio for all that it was asked for, others left over, says something.
func TestAddKeepsWhatDiffers(t *testing.T) {
	var g Graph
	g.Reset([]int32{2, 3, 1, 0, 40, 40})
	room := g.room
	pair := func(a, b int32) Factor { return Factor{Nodes: [MostNodes]int32{a, b}, N: 2} }
	if !g.Add(pair(0, 1), nothing) || !g.Add(pair(0, 1), func(*[MostNodes]int32) float64 { return 7 }) {
		t.Error("no room for a factor")
	}
	for _, f := range []Factor{pair(2, 3), {Nodes: [MostNodes]int32{2}, N: 1}} {
		if !g.Add(f, func(*[MostNodes]int32) float64 {
			t.Error("nothing is open, and it was asked for")
			return 2
		}) {
			t.Error("no room for a factor of one combination")
		}
	}
	if len(g.Factors) != 0 || g.room != room {
		t.Fatalf("%d factors, room %d of %d", len(g.Factors), g.room, room)
	}
	// 40 × 40 is cut by ones, the larger first, to no more than 512
	asked := 0
	g.Add(pair(4, 5), func(*[MostNodes]int32) float64 { asked++; return 7 })
	if len(g.Factors) != 1 || asked > mostCombinations || asked != len(g.Factors[0].Ratio) || g.room != room-asked {
		t.Fatalf("%d factors, asked for %d combinations, room %d of %d", len(g.Factors), asked, g.room, room)
	}
	f := &g.Factors[0]
	if f.Size[0]*f.Size[1] != int32(asked) || f.Size[0] < 20 || f.Size[1] < 20 {
		t.Errorf("asked for %d × %d readings", f.Size[0], f.Size[1])
	}
	in, out := f.At(&[MostNodes]int32{0, f.Size[1] - 1}), f.At(&[MostNodes]int32{0, f.Size[1]})
	if in != 7 || out != 1 {
		t.Errorf("the ratio is %v within what was asked for and %v beyond, want 7 and 1", in, out)
	}
}

// Factors have room for so many ratios; one beyond is left out, and none of those
// kept is touched.
func TestAddHasRoom(t *testing.T) {
	var g Graph
	g.Reset([]int32{20, 20})
	f := Factor{Nodes: [MostNodes]int32{0, 1}, N: 2}
	ratio := func(at *[MostNodes]int32) float64 { return 1 + float64(at[0]*20+at[1]) }
	kept := 0
	for g.Add(f, ratio) {
		if kept++; kept > roomLeast {
			t.Fatal("there is room for everything")
		}
	}
	if want := (roomLeast + 2*roomOfNode) / 400; kept != want || len(g.Factors) != want {
		t.Errorf("%d factors kept, %d in the graph, want %d", kept, len(g.Factors), want)
	}
	for i := range g.Factors {
		if at := g.Factors[i].At(&[MostNodes]int32{19, 19}); at != 400 {
			t.Fatalf("factor %d has the ratio %v", i, at)
		}
	}
	g.Reset([]int32{20, 20})
	if len(g.Factors) != 0 || !g.Add(f, ratio) {
		t.Error("made anew, the graph has no room")
	}
}

// A factor that would make a component of more nodes than can be tied leaves the
// graph; the others stay, in their order, and are found by their nodes.
func TestSumOutBoundsComponents(t *testing.T) {
	const n = mostTied + 2
	var g Graph
	g.Reset(slices.Repeat([]int32{2}, n))
	for i := range int32(n) {
		copy(g.P(i), []float64{0.6, 0.4})
	}
	for i := range int32(n - 1) {
		g.Add(Factor{Nodes: [MostNodes]int32{i, i + 1}, N: 2, Label: i}, func(at *[MostNodes]int32) float64 {
			return 1 + 3*float64(at[0]*at[1])
		})
	}
	g.SumOut()
	if len(g.Factors) != n-2 {
		t.Fatalf("%d factors are left, want %d", len(g.Factors), n-2)
	}
	for i := range g.Factors {
		want := int32(i)
		if i == n-3 { // the one between the last two; that before it would have joined 129
			want++
		}
		if g.Factors[i].Label != want {
			t.Errorf("factor %d has the label %d, want %d", i, g.Factors[i].Label, want)
		}
	}
	for _, c := range []struct {
		node int32
		with []int32
	}{{0, []int32{0}}, {1, []int32{0, 1}}, {mostTied - 1, []int32{mostTied - 2}}, {mostTied, []int32{mostTied - 1}}} {
		if got := g.With(c.node); !slices.Equal(got, c.with) {
			t.Errorf("node %d has the factors %v, want %v", c.node, got, c.with)
		}
	}
	for i := range int32(n) {
		if p := g.P(i); math.Abs(p[0]+p[1]-1) > 1e-9 || p[1] <= 0.4 {
			t.Errorf("node %d has %v", i, p)
		}
	}
}

// A factor that is kept is found with its nodes, and moves nothing.
func TestKeep(t *testing.T) {
	var g Graph
	g.Reset([]int32{1, 2, 1})
	copy(g.P(1), []float64{0.6, 0.4})
	g.Keep(Factor{Nodes: [MostNodes]int32{0, 2}, N: 2, Label: 5}, 14)
	g.Index()
	for node, want := range []int{1, 0, 1} {
		if n := len(g.With(int32(node))); n != want {
			t.Errorf("node %d is with %d factors, want %d", node, n, want)
		}
	}
	f := &g.Factors[g.With(2)[0]]
	if got := f.At(&[MostNodes]int32{}); got != 14 || f.Label != 5 {
		t.Errorf("factor %d of ratio %v", f.Label, got)
	}
	if p := g.P(1); p[0] != 0.6 || p[1] != 0.4 {
		t.Errorf("the marginals are %v", p)
	}
}

// Used anew, a graph has nothing left of what it was.
func TestResetForgets(t *testing.T) {
	var g Graph
	g.Reset([]int32{3, 3})
	copy(g.P(0), []float64{0.5, 0.3, 0.2})
	g.Add(Factor{Nodes: [MostNodes]int32{0, 1}, N: 2}, func(at *[MostNodes]int32) float64 { return 1 + float64(at[0]) })
	g.SumOut()
	g.Reset([]int32{2})
	if p := g.P(0); len(p) != 2 || p[0] != 0 || p[1] != 0 || len(g.Factors) != 0 {
		t.Errorf("left: %v, %d factors", p, len(g.Factors))
	}
	copy(g.P(0), []float64{0.7, 0.3})
	g.SumOut()
	if p := g.P(0); p[0] != 0.7 || p[1] != 0.3 || len(g.With(0)) != 0 {
		t.Errorf("a lone node has %v and the factors %v", p, g.With(0))
	}
	g.Reset(nil)
	g.SumOut()
}

func TestStep(t *testing.T) {
	at, size := [MostNodes]int32{}, [MostNodes]int32{2, 3}
	var all [][2]int32
	for range 6 {
		all = append(all, [2]int32{at[0], at[1]})
		Step(&at, &size, 2)
	}
	want := [][2]int32{{0, 0}, {0, 1}, {0, 2}, {1, 0}, {1, 1}, {1, 2}}
	if !slices.Equal(all, want) || at != [MostNodes]int32{} {
		t.Errorf("%v, then %v", all, at)
	}
}
