package fit

import "math"

// Choice is a question with answers, one or more of them right. The probability
// of an answer is the exponential of the sum of its features' weights, over that
// of all answers.
type Choice struct {
	Rows  [][]int32 // the features of each answer
	Right []bool
}

// noGradient is how far from what it should be a probability may be to count as
// there.
const noGradient = 1e-7

// LogLikelihood returns the logarithm of the probability that a right answer is
// chosen, and adds its gradient.
func (c *Choice) LogLikelihood(w, gradient []float64) float64 {
	score := make([]float64, len(c.Rows))
	top := math.Inf(-1)
	for j, rows := range c.Rows {
		for _, f := range rows {
			score[j] += w[f]
		}
		top = max(top, score[j])
	}
	sum, good := 0.0, 0.0
	for j := range score {
		score[j] = math.Exp(score[j] - top)
		sum += score[j]
		if c.Right[j] {
			good += score[j]
		}
	}
	good = max(good, 1e-300)
	for j, rows := range c.Rows {
		d := -score[j] / sum
		if c.Right[j] {
			d += score[j] / good
		}
		if math.Abs(d) > noGradient {
			for _, f := range rows {
				gradient[f] += d
			}
		}
	}
	return math.Log(good / sum)
}
