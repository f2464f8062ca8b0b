package schema

import (
	"embed"
	"errors"
	"fmt"
	"math/big"
	"strconv"
	"strings"
	"sync"
)

//go:embed tables/*.tsv
var tables embed.FS

// Unit is a unit of measure by its UCUM code (The Unified Code for Units of
// Measure, case-sensitive form): "V", "mA.h", "W/cm3", "[in_i]". The empty
// Unit means that none was said or found.
type Unit string

// Errors of units.
var (
	ErrUnknownUnit  = errors.New("unknown unit")
	ErrUnitMismatch = errors.New("units of different kind")
)

// UnitMismatchError is returned by a conversion across dimensions.
type UnitMismatchError struct{ From, To Unit }

func (e *UnitMismatchError) Error() string {
	return fmt.Sprintf("cannot convert %s to %s: %v", e.From, e.To, ErrUnitMismatch)
}

func (e *UnitMismatchError) Unwrap() error { return ErrUnitMismatch }

// Dims are the exponents of kilogram, metre, second, ampere, kelvin.
type Dims [5]int8

// UnitInfo is what the tables know of a unit.
type UnitInfo struct {
	Unit      Unit
	Kind      Kind
	Symbol    string // in print, per SI Brochure 9: "µF"
	One, Many string // as spoken: "microfarad", "microfarads"
	Dims      Dims
	Factor    *big.Rat // to the coherent SI unit of these dimensions
	Offset    *big.Rat // added in steps of the unit before Factor applies; zero but for temperatures
	Scale     float64  // Factor as a float
	Source    string

	family int // units of the table whose factors differ by a power of ten share it; 0 outside the table
	power  int // exponent of ten of the factor within the family
}

type atom struct {
	metric         bool
	dims           Dims
	factor, offset *big.Rat
}

type unitTables struct {
	atoms    map[string]atom
	prefixes map[string]int
	units    []UnitInfo
	byCode   map[Unit]*UnitInfo
	slots    []*UnitInfo // byCode as a table with open addressing, a quarter full
}

// slot is where the search for a code begins among a power of two of slots.
func (u Unit) slot(slots int) int {
	h := uint32(len(u))
	for i := range len(u) {
		h = h*slotBase + uint32(u[i])
	}
	return int((h ^ h>>slotFold) & uint32(slots-1))
}

// slotBase and slotFold spread codes, which are short and much alike, over the
// slots.
const (
	slotBase = 131
	slotFold = 11
)

// spread enters all units by code into slots.
func (t *unitTables) spread() {
	size := 1
	for size < 4*len(t.byCode) {
		size *= 2
	}
	t.slots = make([]*UnitInfo, size)
	enter := func(u *UnitInfo) {
		at := u.Unit.slot(size)
		for t.slots[at] != nil {
			at = (at + 1) & (size - 1)
		}
		t.slots[at] = u
	}
	for i := range t.units { // first: they are asked for most
		enter(&t.units[i])
	}
	for _, u := range t.byCode {
		if _, listed := t.find(u.Unit); !listed {
			enter(u)
		}
	}
}

// find is byCode.
func (t *unitTables) find(u Unit) (*UnitInfo, bool) {
	for at := u.slot(len(t.slots)); ; at = (at + 1) & (len(t.slots) - 1) {
		if i := t.slots[at]; i == nil || i.Unit == u {
			return i, i != nil
		}
	}
}

// loadUnits reads the embedded unit tables once. They are constants of the
// program; a malformed row is found by the tests, and panics here.
var loadUnits = sync.OnceValue(func() *unitTables {
	t := &unitTables{atoms: map[string]atom{}, prefixes: map[string]int{}, byCode: map[Unit]*UnitInfo{}}
	for _, r := range MustReadTable(tables, "tables/prefixes.tsv").Rows {
		p, err := strconv.Atoi(r.Get("power"))
		if err != nil {
			panic(err)
		}
		t.prefixes[r.Get("prefix")] = p
	}
	for _, r := range MustReadTable(tables, "tables/atoms.tsv").Rows {
		a := atom{metric: r.Get("metric") == "yes", factor: new(big.Rat), offset: new(big.Rat)}
		for i, s := range strings.Split(r.Get("dims"), ";") {
			n, err := strconv.Atoi(s)
			if err != nil {
				panic(err)
			}
			a.dims[i] = int8(n)
		}
		if _, ok := a.factor.SetString(r.Get("num") + "/" + r.Get("den")); !ok {
			panic("atoms.tsv: factor of " + r.Get("atom"))
		}
		if _, ok := a.offset.SetString(r.Get("offset")); !ok {
			panic("atoms.tsv: offset of " + r.Get("atom"))
		}
		t.atoms[r.Get("atom")] = a
	}
	families := families{}
	rows := MustReadTable(tables, "tables/units.tsv").Rows
	t.units = make([]UnitInfo, 0, len(rows))
	for _, r := range rows {
		kind, err := ParseKind(r.Get("kind"))
		if err != nil {
			panic(err)
		}
		u, err := t.parse(Unit(r.Get("code")))
		if err != nil {
			panic(err)
		}
		u.family, u.power = families.of(u)
		u.Kind, u.Symbol, u.One, u.Many, u.Source = kind, r.Get("symbol"), r.Get("one"), r.Get("many"), r.Get("source")
		t.units = append(t.units, u)
	}
	for i := range t.units {
		t.byCode[t.units[i].Unit] = &t.units[i]
	}
	t.prefixed(families)
	t.spread()
	return t
})

