package normalize

import (
	"slices"

	"saywatt/extract"
	"saywatt/schema"
)

// cuts is what answers say of how numbers side by side are cut: by mention, the
// answer in whose words it stands, counted from one; 0 in none. A person who
// decides on "27 86 volts" has seen one number there, one who decides on
// "86 volts" has seen two, and no other answer cuts them anew. nil where nothing
// was answered.
type cuts []int32

// cut is how two mentions side by side are read.
type cut uint8

const (
	cutFree     cut = iota // no answer says
	cutApart               // as two numbers
	cutTogether            // as one
)

// cutsOf lists the cuts that answers name. Where the words of two overlap, the
// last answer stands.
func cutsOf(d *extract.Document, answers []Answer) cuts {
	if len(answers) == 0 {
		return nil
	}
	type heard struct {
		at      schema.Span
		mention int
	}
	said := make([]heard, 0, len(d.Mentions))
	for i := range d.Mentions {
		m := &d.Mentions[i]
		at := schema.Span{Start: int(d.Tokens[m.First].Start), End: int(d.Tokens[m.Last-1].End)}
		if spans := d.Transcript.SourceSpans(at); len(spans) > 0 {
			said = append(said, heard{spans[0], i})
		}
	}
	slices.SortStableFunc(said, func(a, b heard) int { return a.at.Start - b.at.Start })
	c, many := make(cuts, len(d.Mentions)), int(loadBounds().inOne)
	for k := range answers {
		span := answers[k].Span
		from, _ := slices.BinarySearchFunc(said, span.Start, func(h heard, start int) int { return h.at.Start - start })
		to := from
		for to < len(said) && said[to].at.End <= span.End && to-from < many {
			to++
		}
		if to-from == many {
			continue
		}
		for _, h := range said[from:to] {
			c[h.mention] = int32(k) + 1
		}
	}
	return c
}

// between is how mentions i and j, side by side, are to be read.
func (c cuts) between(i, j int32) cut {
	switch {
	case c == nil || c[i] == 0 && c[j] == 0:
		return cutFree
	case c[i] == c[j]:
		return cutTogether
	}
	return cutApart
}
