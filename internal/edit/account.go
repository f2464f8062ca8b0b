package edit

import (
	"slices"
	"strings"

	"saywatt/extract"
	"saywatt/extract/sound"
	"saywatt/schema"
)

// A kind is what a correction does to the words of a quantity. Every number
// word heard goes into what is written: a reading that leaves one out, or has
// a digit that was not heard, is of no kind and is not written.
type kind uint8

// The kinds, with the rows of tables/evidence.tsv.
const (
	kindNone       kind = iota
	kindUnit            // the number stays as spoken, words often shown for the unit are put right
	kindUnitSound       // the same, where the words only sound like the unit
	kindUnitSwap        // the same, where another unit was shown clearly: 132 volts → 132 W
	kindUnitPrefix      // the same, where a prefix was shown and nothing behind it: 150 million
	kindPoint           // a point comes into a number shown in three digits or more: 325 → 3.25
	kindPointShort      // the same in two digits: 25 → 2.5
	kindPointZero       // the same where the number begins or ends in a zero: 05 → 0.5, 1200 → 120.0
	kindBare            // a number without a unit is changed: 1194 → 11.94
	kindWords           // a point comes into a number shown in words: thirty three → three point three
	kindTeen            // -teen and -ty were confused: sixteen → sixty
	kindApart           // two quantities were run together: 25 amps → 20 volts 5 amps
	kindHeard           // the word point was shown as another: 26 floyd 5 → 26.5
	kindSplit           // the pieces of a number are put together: 27 6 → 27.6
	kindTo              // the word to of a range was lost or shown as 2: 3.3 221 → 3.3 to 21
	kindSound           // a word of like sound stands for a number: to amps → 2 amps
	kindDecided         // a person settled the value; one number takes the place of one
	kinds
)

var kindNames = [kinds]string{"", "unit", "unit_sound", "unit_swap", "unit_prefix", "point", "point_short",
	"point_zero", "bare", "words", "teen", "apart", "heard", "split", "to", "sound", "decided"}

func (k kind) String() string { return kindNames[k] }

// An atom is a number that words spell, or what stands between such.
type atom struct {
	kind  atomKind
	words int // how many
	value schema.Decimal
	dig   string // its digits, the point left out, zeros at the head kept
	whole int    // how many of them stand before the point; all without one
	point bool   // it has a point
	shown bool   // in digits
	pair  bool   // read in pairs, "six twenty five": it may be two numbers
	to    bool   // the word joins the ends of a range too
}

type atomKind uint8

const (
	atomNumber atomKind = iota
	atomPoint           // a point, as a word or a sign
	atomSound           // a word that sounds like a number
	atomOther           // any other word
)

// atomsOf cuts the words of a number into its pieces, the longest first.
func atomsOf(heard []word) []atom {
	var all []atom
	for i := 0; i < len(heard); {
		a := atom{kind: atomPoint, words: 1}
		if i == 0 || !isPoint(heard[i]) { // "point four" is 0.4, behind a number its decimals
			a = atomAt(heard[i:])
		}
		all = append(all, a)
		i += a.words
	}
	return all
}

func atomAt(heard []word) atom {
	for n := len(heard); n > 0; n-- {
		if !counts(heard[n-1]) && n > 1 {
			continue
		}
		text := join(heard[:n])
		p, ok := read(text)
		if !ok || p.quantity.Range || p.manner != extract.MannerNone || !p.clean(text) {
			continue
		}
		a := numberAtom(heard[:n], p.quantity.Low)
		a.pair = p.style == extract.StylePair
		return a
	}
	w := heard[0]
	x := extract.Words()
	tokens := x.Scan(nil, []byte(w.text))
	if len(tokens) != 1 {
		return atom{kind: atomOther, words: 1}
	}
	s := x.NumberBySound([]byte(w.text), tokens[0], sound.Anywhere)
	switch {
	case isPoint(w):
		return atom{kind: atomPoint, words: 1}
	case s.OK:
		a := numberAtom(nil, schema.NewDecimal(int64(s.Value), 0))
		a.kind, a.words, a.to = atomSound, 1, joins(w.text)
		return a
	}
	return atom{kind: atomOther, words: 1, to: joins(w.text)}
}

// isPoint reports whether a word is a decimal point.
func isPoint(w word) bool {
	x := extract.Words()
	t := x.Scan(nil, []byte(w.text))
	return w.text == "." || len(t) == 1 && x.IsPoint(t[0])
}

// numberAtom is the atom of a number; the digits are those of the words where
// they are shown.
func numberAtom(heard []word, v schema.Decimal) atom {
	a := atom{kind: atomNumber, words: len(heard), value: v}
	text := v.String()
	if len(heard) == 1 && heard[0].text[0] <= '9' {
		text, a.shown = strings.ReplaceAll(heard[0].text, ",", ""), true
	}
	for _, w := range heard {
		a.shown = a.shown || strings.ContainsAny(w.text, "0123456789")
	}
	whole, part, point := strings.Cut(text, ".")
	a.dig, a.whole, a.point = whole+part, len(whole), point
	return a
}

