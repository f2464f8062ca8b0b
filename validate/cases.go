package validate

import (
	"iter"
	"math"

	"saywatt/schema"
	"saywatt/validate/place"
)

// finder is the type of Rule.Find.
type finder = func(r *schema.Record, yield func(Case) bool)

// stock hands out the argument lists of many cases from few allocations. The
// lists stay good for as long as anyone holds them.
type stock struct{ free []Arg }

func (s *stock) of(args ...Arg) []Arg {
	if len(s.free) < len(args) {
		s.free = make([]Arg, max(stockSize, len(args)))
	}
	n := len(args)
	list := s.free[:n:n]
	s.free = s.free[n:]
	copy(list, args)
	return list
}

// stockSize is the number of arguments allocated at once: enough for the
// levels of one port.
const stockSize = 16

// levelsOf iterates over the levels that want accepts.
func levelsOf(r *schema.Record, want func(*schema.Level) bool) iter.Seq2[int, *schema.Level] {
	return func(yield func(int, *schema.Level) bool) {
		for i := range r.Levels {
			if l := &r.Levels[i]; want(l) && !yield(i, l) {
				return
			}
		}
	}
}

// voltages finds one case a level: the voltage. Extra is the level.
func voltages(want func(*schema.Level) bool) finder {
	return eachLevel(want, false, 1, func(l *schema.Level, i int, args []Arg) {
		args[0] = arg(&l.Voltage, place.Level(i, "voltage"))
	})
}

// currents finds one case a level that has a current: the current. Extra is
// the level.
func currents(want func(*schema.Level) bool) finder {
	return eachLevel(want, true, 1, func(l *schema.Level, i int, args []Arg) {
		args[0] = arg(l.Current, place.Level(i, "current"))
	})
}

// pairs finds one case a level that has a current: current, voltage. Extra is
// the level.
func pairs(want func(*schema.Level) bool) finder {
	return eachLevel(want, true, 2, func(l *schema.Level, i int, args []Arg) {
		args[0] = arg(l.Current, place.Level(i, "current"))
		args[1] = arg(&l.Voltage, place.Level(i, "voltage"))
	})
}

// eachLevel finds one case of n arguments for every level that want accepts,
// with a current where that is needed. All share one allocation.
func eachLevel(want func(*schema.Level) bool, current bool, n int,
	fill func(l *schema.Level, i int, args []Arg)) finder {
	return func(r *schema.Record, yield func(Case) bool) {
		var block []Arg
		for i := range r.Levels {
			l := &r.Levels[i]
			if current && l.Current == nil || !want(l) {
				continue
			}
			if len(block) < n {
				block = make([]Arg, n*(len(r.Levels)-i))
			}
			args := block[:n:n]
			block = block[n:]
			fill(l, i, args)
			if !yield(Case{Level: l, Extra: l, Args: args}) {
				return
			}
		}
	}
}

// onGrid reports whether x is a multiple of step, up to the error of floats.
func onGrid(x, step float64) bool {
	n := x / step
	return math.Abs(n-math.Round(n)) < gridError
}

// same reports whether two numbers are equal up to the error of floats.
func same(a, b float64) bool { return math.Abs(a-b) <= gridError*math.Max(math.Abs(a), math.Abs(b)) }

// gridError is far above the rounding of float64 and far below the last digit
// of anything said.
const gridError = 1e-6

// member returns the index of the value in a list that x equals, -1 if none.
func member(x float64, of []float64) int {
	for i, y := range of {
		if same(x, y) {
			return i
		}
	}
	return -1
}

// toGrid rounds a quantity to a multiple of 10^-decimals of the unit; it
// proposes what a label could have said.
func toGrid(x float64, decimals int, unit schema.Unit) schema.Quantity {
	scaled := math.Round(x / unit.Scale() * math.Pow10(decimals))
	return schema.One(schema.NewDecimal(int64(scaled), int32(-decimals)).Trim(), unit)
}
