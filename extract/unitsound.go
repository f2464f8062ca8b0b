package extract

import (
	"fmt"
	"math/bits"

	"saywatt/schema"
)

// unitSound is a unit by the sound of its spoken form.
type unitSound struct {
	unit   schema.Unit
	phones []byte
	mask   uint32 // its consonants by class, a bit each
}

// loadUnitSounds reads unitsounds.tsv.
func (x *Lexicon) loadUnitSounds() error {
	t, err := schema.ReadTable(tables, "tables/unitsounds.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		u := schema.Unit(r.Get("unit"))
		if _, ok := u.Info(); !ok {
			return fmt.Errorf("unitsounds.tsv:%d: unit %q", r.Line, u)
		}
		form := phones(nil, []byte(r.Get("form")))
		x.sounds = append(x.sounds, unitSound{u, form, consonants(form)})
	}
	return nil
}

// maxSound is how much of a unit's sound the words shown for it may miss, in
// phones per phone: a quarter, and less for one word, which is something of
// its own more often than three in a row are.
const (
	maxSound     = 0.26
	maxSoundWord = 0.22
)

// unitBySound reads one to four words behind a number that make no sense there
// as a unit shown by words of like sound. The nearest unit is taken, the longer
// of two that are as near.
func (p *parser) unitBySound(i int) (UnitWords, bool) {
	var room [48]byte
	sound := room[:0]
	best, found := float32(1), UnitWords{}
	for j, n := i, 0; n < 4 && j < len(p.tokens) && len(sound) < 32; n++ {
		t := p.tokens[j]
		if t.Kind != TokenWord || t.End-t.Start > 16 || n == 0 && !p.senseless(j) {
			break
		}
		if c, _ := p.at(j); n > 0 && (c == classDigitWord || c == classTeen || c == classTens) {
			break
		}
		sound = phones(sound, p.text[t.Start:t.End])
		limit := float32(maxSound)
		if n == 0 {
			limit = maxSoundWord
		}
		mask := consonants(sound)
		for k := range p.x.sounds {
			s := &p.x.sounds[k]
			if len(sound) < 5 || len(sound)*2 < len(s.phones) || len(s.phones)*2 < len(sound) || !near(sound[0], s.phones[0]) {
				continue
			}
			if bits.OnesCount32(s.mask&^mask) > 1 || bits.OnesCount32(mask&^s.mask) > 1 { // too far without counting
				continue
			}
			n := float32(len(s.phones))
			if d := soundDistance(sound, s.phones, min(limit, best)*n) / n; d <= limit && d < best {
				best, found = d, UnitWords{Unit: s.unit, End: int32(j + 1), Manner: MannerHeard, Count: 1}
			}
		}
		if j = p.skipBreak(j + 1); j < len(p.tokens) && p.tokens[j].Kind != TokenWord {
			break
		}
	}
	if found.Unit == "" {
		return found, false
	}
	return p.perUnit(found), true
}

// senseless reports whether the word at token i may begin a misheard unit: no
// table knows it but as a part of a unit.
func (p *parser) senseless(i int) bool {
	w := p.tokens[i].Word
	if w == 0 {
		return true
	}
	switch p.x.entries[w].class {
	case classNone, classScale, classPer:
		return w < p.x.talk
	}
	return false
}