// counts reports whether a word is a number, or the end of one.
func counts(w word) bool {
	x := extract.Words()
	t := x.Scan(nil, []byte(w.text))
	return len(t) == 1 && (x.Counts(t[0]) || numberWord(w.text))
}

// joins reports whether a word joins the ends of a range.
func joins(w string) bool {
	p, ok := read("1 " + w + " 2")
	return ok && p.quantity.Range
}

// mostWords is the longest number that is looked into; nobody says a longer one.
const mostWords = 16

// account says what writing q for the words of a number does to them;
// kindNone where it does not account for all of them.
func account(number []word, q *schema.Quantity) kind {
	if len(number) > mostWords {
		return kindNone
	}
	all := atomsOf(number)
	if !q.Range {
		return accountOne(all, q.Low)
	}
	for i, a := range all { // the ends one by one, where the words keep them apart
		if a.to && i > 0 && i < len(all)-1 {
			low, high := accountEnd(all[:i], q.Low), accountEnd(all[i+1:], q.High)
			if low != kindNone && high != kindNone {
				return max(low, high)
			}
		}
	}
	heard := ""
	for _, a := range all {
		if a.kind != atomNumber {
			return kindNone
		}
		heard += a.dig
	}
	low, high := digitsOf(q.Low), digitsOf(q.High)
	if same := low + high; len(all) <= 2 && (heard == same || heard == low+"2"+high) && pointsKept(all, q) {
		return kindTo
	}
	return kindNone
}

// accountEnd is accountOne for an end of a range, which may be right already.
func accountEnd(all []atom, v schema.Decimal) kind {
	if len(all) == 1 && all[0].kind == atomNumber && all[0].value.Equal(v) {
		return kindUnit
	}
	return accountOne(all, v)
}

// pointsKept reports whether a number with a point stands as it was heard at
// one of the ends.
func pointsKept(all []atom, q *schema.Quantity) bool {
	for _, a := range all {
		if a.point && !a.value.Equal(q.Low) && !a.value.Equal(q.High) {
			return false
		}
	}
	return true
}

// accountOne does it for a single number.
func accountOne(all []atom, v schema.Decimal) kind {
	s, ok := sumOf(all)
	if !ok {
		return kindNone
	}
	if len(all) == 1 && s.numbers == 1 && swapped(all[0], v) {
		return kindTeen
	}
	if strings.TrimLeft(s.heard, "0") != strings.TrimLeft(digitsOf(v), "0") || v.Sign() < 0 {
		return kindNone
	}
	if s.whole >= 0 && len(s.heard)-s.whole != decimals(v) {
		return kindNone // the point moved
	}
	switch {
	case s.others > 0:
		if s.others > 1 || s.numbers+s.sounds != 2 {
			return kindNone
		}
		return kindHeard
	case s.sounds > 0:
		return kindSound
	case s.numbers > 1 || s.points > 0:
		return kindSplit
	case !s.shown:
		return kindWords
	case strings.HasPrefix(s.heard, "0") || strings.HasSuffix(s.heard, "0"):
		return kindPointZero
	case len(s.heard) < 3:
		return kindPointShort
	}
	return kindPoint
}

// atomSum is what the atoms of a number come to.
type atomSum struct {
	heard                           string // digits
	whole                           int    // how many of them stand before the point that was heard, -1 without one
	numbers, points, sounds, others int
	shown                           bool
}

// sumOf sums up the atoms of a number; false where they cannot be one.
func sumOf(all []atom) (atomSum, bool) {
	s := atomSum{whole: -1}
	for i, a := range all {
		last := i == len(all)-1
		switch a.kind {
		case atomNumber, atomSound:
			if a.point {
				if s.whole >= 0 {
					return s, false
				}
				s.whole = len(s.heard) + a.whole
			}
			s.heard = follow(s.heard, all, i)
			s.shown = s.shown || a.shown
			if a.kind == atomSound {
				s.sounds++
			} else {
				s.numbers++
			}
		case atomPoint:
			if s.points++; s.whole >= 0 || last {
				return s, false
			}
			s.whole = len(s.heard)
		default: // stands for the word point, or is left out
			if s.others++; s.whole >= 0 || i == 0 || last {
				return s, false
			}
			s.whole = len(s.heard)
		}
	}
	return s, true
}

// follow puts the digits of the atom at i behind those heard before: 27 and 6
// are 276, twenty and a word that sounds like four are 24.
func follow(heard string, all []atom, i int) string {
	a := &all[i]
	if i > 0 && a.kind == atomSound && len(a.dig) == 1 {
		b := &all[i-1]
		if b.kind == atomNumber && !b.shown && !b.point && len(b.dig) > 1 && strings.HasSuffix(b.dig, "0") {
			return strings.TrimSuffix(heard, "0") + a.dig
		}
	}
	return heard + a.dig
}

