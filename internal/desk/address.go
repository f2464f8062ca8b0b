package desk

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"saywatt/schema"
)

// Quantities are addressed by the place of their words in the captions, which
// reading anew does not move as it moves numbers: 715-723, and 715-723-current
// where two quantities share the place.

// addressOf is the address of a quantity within the pages of its review.
func addressOf(r *schema.Record, s *schema.Said) string {
	a := fmt.Sprintf("%d-%d", s.Span.Start, s.Span.End)
	if shared(r, s) {
		a += "-" + s.Kind.String()
	}
	return a
}

// shared reports whether another quantity has the same place.
func shared(r *schema.Record, s *schema.Said) bool {
	for _, n := range []int{s.Number - 1, s.Number + 1} {
		if o := r.Quantity(n); o != nil && o.Span == s.Span {
			return true
		}
	}
	return false
}

// quantityAt finds a quantity by its address, nil where there is none.
func quantityAt(r *schema.Record, address string) *schema.Said {
	span, kind, ok := parseAddress(address)
	if !ok {
		return nil
	}
	for i := range r.Quantities {
		s := &r.Quantities[i]
		if s.Span == span && (kind == schema.KindUnknown || s.Kind == kind) {
			return s
		}
	}
	return nil
}

func parseAddress(address string) (span schema.Span, kind schema.Kind, ok bool) {
	from, rest, ok := strings.Cut(address, "-")
	if !ok {
		return span, kind, false
	}
	to, name, named := strings.Cut(rest, "-")
	a, err1 := strconv.Atoi(from)
	b, err2 := strconv.Atoi(to)
	if err1 != nil || err2 != nil || a < 0 || b < a {
		return span, kind, false
	}
	if named {
		k, err := schema.ParseKind(name)
		if err != nil {
			return span, kind, false
		}
		kind = k
	}
	return schema.Span{Start: a, End: b}, kind, true
}

// spotOf is what an entry on a quantity is about.
func spotOf(r *schema.Record, s *schema.Said) spot {
	p := spot{span: s.Span}
	if shared(r, s) {
		p.kind = s.Kind
	}
	return p
}

// entryOn starts an entry on a quantity.
func entryOn(file string, r *schema.Record, s *schema.Said) entry {
	e := entry{File: file, Span: s.Span, Heard: strings.Join(strings.Fields(s.Heard), " ")}
	if shared(r, s) {
		kind := s.Kind
		e.Kind = &kind
	}
	return e
}

// moment is when a quantity was said: the seconds from which and to which to
// hear it, "" where that is not known.
func moment(s *schema.Said) (from, to string) {
	if s.At == nil {
		return "", ""
	}
	from = s.At.String()
	if times, ok := strings.CutPrefix(s.Media, "#t="); ok {
		if a, b, ok := strings.Cut(times, ","); ok {
			from, to = a, b
		}
	}
	return from, to
}

func clockOf(at *schema.Seconds) string {
	if at == nil {
		return ""
	}
	return at.Clock()
}

// unescapeCookie reads the value of a cookie that pages wrote.
func unescapeCookie(s string) string {
	v, err := url.QueryUnescape(s)
	if err != nil {
		return ""
	}
	return clip(strings.TrimSpace(v), maxWho)
}

// maxWho bounds the name of a person, in characters.
const maxWho = 60
