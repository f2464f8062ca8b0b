package extract

import (
	"fmt"
	"slices"

	"saywatt/schema"
)

// guard is a set of small words that decide what a word near them is; the
// table guards.tsv says which.
type guard uint8

// The guards, in the order of guardNames.
const (
	guardPortPart guard = iota
	guardSeeing
	guardSeen
	guardPortVerb
	guardPortJoint
	guardPaying
	guardGoesOn
	guardNone
	guardTogether
	guardAgain
	guardPronoun
	guardCounts
	guardTotal
	guardExcept
	guardBeside
	guardDenied
	guardCodeDash
	guardCodeSlash
	guardOther
	guardCodeBefore
	guardPackageBy
	guardPortName
	guardPortNoun
	guardMarking
	guardModel
	guardDenial
	guardDenialOver
	guardDenialOr
	guardDenialBe
	guardDenialGone
	guardDenialThere
	guardDenialNoun
	guardTolerance
	guardDisc
	guardChipSize
	guardChipNoun
	guardSize
)

var guardNames = [...]string{"port_part", "seeing", "seen", "port_verb", "port_joint", "paying", "goes_on", "none",
	"together", "again", "pronoun", "counts", "total", "except", "beside", "denied", "code_dash", "code_slash", "other",
	"code_before", "package_by", "port_name", "port_noun", "marking", "model", "denial", "denial_over", "denial_or",
	"denial_be", "denial_gone", "denial_there", "denial_noun", "tolerance", "disc",
	"chip_size", "chip_noun", "size"}

var _ [64 - len(guardNames)]struct{} // a set of guards is 64 bits

// loadGuards reads guards.tsv: for every word the set of its guards.
func (x *Lexicon) loadGuards() error {
	t, err := schema.ReadTable(tables, "tables/guards.tsv")
	if err != nil {
		return err
	}
	type row struct {
		word int32
		bit  uint64
	}
	var rows []row
	for _, r := range t.Rows {
		g := slices.Index(guardNames[:], r.Get("guard"))
		if g < 0 {
			return fmt.Errorf("guards.tsv:%d: guard %q", r.Line, r.Get("guard"))
		}
		if word := r.Get("word"); g == int(guardTolerance) {
			x.tolerances += string(upper(word[0]))
		}
		rows = append(rows, row{x.id(r.Get("word")), 1 << g})
	}
	x.cue.guards = make([]uint64, len(x.entries))
	for _, r := range rows {
		x.cue.guards[r.word] |= r.bit
	}
	return nil
}

// guarded reports whether the word at token i is one of the guard's.
func (p *parser) guarded(i int, g guard) bool {
	if i < 0 || i >= len(p.tokens) || p.tokens[i].Kind != TokenWord {
		return false
	}
	w := int(p.tokens[i].Word)
	return w < len(p.x.cue.guards) && p.x.cue.guards[w]&(1<<g) != 0
}

// guarded reports whether the word at token i is one of the guard's.
func (s *placer) guarded(i int, g guard) bool {
	if i < 0 || i >= len(s.tokens) || s.tokens[i].Kind != TokenWord {
		return false
	}
	w := s.tokens[i].Word
	return int(w) < len(s.c.guards) && s.c.guards[w]&(1<<g) != 0
}
