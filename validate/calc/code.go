package calc

import (
	"fmt"
	"slices"
	"strings"

	"saywatt/schema"
	"saywatt/validate/standard"
)

// bandColours reads the words of colour bands.
func bandColours(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == ',' || r == '-' })
}

// componentCode decodes what is printed on a part.
var componentCode = &Calculator{
	Name: "component-code",
	Doc:  "what a code on a part means: 471, 104, 4R7, 4k7, R005, or the colours of a resistor's bands",
	Formula: "two or three digits and the number of zeros; or a letter in place of the point; or digits, " +
		"multiplier and tolerance by colour",
	Source: "IEC 60062:2016 (R39); that the last digit counts zeros is unverified; worked values: handbook 11.4 " +
		"W76, W77",
	Standing: standard.Verified,
	Assumptions: []string{
		"part: resistor counts in Ω, capacitor in pF, inductor in µH; a letter R, k, M is the point of ohms, p, " +
			"n, u, m of farads",
	},
	Run:  runComponentCode,
	Take: takeCodes,
}

func runComponentCode(a *Arguments) ([]Result, error) {
	code, part := strings.TrimSpace(a.text("code")), a.text("part")
	if part == "" {
		part = "resistor"
	}
	if _, ok := standard.CodeLetter(part, "-", "unit"); !ok {
		return nil, a.refuse("part", ErrInputImpossible, "it is resistor, capacitor or inductor")
	}
	if colours := bandColours(code); len(colours) >= 3 {
		return colourBands(a, colours)
	}
	v, tolerance, ok := standard.DecodeCode(code, part)
	if !ok {
		return nil, a.refuse("code", ErrInputImpossible,
			"want digits such as 471, a letter as the point such as 4R7, or three or more colours")
	}
	results := []Result{{Name: "value", Doc: "value", Quantity: v}}
	if tolerance != "" {
		results = append(results, Result{Name: "tolerance", Doc: "tolerance",
			Quantity: schema.One(schema.MustDecimal(tolerance), "%")})
	}
	return results, nil
}

// colourBands reads the bands of a resistor.
func colourBands(a *Arguments, colours []string) ([]Result, error) {
	if len(colours) > 5 {
		return nil, a.refuse("code", ErrInputImpossible, "three to five bands have a value")
	}
	rows := schema.MustReadTable(tables, "tables/colour_bands.tsv").Rows
	cell := func(i int, column string) (string, error) {
		k := slices.IndexFunc(rows, func(r schema.Row) bool { return r.Get("colour") == colours[i] })
		if k < 0 || rows[k].Get(column) == "-" {
			return "", a.refuse("code", ErrInputImpossible, fmt.Sprintf("%s has no %s", colours[i], column))
		}
		return rows[k].Get(column), nil
	}
	significant := 2
	if len(colours) == 5 {
		significant = 3
	}
	digits := ""
	for i := range significant {
		d, err := cell(i, "digit")
		if err != nil {
			return nil, err
		}
		digits += d
	}
	power, err := cell(significant, "power")
	if err != nil {
		return nil, err
	}
	results := []Result{{Name: "value", Doc: "value",
		Quantity: schema.One(schema.MustDecimal(digits).Shift(atoi(power)).Trim(), "Ohm")}}
	if len(colours) > significant+1 {
		t, err := cell(significant+1, "tolerance")
		if err != nil {
			return nil, err
		}
		results = append(results, Result{Name: "tolerance", Doc: "tolerance",
			Quantity: schema.One(schema.MustDecimal(t), "%")})
	}
	return results, nil
}