// prefixed enters what the table leaves out: each unit of one metric atom
// with every other SI prefix. They are found by their code and not listed.
func (t *unitTables) prefixed(f families) {
	prefixes := MustReadTable(tables, "tables/prefixes.tsv").Rows
	for i := range t.units {
		u := &t.units[i]
		if a, ok := t.atoms[string(u.Unit)]; !ok || !a.metric {
			continue
		}
		for _, r := range prefixes {
			code := Unit(r.Get("prefix")) + u.Unit
			if _, taken := t.byCode[code]; taken {
				continue
			}
			if _, taken := t.atoms[string(code)]; taken { // min is no milli-inch
				continue
			}
			v, err := t.parse(code)
			if err != nil {
				continue
			}
			v.family, v.power = f.of(v)
			v.Kind, v.Symbol, v.Source = u.Kind, r.Get("symbol")+u.Symbol, u.Source
			v.One, v.Many = r.Get("name")+u.One, r.Get("name")+u.Many
			t.byCode[code] = &v
		}
	}
}

// families numbers the classes of factors that differ by a power of ten, so
// that most conversions only shift the decimal point.
type families map[string]int

// of splits the factor of u into 10^power and a rest without fives, which
// names the family. A unit with an offset belongs to none.
func (f families) of(u UnitInfo) (family, power int) {
	if u.Offset.Sign() != 0 {
		return 0, 0
	}
	up, _ := takeFives(u.Factor.Num())
	down, _ := takeFives(u.Factor.Denom())
	power = up - down
	rest := new(big.Rat).Mul(u.Factor, tenTo(-power)).String()
	if f[rest] == 0 {
		f[rest] = len(f) + 1
	}
	return f[rest], power
}

// maxUnitCode bounds the length of a unit code in bytes.
const maxUnitCode = 64

// Units lists the units of the trade in table order.
func Units() []UnitInfo { return loadUnits().units }

// Info returns what is known of the unit; false for a unit outside the table.
func (u Unit) Info() (*UnitInfo, bool) {
	return loadUnits().find(u)
}

// Kind returns the physical kind, KindOther for a valid unit outside the
// table.
func (u Unit) Kind() Kind {
	if i, ok := u.Info(); ok {
		return i.Kind
	}
	return KindOther
}

// Scale returns the factor to the coherent SI unit as a float, 1 for an
// unknown unit.
func (u Unit) Scale() float64 {
	if i, ok := u.Info(); ok {
		return i.Scale
	}
	return 1
}

// Symbol returns the unit as printed ("µF"). One outside the table is its code,
// an annotation without its braces: "nits" of {nits}, "frames/s" of {frames}/s.
func (u Unit) Symbol() string {
	if i, ok := u.Info(); ok {
		return i.Symbol
	}
	if strings.IndexByte(string(u), '{') < 0 {
		return string(u)
	}
	return strings.Map(func(r rune) rune {
		if r == '{' || r == '}' {
			return -1
		}
		return r
	}, string(u))
}

// ParseUnit reads a UCUM code: atoms with SI prefixes and exponents, joined
// by '.' and '/', and annotations in braces (UCUM 2.2 §2; parentheses and
// arbitrary factors are outside what the trade needs and refused). Errors
// wrap ErrUnknownUnit.
func ParseUnit(code string) (UnitInfo, error) {
	t := loadUnits()
	if i, ok := t.byCode[Unit(code)]; ok {
		return *i, nil
	}
	return t.parse(Unit(code))
}

