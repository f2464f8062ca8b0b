package validate

import (
	"math"
	"strconv"
	"sync"

	"saywatt/schema"
)

// weight is a row of weights.tsv.
type weight struct {
	slip   float64 // P(the rule is broken | all values heard rightly)
	chance float64 // P(the rule is kept | unrelated values)
	kept   float64 // evidence of keeping it, in nats
	broken float64 // evidence of breaking it
}

// weights is the whole of weights.tsv, read once; it is a constant of the
// program, whose form the tests check.
var weights = sync.OnceValue(func() map[string]weight {
	t := schema.MustReadTable(tables, "tables/weights.tsv")
	m := make(map[string]weight, len(t.Rows))
	for _, r := range t.Rows {
		w := weight{slip: mustFloat(r, "slip"), chance: mustFloat(r, "chance")}
		w.kept, w.broken = w.keeping(w.chance), w.breaking(w.chance)
		m[r.Get("rule")] = w
	}
	return m
})

// keeping is ln P(kept | heard rightly) − ln P(kept | unrelated), never
// negative: keeping a rule cannot speak against anyone.
func (w weight) keeping(chance float64) float64 {
	return math.Log((1 - w.slip) / min(chance, 1-w.slip))
}

// breaking is the same for a breach.
func (w weight) breaking(chance float64) float64 { return math.Log(w.slip / (1 - chance)) }

// weightOf panics on a rule without a row, which the suite's test finds.
func weightOf(rule string) weight {
	w, ok := weights()[rule]
	if !ok {
		panic("weights.tsv has no row for rule " + rule)
	}
	return w
}

// apart is the distance of two positive numbers as the natural logarithm of
// their ratio, 0 if either is not positive.
func apart(a, b float64) float64 {
	if a <= 0 || b <= 0 {
		return 0
	}
	return math.Abs(math.Log(a / b))
}

// chanceWithin is the probability that an unrelated value falls within ±tol
// of x, when what was said may as well be anything over the span of decades
// that a lost point, digit or prefix can move a number.
func chanceWithin(x, tol float64) float64 {
	if x <= 0 || tol <= 0 {
		return 0
	}
	return min(2*tol/x/limits().span, 0.5)
}

// mustFloat reads a cell of an embedded table as a number.
func mustFloat(r schema.Row, column string) float64 {
	f, err := strconv.ParseFloat(r.Get(column), 64)
	if err != nil {
		panic(column + " in line " + strconv.Itoa(r.Line) + ": " + err.Error())
	}
	return f
}
