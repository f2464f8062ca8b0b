package edit

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"sync"

	"saywatt/schema"
)

// Why a place is left to a person.
var (
	ErrOpen   = errors.New("no reading is likely enough")
	errWords  = errors.New("a word that was said would be lost, or a number that was not said come in")
	ErrRun    = errors.New("numbers stand side by side, and where one ends is not seen")
	errUnsure = errors.New("such corrections are not right often enough")
)

// evidence is a row of tables/evidence.tsv.
type evidence struct {
	least   float64
	group   string
	meaning string
}

// never is above any probability.
const never = 2

// loadEvidence reads the table. What a person decided needs no evidence.
var loadEvidence = sync.OnceValue(func() [kinds]evidence {
	var all [kinds]evidence
	for _, r := range schema.MustReadTable(tables, "tables/evidence.tsv").Rows {
		k := slices.Index(kindNames[:], r.Get("kind"))
		if k <= 0 {
			panic(fmt.Errorf("evidence.tsv:%d: no correction is of kind %q", r.Line, r.Get("kind")))
		}
		e := evidence{never, r.Get("group"), r.Get("meaning")}
		if s := r.Get("least"); s != "never" {
			p, err := strconv.ParseFloat(s, 64)
			if err != nil || p < 0 || p > 1 {
				panic(fmt.Errorf("evidence.tsv:%d: %q is no probability", r.Line, s))
			}
			e.least = p
		}
		all[k] = e
	}
	return all
})

// sure says whether a correction of the words of quantities may be made, nil,
// or why the place is left. kinds are what it does.
func (c *collector) sure(first int, shared []schema.Said, before []word, at schema.Span, confidence float64) ([]kind,
	error) {
	s := &shared[0]
	bare := cutWords(before, &s.Quantity).number == len(before)
	kinds := kindsOf(before, shared)
	switch {
	case kinds == nil:
		return nil, errWords
	case !c.alone(first, at, !bare, kinds[0] <= kindUnitPrefix), bare && bareRun(before):
		return kinds, ErrRun
	case s.Status == schema.StatusSettled:
		return kinds, nil
	}
	table := loadEvidence()
	for _, k := range kinds {
		if e := table[k]; confidence < e.least {
			return kinds, fmt.Errorf("%w: %s", errUnsure, e.meaning)
		}
	}
	return kinds, nil
}