// phones appends a rough transcription of an English word: one letter per
// sound, vowels told apart only by height, doubled and silent letters left
// out.
func phones(dst, word []byte) []byte {
	put := func(c byte) {
		if len(dst) == 0 || dst[len(dst)-1] != c {
			dst = append(dst, c)
		}
	}
	at := func(i int) byte {
		if i < 0 || i >= len(word) {
			return 0
		}
		return word[i] | 0x20
	}
	for i := 0; i < len(word); i++ {
		c, next := at(i), at(i+1)
		switch c {
		case 'a', 'o', 'u', 'e', 'i':
			if c == 'e' && i == len(word)-1 && i > 1 || i > 0 && isVowel(at(i-1)) {
				continue
			}
			put(c)
		case 'y':
			if i == 0 {
				put('j')
			} else if !isVowel(at(i - 1)) {
				put('i')
			}
		case 'c':
			switch {
			case next == 'h':
				put('s')
				i++
			case next == 'e' || next == 'i' || next == 'y':
				put('s')
			default:
				put('k')
			}
		case 'q':
			put('k')
		case 'x':
			put('k')
			put('s')
		case 'g':
			switch {
			case next == 'h':
				i++
			case next == 'e' || next == 'y':
				put('s')
			default:
				put('g')
			}
		case 'k', 'w':
			if c == 'k' && i == 0 && next == 'n' || c == 'w' && i == 0 && next == 'r' {
				continue
			}
			put(c)
		case 'p':
			if next == 'h' {
				put('f')
				i++
				continue
			}
			put('p')
		case 's', 'z', 'j':
			if next == 'h' {
				i++
			}
			put('s')
		case 't':
			if next == 'h' {
				i++
			}
			put('t')
		case 'h':
			if i == 0 || isVowel(at(i-1)) && isVowel(next) {
				put('h')
			}
		case '\'' | 0x20:
		default:
			if c >= 'a' && c <= 'z' {
				put(c)
			}
		}
	}
	return dst
}

func isVowel(c byte) bool {
	switch c {
	case 'a', 'e', 'i', 'o', 'u':
		return true
	}
	return false
}

// soundClass groups phones that are taken for one another: by place and
// manner of articulation (IPA chart, 2020; from memory).
func soundClass(c byte) byte { return soundClasses[c] }

func soundClassOf(c byte) byte {
	switch c {
	case 'a', 'e', 'i', 'o', 'u', 'j':
		return 'a'
	case 'b', 'p':
		return 'b'
	case 'v', 'f', 'w':
		return 'v'
	case 't', 'd':
		return 't'
	case 'k', 'g':
		return 'k'
	case 'm', 'n':
		return 'm'
	case 'l', 'r':
		return 'l'
	}
	return c
}

// consonants is the set of the classes of the consonants among phones, but
// for the weak ones.
func consonants(phones []byte) uint32 {
	mask := uint32(0)
	for _, c := range phones {
		if c = soundClass(c); c != 'a' && c != 'h' && c != 'l' && c != 's' {
			mask |= 1 << (c - 'a')
		}
	}
	return mask
}

func near(a, b byte) bool { return soundClass(a) == soundClass(b) }

// soundDistance is the least cost of turning one row of phones into the other;
// above the limit, which every way exceeds then, something above it.
func soundDistance(a, b []byte, limit float32) float32 {
	var rows [2][40]float32
	if len(a) >= 40 || len(b) >= 40 {
		return float32(max(len(a), len(b)))
	}
	last, row := &rows[0], &rows[1]
	for j := 1; j <= len(b); j++ {
		last[j] = last[j-1] + dropCost(b[j-1])
	}
	for i := 1; i <= len(a); i++ {
		drop := dropCost(a[i-1])
		row[0] = last[0] + drop
		least := row[0]
		for j := 1; j <= len(b); j++ {
			row[j] = min(last[j]+drop, row[j-1]+dropCost(b[j-1]), last[j-1]+swapCost(a[i-1], b[j-1]))
			least = min(least, row[j])
		}
		if least > limit {
			return least
		}
		last, row = row, last
	}
	return last[len(b)]
}

// dropCost is the cost of a phone that only one of the two has: weak ones
// come and go.
func dropCost(c byte) float32 { return dropCosts[c] }

var dropCosts, soundClasses = func() (drop [256]float32, class [256]byte) {
	for c := range drop {
		drop[c], class[c] = dropOf(byte(c)), soundClassOf(byte(c))
	}
	return drop, class
}()

func dropOf(c byte) float32 {
	switch c {
	case 'h', 'r':
		return 0.4
	case 'a', 'e', 'i', 'o', 'u', 'j', 'w':
		return 0.5
	case 's', 't', 'd': // at the end of words above all
		return 0.7
	}
	return 1
}

func swapCost(a, b byte) float32 {
	switch {
	case a == b:
		return 0
	case near(a, b):
		return 0.3
	}
	return 1
}
