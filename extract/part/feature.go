package part

import (
	"math"
	"slices"
	"strconv"

	"saywatt/extract/feature"
)

// layout says where the noun of a segment stands.
type layout uint8

const (
	nounFirst  layout = iota // before the first rating
	nounBehind               // behind it
	nounNone
	layouts
)

var layoutNames = [layouts]string{"first", "behind", "none"}

// seer sees the features of gaps and segments.
type seer struct {
	elements []Element
	feature.List
}

// short names an element for the features of its neighbours.
func (s *seer) short(i int) string {
	if i < 0 || i >= len(s.elements) {
		return "-"
	}
	if e := &s.elements[i]; e.Type == Rating || e.Type == Count && e.Name != "" {
		return e.Name
	}
	return s.elements[i].Type.String()
}

// gap adds what speaks for or against a new part at element i.
func (s *seer) gap(i int) {
	e := &s.elements[i]
	link := e.Link.String()
	before, here := s.short(i-1), s.short(i)
	s.Put("gap")
	s.Put("link:", link)
	s.Put("types:", before, ">", here)
	s.Put("types:", before, ">", here, "/", link)
	s.Put("here:", here, "/", link)
	s.Put("before:", before, "/", link)
	s.Put("next:", here, ">", s.short(i+1))
	s.Put("next:", here, ">", s.short(i+1), "/", link)
	s.Put("four:", s.short(i-2), " ", before, ">", here, " ", s.short(i+1))
	s.Put("signs:", e.Signs)
	s.Put("signs:", e.Signs, " ", before, ">", here)
	n := len(e.Words)
	for k := max(0, n-loadBounds().gapWords); k < n; k++ {
		s.Put("w:", e.Words[k])
		s.Put("w:", e.Words[k], " ", here)
	}
	for k := 0; k < min(n, 2); k++ {
		s.Put("f:", e.Words[k])
		s.Put("f:", e.Words[k], " ", before)
	}
	if n == 0 {
		s.Put("close ", before, ">", here)
		if b := &s.elements[i-1]; e.Type == Rating && b.Type == Rating && b.Kinds == 0 && e.Link == LinkTight {
			s.Put("split number")
		}
	} else {
		s.Put("w1:", e.Words[n-1], " ", here)
		s.Put("w1:", e.Words[n-1], " ", before, ">", here)
	}
	if e.Opens != "" { // "It is a", "Its four MOSFETs" go on about it, "The next is" does not
		s.Put("opens:", e.Opens)
		s.Put("opens:", e.Opens, " ", here)
		s.Put("opens:", e.Opens, " ", before)
	}
	s.Put("n:", strconv.Itoa(bucket(n)))
	for _, b := range e.Between {
		s.Put("between:", b)
		s.Put("between:", b, " ", here)
	}
	if e.Type == Rating {
		s.Put("sure:", strconv.Itoa(e.Sure))
		s.Put("sure:", strconv.Itoa(e.Sure), " ", link)
		s.Put("sure:", strconv.Itoa(e.Sure), " ", before)
	}
	if e.Type == Package && e.Name == Chip {
		s.Put("chip>", s.short(i+1))
	}
	if e.Type == Noun {
		s.Put("noun:", e.Name)
		if e.Plural {
			s.Put("plural ", before)
		}
	}
}

func bucket(n int) int {
	switch {
	case n <= 4:
		return n
	case n <= 8:
		return 5
	case n <= 16:
		return 6
	}
	return 7
}

// tally is what a segment holds, kept while it grows.
type tally struct {
	count   [types]int
	nouns   []int // elements; things only where nothing else is named
	named   bool  // a part is named, no mere thing
	ratings []int
	repeat  [types]bool // the same value again
	other   [types]bool // another value
}

// segments calls each for every segment that begins at element i, with its
// features and layout.
func (s *seer) segments(i int, each func(j int, features []int32, l layout)) {
	var t tally
	for j := i + 1; j <= len(s.elements) && j-i <= loadBounds().length; j++ {
		s.add(&t, i, j-1)
		s.Rows = s.Rows[:0]
		l := s.inside(&t, i, j)
		each(j, s.Rows, l)
	}
}

func (s *seer) add(t *tally, i, k int) {
	e := &s.elements[k]
	t.count[e.Type]++
	switch e.Type {
	case Noun:
		switch {
		case e.Name == Thing && t.named:
			return // spoken of in passing
		case e.Name != Thing && !t.named:
			t.nouns, t.named = t.nouns[:0], true
		}
		t.nouns = append(t.nouns, k)
		return
	case Rating:
		t.ratings = append(t.ratings, k)
		return
	}
	for b := i; b < k; b++ {
		if s.elements[b].Type == e.Type {
			if s.elements[b].Value == e.Value {
				t.repeat[e.Type] = true
			} else {
				t.other[e.Type] = true
			}
		}
	}
}

