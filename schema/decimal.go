package schema

import (
	"errors"
	"fmt"
	"math/big"

	"github.com/cockroachdb/apd/v3"
)

// ErrNotDecimal is the cause when a text is not a plain decimal number.
var ErrNotDecimal = errors.New("not a decimal number")

// Decimal is an exact decimal number. It is an immutable value: every method
// returns a new one, and copies may be shared freely. Trailing zeros are kept
// as said ("3.0" stays "3.0") but do not count in comparisons. The zero value
// is 0.
type Decimal struct {
	d apd.Decimal
}

// maxExponent bounds exponents, so that printing a hostile "1e999999999"
// cannot fill the memory.
const maxExponent = 400

// quotient is the precision of the results that have no finite decimal form:
// 34 significant digits, that of IEEE 754 decimal128.
var quotient = apd.BaseContext.WithPrecision(34)

// NewDecimal returns coefficient × 10^exponent.
func NewDecimal(coefficient int64, exponent int32) Decimal {
	if coefficient == 0 {
		exponent = min(exponent, 0)
	}
	return Decimal{*apd.New(coefficient, exponent)}
}

// ParseDecimal reads a number such as "3.25", "-7", "1e-9". Grouping signs,
// blanks, infinities and not-a-number are refused with ErrNotDecimal.
func ParseDecimal(s string) (Decimal, error) {
	if len(s) > 2*maxExponent {
		return Decimal{}, fmt.Errorf("%.20s…: %w", s, ErrNotDecimal)
	}
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c >= '0' && c <= '9', c == '.', c == 'e', c == 'E', c == '-', c == '+':
		default:
			return Decimal{}, fmt.Errorf("%q: %w", s, ErrNotDecimal)
		}
	}
	d, _, err := apd.NewFromString(s)
	if err != nil || d.Form != apd.Finite || d.Exponent > maxExponent || d.Exponent < -maxExponent {
		return Decimal{}, fmt.Errorf("%q: %w", s, ErrNotDecimal)
	}
	if d.IsZero() {
		d.Exponent = min(d.Exponent, 0) // "0e2" would print as "000", which is not JSON
	}
	return Decimal{*d}, nil
}

// MustDecimal is ParseDecimal for constants in tables and tests; it panics on
// a malformed text.
func MustDecimal(s string) Decimal {
	d, err := ParseDecimal(s)
	if err != nil {
		panic(err)
	}
	return d
}

// String gives plain notation, without an exponent: "0.0000001".
func (d Decimal) String() string { return d.d.Text('f') }

// append appends what String gives.
func (d Decimal) append(b []byte) []byte { return d.d.Append(b, 'f') }

// Trim drops trailing zeros after the point: 3.20 becomes 3.2, 30 stays 30.
func (d Decimal) Trim() Decimal {
	if d.d.Exponent >= 0 {
		return d
	}
	var r apd.Decimal
	r.Reduce(&d.d)
	if r.Exponent > 0 {
		return Decimal{r}.plain()
	}
	return Decimal{r}
}

// plain writes out a positive exponent as zeros of the coefficient.
func (d Decimal) plain() Decimal {
	if d.d.Exponent <= 0 {
		return d
	}
	r, err := ParseDecimal(d.d.Text('f'))
	if err != nil {
		return d
	}
	return r
}

// Float64 returns the nearest float, for plausibility and plotting only.
func (d Decimal) Float64() float64 {
	if c, ok := d.small(); ok && d.d.Exponent >= -15 && d.d.Exponent <= 15 {
		if d.d.Exponent < 0 {
			return float64(c) / pow10[-d.d.Exponent]
		}
		return float64(c) * pow10[d.d.Exponent]
	}
	f, _ := d.d.Float64()
	return f
}

// pow10 holds the powers of ten that a float represents exactly.
var pow10 = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// small returns the signed coefficient where a float holds it exactly.
func (d Decimal) small() (int64, bool) {
	if !d.d.Coeff.IsInt64() {
		return 0, false
	}
	c := d.d.Coeff.Int64()
	if c > 1<<53 {
		return 0, false
	}
	if d.d.Negative {
		c = -c
	}
	return c, true
}

// Decimals returns the number of digits after the point as said, 0 for whole
// numbers.
func (d Decimal) Decimals() int {
	if d.d.Exponent >= 0 {
		return 0
	}
	return int(-d.d.Exponent)
}

// Cmp compares by value: -1, 0 or +1. 3.0 equals 3.
func (d Decimal) Cmp(e Decimal) int { return d.d.Cmp(&e.d) }

// Equal reports equality by value.
func (d Decimal) Equal(e Decimal) bool { return d.d.Cmp(&e.d) == 0 }

// Sign returns -1, 0 or +1.
func (d Decimal) Sign() int { return d.d.Sign() }

// IsZero reports whether the value is 0.
func (d Decimal) IsZero() bool { return d.d.IsZero() }

// IsWhole reports whether the value is a whole number.
func (d Decimal) IsWhole() bool { return d.Trim().d.Exponent >= 0 }

// Add returns d+e, exactly.
func (d Decimal) Add(e Decimal) Decimal { return exact(apd.BaseContext.Add, d, e) }

