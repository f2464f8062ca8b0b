package edit

import (
	"bytes"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"saywatt/schema"
)

// A respelling is a name that captions get as it is known to be written.
type respelling struct {
	heard, meant string
	at           *schema.Seconds
	span         schema.Span // of the source
	confidence   float64
	why          string
	reach        reach
}

// reach is where a name is written.
type reach uint8

// The reaches.
const (
	reachPlace   reach = iota // where it was heard
	reachMaker                // and wherever the same words stand that are no other name
	reachProduct              // and with the names in it
)

// names writes the names that a person put right, or the glossary has, as they are
// written: wherever they were heard, and those of the product and of makers wherever
// the same words stand.
func (c *collector) names() {
	all := respellings(c.record)
	n := slices.IndexFunc(all, func(r respelling) bool { return r.reach != reachProduct })
	if n < 0 {
		n = len(all)
	}
	for _, some := range [][]respelling{all[:n], all[n:]} {
		for i := range some {
			c.respell(&some[i], textSpan(c.t, some[i].span), some[i].at)
		}
		c.everywhere(some)
	}
}

// respellings lists the names to be written otherwise, those of the product first,
// the longest of them before the others.
func respellings(rec *schema.Record) []respelling {
	var all []respelling
	add := func(r respelling) {
		if r.meant != "" {
			all = append(all, r)
		}
	}
	const person = "a person said that it is written so"
	p := &rec.Product
	for _, field := range []string{"name", "model", "maker"} {
		if s := p.SettledOf(field); s != nil && s.Span != nil {
			add(respelling{s.Heard, s.Meant, s.At, *s.Span, 1, person, reachProduct})
		}
	}
	for i := range rec.Terms {
		t := &rec.Terms[i]
		reach := reachPlace
		if t.Kind == schema.TermMaker {
			reach = reachMaker
		}
		switch {
		case t.Status == schema.StatusSettled:
			add(respelling{t.Heard, t.Meant, t.At, t.Span, 1, person, reach})
		case t.Glossary:
			add(respelling{t.Heard, t.Meant, t.At, t.Span, t.Confidence, strings.Join(t.Why, "; "), reach})
		}
	}
	return all
}

// respell writes a name at a stretch of the text, unless one was written there.
func (c *collector) respell(r *respelling, text schema.Span, at *schema.Seconds) {
	if slices.ContainsFunc(c.named, text.Overlaps) {
		return
	}
	text.End += theirsAt(c.t.Text[text.End:])
	c.named = append(c.named, text)
	before := wordsOf(c.t.Text[text.Start:text.End], text.Start)
	ch := Change{At: at, Span: r.span, Before: r.heard, After: r.meant, Confidence: r.confidence, Why: r.why}
	if k := c.t.CueAt(text.Start); c.t.Timed && k >= 0 && at != nil {
		ch.Media = schema.MediaFragment(*at, schema.SecondsOf(c.t.Cues[k].End))
	}
	if len(before) == 0 {
		c.leave(ch, "", errStale)
		return
	}
	meant := r.meant
	if name, theirs := cutTheirs(join(before)); name != "" && !strings.HasSuffix(meant, theirs) {
		meant += theirs
	}
	if join(before) != meant {
		c.add(before, parse(meant), ch, "")
	}
}

// everywhere writes names at the other places where the same words stand. Left alone
// are words of a name that is read otherwise there.
func (c *collector) everywhere(all []respelling) {
	byFirst := map[string][]spread{} // the longest first, of equal ones the first
	for i := range all {
		r := &all[i]
		text := textSpan(c.t, r.span)
		words := nameWords(wordsOf(c.t.Text[text.Start:text.End], text.Start))
		if !r.spreads(words) {
			continue
		}
		first := strings.ToLower(words[0].text)
		at := slices.IndexFunc(byFirst[first], func(s spread) bool { return len(s.words) < len(words) })
		if at < 0 {
			at = len(byFirst[first])
		}
		byFirst[first] = slices.Insert(byFirst[first], at, spread{r, words})
	}
	if len(byFirst) == 0 {
		return
	}
	others := c.otherNames()
	text := wordsOf(c.t.Text, 0)
	for i := 0; i < len(text); i++ {
		for _, s := range byFirst[strings.ToLower(text[i].text)] {
			if !standsAt(text[i:], s.words) || s.written(text, i) {
				continue
			}
			span := schema.Span{Start: text[i].span.Start, End: text[i+len(s.words)-1].span.End}
			if slices.ContainsFunc(others, func(o schema.Span) bool { return s.gives(span, o) }) {
				continue
			}
			r := *s.respelling
			r.heard = join(text[i : i+len(s.words)])
			if source := c.t.SourceSpans(span); len(source) > 0 {
				r.span = source[0]
			}
			c.respell(&r, span, c.t.Moment(span.Start))
			i += len(s.words) - 1
			break
		}
	}
}

