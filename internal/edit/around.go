package edit

import (
	"sort"

	"saywatt/extract"
	"saywatt/extract/sound"
	"saywatt/schema"
)

// A run is number words that follow one another without any other word or a
// sign between them, over the ends of lines and cues: where one number ends and
// the next begins is not seen in it.

// mostAround is how far a run is followed on either side of a quantity.
const mostAround = 32

// loose lists the number words of the run around a quantity at a stretch of the
// text that stand outside of it; a unit at its end ends the run too. ok is false
// where the run is longer than mostAround.
func (c *collector) loose(s schema.Span, unit bool) (outside []schema.Span, ok bool) {
	c.scan()
	first := sort.Search(len(c.tokens), func(i int) bool { return int(c.tokens[i].End) > s.Start })
	left, ok1 := c.follow(first, -1)
	if unit {
		return left, ok1
	}
	last := sort.Search(len(c.tokens), func(i int) bool { return int(c.tokens[i].Start) >= s.End })
	right, ok2 := c.follow(last-1, +1)
	return append(left, right...), ok1 && ok2
}

// scan cuts the text into words, once.
func (c *collector) scan() {
	if c.tokens == nil {
		c.tokens = extract.Words().Scan([]extract.Token{}, c.t.Text)
	}
}

// follow goes from a token, itself left out, in one direction as far as number
// words go. A word that only sounds like a number, or binds the parts of one, is one of
// them where it stands between two: "point for eight", "hundred and thirty".
func (c *collector) follow(at, step int) (run []schema.Span, ok bool) {
	x := extract.Words()
	for n := 0; n < mostAround; n++ {
		i, t := c.next(at, step)
		if t.Kind == extract.TokenNone {
			return run, true
		}
		if !c.number(t) {
			j, beyond := c.next(i, step)
			if beyond.Kind == extract.TokenNone || !c.number(beyond) {
				return run, true
			}
			if !x.NumberBySound(c.t.Text, t, sound.Anywhere).OK && !binds(string(c.t.Text[t.Start:t.End])) {
				return run, true
			}
			i, t = j, beyond
		}
		run, at = append(run, t.Span()), i
	}
	return run, false
}

// next is the word before or behind a token, over the ends of lines; none where
// a paragraph or the text ends.
func (c *collector) next(at, step int) (int, extract.Token) {
	for at += step; at >= 0 && at < len(c.tokens); at += step {
		switch t := c.tokens[at]; t.Kind {
		case extract.TokenBreak:
		case extract.TokenPara:
			return at, extract.Token{}
		default:
			return at, t
		}
	}
	return at, extract.Token{}
}

// number reports whether a word is a number, a part of one, or the point of one.
func (c *collector) number(t extract.Token) bool {
	x := extract.Words()
	if x.Counts(t) || x.IsPoint(t) {
		return true
	}
	return t.Kind == extract.TokenWord && x.Known(t) && numberWord(string(c.t.Text[t.Start:t.End]))
}

// binds reports whether a word binds the parts of a number, as and does.
func binds(w string) bool {
	p, ok := read("one hundred " + w + " two")
	return ok && !p.quantity.Range && p.quantity.Low.Equal(schema.NewDecimal(102, 0))
}

// alone reports whether no run goes on around quantity i, at a stretch of the
// text. Where the number stays as it is, what stands before it may be other
// quantities of the record, none of them open.
func (c *collector) alone(i int, at schema.Span, unit, stays bool) bool {
	outside, ok := c.loose(at, unit)
	if !ok || !stays {
		return ok && len(outside) == 0
	}
	for _, w := range outside {
		if !c.belongs(i, w) {
			return false
		}
	}
	return true
}

// belongs reports whether a word is in a quantity near i that is not open.
func (c *collector) belongs(i int, w schema.Span) bool {
	all := c.record.Quantities
	for k := max(0, i-mostAround); k < min(len(all), i+mostAround); k++ {
		if s := textSpan(c.t, all[k].Span); s.Start <= w.Start && w.End <= s.End && all[k].Status != schema.StatusOpen {
			return true
		}
	}
	return false
}