// Sub returns d-e, exactly.
func (d Decimal) Sub(e Decimal) Decimal { return exact(apd.BaseContext.Sub, d, e) }

// Mul returns d×e, exactly.
func (d Decimal) Mul(e Decimal) Decimal {
	const most = 1 << 31 // of two coefficients whose product an int64 holds
	if a, ok := d.small(); ok && a > 0 && a < most {
		if b, ok := e.small(); ok && b > 0 && b < most {
			return Decimal{*apd.New(a*b, d.d.Exponent+e.d.Exponent)}.plain()
		}
	}
	return exact(apd.BaseContext.Mul, d, e)
}

// Quo returns d÷e to 34 significant digits, trailing zeros dropped. Division
// by zero returns 0 and false.
func (d Decimal) Quo(e Decimal) (Decimal, bool) {
	if e.IsZero() {
		return Decimal{}, false
	}
	var r apd.Decimal
	if _, err := quotient.Quo(&r, &d.d, &e.d); err != nil {
		return Decimal{}, false
	}
	return Decimal{r}.Trim(), true
}

// Ln returns the natural logarithm of d to 34 significant digits, trailing
// zeros dropped; 0 and false where d is not above zero.
func (d Decimal) Ln() (Decimal, bool) {
	if d.Sign() <= 0 {
		return Decimal{}, false
	}
	var r apd.Decimal
	if _, err := quotient.Ln(&r, &d.d); err != nil {
		return Decimal{}, false
	}
	return Decimal{r}.Trim(), true
}

// Sqrt returns the square root of d to 34 significant digits, trailing zeros
// dropped; 0 and false where d is below zero.
func (d Decimal) Sqrt() (Decimal, bool) {
	var r apd.Decimal
	if _, err := quotient.Sqrt(&r, &d.d); err != nil || d.Sign() < 0 {
		return Decimal{}, false
	}
	return Decimal{r}.Trim(), true
}

// Shift returns d × 10^n, exactly.
func (d Decimal) Shift(n int) Decimal {
	r := d
	r.d.Exponent += int32(n)
	return r.plain()
}

// Neg returns -d.
func (d Decimal) Neg() Decimal {
	r := d
	r.d.Negative = !d.d.Negative && !d.IsZero()
	return r
}

// Round returns d rounded to n digits after the point, halves away from zero.
// It never adds digits: 3.2 rounded to 4 stays 3.2.
func (d Decimal) Round(n int) Decimal {
	if d.d.Exponent >= -int32(n) {
		return d
	}
	c := apd.BaseContext.WithPrecision(1000)
	c.Rounding = apd.RoundHalfUp
	var r apd.Decimal
	if _, err := c.Quantize(&r, &d.d, -int32(n)); err != nil {
		return d
	}
	return Decimal{r}
}

// Rat returns the value as an exact fraction.
func (d Decimal) Rat() *big.Rat {
	r := new(big.Rat).SetInt(d.d.Coeff.MathBigInt())
	if d.d.Negative {
		r.Neg(r)
	}
	if d.d.Exponent == 0 {
		return r
	}
	return r.Mul(r, tenTo(int(d.d.Exponent)))
}

// decimalOf returns r exactly where it has a finite decimal form, that is
// where its denominator has no prime factors but 2 and 5, else to 34
// significant digits.
func decimalOf(r *big.Rat) Decimal {
	twos := int(r.Denom().TrailingZeroBits())
	fives, rest := takeFives(new(big.Int).Rsh(r.Denom(), uint(twos)))
	if !rest.IsInt64() || rest.Int64() != 1 {
		q, _ := ofInt(r.Num(), 0).Quo(ofInt(r.Denom(), 0))
		return q
	}
	n := max(twos, fives)
	scaled := new(big.Rat).Mul(r, tenTo(n))
	return ofInt(scaled.Num(), -int32(n))
}

// takeFives divides n, which is not 0, by 5 as often as that leaves no
// remainder.
func takeFives(n *big.Int) (times int, rest *big.Int) {
	five, remainder := big.NewInt(5), new(big.Int)
	for {
		q, _ := new(big.Int).QuoRem(n, five, remainder)
		if remainder.Sign() != 0 {
			return times, n
		}
		times, n = times+1, q
	}
}

// ofInt returns n × 10^exponent.
func ofInt(n *big.Int, exponent int32) Decimal {
	return Decimal{*apd.NewWithBigInt(new(apd.BigInt).SetMathBigInt(n), exponent)}
}

// MarshalJSON writes a JSON number in plain notation, digits as said.
func (d Decimal) MarshalJSON() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalJSON reads a JSON number exactly.
func (d *Decimal) UnmarshalJSON(b []byte) error {
	v, err := ParseDecimal(string(b))
	if err != nil {
		return err
	}
	*d = v
	return nil
}

func exact(op func(d, x, y *apd.Decimal) (apd.Condition, error), d, e Decimal) Decimal {
	var r apd.Decimal
	if _, err := op(&r, &d.d, &e.d); err != nil {
		return Decimal{}
	}
	return Decimal{r}.plain()
}
