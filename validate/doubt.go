package validate

import (
	"cmp"
	"slices"
	"strings"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
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
		case perhapsNothing(rec, a.Value.Said):
			word = a.Value.Quantity.String() + " may be of nothing of the product"
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

// perhapsNothing reports whether the words do not tie the quantities to the
// product: each may be of another, or of nothing, with more than what is allowed
// for where all values of a finding belong.
func perhapsNothing(rec *schema.Record, said []int) bool {
	for _, n := range said {
		q := rec.Quantity(n)
		if q == nil {
			return false
		}
		p := 0.0
		for _, b := range q.Belongs {
			if b.Place.Nothing() {
				p += b.Confidence
			}
		}
		if q.BelongsSettled || 1-p >= leastPlace().High || isMainsRange(&q.Quantity) ||
			namesIt(rec, q) || opens(rec, q) {
			return false
		}
	}
	return len(said) > 0
}

// opens reports whether a power is the first quantity of a review that says nothing
// of another product: speakers begin with what the product gives.
func opens(rec *schema.Record, q *schema.Said) bool {
	if q.Kind != schema.KindPower || q.Number != 1 || rec.Product.Kind == "" {
		return false
	}
	return !slices.ContainsFunc(rec.Quantities, func(s schema.Said) bool { return s.Aside != schema.AsideNone })
}

// partInDoubt reports whether a path leads into a component that is open for
// itself and not for one of its ratings.
func partInDoubt(rec *schema.Record, p place.Path) bool {
	i, ok := p.Component()
	if !ok || i >= len(rec.Components) {
		return false
	}
	part := &rec.Components[i]
	if part.Status != schema.StatusOpen {
		return false
	}
	return !slices.ContainsFunc(part.Ratings, func(r schema.Rating) bool { return r.Value.Status == schema.StatusOpen })
}

// leastPlace is the probability that all values of a finding belong where they
// were put, below which it is a note.
var leastPlace = standard.Bound("place.least")

// misplaced lists the quantities of a judgement whose places are in doubt, as
// people read them, likeliest to be elsewhere first, where it is too doubtful
// that all belong where they were put.
func misplaced(rec *schema.Record, c *Case, j Judgement) (words []string, numbers []int) {
	type doubt struct {
		p    float64
		said *schema.Said
	}
	var doubts []doubt
	all := 1.0
	for i := range c.Args {
		if !j.about(i) {
			continue
		}
		p, said := placed(rec, c, i)
		if said == nil || p >= 1 {
			continue
		}
		all *= p
		doubts = append(doubts, doubt{p, said})
	}
	if all >= leastPlace().High {
		return nil, nil
	}
	slices.SortStableFunc(doubts, func(a, b doubt) int { return cmp.Compare(a.p, b.p) })
	for _, d := range doubts {
		if len(words) > 0 && d.p >= leastPlace().High {
			break
		}
		numbers = append(numbers, d.said.Number)
		if word := d.said.Quantity.String(); !slices.Contains(words, word) {
			words = append(words, word)
		}
	}
	return words, numbers
}

// placeOf is the probability that a value belongs where it is, 1 where nothing
// speaks against it, and the quantity said that is likeliest to belong there.
func placeOf(rec *schema.Record, v *schema.Value) (p float64, best *schema.Said) {
	for _, n := range v.Said[:min(len(v.Said), place.MostLooked)] {
		s := rec.Quantity(n)
		if s == nil {
			continue
		}
		if q := belongs(rec, s); q > p {
			p, best = q, s
		}
	}
	if best == nil {
		p = 1
	}
	return p, best
}

// whereBelongs is the end of a sentence that rests on places in doubt.
func whereBelongs(words []string) string {
	return " (uncertain: where " + strings.Join(words, " and ") + verb(words, " belongs", " belong") + ")"
}

func verb(words []string, one, many string) string {
	if len(words) == 1 {
		return one
	}
	return many
}

// uncertainty is the end of a sentence that rests on open values.
func uncertainty(words []string) string { return " (uncertain: " + strings.Join(words, ", ") + ")" }

// reported is a finding with what settles whether it repeats another.
type reported struct {
	schema.Finding
	alone bool  // its rule breaks, or is reported with a warning, by one quantity alone
	open  []int // quantities it rests on that are open
}

// once leaves out what only repeats another finding:
//
//   - A value that is implausible by itself is reported once. Warnings and notes
//     that rest on it, and are no graver, follow from it: a power of 502 W that
//     no USB port can have need not also be called unusual, above its
//     levels and different from the power said before. Errors all stand.
//   - A rule names an open value once, not once for every value that it is
//     compared with.
//
// The findings come in order (Compare).
func once(all []reported) []schema.Finding {
	type doubt struct {
		rule string
		said int
	}
	alone := map[int][]int{} // by quantity: the findings that rest on it alone
	for i := range all {
		if f := &all[i]; f.alone {
			alone[f.Said[0]] = append(alone[f.Said[0]], i)
		}
	}
	asked := map[doubt]bool{} // open values that a rule has asked about
	var kept []schema.Finding
	for i := range all {
		f := &all[i]
		again := i > 0 && compare(f.Finding, all[i-1].Finding) == 0 || follows(all, i, alone)
		for _, n := range f.open {
			again = again || asked[doubt{f.Rule, n}]
		}
		for _, n := range f.open {
			asked[doubt{f.Rule, n}] = true
		}
		if !again {
			kept = append(kept, f.Finding)
		}
	}
	return kept
}

// follows reports whether a value of all[i] is reported as implausible by
// itself, no less gravely.
func follows(all []reported, i int, alone map[int][]int) bool {
	f := &all[i]
	if f.Severity >= schema.SeverityError {
		return false
	}
	for _, n := range f.Said {
		for _, k := range alone[n] {
			if k != i && all[k].Severity >= f.Severity && (!f.alone || k < i) {
				return true
			}
		}
	}
	return false
}
