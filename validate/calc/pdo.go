package calc

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"saywatt/schema"
	"saywatt/validate/standard"
)

// PDO is a USB Power Delivery power data object, read field by field as
// tables/pdo_fields.tsv lays it out. The zero PDO is none.
type PDO struct {
	Word   uint32
	Kind   string // fixed, battery, variable, pps, epr-avs, spr-avs
	Fields []PDOField
	// Reserved holds the bits set outside every field; a sender should leave
	// them zero.
	Reserved uint32
}

// PDOField is one field of a PDO with its value.
type PDOField struct {
	Name     string
	Doc      string
	Raw      uint32
	Quantity schema.Quantity // Raw × step; without unit for flags and codes
}

// Errors of power data objects.
var (
	ErrPDOWord     = errors.New("not a 32-bit word")
	ErrPDOReserved = errors.New("kind of object is reserved")
	ErrPDOEmpty    = errors.New("offers nothing")
	ErrPDOOrder    = errors.New("lowest voltage is above the highest")
	ErrPDOKind     = errors.New("no such kind of object")
	ErrPDOField    = errors.New("no such field in this kind of object")
	ErrPDOStep     = errors.New("is not a whole number of steps")
	ErrPDOWidth    = errors.New("does not fit its field")
)

// PDOError names the word or field that cannot be, and why.
type PDOError struct {
	What string
	Err  error
}

func (e *PDOError) Error() string { return e.What + ": " + e.Err.Error() }

func (e *PDOError) Unwrap() error { return e.Err }

// decodePDO reads a word. Reserved kinds, an object of zero volts, amperes or
// watts, and a reversed voltage range are a *PDOError.
func decodePDO(word uint32) (PDO, error) {
	for _, l := range pdoLayouts() {
		if word&l.mask != l.value {
			continue
		}
		p := PDO{Word: word, Kind: l.kind}
		p.Fields, p.Reserved = l.read(word)
		return p, p.check()
	}
	return PDO{Word: word}, &PDOError{fmt.Sprintf("0x%08X", word), ErrPDOReserved}
}

// check refuses what decodes but cannot be offered.
func (p PDO) check() error {
	fail := func(err error) error { return &PDOError{fmt.Sprintf("0x%08X (%s)", p.Word, p.Kind), err} }
	for _, f := range p.Fields {
		// the upper band of an SPR AVS object is zero where the rating ends at 15 V
		if f.Quantity.Unit != "" && f.Raw == 0 && f.Name != "current_20v" {
			return fail(fmt.Errorf("%s is 0: %w", f.Name, ErrPDOEmpty))
		}
	}
	low, high := p.field("voltage_min"), p.field("voltage_max")
	if low != nil && high != nil && low.Quantity.Low.Cmp(high.Quantity.Low) > 0 {
		return fail(ErrPDOOrder)
	}
	return nil
}

func (p PDO) field(name string) *PDOField {
	for i := range p.Fields {
		if p.Fields[i].Name == name {
			return &p.Fields[i]
		}
	}
	return nil
}

// voltage returns the voltage or the range of voltages, in V.
func (p PDO) voltage() schema.Quantity {
	if f := p.field("voltage"); f != nil {
		return f.Quantity
	}
	if low, high := p.field("voltage_min"), p.field("voltage_max"); low != nil && high != nil {
		return schema.Between(low.Quantity.Low, high.Quantity.Low, "V")
	}
	span := standard.Exact("avs.spr.voltage")
	if f := p.field("current_20v"); f != nil && f.Raw == 0 {
		span.High = constant("avs.spr.split")
	}
	return span
}

// current returns the greatest current in A; for SPR AVS that of the lower
// band. False where the object states power instead.
func (p PDO) current() (schema.Quantity, bool) {
	for _, name := range []string{"current", "current_15v"} {
		if f := p.field(name); f != nil {
			return f.Quantity, true
		}
	}
	return schema.Quantity{}, false
}

// encodePDO makes the word of an object from its fields by name. Fields left
// out are zero. A value that is no whole number of steps, or too large for
// its field, is a *PDOError.
func encodePDO(kind string, fields map[string]schema.Quantity) (PDO, error) {
	for _, l := range pdoLayouts() {
		if l.kind != kind {
			continue
		}
		word := l.value
		left := len(fields)
		for _, f := range l.fields {
			q, ok := fields[f.name]
			if !ok {
				continue
			}
			left--
			raw, err := f.raw(q)
			if err != nil {
				return PDO{}, err
			}
			word |= raw << f.lsb
		}
		if left > 0 {
			return PDO{}, l.unknown(fields)
		}
		return decodePDO(word)
	}
	return PDO{}, &PDOError{kind, ErrPDOKind}
}

