package edit

import (
	"fmt"
	"strings"

	"saywatt/internal/alike"
	"saywatt/schema"
)

// Style says how corrected quantities are written. The zero value keeps the
// speaker's manner: the unit he said, digits or number words as the captions
// have them.
type Style struct {
	Units     Units     // how units are written
	Decimal   Decimal   // decimal sign
	Thousands Thousands // groups of three digits
}

// Units is how units are written.
type Units uint8

// The ways to write units.
const (
	UnitsOwn     Units = iota // as the speaker's captions have them
	UnitsSymbols              // 3.25 A: a space before the symbol, also before % and °C (SI Brochure 9, 5.4.3)
	UnitsWords                // 3.25 amps
)

// Decimal is the decimal sign (SI Brochure 9, 5.4.4: a point or a comma).
type Decimal uint8

// The decimal signs.
const (
	DecimalPoint Decimal = iota
	DecimalComma
)

// Thousands is how the digits of large numbers are grouped.
type Thousands uint8

// The groupings.
const (
	ThousandsOwn   Thousands = iota // commas where the words heard had them
	ThousandsNone                   // 20000
	ThousandsSpace                  // 20 000, with a no-break space from five digits on (SI Brochure 9, 5.4.4)
	ThousandsComma                  // 20,000
)

// The names of the choices, in the order of the constants.
var (
	unitsNames     = []string{"own", "symbols", "words"}
	decimalNames   = []string{"point", "comma"}
	thousandsNames = []string{"own", "none", "space", "comma"}
)

// UnmarshalText reads own, symbols or words.
func (u *Units) UnmarshalText(b []byte) error { return choose(u, "style", unitsNames, string(b)) }

// UnmarshalText reads point or comma.
func (d *Decimal) UnmarshalText(b []byte) error {
	return choose(d, "decimal sign", decimalNames, string(b))
}

// UnmarshalText reads own, none, space or comma.
func (t *Thousands) UnmarshalText(b []byte) error {
	return choose(t, "grouping", thousandsNames, string(b))
}

func choose[E ~uint8](e *E, what string, names []string, name string) error {
	for i, n := range names {
		if n == name {
			*e = E(i)
			return nil
		}
	}
	return fmt.Errorf("%s %q is not known%s; there are %s", what, name, alike.Meant(name, names),
		strings.Join(names, ", "))
}

// A styleError is a style that contradicts itself.
type styleError struct{ Reason string }

func (e *styleError) Error() string { return e.Reason }

// Check refuses a comma that would be both decimal sign and grouping.
func (s Style) Check() error {
	if s.Decimal == DecimalComma && s.Thousands == ThousandsComma {
		return &styleError{"a comma cannot be both the decimal sign and the grouping of thousands"}
	}
	return nil
}

// nbsp keeps the groups of a number on one line.
const nbsp = "\u00a0"

// digits writes a number in digits.
func (s Style) digits(d schema.Decimal) string {
	whole, rest, point := strings.Cut(d.String(), ".")
	sign := whole[:len(whole)-len(strings.TrimPrefix(whole, "-"))]
	whole = group(whole[len(sign):], s.Thousands)
	if !point {
		return sign + whole
	}
	if s.Decimal == DecimalComma {
		return sign + whole + "," + rest
	}
	return sign + whole + "." + rest
}

// group puts the sign of grouping between the digits of a whole number.
func group(digits string, t Thousands) string {
	sep, least := "", 5
	switch t {
	case ThousandsSpace:
		sep = nbsp
	case ThousandsComma:
		sep, least = ",", 4
	}
	if sep == "" || len(digits) < least {
		return digits
	}
	var b strings.Builder
	for i, c := range digits {
		if i > 0 && (len(digits)-i)%3 == 0 {
			b.WriteString(sep)
		}
		b.WriteRune(c)
	}
	return b.String()
}

// symbol writes a unit as printed.
func symbol(u schema.Unit) string { return u.Symbol() }

// spoken writes a unit in words, singular for a value of exactly one, and where one
// is asked for: before a noun.
func spoken(u schema.Unit, q *schema.Quantity, one bool) string {
	i, ok := u.Info()
	if !ok || i.Many == "" {
		return u.Symbol()
	}
	if one || !q.Range && q.Low.Equal(schema.NewDecimal(1, 0)) {
		return i.One
	}
	return i.Many
}