// parse reads a code from left to right; a division binds the one component
// that follows it (UCUM 2.2 §7: "operators have equal precedence").
func (t *unitTables) parse(code Unit) (UnitInfo, error) {
	info := UnitInfo{Unit: code, Kind: KindOther, Factor: big.NewRat(1, 1), Offset: new(big.Rat)}
	rest := string(code)
	if rest == "" || len(rest) > maxUnitCode {
		return info, fmt.Errorf("%.*q: %w", maxUnitCode, rest, ErrUnknownUnit)
	}
	divide := rest[0] == '/'
	if divide {
		rest = rest[1:]
	}
	for parts := 1; ; parts++ {
		n := componentLen(rest)
		c, err := t.component(rest[:n])
		if err == nil {
			err = info.multiply(c, divide)
		}
		if err != nil {
			return info, fmt.Errorf("%q: %w", string(code), err)
		}
		if parts == 1 && !divide && n == len(rest) && c.exponent == 1 {
			info.Offset = c.offset // everything else takes steps, not absolute temperatures
		}
		if n == len(rest) {
			break
		}
		divide, rest = rest[n] == '/', rest[n+1:]
	}
	info.Scale, _ = info.Factor.Float64()
	return info, nil
}

// componentLen returns the length of the first component of a code: up to a
// '.' or '/' outside brackets and braces.
func componentLen(s string) int {
	closer := byte(0)
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case closer != 0:
			if c == closer {
				closer = 0
			}
		case c == '[':
			closer = ']'
		case c == '{':
			closer = '}'
		case c == '.' || c == '/':
			return i
		}
	}
	return len(s)
}

// component is one prefixed atom with its exponent.
type component struct {
	atom
	power    int // of ten, from the prefix
	exponent int
}

func (t *unitTables) component(s string) (component, error) {
	one := component{atom: t.atoms["1"], exponent: 1}
	if i := strings.IndexByte(s, '{'); i >= 0 {
		note := s[i+1:]
		if len(note) < 2 || strings.IndexByte(note, '}') != len(note)-1 || strings.ContainsFunc(note, notGraphic) ||
			strings.Contains(note, "{") {
			return one, ErrUnknownUnit
		}
		if s = s[:i]; s == "" {
			return one, nil
		}
	}
	if s == "1" {
		return one, nil
	}
	c := component{exponent: 1}
	if n := len(s) - 1; n > 0 && s[n] >= '1' && s[n] <= '9' {
		c.exponent, s = int(s[n]-'0'), s[:n]
		if n > 1 && s[n-1] == '-' {
			c.exponent, s = -c.exponent, s[:n-1]
		}
	}
	var ok bool
	if c.atom, ok = t.atoms[s]; ok && s != "1" {
		return c, nil
	}
	for n := 1; n <= 2 && n < len(s); n++ {
		if c.power, ok = t.prefixes[s[:n]]; !ok {
			continue
		}
		if c.atom, ok = t.atoms[s[n:]]; ok && c.metric {
			return c, nil
		}
	}
	return c, ErrUnknownUnit
}

// notGraphic reports what UCUM 2.2 §6 keeps out of annotations.
func notGraphic(r rune) bool { return r <= ' ' || r > '~' }

// multiply puts c into the product, or its inverse where divide is set.
func (u *UnitInfo) multiply(c component, divide bool) error {
	exponent := c.exponent
	if divide {
		exponent = -exponent
	}
	f := new(big.Rat).Mul(c.factor, tenTo(c.power))
	if exponent < 0 {
		f.Inv(f)
	}
	for range max(exponent, -exponent) {
		u.Factor.Mul(u.Factor, f)
	}
	for i, d := range c.dims {
		sum := int(u.Dims[i]) + exponent*int(d)
		if sum != int(int8(sum)) {
			return ErrUnknownUnit
		}
		u.Dims[i] = int8(sum)
	}
	return nil
}

// tenTo returns 10^n.
func tenTo(n int) *big.Rat {
	r := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(n, -n))), nil))
	if n < 0 {
		r.Inv(r)
	}
	return r
}

// Convert gives v in the unit to. The result is exact where it has a finite
// decimal form, else rounded to 34 significant digits. Different dimensions
// are an UnitMismatchError, unknown codes ErrUnknownUnit.
func (u Unit) Convert(v Decimal, to Unit) (Decimal, error) {
	if u == to {
		return v, nil
	}
	from, err := ParseUnit(string(u))
	if err != nil {
		return Decimal{}, err
	}
	target, err := ParseUnit(string(to))
	if err != nil {
		return Decimal{}, err
	}
	if from.Dims != target.Dims || !from.Kind.Convertible(target.Kind) {
		return Decimal{}, &UnitMismatchError{u, to}
	}
	if from.family > 0 && from.family == target.family {
		return v.Shift(from.power - target.power).Trim(), nil
	}
	r := v.Rat()
	r.Add(r, from.Offset)
	r.Mul(r, from.Factor)
	r.Quo(r, target.Factor)
	r.Sub(r, target.Offset)
	return decimalOf(r), nil
}
