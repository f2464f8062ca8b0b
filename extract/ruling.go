package extract

import (
	"slices"
	"strings"

	"saywatt/extract/place"
	"saywatt/schema"
)

// Ruling is what a person said of the place of a mention.
type Ruling struct {
	Class place.Class
	Port  string // of a level or power: its port, schema.NoPort none; "" not said
	Part  string // of a rating: the kind of part, "" not said
}

// Condition is what a person said of the place of the quantity that stands in
// the source file at Span.
type Condition struct {
	Span   schema.Span
	Kind   schema.Kind // of the quantity where a person said that too, else unknown
	Ruling Ruling
}

// condition finds the mentions that conditions are about: those that end inside
// the span of one and can be of its class. The last of a span counts. It is asked
// again when the names of ports have taken their numbers: "one five volts".
func (d *Document) condition() {
	if len(d.conditions) == 0 {
		return
	}
	for i := range d.Mentions {
		m := &d.Mentions[i]
		at := schema.Span{Start: int(d.Tokens[m.First].Start), End: int(d.Tokens[m.Last-1].End)}
		spans := d.Transcript.SourceSpans(at)
		if len(spans) == 0 {
			continue
		}
		for k := range d.conditions {
			c := &d.conditions[k]
			if spans[0].End > c.Span.Start && spans[0].End <= c.Span.End &&
				(c.Ruling.Class.Fits(m.kind()) || c.Kind != schema.KindUnknown && c.Ruling.Class.Fits(c.Kind)) {
				r := c.Ruling
				m.Ruling = &r
			}
		}
	}
}

// SpeaksOf reports whether the text speaks of a part of the kind: one that has ratings, one
// that is named, or one of those of SpeakOf.
func (d *Document) SpeaksOf(kind string) bool {
	return slices.ContainsFunc(d.Subjects, func(s Subject) bool { return s.Kind == kind }) ||
		slices.ContainsFunc(d.Terms, func(t Term) bool { return t.Kind == schema.TermComponent && t.Meant == kind }) ||
		slices.Contains(d.alsoParts, kind)
}

// LacksPart reports whether a condition names a kind of part that the text does not speak
// of. Other conditions may have made something else of what was taken for it.
func (d *Document) LacksPart() bool {
	return slices.ContainsFunc(d.conditions, func(c Condition) bool {
		return c.Ruling.Part != "" && !d.SpeaksOf(c.Ruling.Part)
	})
}

// SpeakOf takes over the kinds of parts that another document of the same text speaks of.
func (d *Document) SpeakOf(other *Document) {
	for i := range other.Subjects {
		d.alsoParts = append(d.alsoParts, other.Subjects[i].Kind)
	}
}

// kind is the physical kind of the mention by its unit.
func (m *Mention) kind() schema.Kind {
	if m.HasUnit() {
		return m.Unit.Unit.Kind()
	}
	return schema.KindUnknown
}

// tellParts gives the ratings of which a person named the part to the nearest
// part of that kind.
func (s *placer) tellParts() {
	for k := range s.d.Mentions {
		m := &s.d.Mentions[k]
		if m.Ruling == nil || m.Ruling.Part == "" {
			continue
		}
		best, far := int32(-1), int32(0)
		for j := range s.d.Subjects {
			sub := &s.d.Subjects[j]
			if sub.Kind != m.Ruling.Part {
				continue
			}
			if apart := max(sub.First-m.First, m.First-sub.First); best < 0 || apart < far {
				best, far = int32(j), apart
			}
		}
		if best >= 0 {
			m.Context.Subject = best
			s.ratingOf(m, &s.d.Subjects[best])
		}
	}
}

// ruledPort returns the port that a person said for mention k, or for the
// quantity of the same level right behind it.
func (a *portAsker) ruledPort(k int, c place.Class) (string, bool) {
	for ; k < len(a.d.Mentions); k++ {
		m := &a.d.Mentions[k]
		if m.Ruling != nil && m.Ruling.Port != "" {
			if m.Ruling.Port == schema.NoPort {
				return noPort, true
			}
			return strings.ReplaceAll(m.Ruling.Port, ",", "+"), true
		}
		if k+1 == len(a.d.Mentions) || a.classes[k+1] != c || !a.follows(k+1, k) {
			break
		}
	}
	return "", false
}