// digitsOf are the digits of a number, the point left out.
func digitsOf(v schema.Decimal) string { return strings.Replace(v.String(), ".", "", 1) }

// decimals counts the digits behind the point.
func decimals(v schema.Decimal) int {
	_, part, _ := strings.Cut(v.String(), ".")
	return len(part)
}

// swapped reports whether two numbers differ in -teen and -ty only: 16 and 60.
func swapped(a atom, v schema.Decimal) bool {
	got := digitsOf(v)
	if a.point || decimals(v) > 0 || len(got) != 2 || len(a.dig) != 2 {
		return false
	}
	teen, ty := a.dig, got
	if teen[0] != '1' || ty[1] != '0' {
		teen, ty = got, a.dig
	}
	return teen[0] == '1' && ty[1] == '0' && teen[1] == ty[0] && teen[1] != '0'
}

// accountApart does it for two quantities in the words of one number: 153 is
// 15 and 3, 25 is 20 and 5.
func accountApart(number []word, shared []schema.Said) kind {
	if len(number) > mostWords {
		return kindNone
	}
	all := atomsOf(number)
	if len(all) != 1 || all[0].kind != atomNumber || len(shared) != 2 {
		return kindNone
	}
	first, second := &shared[0].Quantity, &shared[1].Quantity
	if first.Range || second.Range {
		return kindNone
	}
	low, high := first.Low, second.Low
	tens := digitsOf(low)
	zeros := len(tens) - len(strings.TrimRight(tens, "0"))
	switch {
	case all[0].point || !low.IsWhole() || !high.IsWhole():
		return kindNone
	case all[0].dig == tens+digitsOf(high), zeros >= len(digitsOf(high)) && all[0].value.Equal(low.Add(high)):
		return kindApart
	}
	return kindNone
}

// numberKinds are those that are kindBare without a unit.
var numberKinds = []kind{kindPoint, kindPointShort, kindPointZero, kindWords, kindTeen, kindApart, kindTo}

// kindsOf says what writing the quantities for their words does: to the number,
// to the unit, or both; nil where a number among the words has no part in it.
func kindsOf(before []word, shared []schema.Said) []kind {
	s := &shared[0]
	c := cutWords(before, &s.Quantity)
	number, unit := before[:c.number], before[c.number:]
	k := kindNone
	switch {
	case len(shared) > 1:
		for len(number) > 1 && !counts(number[len(number)-1]) {
			number = number[:len(number)-1]
		}
		k = accountApart(number, shared)
	case numbersIn(unit) || c.wrongUnit && ofSentence(unit):
	case !c.wrongNumber:
		return []kind{unitKind(unit)}
	default:
		k = account(number, &s.Quantity)
		if k == kindNone && s.Status == schema.StatusSettled && oneNumber(number) && !s.Quantity.Range {
			k = kindDecided
		}
	}
	switch {
	case k == kindNone:
		return nil
	case len(unit) == 0 && slices.Contains(numberKinds, k):
		return []kind{kindBare}
	case c.wrongUnit && len(shared) == 1:
		return []kind{k, unitKind(unit)}
	}
	return []kind{k}
}

// unitKind says how far the words heard for a unit are known for it.
func unitKind(unit []word) kind {
	words := join(unit)
	if _, ok := read("1 " + words + " volts"); ok {
		return kindUnitPrefix
	}
	switch p, ok := read("1 " + words); {
	case ok && p.manner == extract.MannerSaid:
		return kindUnitSwap
	case !ok || p.count < 2:
		return kindUnitSound
	}
	return kindUnit
}

// oneNumber reports whether words are a single number and nothing else.
func oneNumber(words []word) bool {
	if len(words) > mostWords {
		return false
	}
	all := atomsOf(words)
	return len(all) == 1 && !all[0].pair && (all[0].kind == atomNumber || all[0].kind == atomSound)
}

// numbersIn reports whether any of the words is a number.
func numbersIn(words []word) bool {
	x := extract.Words()
	for _, w := range words {
		for _, t := range x.Scan(nil, []byte(w.text)) {
			if x.Counts(t) {
				return true
			}
		}
	}
	return false
}

// ofSentence reports whether words taken for a unit end in a word of grammar,
// which belongs to the sentence and would be lost: "100 nano each and".
func ofSentence(unit []word) bool {
	x := extract.Words()
	if len(unit) < 2 {
		return false
	}
	t := x.Scan(nil, []byte(unit[len(unit)-1].text))
	return len(t) == 1 && t[0].Kind == extract.TokenWord && x.Known(t[0])
}

// bareRun reports whether words are numbers side by side without a point among
// them: 19 87. Without a unit, what they are is anybody's guess.
func bareRun(words []word) bool {
	if len(words) > mostWords {
		return true
	}
	numbers := 0
	for _, a := range atomsOf(words) {
		if a.kind != atomNumber && a.kind != atomSound || a.point {
			return false
		}
		numbers++
	}
	return numbers > 1
}