// A spread is a respelling with the words that it is of.
type spread struct {
	*respelling
	words []word
}

// nameWords are the words of a name without the s of what is theirs.
func nameWords(words []word) []word {
	words = slices.Clone(words)
	if n := len(words) - 1; n >= 0 {
		words[n].text, _ = cutTheirs(words[n].text)
		if words[n].text == "" {
			words = words[:n]
		}
	}
	return words
}

// cutTheirs cuts the s of what is theirs from a name.
func cutTheirs(name string) (string, string) {
	for _, s := range []string{"'s", "’s"} {
		if rest, ok := strings.CutSuffix(name, s); ok {
			return rest, s
		}
	}
	return name, ""
}

// theirsAt is how many bytes the s of what is theirs takes that text begins with.
func theirsAt(text []byte) int {
	for _, s := range []string{"'s", "’s"} {
		rest, ok := bytes.CutPrefix(text, []byte(s))
		if next, _ := utf8.DecodeRune(rest); ok && !unicode.IsLetter(next) {
			return len(s)
		}
	}
	return 0
}

// spreads reports whether the words of the name are it wherever they stand: of a
// maker several, or one that is no word written small.
func (r *respelling) spreads(words []word) bool {
	switch {
	case len(words) == 0 || r.reach == reachPlace:
		return false
	case len(words) > 1 || r.reach == reachProduct:
		return true
	}
	first, _ := utf8.DecodeRuneInString(words[0].text)
	return !unicode.IsLower(first)
}

// gives reports whether the name is not written over a span of the text, since the
// other name or quantity stands there.
func (r *respelling) gives(span, other schema.Span) bool {
	within := other.Start >= span.Start && other.End <= span.End
	return span.Overlaps(other) && !(within && r.reach == reachProduct)
}

// written reports whether the name stands around word i as it is to be written
// already: "Jetty Duo", where "Jetty" is to be "Jetty Duo".
func (s *spread) written(text []word, i int) bool {
	meant := wordsOf([]byte(s.meant), 0)
	for k := range meant {
		if k <= i && standsAt(meant[k:], s.words) && standsAt(text[i-k:], meant) {
			return true
		}
	}
	return false
}

// standsAt reports whether words begin with those of a name: in any case where it has
// several.
func standsAt(words, name []word) bool {
	if len(words) < len(name) {
		return false
	}
	for i := range name {
		a, b := words[i], name[i]
		if i == len(name)-1 {
			a.text, _ = cutTheirs(a.text)
		}
		if i > 0 && a.glued != b.glued || !strings.EqualFold(a.text, b.text) || len(name) == 1 && a.text != b.text {
			return false
		}
	}
	return true
}

// otherNames are the places in the text of names that stand as they were read, and of
// quantities.
func (c *collector) otherNames() []schema.Span {
	var out []schema.Span
	for i := range c.record.Terms {
		if t := &c.record.Terms[i]; t.Status != schema.StatusSettled && !t.Glossary {
			out = append(out, textSpan(c.t, t.Span))
		}
	}
	for i := range c.record.Quantities {
		out = append(out, textSpan(c.t, c.record.Quantities[i].Span))
	}
	return out
}

// isNamed reports whether it is known what is named by some words.
func (c *collector) isNamed(words []word) bool {
	span := schema.Span{Start: words[0].span.Start, End: words[len(words)-1].span.End}
	return slices.ContainsFunc(c.named, span.Overlaps)
}
