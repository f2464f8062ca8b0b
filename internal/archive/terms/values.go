package terms

import (
	"strconv"
	"strings"

	"saywatt/internal/archive/index"
	"saywatt/schema"
)

// A Value is a number that reviews have at a path.
type Value struct {
	Number schema.Decimal // in the base unit of its kind
	term   string
}

// Values gives each value of a path, in order, with the reviews of a set that have it.
// The path is that of a condition.
func (e *Finder) Values(path string, in index.Set, each func(Value, index.Set)) error {
	mark := path + index.NumberMark
	return e.valuesIn(mark, in, func(term string, of index.Set) {
		if number, ok := index.Unsortable(strings.TrimPrefix(term, mark)); ok {
			each(Value{number, term}, of)
		}
	})
}

// Having are the reviews of a set that have a value.
func (e *Finder) Having(v Value, in index.Set) (index.Set, error) {
	of, err := e.View.Term(index.FieldValues, v.term)
	if err == nil {
		of.And(in)
	}
	return of, err
}

// Elsewhere counts the values of a path that may belong elsewhere, by how sure it is,
// once for each review of a set that has one.
func (e *Finder) Elsewhere(path string, in index.Set, sure schema.PlaceDoubt) (n int, err error) {
	err = e.valuesIn(path+index.PlaceMark+strconv.Itoa(int(sure)), in, func(_ string, of index.Set) { n += of.Count() })
	return n, err
}

// Ranges counts the ranges of a path, once for each review that has one.
func (e *Finder) Ranges(path string) (n int, err error) {
	err = e.View.Prefixed(index.FieldRanges, path+index.Sep, func(_ string, reviews uint64) bool {
		n += int(reviews)
		return true
	})
	return n, err
}

// valuesIn calls f with each value of the index that begins so, and the reviews of in
// that have it.
func (e *Finder) valuesIn(prefix string, in index.Set, f func(term string, of index.Set)) error {
	var all []Value
	if err := e.View.Prefixed(index.FieldValues, prefix, func(term string, _ uint64) bool {
		all = append(all, Value{term: term})
		return true
	}); err != nil {
		return err
	}
	for _, v := range all {
		of, err := e.Having(v, in)
		if err != nil {
			return err
		}
		f(v.term, of)
	}
	return nil
}