// parsePDOWord reads "0x0001912C", or four bytes as they are sent, least
// significant first: "2C 91 01 00".
func parsePDOWord(s string) (uint32, error) {
	if parts := strings.Fields(s); len(parts) == 4 {
		var word uint32
		for i, p := range parts {
			b, err := strconv.ParseUint(strings.TrimPrefix(p, "0x"), 16, 8)
			if err != nil {
				return 0, &PDOError{strconv.Quote(s), ErrPDOWord}
			}
			word |= uint32(b) << (8 * i)
		}
		return word, nil
	}
	hex := strings.TrimPrefix(strings.TrimPrefix(strings.TrimSpace(s), "0x"), "0X")
	w, err := strconv.ParseUint(hex, 16, 32)
	if err != nil {
		return 0, &PDOError{strconv.Quote(s), ErrPDOWord}
	}
	return uint32(w), nil
}

// pdoLayout is how one kind of object lies in its word.
type pdoLayout struct {
	kind        string
	mask, value uint32
	fields      []pdoBits
}

type pdoBits struct {
	name, doc string
	msb, lsb  int
	step      schema.Quantity // in the base unit of the field: V, A, W, or none
}

func (f pdoBits) limit() uint32 { return 1<<(f.msb-f.lsb+1) - 1 }

func (f pdoBits) quantity(raw uint32) schema.Quantity {
	return schema.One(schema.NewDecimal(int64(raw), 0).Mul(f.step.Low).Trim(), f.step.Unit)
}

func (f pdoBits) raw(q schema.Quantity) (uint32, error) {
	v := q.Low
	if q.Unit != f.step.Unit {
		c, err := q.Unit.Convert(v, f.step.Unit)
		if err != nil {
			return 0, &PDOError{f.name, err}
		}
		v = c
	}
	n, _ := v.Quo(f.step.Low)
	if !n.IsWhole() || n.Sign() < 0 {
		return 0, &PDOError{fmt.Sprintf("%s %s in steps of %s", f.name, q, f.step), ErrPDOStep}
	}
	raw, err := strconv.ParseUint(n.String(), 10, 32)
	if err != nil || uint32(raw) > f.limit() {
		return 0, &PDOError{fmt.Sprintf("%s %s, at most %s", f.name, q, f.quantity(f.limit())), ErrPDOWidth}
	}
	return uint32(raw), nil
}

// unknown names the first field, in alphabetical order, that the kind lacks.
func (l pdoLayout) unknown(fields map[string]schema.Quantity) error {
	first := ""
	for name := range fields {
		known := false
		for _, f := range l.fields {
			known = known || f.name == name
		}
		if !known && (first == "" || name < first) {
			first = name
		}
	}
	return &PDOError{first + " in " + l.kind, ErrPDOField}
}

// pdoLayouts reads the layout table once.
var pdoLayouts = sync.OnceValue(func() []pdoLayout { return readLayouts("tables/pdo_fields.tsv") })

// readLayouts reads a table of fields.
func readLayouts(file string) []pdoLayout {
	var layouts []pdoLayout
	for _, r := range schema.MustReadTable(tables, file).Rows {
		kind := r.Get("kind")
		if len(layouts) == 0 || layouts[len(layouts)-1].kind != kind {
			mask, value, _ := strings.Cut(r.Get("id"), "/")
			layouts = append(layouts, pdoLayout{kind: kind, mask: hex32(mask), value: hex32(value)})
		}
		l := &layouts[len(layouts)-1]
		l.fields = append(l.fields, pdoBits{r.Get("field"), r.Get("doc"), atoi(r.Get("msb")), atoi(r.Get("lsb")),
			baseStep(r.Get("step"))})
	}
	return layouts
}

// read gives the fields of a word, and its bits outside all of them.
func (l *pdoLayout) read(word uint32) (fields []PDOField, reserved uint32) {
	reserved = word &^ l.mask
	for _, f := range l.fields {
		raw := word >> f.lsb & f.limit()
		reserved &^= f.limit() << f.lsb
		fields = append(fields, PDOField{f.name, f.doc, raw, f.quantity(raw)})
	}
	return fields, reserved
}

// baseStep turns "50 mV" into 0.05 V, so that values come out in V, A and W.
func baseStep(s string) schema.Quantity {
	q := schema.MustQuantity(s)
	for _, base := range []schema.Unit{"V", "A", "W"} {
		if q.Unit != "" && q.Unit.Kind() == base.Kind() {
			v, err := q.Unit.Convert(q.Low, base)
			if err != nil {
				panic(err)
			}
			return schema.One(v, base)
		}
	}
	return q
}

func hex32(s string) uint32 {
	n, err := strconv.ParseUint(s, 16, 32)
	if err != nil {
		panic("table: " + err.Error())
	}
	return uint32(n)
}
