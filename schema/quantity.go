package schema

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
)

// Quantity is an exact value, or a range of values, with its unit. A single
// value has Low equal to High and Range false. A datasheet triple
// "min/typ/max" is a range with Typical set. The zero Quantity is none.
type Quantity struct {
	Low, High Decimal
	Typical   *Decimal
	Range     bool
	Unit      Unit
	Tolerance *Tolerance
}

// Tolerance is a symmetric tolerance: ± Value, in Unit ("%" or the unit of
// the quantity).
type Tolerance struct {
	Value Decimal `json:"value" doc:"half the width of the interval"`
	Unit  Unit    `json:"unit" doc:"% or the unit of the quantity"`
}

// ErrQuantity is the cause of a malformed quantity in a record.
var ErrQuantity = errors.New("not a quantity")

// One returns a single value.
func One(v Decimal, u Unit) Quantity { return Quantity{Low: v, High: v, Unit: u} }

// Between returns a range.
func Between(low, high Decimal, u Unit) Quantity {
	return Quantity{Low: low, High: high, Range: true, Unit: u}
}

// ParseQuantity reads "3.25 A", "3.3..21 V": numbers in plain notation, the
// unit as UCUM code. It is the notation of tables and tests.
func ParseQuantity(s string) (Quantity, error) {
	num, unit, _ := strings.Cut(strings.TrimSpace(s), " ")
	low, high, isRange := strings.Cut(num, "..")
	l, err := ParseDecimal(low)
	if err != nil {
		return Quantity{}, err
	}
	q := One(l, Unit(unit))
	if isRange {
		h, err := ParseDecimal(high)
		if err != nil {
			return Quantity{}, err
		}
		q = Between(l, h, Unit(unit))
	}
	return q, nil
}

// MustQuantity is ParseQuantity for constants in tables and tests.
func MustQuantity(s string) Quantity {
	q, err := ParseQuantity(s)
	if err != nil {
		panic(err)
	}
	return q
}

// Falls reports whether the low end of a range is above its high one.
func (q Quantity) Falls() bool { return q.Range && q.Low.Cmp(q.High) > 0 }

// IsZero reports whether nothing is there: no unit, no value.
func (q Quantity) IsZero() bool { return q.Unit == "" && !q.Range && q.Low.IsZero() }

// Value returns the single value; the middle of a range never stands for it,
// so callers of a range get its high end.
func (q Quantity) Value() Decimal { return q.High }

// SI returns the high end in the coherent SI unit, as a float for
// plausibility.
func (q Quantity) SI() float64 { return q.si(q.High) }

// LowSI is SI for the low end.
func (q Quantity) LowSI() float64 { return q.si(q.Low) }

func (q Quantity) si(v Decimal) float64 {
	i, ok := q.Unit.Info()
	if !ok {
		return v.Float64()
	}
	if i.Offset.Sign() != 0 {
		o, _ := i.Offset.Float64()
		return (v.Float64() + o) * i.Scale
	}
	return v.Float64() * i.Scale
}

// Same reports whether the two are the same physical quantity: 3250 mA is
// 3.25 A. Tolerances and typical values do not count.
func (q Quantity) Same(r Quantity) bool {
	if q.Range != r.Range {
		return false
	}
	if q.Unit == r.Unit {
		return q.Low.Equal(r.Low) && q.High.Equal(r.High)
	}
	l, err := q.Unit.Convert(q.Low, r.Unit)
	if err != nil || !l.Equal(r.Low) {
		return false
	}
	h, err := q.Unit.Convert(q.High, r.Unit)
	return err == nil && h.Equal(r.High)
}

// String writes the quantity as printed, per SI Brochure 9 §5.4.3 (a space
// between number and unit, also before % and °C): "3.25 A", "3.3–21 V".
func (q Quantity) String() string {
	var b strings.Builder
	b.WriteString(q.Low.String())
	if q.Range {
		b.WriteString("–")
		b.WriteString(q.High.String())
	}
	if q.Tolerance != nil {
		fmt.Fprintf(&b, " ± %s %s", q.Tolerance.Value, q.Tolerance.Unit.Symbol())
	}
	if s := q.Unit.Symbol(); s != "" {
		b.WriteString(" ")
		b.WriteString(s)
	}
	return b.String()
}

// quantityJSON is the form in records: value, or low and high, perhaps with
// typical, then unit and tolerance.
type quantityJSON struct {
	Value     *Decimal   `json:"value,omitempty" doc:"single value"`
	Low       *Decimal   `json:"low,omitempty" doc:"low end of a range"`
	Typical   *Decimal   `json:"typical,omitempty" doc:"typical value, as of a datasheet's min/typ/max"`
	High      *Decimal   `json:"high,omitempty" doc:"high end of a range"`
	Unit      Unit       `json:"unit" doc:"UCUM code"`
	Tolerance *Tolerance `json:"tolerance,omitempty" doc:"symmetric tolerance"`
}

func (j quantityJSON) quantity() (Quantity, error) {
	q := Quantity{Unit: j.Unit, Tolerance: j.Tolerance, Typical: j.Typical}
	switch {
	case j.Value != nil && j.Low == nil && j.High == nil:
		q.Low, q.High = *j.Value, *j.Value
	case j.Value == nil && j.Low != nil && j.High != nil:
		q.Low, q.High, q.Range = *j.Low, *j.High, true
	default:
		return q, fmt.Errorf("%w: want value, or low and high", ErrQuantity)
	}
	if err := j.Unit.check(); err != nil {
		return q, err
	}
	if j.Tolerance != nil {
		return q, j.Tolerance.Unit.check()
	}
	return q, nil
}

// MarshalJSON writes {"value":3.25,"unit":"A"} or {"low":3.3,"high":21,"unit":"V"}.
func (q Quantity) MarshalJSON() ([]byte, error) { return q.append(make([]byte, 0, 48)), nil }

// UnmarshalJSON reads what MarshalJSON writes, strictly: the unit may be
// empty, but has to be there.
func (q *Quantity) UnmarshalJSON(b []byte) error {
	var j struct {
		quantityJSON
		Unit *Unit `json:"unit"`
	}
	if err := decodeStrict(b, &j); err != nil {
		return err
	}
	if j.Unit == nil {
		return fmt.Errorf("%w: the unit is missing", ErrQuantity)
	}
	j.quantityJSON.Unit = *j.Unit
	v, err := j.quantity()
	if err != nil {
		return err
	}
	*q = v
	return nil
}

// check refuses a code that is neither empty nor UCUM.
func (u Unit) check() error {
	if u == "" {
		return nil
	}
	_, err := ParseUnit(string(u))
	return err
}

// decodeStrict decodes one JSON value and refuses unknown fields.
func decodeStrict(b []byte, v any) error {
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	return d.Decode(v)
}
