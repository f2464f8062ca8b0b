package word

import (
	"fmt"
	"strings"

	"saywatt/schema"
)

// Quantity writes a quantity for people: "3.25 A", "100–240 V", "10 kΩ ± 1 %",
// "20 000 mAh" (SI Brochure 9, 5.4.3 and 5.4.4: a space before the unit,
// groups of three in numbers of more than four digits). Its blanks are
// no-break spaces.
func Quantity(q *schema.Quantity) string {
	var b strings.Builder
	b.WriteString(grouped(q.Low))
	if q.Range {
		if q.Typical != nil {
			b.WriteString("–" + grouped(*q.Typical))
		}
		if q.High.Sign() < 0 {
			b.WriteString(" to ") // a dash before a minus sign cannot be read
		} else {
			b.WriteString("–")
		}
		b.WriteString(grouped(q.High))
	}
	if s := q.Unit.Symbol(); s != "" {
		b.WriteString(" " + s)
	}
	if t := q.Tolerance; t != nil {
		b.WriteString(" ± " + grouped(t.Value))
		if s := t.Unit.Symbol(); s != "" {
			b.WriteString(" " + s)
		}
	}
	return Glue(b.String())
}

// grouped writes a number, its whole part in groups of three digits where it
// has more than four.
func grouped(d schema.Decimal) string {
	s := d.String()
	whole, rest, point := strings.Cut(s, ".")
	digits := strings.TrimPrefix(whole, "-")
	if len(digits) <= 4 {
		return s
	}
	var b strings.Builder
	b.WriteString(whole[:len(whole)-len(digits)])
	for i, c := range digits {
		if i > 0 && (len(digits)-i)%3 == 0 {
			b.WriteString(NBSP)
		}
		b.WriteRune(c)
	}
	if point {
		b.WriteString("." + rest)
	}
	return b.String()
}

// Qualified writes a quantity for people with its hedge in words before or behind
// it: "up to 65 W".
func Qualified(q schema.Qualifier, of *schema.Quantity) string {
	text := Quantity(of)
	switch q {
	case schema.QualifierNone:
		return text
	case schema.QualifierAtMost:
		return Glue("up to ") + text
	case schema.QualifierAtLeast:
		return Glue("at least ") + text
	case schema.QualifierAbout, schema.QualifierOver, schema.QualifierUnder:
		return q.String() + NBSP + text
	}
	return text + NBSP + strings.ReplaceAll(q.String(), "_", NBSP)
}

// Percent writes a probability for people; certainty is never claimed.
func Percent(p float64) string {
	switch {
	case p >= 0.995:
		return ">99" + NBSP + "%"
	case !(p >= 0.01): // NaN too
		return "<1" + NBSP + "%"
	}
	return fmt.Sprintf("%.0f%s%%", 100*p, NBSP)
}

const NBSP = "\u00a0"

// Glue makes the blanks of s no-break spaces.
func Glue(s string) string { return strings.ReplaceAll(s, " ", NBSP) }
