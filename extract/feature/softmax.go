package feature

import (
	"math"
	"slices"
)

// Softmax turns scores, at least one, into probabilities in place and returns
// them: exp(s) over the sum of all, reckoned from the highest so that none
// overflows.
func Softmax(scores []float64) []float64 {
	top, sum := slices.Max(scores), 0.0
	for i, s := range scores {
		scores[i] = math.Exp(s - top)
		sum += scores[i]
	}
	for i := range scores {
		scores[i] /= sum
	}
	return scores
}

// Sum is the score of features: the weights of their rows added up in order.
func Sum(weights []float64, rows []int32) float64 {
	s := 0.0
	for _, r := range rows {
		s += weights[r]
	}
	return s
}
