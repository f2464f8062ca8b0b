package standard

import (
	"strings"
	"sync"

	"saywatt/schema"
)

var codeLetters = sync.OnceValue(func() []schema.Row {
	return schema.MustReadTable(tables,
		"tables/code_letters.tsv").Rows
})

// CodeLetter gives a cell of code_letters.tsv: the unit that a letter, or "-"
// for none, stands for on a kind of part, or its tolerance in %.
func CodeLetter(part, letter, column string) (string, bool) {
	for _, r := range codeLetters() {
		if p := r.Get("part"); (p == part || p == "any") && r.Get("letter") == letter && r.Get(column) != "-" {
			return r.Get(column), true
		}
	}
	return "", false
}

// DecodeCode reads a code on a part: the value, and the tolerance in % where a
// letter behind says it.
func DecodeCode(code, part string) (v schema.Quantity, tolerance string, ok bool) {
	if q, ok := letteredCode(code, part); ok {
		return q, "", true
	}
	unit, ok := CodeLetter(part, "-", "unit")
	digits := code
	if n := len(code); n > 0 {
		if t, ok := CodeLetter(part, code[n-1:], "tolerance"); ok {
			digits, tolerance = code[:n-1], t
		}
	}
	if !ok || len(digits) < 3 || len(digits) > 4 || strings.Trim(digits, "0123456789") != "" {
		return schema.Quantity{}, "", false
	}
	last := len(digits) - 1
	x := schema.MustDecimal(digits[:last]).Shift(int(digits[last] - '0')).Trim()
	return schema.One(x, schema.Unit(unit)), tolerance, true
}

// letteredCode reads a code with a letter in place of the point.
func letteredCode(code, part string) (schema.Quantity, bool) {
	at := strings.IndexFunc(code, func(r rune) bool { return r < '0' || r > '9' })
	if at < 0 {
		return schema.Quantity{}, false
	}
	unit, ok := CodeLetter(part, code[at:at+1], "unit")
	behind := code[at+1:]
	if !ok || len(code) < 2 || strings.Trim(behind, "0123456789") != "" {
		return schema.Quantity{}, false
	}
	v, err := schema.ParseDecimal(strings.TrimSuffix("0"+code[:at]+"."+behind, "."))
	return schema.One(v.Trim(), schema.Unit(unit)), err == nil
}

// PartCode is a row of part_codes.tsv.
type PartCode struct {
	Kinds          []string
	Property, Code string
	Kind           schema.Kind // of the quantity
	Ground
}

// PartCodes is part_codes.tsv: which kinds of part are marked with which code.
var PartCodes = sync.OnceValue(func() []PartCode {
	kinds := map[string]schema.Kind{"voltage": schema.KindVoltage, "capacitance": schema.KindCapacitance,
		"inductance": schema.KindInductance, "resistance": schema.KindResistance}
	var rows []PartCode
	for _, r := range schema.MustReadTable(tables, "tables/part_codes.tsv").Rows {
		p := PartCode{r.List("kind"), r.Get("property"), r.Get("code"), kinds[r.Get("property")], GroundOf(r)}
		if p.Kind == schema.KindUnknown {
			panic("part_codes.tsv: property " + p.Property)
		}
		rows = append(rows, p)
	}
	return rows
})

// VoltsCode is the code of part_codes.tsv that counts in volts.
const VoltsCode = "volts"
