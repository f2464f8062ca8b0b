package export

import (
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// maxQuote bounds the words heard that are shown beside a value, in columns.
const maxQuote = 40

// sayValue writes a value with its mark, the words heard where they were
// repaired, and its basis where that is not among the usual ones of its place.
func (s *page) sayValue(v *schema.Value, usual ...schema.Basis) []run {
	sign, st := doubted(v.Status, s.record.PlaceDoubtOf(v))
	runs := []run{{word.Qualified(v.Qualifier, &v.Quantity) + sign, st}}
	if v.Status == schema.StatusRepaired {
		if said := s.repaired(v); said != nil {
			runs = append(runs, run{" " + word.Quote(said.Heard, maxQuote), styleFaint})
		}
	}
	for _, u := range usual {
		if v.Basis == u {
			return runs
		}
	}
	if v.Basis != schema.BasisUnknown {
		runs = append(runs, run{" (" + v.Basis.String() + ")", styleFaint})
	}
	return runs
}

// repaired is the first of the quantities that a value rests on whose words were
// repaired; the first of all where none is.
func (s *page) repaired(v *schema.Value) (first *schema.Said) {
	for _, n := range v.Said {
		said := s.record.Quantity(n)
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
