package edit

import (
	"fmt"
	"slices"

	"saywatt/extract/transcript"
	"saywatt/schema"
)

// ForReworded is ForRecord where a person said at some places what the captions
// should say: there they say that, and what the record says of such a place is
// neither corrected nor left. The items are accepted whatever they say.
func ForReworded(items []Item, r *schema.Record, t *transcript.Transcript, s Style) ([]Change, []Left, error) {
	changes, left, err := ForRecord(r, t, s)
	if err != nil || len(items) == 0 {
		return changes, left, err
	}
	items = slices.Clone(items)
	for i := range items {
		it := &items[i]
		it.Accept, it.Said = true, NotSaid
		if it.Before == "" && it.Span.End <= len(t.Source) { // it does not say what stands there
			text := textSpan(t, it.Span)
			it.Before = join(wordsOf(t.Text[text.Start:text.End], text.Start))
		}
		if it.Before == "" {
			return nil, nil, it.wrong(errStale)
		}
	}
	slices.SortStableFunc(items, func(a, b Item) int { return a.Span.Start - b.Span.Start })
	reworded, unmade, err := ForList(items, t)
	if err != nil {
		return nil, nil, err
	}
	if len(unmade) > 0 {
		return nil, nil, fmt.Errorf("what was reworded cannot be written: %w", unmade[0])
	}
	for i := range reworded {
		reworded[i].Why, reworded[i].Reworded = "reworded by a person", true
	}
	for _, c := range changes {
		if !slices.ContainsFunc(reworded, func(o Change) bool { return touch(&c, &o) }) {
			reworded = append(reworded, c)
		}
	}
	slices.SortStableFunc(reworded, func(a, b Change) int { return a.Span.Start - b.Span.Start })
	left = slices.DeleteFunc(left, func(l Left) bool {
		return slices.ContainsFunc(items, func(it Item) bool { return it.Span.Overlaps(l.Span) })
	})
	return reworded, left, nil
}

// touch reports whether two changes replace bytes of the same stretch.
func touch(a, b *Change) bool {
	for _, x := range a.Edits {
		for _, y := range b.Edits {
			if x.Span.Overlaps(y.Span) {
				return true
			}
		}
	}
	return false
}
