// Package fit fits the weights of log-linear models to marked narrations by
// maximum likelihood with a quadratic penalty: L-BFGS (Liu and Nocedal,
// Mathematical Programming 45, 1989) as in gonum. The same problem gives the
// same weights, bit for bit.
package fit

import (
	"slices"
	"sync"

	"gonum.org/v1/gonum/optimize"
)

// Problem is what is fitted.
type Problem struct {
	Mean       []float64 // of each weight before anything is seen
	Penalty    float64   // inverse variance of the weights around their means
	Examples   int
	Iterations int // at most
	// SetWeights is called with the weights that LogLikelihood is to use.
	SetWeights func([]float64)
	// LogLikelihood returns the logarithm of the probability of an example and
	// adds its gradient. It is called for several examples at once.
	LogLikelihood func(example int, gradient []float64) float64
}

// smallGradient ends a fit.
const smallGradient = 1e-3

// workers share the examples; fixed, so that sums are made in one order.
const workers = 2

// Solve returns the weights.
func (p *Problem) Solve() ([]float64, error) {
	at := point{problem: p}
	problem := optimize.Problem{
		Func: func(x []float64) float64 { return at.move(x).value },
		Grad: func(gradient, x []float64) { copy(gradient, at.move(x).gradient) },
	}
	settings := &optimize.Settings{MajorIterations: p.Iterations, GradientThreshold: smallGradient}
	result, err := optimize.Minimize(problem, slices.Clone(p.Mean), settings, &optimize.LBFGS{Store: 8})
	if err != nil && result == nil {
		return nil, err
	}
	return result.X, nil // not there yet after all iterations is near enough
}

// point keeps the penalised negative log likelihood and its gradient: they are
// asked for one after the other.
type point struct {
	problem     *Problem
	x, gradient []float64
	value       float64
}

func (c *point) move(x []float64) *point {
	if c.x != nil && slices.Equal(c.x, x) {
		return c
	}
	p := c.problem
	c.x = append(c.x[:0], x...)
	p.SetWeights(c.x)
	values, gradients := [workers]float64{}, [workers][]float64{}
	var wait sync.WaitGroup
	for w := range workers {
		gradients[w] = make([]float64, len(x))
		wait.Go(func() {
			for i := w; i < p.Examples; i += workers {
				values[w] += p.LogLikelihood(i, gradients[w])
			}
		})
	}
	wait.Wait()
	c.gradient = make([]float64, len(x))
	c.value = 0
	for w := range workers {
		c.value -= values[w]
	}
	for i, v := range x {
		v -= p.Mean[i]
		c.value += p.Penalty * v * v / 2
		c.gradient[i] = p.Penalty * v
		for w := range workers {
			c.gradient[i] -= gradients[w][i]
		}
	}
	return c
}

// Names counts the features of narrations and returns, in order, those that were
// seen in so many narrations at least, and how often each feature was seen.
func Names(least int, narrations int, features func(narration int, see func(string))) ([]string, map[string]int) {
	in, seen, last := map[string]int{}, map[string]int{}, map[string]int{}
	for k := range narrations {
		features(k, func(name string) {
			seen[name]++
			if last[name] != k+1 {
				last[name] = k + 1
				in[name]++
			}
		})
	}
	var names []string
	for f, n := range in {
		if n >= least {
			names = append(names, f)
		}
	}
	slices.Sort(names)
	return names, seen
}
