package extract

import (
	"slices"

	"saywatt/schema"
)

// Term is a name said: a port, protocol, kind of part, part number, package,
// maker or feature, over tokens [First, Last).
type Term struct {
	Kind        schema.TermKind
	Meant       string // in its standard spelling
	Ground      TermGround
	Subject     int32    // part it is said of, -1 none
	First, Last int32    // tokens
	Others      []string // what else it may be, best first

	Read    string // of one that a person put right: what it was read as
	guessed bool   // a part number with digits read through words that sound like them
}

// TermGround is why a term is read as it is.
type TermGround uint8

// The grounds. From GroundLetterWords on they are doubts; those of Check stand
// before them.
const (
	GroundSaid         TermGround = iota // its spelling, or an ordinary spoken form
	GroundMisheard                       // a form that captions are known to show for it
	GroundSameSound                      // another place of the narration has the name, and it sounds the same
	GroundGlossary                       // the user's glossary has the name
	GroundSettled                        // a person said it
	GroundSeveralWords                   // a maker in several words, and nowhere in one
	GroundCommonWord                     // a maker that is an English word, written small
	GroundLetterWords                    // a part number whose letters were read through words
	GroundNearGlossary                   // the glossary has names near it, none of them sure
	GroundOtherMaker                     // the glossary knows the part of another maker
	groundEnd
)

// groundNames are the names of the grounds, as in normalize's terms.tsv.
var groundNames = [groundEnd]string{"said", "misheard", "same_sound", "glossary", "settled", "several_words",
	"common_word", "letter_words", "near_glossary", "other_maker"}

func (g TermGround) String() string { return groundNames[g] }

// Doubt reports whether a person must decide.
func (g TermGround) Doubt() bool { return g >= GroundLetterWords }

// Check reports whether the name stands as heard and somebody should look how it
// is written: captions show unknown names so.
func (g TermGround) Check() bool { return g == GroundSeveralWords || g == GroundCommonWord }

// groundOf is the ground of a form of a table.
func groundOf(m Manner) TermGround {
	if m == MannerHeard {
		return GroundMisheard
	}
	return GroundSaid
}

// said notes a term over tokens [first, last).
func (s *placer) said(kind schema.TermKind, first, last int, meant string, g TermGround) {
	if n := len(s.d.Terms); n > 0 && s.d.Terms[n-1].First == int32(first) && s.d.Terms[n-1].Kind == kind {
		s.d.Terms = s.d.Terms[:n-1] // read again, closer
	}
	s.d.Terms = append(s.d.Terms, Term{Kind: kind, Meant: meant, Ground: g, Subject: -1, First: int32(first),
		Last: int32(last)})
}

// settleTerms puts the terms in the order said and doubts the part numbers
// that settleCodes did. Of two terms of one kind on the same words the longer
// one stays.
func (s *placer) settleTerms() {
	slices.SortStableFunc(s.d.Terms, func(a, b Term) int {
		if a.First != b.First {
			return int(a.First - b.First)
		}
		return int(b.Last - a.Last)
	})
	out := s.d.Terms[:0]
	for _, t := range s.d.Terms {
		if t.Kind == schema.TermComponent && t.Subject >= 0 && s.d.Subjects[t.Subject].First == t.First {
			t.Meant = s.d.Subjects[t.Subject].Kind // which the words around may have made closer
		}
		if n := len(out); n > 0 && out[n-1].Kind == t.Kind && out[n-1].Last > t.First {
			continue
		}
		out = append(out, t)
	}
	s.d.Terms = out
}

// SamePlain reports whether two names are the same in letters and digits, case
// and what stands between left out.
func SamePlain(a, b string) bool {
	i, j := 0, 0
	for {
		i, j = nextPlain(a, i), nextPlain(b, j)
		if i == len(a) || j == len(b) {
			return i == len(a) && j == len(b)
		}
		if lower(a[i]) != lower(b[j]) {
			return false
		}
		i, j = i+1, j+1
	}
}

func nextPlain(s string, i int) int {
	for i < len(s) {
		if c := lower(s[i]); c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c >= 0x80 {
			break
		}
		i++
	}
	return i
}

func lower(c byte) byte {
	if c >= 'A' && c <= 'Z' {
		return c | 0x20
	}
	return c
}
