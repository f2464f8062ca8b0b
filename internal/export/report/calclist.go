package report

import (
	"io"

	"saywatt/internal/export/plainjson"
	"saywatt/schema"
	"saywatt/validate/calc"
)

// CalculatorJSON is a calculator as programs have it.
type CalculatorJSON struct {
	Name        string            `json:"name"`
	Doc         string            `json:"doc"`
	Formula     string            `json:"formula"`
	Source      string            `json:"source"`
	Standing    string            `json:"standing"`
	Assumptions []string          `json:"assumptions"`
	Cautions    []string          `json:"cautions"`
	Inputs      []calculatorInput `json:"inputs"`
}

// calculatorInput is an input of a calculator.
type calculatorInput struct {
	Name     string           `json:"name"`
	Doc      string           `json:"doc"`
	Unit     schema.Unit      `json:"unit,omitempty"`
	Words    bool             `json:"words,omitempty"` // takes words instead of a quantity
	Required bool             `json:"required,omitempty"`
	Default  *schema.Quantity `json:"default,omitempty"`
	Bounds   string           `json:"bounds,omitempty"`
	Source   string           `json:"source,omitempty"` // of default and bounds
	Standing string           `json:"standing,omitempty"`
}

// CalculatorOf describes a calculator.
func CalculatorOf(c *calc.Calculator) CalculatorJSON {
	j := CalculatorJSON{Name: c.Name, Doc: c.Doc, Formula: c.Formula, Source: schema.PlainSource(c.Source),
		Standing:    c.Standing.String(),
		Assumptions: plainly(c.Assumptions), Cautions: c.CautionTexts(), Inputs: []calculatorInput{}}
	for _, in := range c.Inputs() {
		i := calculatorInput{Name: in.Name, Doc: in.Doc, Unit: in.Unit, Words: in.Text, Required: in.Required,
			Bounds: in.Bounds.In(in.Unit),
			Source: inputSource(&in), Standing: in.Standing}
		if !in.Default.IsZero() {
			i.Default = &in.Default
		}
		j.Inputs = append(j.Inputs, i)
	}
	return j
}

// inputSource is what the default and the bounds of an input rest on, "" where it
// has neither.
func inputSource(in *calc.Input) string {
	if in.Source == "" {
		return ""
	}
	return schema.PlainSource(in.Source)
}

// plainly is what assumptions say to someone without the project's own papers.
func plainly(assumptions []string) []string {
	plain := make([]string, 0, len(assumptions))
	for _, s := range assumptions {
		plain = append(plain, schema.PlainSource(s))
	}
	return plain
}

// WriteCalculatorsJSON writes an array of calculators.
func WriteCalculatorsJSON(w io.Writer, cs []*calc.Calculator) error {
	all := []CalculatorJSON{}
	for _, c := range cs {
		all = append(all, CalculatorOf(c))
	}
	return plainjson.Write(w, all)
}
