package byear

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"saywatt/extract/name"
	"saywatt/internal/narration"
)

// The pauses that words are cut at.
const (
	pauseFull  = "."
	pauseShort = ","
)

func pause(word string) bool { return word == pauseFull || word == pauseShort }

// text appends the words of a text as they are said, with pauses between them.
func (m *manner) text(dst []string, text string) []string {
	s := speaker{manner: m, t: loadTables(), text: symbol(strings.ReplaceAll(text, "’", "'")), out: dst}
	for s.at < len(s.text) {
		s.next()
	}
	return s.out
}

// speaker goes through a text.
type speaker struct {
	*manner
	t     *wordTables
	text  string
	at    int
	out   []string
	money unitWords // of the number that follows
	after string    // the number that the last words say, "" where they say none
}

// next says what stands at the place.
func (s *speaker) next() {
	rest := s.text[s.at:]
	r, size := utf8.DecodeRuneInString(rest)
	sign := rest[:size]
	switch {
	case digit(rest[0]) || r == '.' && s.fraction():
		s.sayNumber()
	case s.after != "" && s.sayUnit():
	case s.after != "" && s.t.between[sign] != nil && s.numberBehind(size):
		s.say(s.t.between[sign], size)
	case s.t.before[sign] != nil && s.loose() && len(rest) > size && digit(rest[size]):
		s.say(s.t.before[sign], size)
	case unicode.IsLetter(r) || r == '\'' && s.letterBehind():
		s.sayWord()
	case s.t.money[sign].many != nil:
		s.money, s.at = s.t.money[sign], s.at+size
	case s.t.signs[sign] != nil:
		s.say(s.t.signs[sign], size)
	case r == '.' || r == '?' || r == '!':
		s.say([]string{pauseFull}, size)
	case r == ',':
		s.say([]string{pauseShort}, size)
	default: // white space, and what is not said
		s.at += size
	}
}

// say appends words that are no number, and goes on.
func (s *speaker) say(words []string, size int) {
	s.out = append(s.out, words...)
	s.after, s.at = "", s.at+size
}

// fraction reports whether the point at the place begins a number.
func (s *speaker) fraction() bool {
	return s.at+1 < len(s.text) && digit(s.text[s.at+1]) && s.loose()
}

// letterBehind reports whether a letter of a to z stands behind the place.
func (s *speaker) letterBehind() bool { return s.at+1 < len(s.text) && letterByte(s.text[s.at+1]) }

// loose reports whether white space or nothing stands before the place.
func (s *speaker) loose() bool {
	return s.at == 0 || strings.ContainsRune(" \n\t(", rune(s.text[s.at-1]))
}

// numberBehind reports whether a number stands behind what is so long, and blanks.
func (s *speaker) numberBehind(size int) bool {
	rest := strings.TrimLeft(s.text[s.at+size:], " ")
	return rest != "" && digit(rest[0])
}

func (s *speaker) sayNumber() {
	n := numberLen(s.text[s.at:])
	s.after = strings.ReplaceAll(s.text[s.at:s.at+n], ",", "")
	s.out = s.number(s.out, s.after)
	s.at += n
	if s.money.many != nil {
		s.out = append(s.out, s.money.of(s.after)...)
		s.money, s.after = unitWords{}, ""
	}
}

func (u unitWords) of(number string) []string {
	if number == "1" {
		return u.one
	}
	return u.many
}

// numberLen is how long the number is that a text begins with: digits, commas with
// three digits behind, and a point with digits behind.
func numberLen(text string) int {
	i := digits(text)
	for i+4 <= len(text) && text[i] == ',' && digits(text[i+1:]) == 3 {
		i += 4
	}
	if i+1 < len(text) && text[i] == '.' && digit(text[i+1]) {
		i += 1 + digits(text[i+1:])
	}
	return i
}

// digits is how many digits a text begins with.
func digits(text string) int {
	i := 0
	for i < len(text) && digit(text[i]) {
		i++
	}
	return i
}

// longestSymbol is how long the symbol of a unit is at the most, in bytes.
const longestSymbol = 24

// sayUnit says the symbol of a unit behind a number, the longest that stands
// there as a word of its own.
func (s *speaker) sayUnit() bool {
	rest := s.text[s.at:]
	long := strings.IndexFunc(rest, endsSymbol)
	if long < 0 {
		long = len(rest)
	}
	for end := min(long, longestSymbol); end > 0; {
		next, _ := utf8.DecodeRuneInString(rest[end:])
		u, ok := s.t.units[rest[:end]]
		if ok && u.many != nil && (end == len(rest) || !unicode.IsLetter(next) && !digit(rest[end])) {
			s.say(u.of(s.after), end)
			return true
		}
		_, size := utf8.DecodeLastRuneInString(rest[:end])
		end -= size
	}
	return false
}

// endsSymbol reports whether no symbol of a unit has the sign.
func endsSymbol(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune(",;:?!|-", r) }

// sayWord says the word at the place, with the apostrophes in it.
func (s *speaker) sayWord() {
	rest := s.text[s.at:]
	end := strings.IndexFunc(rest, func(r rune) bool { return !unicode.IsLetter(r) && r != '\'' })
	if end < 0 {
		end = len(rest)
	}
	if w := s.t.between[rest[:end]]; s.after != "" && w != nil && digits(rest[end:]) > 0 {
		s.say(w, end)
		return
	}
	s.after = ""
	s.at += end
	s.out = s.t.word(s.out, strings.Trim(rest[:end], "'"))
}

