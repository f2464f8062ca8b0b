package fit

import (
	"math"
	"slices"
	"testing"
)

// A coin that fell heads 7 times of 10, without penalty, has the log odds
// ln(7/3) (textbook maximum likelihood of the Bernoulli distribution).
func TestSolve(t *testing.T) {
	var w float64
	p := Problem{Mean: []float64{0}, Penalty: 1e-9, Examples: 10, Iterations: 100,
		SetWeights: func(x []float64) { w = x[0] },
		LogLikelihood: func(i int, gradient []float64) float64 {
			heads := 1 / (1 + math.Exp(-w))
			if i < 7 {
				gradient[0] += 1 - heads
				return math.Log(heads)
			}
			gradient[0] -= heads
			return math.Log(1 - heads)
		}}
	got, err := p.Solve()
	if err != nil {
		t.Fatal(err)
	}
	if want := math.Log(7.0 / 3); math.Abs(got[0]-want) > 1e-3 {
		t.Errorf("weight %v, want %v", got[0], want)
	}
	p.Penalty, p.Mean = 1e9, []float64{0.5} // nothing seen outweighs the mean
	if got, err = p.Solve(); err != nil || math.Abs(got[0]-0.5) > 1e-6 {
		t.Errorf("weight %v, %v, want the mean 0.5", got, err)
	}
}

func TestNames(t *testing.T) {
	all := [][]string{{"b", "a", "a"}, {"b", "c"}, {"c", "b"}}
	names, seen := Names(2, len(all), func(k int, see func(string)) {
		for _, f := range all[k] {
			see(f)
		}
	})
	if want := []string{"b", "c"}; !slices.Equal(names, want) { // a is in one narration only
		t.Errorf("names %v, want %v", names, want)
	}
	if seen["a"] != 2 || seen["b"] != 3 {
		t.Errorf("seen %v", seen)
	}
}
