package edit

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"saywatt/schema"
)

// A Change is one correction: what it says in words, and the edits that make it.
type Change struct {
	Said       int             // number of the quantity in the record, 0 for a term
	At         *schema.Seconds // start of the cue; nil where untimed
	Media      string          // W3C Media Fragment of the moment, "#t=begin,end"; empty where untimed
	Span       schema.Span     // of the words before, in the source: their first showing
	Before     string          // words as heard, breaks as one space
	After      string          // words as corrected; of a mark, what is noted
	Why        string          // reasons, with their sources
	Kinds      []string        // what it does to the words, rows of tables/evidence.tsv; none of a term
	Confidence float64         // probability of the reading, 0 to 1; 0 where none is known
	Edits      []Edit          // in the order of the source; never overlapping
	Reworded   bool            // a person said what the captions should say
}

// An Edit replaces the bytes of a span of the source. Before is what stands
// there, in the encoding of the file.
type Edit struct {
	Span   schema.Span
	Before []byte
	After  []byte
}

// Errors of applying changes.
var (
	errStale   = errors.New("the file does not hold what the change replaces")
	errOverlap = errors.New("two changes replace the same bytes")
)

// A placeError is a change that does not fit its file.
type placeError struct {
	Before string // the words it wants to replace
	Offset int    // of the source, in bytes
	Err    error  // errStale or errOverlap
}

func (e *placeError) Error() string {
	return fmt.Sprintf("change of %q at byte %d: %v", e.Before, e.Offset, e.Err)
}

func (e *placeError) Unwrap() error { return e.Err }

// Apply returns the source with the changes made. The source stays as it is.
// The order of the changes does not matter. Errors are *placeError.
func Apply(source []byte, changes []Change) ([]byte, error) {
	edits, err := sorted(changes)
	if err != nil {
		return nil, err
	}
	out := make([]byte, 0, len(source)+len(source)/16)
	at := 0
	for _, e := range edits {
		if e.Span.Start < at || e.Span.End > len(source) ||
			string(source[e.Span.Start:e.Span.End]) != string(e.Before) {
			return nil, &placeError{e.words, e.Span.Start, errStale}
		}
		out = append(append(out, source[at:e.Span.Start]...), e.After...)
		at = e.Span.End
	}
	return append(out, source[at:]...), nil
}

// wordedEdit is an edit with the words of its change, for errors.
type wordedEdit struct {
	Edit
	words string
}

// sorted lists the edits of all changes in the order of the source, and
// refuses those that overlap.
func sorted(changes []Change) ([]wordedEdit, error) {
	var all []wordedEdit
	for i := range changes {
		for _, e := range changes[i].Edits {
			all = append(all, wordedEdit{e, changes[i].Before})
		}
	}
	slices.SortStableFunc(all, func(a, b wordedEdit) int {
		return cmp.Or(cmp.Compare(a.Span.Start, b.Span.Start), cmp.Compare(a.Span.End, b.Span.End))
	})
	for i := 1; i < len(all); i++ {
		if all[i].Span.Start < all[i-1].Span.End {
			return nil, &placeError{all[i].words, all[i].Span.Start, errOverlap}
		}
	}
	return all, nil
}