// mostSpelt is how many letters a row of capitals has at the most that is read
// letter by letter, where it is no common word; longer ones are where they have no
// vowel.
const mostSpelt = 4

// mostCommon is the size of the word list of words that capitals are read as.
const mostCommon = 10

// word appends a word as it is said.
func (t *wordTables) word(dst []string, w string) []string {
	w = t.spelling.Replace(w)
	lower := strings.ToLower(w)
	capital := w != lower && w == strings.ToUpper(w)
	common := name.Common(lower)
	switch {
	case t.words[lower] != nil:
		return append(dst, t.words[lower]...)
	case len(w) == 1:
		if n := len(dst); n > 0 && len(dst[n-1]) == 1 && !pause(dst[n-1]) { // it goes on with letters
			return t.letter(dst, lower)
		}
		return append(dst, lower)
	case capital && len(w) <= mostSpelt && (common == 0 || common > mostCommon), !vowel(lower):
		return t.letter(dst, lower)
	}
	if cut := camel(w); cut > 0 {
		return t.word(t.word(dst, w[:cut]), w[cut:])
	}
	if lower = strings.Map(english, lower); lower == "" {
		return dst
	}
	return append(dst, lower)
}

// letter appends the letters of a word, each as it is read.
func (t *wordTables) letter(dst []string, lower string) []string {
	for i := range len(lower) {
		c := lower[i : i+1]
		switch {
		case t.letters[c] != nil:
			dst = append(dst, t.letters[c]...)
		case c >= "a" && c <= "z":
			dst = append(dst, c)
		}
	}
	return dst
}

// english keeps what English words are written with.
func english(r rune) rune {
	if r >= 'a' && r <= 'z' || r == '\'' {
		return r
	}
	return -1
}

func vowel(lower string) bool { return strings.ContainsAny(lower, "aeiouy") }

// camel is where a capital stands behind a small letter, 0 nowhere.
func camel(w string) int {
	for i := 1; i < len(w); i++ {
		if w[i] >= 'A' && w[i] <= 'Z' && w[i-1] >= 'a' && w[i-1] <= 'z' {
			return i
		}
	}
	return 0
}

// leastSaid is how many letters a part of a part number has at least that is read
// as a word.
const leastSaid = 3

// partNumber appends a part number, a model or a package: capitals letter by
// letter, up to two digits as a number, more one by one or, where that can be, two
// by two.
func (m *manner) partNumber(dst []string, text string) []string {
	t := loadTables()
	for i := 0; i < len(text); {
		n := digits(text[i:])
		if n > 0 {
			dst = m.partDigits(dst, text[i:i+n])
			i += n
			continue
		}
		for i+n < len(text) && letterByte(text[i+n]) {
			n++
		}
		if w := text[i : i+n]; n > 0 {
			lower := strings.ToLower(w)
			if t.words[lower] != nil || n >= leastSaid && w != strings.ToUpper(w) && vowel(lower) {
				dst = t.word(dst, w)
			} else {
				dst = t.letter(dst, lower)
			}
		}
		i += max(n, 1)
	}
	return dst
}

func letterByte(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }

func (m *manner) partDigits(dst []string, text string) []string {
	switch {
	case len(text) <= 2:
		return m.whole(dst, text)
	case len(text)%2 == 0 && pairs(text) && m.chance(shareWay):
		for i := 0; i < len(text); i += 2 {
			dst = m.small(dst, text[i:i+2])
		}
		return dst
	}
	return m.each(dst, text)
}

// pairs reports whether no pair of digits begins with zero.
func pairs(text string) bool {
	for i := 0; i < len(text); i += 2 {
		if text[i] == '0' {
			return false
		}
	}
	return true
}

// port appends the name of a port, or of several joined by "+".
func (m *manner) port(dst []string, text string) []string {
	t := loadTables()
	for i, one := range strings.Split(text, "+") {
		if i > 0 {
			dst = append(dst, t.parts.and)
		}
		base := strings.TrimRight(one, "0123456789")
		number := one[len(base):]
		key := base
		if number != "" {
			key += "#"
		}
		if forms := t.ports[key]; forms != nil {
			dst = append(dst, m.form(forms)...)
			if number != "" {
				dst = m.number(dst, number)
			}
			continue
		}
		dst = m.text(dst, one)
	}
	return dst
}

// protocol appends the name of a protocol.
func (m *manner) protocol(dst []string, text string) []string {
	first, rest, _ := strings.Cut(text, " ")
	if forms := loadTables().protocols[first]; forms != nil {
		return m.text(append(dst, m.form(forms)...), rest)
	}
	return m.text(dst, text)
}

// mark returns the words of a mark, without pauses.
func (m *manner) mark(mark *narration.Mark, text string) []string {
	var out []string
	switch {
	case mark.Kind != narration.MarkName:
		out = m.text(nil, text)
	case mark.Slot == "partno" || mark.Slot == "model" || mark.Slot == "package":
		out = m.partNumber(nil, text)
	case mark.Slot == "port":
		out = m.port(nil, text)
	case mark.Slot == "protocol":
		out = m.protocol(nil, text)
	default:
		out = m.text(nil, text)
	}
	return slices.DeleteFunc(out, pause)
}
