package schema

import (
	"fmt"
	"strconv"
	"strings"
)

// Span is a half-open range [Start, End) of byte offsets. What it indexes is
// said where it is used: the source file in records and in everything that
// leaves the program, the joined text of a transcript inside extract.
type Span struct {
	Start, End int
}

// Len returns the number of bytes covered.
func (s Span) Len() int { return s.End - s.Start }

// Empty reports whether the span covers nothing.
func (s Span) Empty() bool { return s.End <= s.Start }

// Contains reports whether t lies inside s.
func (s Span) Contains(t Span) bool { return s.Start <= t.Start && t.End <= s.End }

// Overlaps reports whether the two spans share a byte.
func (s Span) Overlaps(t Span) bool { return s.Start < t.End && t.Start < s.End }

// Hull returns the smallest span that covers both.
func (s Span) Hull(t Span) Span { return Span{min(s.Start, t.Start), max(s.End, t.End)} }

// MarshalJSON writes the span as [start,end].
func (s Span) MarshalJSON() ([]byte, error) { return s.append(make([]byte, 0, 24)), nil }

// UnmarshalJSON reads [start,end]; it refuses a negative or reversed span.
func (s *Span) UnmarshalJSON(b []byte) error {
	inner, isArray := strings.CutPrefix(string(b), "[")
	first, second, isPair := strings.Cut(strings.TrimSuffix(inner, "]"), ",")
	start, err1 := strconv.Atoi(strings.TrimSpace(first))
	end, err2 := strconv.Atoi(strings.TrimSpace(second))
	if !isArray || !isPair || err1 != nil || err2 != nil {
		return fmt.Errorf("span %s: want [start,end]", b)
	}
	if start < 0 || end < start {
		return fmt.Errorf("span %s: end before start", b)
	}
	*s = Span{start, end}
	return nil
}
