package edit

import (
	"strings"

	"saywatt/schema"
)

// A manner is how the captions of a file write numbers and units, judged from
// the quantities in them.
type manner struct {
	digits  bool // 3.25, not three point two five
	symbols bool // A, not amps
	and     bool // two hundred and thirty
	meter   bool // millimeters, not millimetres
	one     bool // the name of a unit is singular: the quantity describes a noun
}

func mannerOf(r *schema.Record) manner {
	digits, words, symbols, names, and, meter := 0, 0, 0, 0, 0, 0
	for i := range r.Quantities {
		s := &r.Quantities[i]
		if strings.ContainsAny(s.Heard, "0123456789") {
			digits++
		} else {
			words++
		}
		if strings.Contains(strings.ToLower(s.Heard), "hundred and ") {
			and++
		}
		if strings.Contains(s.Heard, "meter") {
			meter++
		} else if strings.Contains(s.Heard, "metre") {
			meter--
		}
		u, ok := s.Quantity.Unit.Info()
		switch {
		case !ok:
		case strings.HasSuffix(s.Heard, u.Many), strings.HasSuffix(s.Heard, u.One):
			names++
		case strings.HasSuffix(s.Heard, u.Symbol) && u.Symbol != "%":
			symbols++
		}
	}
	return manner{digits: digits >= words, symbols: symbols > names, and: and > 0, meter: meter > 0}
}

// A cut says which of the words of a quantity are its number and which its
// unit, and what of them is wrong. Words past unit are none.
type cut struct {
	number      int // words [0,number)
	wrongNumber bool
	wrongUnit   bool
}

// cutWords finds the number and the unit in the words heard for q; see the
// package comment for the order.
func cutWords(heard []word, q *schema.Quantity) cut {
	n := len(heard)
	whole := join(heard)
	if says(whole, q) || saysNumber(whole, q) {
		return cut{number: n}
	}
	for k := n - 1; k > 0; k-- {
		if saysNumber(join(heard[:k]), q) {
			_, plain := unitSaid(join(heard[k:]), q.Unit)
			is, _ := unitSaid(join(heard[k:]), q.Unit)
			return cut{number: k, wrongUnit: !(is && plain)}
		}
	}
	garbled := 0
	for k := 1; k < n; k++ {
		is, plain := unitSaid(join(heard[k:]), q.Unit)
		if is && plain {
			return cut{number: k, wrongNumber: true}
		}
		if is && garbled == 0 {
			garbled = k
		}
	}
	switch {
	case n == 1 || numberWord(heard[n-1].text):
		return cut{number: n, wrongNumber: true}
	case garbled > 0:
		return cut{number: garbled, wrongNumber: true, wrongUnit: true}
	}
	// The number goes as far as its last word that is one.
	k := n - 1
	for k > 1 && !numberWord(heard[k-1].text) {
		k--
	}
	return cut{number: k, wrongNumber: true, wrongUnit: true}
}

// numberWord reports whether a word alone is a number.
func numberWord(w string) bool {
	p, ok := read(w)
	return ok && p.quantity.Unit == "" && p.clean(w)
}

// corrected returns the words for q in place of those heard; ok is false
// where these spell it already.
func corrected(heard []word, q *schema.Quantity, s Style, m manner) (after []word, ok bool) {
	c := cutWords(heard, q)
	if !c.wrongNumber && !c.wrongUnit {
		return heard, false
	}
	if s.Units != UnitsOwn {
		return house(heard, c, q, s, m.one), true
	}
	number, unit := heard[:c.number], heard[c.number:]
	if c.wrongNumber {
		number = parse(ownNumber(number, q, s, m))
	}
	if c.wrongUnit {
		unit = parse(m.unit(q))
	}
	after = append(append([]word{}, number...), unit...)
	return after, join(after) != join(heard)
}

// unit writes the unit of q.
func (m manner) unit(q *schema.Quantity) string {
	if m.symbols {
		return symbol(q.Unit)
	}
	name := spoken(q.Unit, q, m.one)
	if m.meter {
		name = strings.ReplaceAll(name, "metre", "meter")
	}
	return name
}

// apart writes quantities that captions ran into the same words. Each gets its
// unit, said or not: nothing else would keep them apart.
func apart(heard []word, shared []schema.Said, s Style, m manner) []word {
	var after []word
	for i := range shared {
		q := &shared[i].Quantity
		if s.Units != UnitsOwn {
			after = append(after, house(heard, cut{}, q, s, false)...)
			continue
		}
		after = append(append(after, parse(ownNumber(heard, q, s, m))...), parse(m.unit(q))...)
	}
	return after
}

// house writes the whole in the style of the house. A unit that was not said
// is not written; one before a noun is singular.
func house(heard []word, c cut, q *schema.Quantity, s Style, one bool) []word {
	if s.Thousands == ThousandsOwn {
		s.Thousands = ThousandsNone
	}
	text := s.digits(q.Low)
	if q.Range {
		text += joint(heard[:c.number], q) + s.digits(q.High)
	}
	if c.number == len(heard) {
		return parse(text)
	}
	unit := symbol(q.Unit)
	if s.Units == UnitsWords {
		unit = spoken(q.Unit, q, one)
	}
	if t := q.Tolerance; t != nil {
		by, name := " ± ", symbol(t.Unit)
		if s.Units == UnitsWords {
			by, name = " plus or minus ", spoken(t.Unit, &schema.Quantity{Low: t.Value, High: t.Value}, false)
		}
		return parse(text + " " + unit + by + s.digits(t.Value) + " " + name)
	}
	return parse(text + " " + unit)
}

// ownNumber writes a number in the manner of the words heard.
func ownNumber(heard []word, q *schema.Quantity, s Style, m manner) string {
	inDigits := m.digits
	for _, w := range heard {
		if strings.ContainsAny(w.text, "0123456789") {
			inDigits = true
			break
		}
		if numberWord(w.text) {
			inDigits = false
		}
	}
	if !inDigits {
		text := spell(q.Low, m.and)
		if q.Range {
			text += " to " + spell(q.High, m.and)
		}
		return text
	}
	if s.Thousands == ThousandsOwn {
		for _, w := range heard {
			if len(w.text) > 3 && strings.Contains(w.text, ",") {
				s.Thousands = ThousandsComma
			}
		}
	}
	text := s.digits(q.Low)
	if q.Range {
		text += joint(heard, q) + s.digits(q.High)
	}
	return text
}

// joint stands between the ends of a range. Two numbers run together ("5060"
// for 50/60) were said without a word between them.
func joint(heard []word, q *schema.Quantity) string {
	if len(heard) == 1 && heard[0].text == q.Low.String()+q.High.String() {
		return "/"
	}
	return " to "
}

// parse cuts words of our own making at their blanks; a no-break space stays
// inside its number.
func parse(text string) []word {
	var all []word
	for _, w := range strings.Split(text, " ") {
		if w != "" {
			all = append(all, word{text: w})
		}
	}
	return all
}
