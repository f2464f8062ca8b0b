package edit

import (
	"slices"
	"strings"

	"saywatt/schema"
)

// names writes the names that a person put right as that person wrote them: that of
// the product where it was first said, others wherever they were heard.
func (c *collector) names() {
	write := func(heard, meant string, at *schema.Seconds, span schema.Span) {
		text := textSpan(c.t, span)
		if meant == "" || slices.ContainsFunc(c.named, text.Overlaps) {
			return
		}
		c.named = append(c.named, text)
		before := wordsOf(c.t.Text[text.Start:text.End], text.Start)
		ch := Change{At: at, Span: span, Before: heard, After: meant, Confidence: 1,
			Why: "a person said that it is written so"}
		if k := c.t.CueAt(text.Start); c.t.Timed && k >= 0 && at != nil {
			ch.Media = schema.MediaFragment(*at, schema.SecondsOf(c.t.Cues[k].End))
		}
		if len(before) == 0 {
			c.leave(ch, "", errStale)
			return
		}
		if theirs := "'s"; strings.HasSuffix(join(before), theirs) && !strings.HasSuffix(meant, theirs) {
			meant += theirs
		}
		if join(before) != meant {
			c.add(before, parse(meant), ch, "")
		}
	}
	p := &c.record.Product
	for _, field := range []string{"name", "model", "maker"} { // the longest first
		if s := p.SettledOf(field); s != nil && s.Span != nil {
			write(s.Heard, s.Meant, s.At, *s.Span)
		}
	}
	for i := range c.record.Terms {
		if t := &c.record.Terms[i]; t.Status == schema.StatusSettled {
			write(t.Heard, t.Meant, t.At, t.Span)
		}
	}
}

// isNamed reports whether a person said what is named by some words.
func (c *collector) isNamed(words []word) bool {
	span := schema.Span{Start: words[0].span.Start, End: words[len(words)-1].span.End}
	return slices.ContainsFunc(c.named, span.Overlaps)
}
