package typed

import (
	"strconv"
	"strings"

	"saywatt/schema"
)

// Error says what of a typed quantity could not be read, and how to
// write it.
type Error struct {
	Text string // as typed
	Hint string
	Err  error // schema.ErrNotDecimal or schema.ErrUnknownUnit
}

func (e *Error) Error() string {
	return strconv.Quote(e.Text) + ": " + e.Err.Error() + ": " + e.Hint
}

func (e *Error) Unwrap() error { return e.Err }

// misspelled makes the error for a text whose number or unit was not read.
func misspelled(text, number, unit string, cause error) error {
	e := &Error{Text: text, Err: cause}
	head, rest, _ := strings.Cut(unit, " ")
	digits := strings.ContainsAny(number, "0123456789")
	switch {
	case strings.Contains(number, ","):
		e.Hint = "a comma stands between thousands only; write the decimal sign as a point"
	case !digits && unit != "":
		e.Hint, e.Err = "a value begins with a number in digits, such as 20V", schema.ErrNotDecimal
	case !digits:
		e.Hint = "a value is a number and a unit, such as 20V"
	case isExponent(unit):
		e.Hint, e.Err = "powers of ten are not read; write the number out or take a larger unit, such as kV",
			schema.ErrNotDecimal
	case unit != "" && unit[0] >= '0' && unit[0] <= '9':
		e.Hint, e.Err = "write the number without blanks, such as "+strings.TrimSpace(number)+head+rest,
			schema.ErrNotDecimal
	case unit != "" && cause == schema.ErrUnknownUnit:
		e.Hint = "no unit is written " + strconv.Quote(unit)
	default:
		e.Hint = "write it as 20, 3.25 or 3.3-21, then the unit"
	}
	return e
}

// isExponent reports whether what follows the digits of a number is an
// exponent: "e3V", "E-6 F".
func isExponent(s string) bool {
	if s == "" || s[0] != 'e' && s[0] != 'E' {
		return false
	}
	s = strings.TrimLeft(s[1:], "+-")
	return s != "" && s[0] >= '0' && s[0] <= '9'
}
