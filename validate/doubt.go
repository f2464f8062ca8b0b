package validate

import (
	"slices"
	"strings"

	"saywatt/schema"
)

// A finding is no surer than what it rests on. Where one of the values that it
// is about is open, or the part that a value was put on, a person has yet to
// say what was said there: the finding becomes a note, however grave its
// rule, and its sentence ends with what is uncertain. This holds for every
// rule and is decided here alone; rules judge numbers as they stand. The
// reading engine weighs doubt by itself and does not come this way.

// doubtful lists the open values among the arguments that a judgement is
// about, as people read them, and the numbers of the quantities that these
// values rest on.
func doubtful(rec *schema.Record, c *Case, j Judgement) (words []string, said []int) {
	for i := range c.Args {
		if !j.about(i) {
			continue
		}
		a := &c.Args[i]
		word := ""
		switch {
		case a.Value.Status == schema.StatusOpen:
			word = a.Value.Quantity.String()
			said = append(said, a.Value.Said...)
		case partInDoubt(rec, a.Path):
			word = "which part it is"
		default:
			continue
		}
		if !slices.Contains(words, word) {
			words = append(words, word)
		}
	}
	return words, said
}

// partInDoubt reports whether a path leads into a component that is open for
// itself and not for one of its ratings.
func partInDoubt(rec *schema.Record, p Path) bool {
	if p.at == nil || p.at.list != "components" || int(p.index) >= len(rec.Components) {
		return false
	}
	part := &rec.Components[p.index]
	if part.Status != schema.StatusOpen {
		return false
	}
	return !slices.ContainsFunc(part.Ratings, func(r schema.Rating) bool { return r.Value.Status == schema.StatusOpen })
}

// uncertainty is the end of a sentence that rests on open values.
func uncertainty(words []string) string { return " (uncertain: " + strings.Join(words, ", ") + ")" }

// told is a finding with what settles whether it repeats another.
type told struct {
	schema.Finding
	alone bool  // its rule breaks, or is told with a warning, by one quantity alone
	open  []int // quantities it rests on that are open
}

// once leaves out what only repeats another finding:
//
//   - A value that is implausible by itself is told so once. Warnings and notes
//     that rest on it, and are no graver, follow from it: a power of 502 W that
//     no USB port can have need not also be told to be unusual, above its
//     levels and different from the power told before. Errors all stand.
//   - A rule tells of an open value once, not once for every value that it is
//     compared with.
//
// The findings come in order (Compare).
func once(all []told) []schema.Finding {
	var kept []schema.Finding
	for i := range all {
		if !repeated(all, i) {
			kept = append(kept, all[i].Finding)
		}
	}
	return kept
}

// repeated reports whether another of the findings says what all[i] says.
func repeated(all []told, i int) bool {
	f := &all[i]
	for k := range all {
		g := &all[k]
		if k == i {
			continue
		}
		if k < i && (Compare(f.Finding, g.Finding) == 0 || f.Rule == g.Rule && meet(f.open, g.open)) {
			return true
		}
		if f.Severity < schema.SeverityError && g.alone && g.Severity >= f.Severity && slices.Contains(f.Said, g.Said[0]) && (!f.alone || k < i) {
			return true
		}
	}
	return false
}

// meet reports whether two lists have a number in common.
func meet(a, b []int) bool {
	return slices.ContainsFunc(a, func(n int) bool { return slices.Contains(b, n) })
}
