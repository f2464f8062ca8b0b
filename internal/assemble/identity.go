package assemble

import (
	"strconv"

	"saywatt/schema"
)

// Ids of levels and parts. An id is made of the place in the file where the
// thing was first named: the voltage of a level, the words of a part. What a
// person decides of its values, how often it is read again, and what else is
// in the record do not change it. Several from the same words (the level of
// two ports spoken of alike) are distinguished by a number, in the order of the
// record.

// ids gives every level and part its id.
func (f *filler) ids() {
	seen := map[string]int{}
	id := func(what string, at int) string {
		s := what + "-" + strconv.Itoa(at)
		seen[s]++
		if n := seen[s]; n > 1 {
			s += "-" + strconv.Itoa(n)
		}
		return s
	}
	for i := range f.rec.Levels {
		l := &f.rec.Levels[i]
		l.ID = id("level", f.firstByte(&l.Voltage))
	}
	for j, k := range f.final {
		if k >= 0 && f.rec.Components[k].ID == "" {
			f.rec.Components[k].ID = id("part", f.namedAt(int32(j)))
		}
	}
}

// firstByte is where the words that a value rests on begin in the file; of
// several, the first.
func (f *filler) firstByte(v *schema.Value) int {
	first := -1
	for _, n := range v.Said {
		if s := f.rec.Quantity(n); s != nil && (first < 0 || s.Span.Start < first) {
			first = s.Span.Start
		}
	}
	return max(first, 0)
}

// namedAt is where the words that named a subject begin in the file.
func (f *filler) namedAt(subject int32) int {
	s := &f.doc.Subjects[subject]
	if s.First >= s.Last || int(s.Last) > len(f.doc.Tokens) {
		return 0
	}
	text := schema.Span{Start: int(f.doc.Tokens[s.First].Start), End: int(f.doc.Tokens[s.Last-1].End)}
	if spans := f.doc.Transcript.SourceSpans(text); len(spans) > 0 {
		return spans[0].Start
	}
	return 0
}
