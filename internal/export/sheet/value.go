package sheet

import (
	"saywatt/internal/export/line"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// maxQuote bounds the words heard that are shown beside a value, in columns.
const maxQuote = 40

// Spec writes a value of the specification side, where claims and labels are usual
// and need no word.
func Spec(r *schema.Record, v *schema.Value) []line.Run {
	return valueRuns(r, v, schema.BasisClaimed, schema.BasisLabel)
}

// valueRuns writes a value with its mark, the words heard where they were
// repaired, and its basis where that is not among the usual ones of its place.
func valueRuns(r *schema.Record, v *schema.Value, usual ...schema.Basis) []line.Run {
	sign, st := line.Doubted(v.Status, r.PlaceDoubtOf(v))
	runs := []line.Run{line.Styled(word.Qualified(v.Qualifier, &v.Quantity)+sign, st)}
	if v.Status == schema.StatusRepaired {
		if said := repairedOf(r, v); said != nil {
			runs = append(runs, line.Faint(" "+word.Quote(said.Heard, maxQuote)))
		}
	}
	for _, u := range usual {
		if v.Basis == u {
			return runs
		}
	}
	if v.Basis != schema.BasisUnknown {
		runs = append(runs, line.Faint(" ("+v.Basis.String()+")"))
	}
	return runs
}

// repairedOf is the first of the quantities that a value rests on whose words were
// repaired; the first of all where none is.
func repairedOf(r *schema.Record, v *schema.Value) (first *schema.Said) {
	for _, n := range v.Said {
		said := r.Quantity(n)
		if said == nil {
			continue
		}
		if said.Status == schema.StatusRepaired {
			return said
		}
		if first == nil {
			first = said
		}
	}
	return first
}