// inside adds the features of the segment [i, j).
func (s *seer) inside(t *tally, i, j int) layout {
	s.Put("length:", strconv.Itoa(min(j-i, 8)))
	for ty := Code; ty < Rating; ty++ {
		if t.other[ty] {
			s.Put("other ", ty.String())
		}
		if t.repeat[ty] {
			s.Put("repeat ", ty.String())
		}
	}
	s.Put("nouns:", strconv.Itoa(min(len(t.nouns), 3)), " ratings:", strconv.Itoa(min(len(t.ratings), 4)))
	s.Put("has:", digit(t.count[Noun]), digit(t.count[Code]), digit(t.count[Package]), digit(t.count[Maker]),
		digit(min(len(t.ratings), 1)))
	s.Put("first:", s.short(i))
	s.Put("last:", s.short(j-1))
	if j-i == 1 {
		s.Put("lone:", s.short(i))
		if e := &s.elements[i]; e.Type == Rating {
			s.Put("lone:", strconv.Itoa(e.Sure))
		}
	}
	least := 5
	for _, k := range t.ratings {
		least = min(least, s.elements[k].Sure)
	}
	s.Put("least:", strconv.Itoa(least), " ", digit(len(t.ratings)))
	if j-i <= loadBounds().ordered {
		order := ""
		for k := i; k < j; k++ {
			order += s.short(k) + " "
		}
		s.Put("order:", order)
	}
	s.ratings(t)
	return s.nouns(t, i)
}

func digit(n int) string { return strconv.Itoa(min(n, 2)) }

// ratings adds how the ratings of a segment go together.
func (s *seer) ratings(t *tally) {
	names := make([]string, 0, longest)
	for n, k := range t.ratings {
		e := &s.elements[k]
		names = append(names, e.Name)
		for _, b := range t.ratings[:n] {
			o := &s.elements[b]
			switch {
			case o.Kinds != e.Kinds:
			case o.Value == e.Value:
				s.Put("again")
				s.Put("again ", e.Name)
			case multiple(o.Number, e.Number):
				s.Put("multiple")
				s.Put("multiple ", e.Name)
			case sameDigits(o.Number, e.Number):
				s.Put("digits")
				s.Put("digits ", e.Name)
			default:
				s.Put("second")
				s.Put("second ", e.Name)
			}
		}
	}
	slices.Sort(names)
	names = slices.Compact(names)
	set := ""
	for _, n := range names {
		set += n + " "
	}
	s.Put("set:", set)
	for a := range names {
		for b := range a {
			s.Put("pair:", names[b], " ", names[a])
		}
	}
}

// multiple reports whether b is what several of a are together: three of 27 µF
// are 81 µF.
func multiple(a, b float64) bool {
	if a <= 0 || b <= 0 {
		return false
	}
	n := math.Round(b / a)
	return n >= 2 && n <= 24 && math.Abs(b-n*a) < 0.005*b && !sameDigits(a, b)
}

// sameDigits reports whether two values differ in their decimal point alone.
func sameDigits(a, b float64) bool {
	if a <= 0 || b <= 0 {
		return false
	}
	d := math.Log10(a / b)
	return math.Abs(d-math.Round(d)) < 1e-9
}

// nouns adds how the nouns of a segment agree with each other and with its
// ratings, and returns its layout.
func (s *seer) nouns(t *tally, i int) layout {
	l := nounNone
	if len(t.nouns) == 0 {
		s.Put("no noun")
		for _, k := range t.ratings {
			s.Put("no noun ", s.elements[k].Name)
		}
		return l
	}
	if l = nounFirst; len(t.ratings) > 0 && t.ratings[0] < t.nouns[0] {
		l = nounBehind
	}
	s.Put("layout:", layoutNames[l], " ", digit(len(t.ratings)))
	var kinds uint64
	for n, k := range t.nouns {
		e := &s.elements[k]
		kinds |= e.Kinds
		if n > 0 {
			for b := t.nouns[n-1] + 1; b < k; b++ {
				s.Put("noun behind ", s.elements[b].Type.String())
			}
			b := &s.elements[t.nouns[n-1]]
			switch {
			case b.Detail == e.Detail:
				s.Put("same noun")
			case b.Name == e.Name:
				s.Put("same family")
			default:
				s.Put("nouns:", b.Name, ",", e.Name)
				s.Put("other noun")
			}
		}
	}
	family := s.elements[t.nouns[0]].Name
	unfit := 0
	for _, k := range t.ratings {
		e := &s.elements[k]
		if e.Kinds&kinds == 0 {
			unfit++
			s.Put("unfit ", e.Name)
		} else {
			s.Put("fit ", e.Name)
		}
		s.Put("of:", family, " ", e.Name)
		s.Put("of:", family, " ", e.Detail)
	}
	s.Put("unfit:", strconv.Itoa(min(unfit, 2)))
	s.Put("family:", family, " ", digit(len(t.ratings)))
	return l
}
