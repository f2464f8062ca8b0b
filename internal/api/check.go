package api

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"slices"

	"saywatt/internal/export"
	"saywatt/schema"
	"saywatt/validate"
)

// check answers a record with what the rules say of it. Where its form is
// wrong, that is what is found, and nothing else is looked at.
func (s *service) check(w http.ResponseWriter, q *http.Request) error {
	if err := wantJSON(q); err != nil {
		return err
	}
	text, err := io.ReadAll(q.Body)
	if err != nil {
		return s.bodyError(err)
	}
	found, r, err := validate.CheckDocument(text)
	if err != nil {
		return err
	}
	checked := export.Checked{File: q.URL.Query().Get("name"), Findings: found, Of: r}
	if checked.File == "" {
		checked.File = "record"
	}
	return answer(w, func(w io.Writer) error { return export.WriteFindingsJSON(w, []export.Checked{checked}) })
}

func (s *service) rules(w http.ResponseWriter, q *http.Request) error {
	return answer(w, func(w io.Writer) error { return export.WriteRulesJSON(w, validate.Families()) })
}

// calculators lists the calculators with their inputs.
func (s *service) calculators(w http.ResponseWriter, q *http.Request) error {
	type input struct {
		Name     string           `json:"name"`
		Doc      string           `json:"doc"`
		Unit     schema.Unit      `json:"unit,omitempty"`
		Required bool             `json:"required"`
		Default  *schema.Quantity `json:"default,omitempty"`
	}
	type calculator struct {
		Name    string  `json:"name"`
		Doc     string  `json:"doc"`
		Formula string  `json:"formula"`
		Source  string  `json:"source"`
		Inputs  []input `json:"inputs"`
	}
	list := []calculator{}
	for _, c := range validate.Calculators() {
		j := calculator{c.Name, c.Doc, c.Formula, c.Source, []input{}}
		for _, in := range c.Inputs() {
			i := input{Name: in.Name, Doc: in.Doc, Unit: in.Unit, Required: in.Required}
			if !in.Default.IsZero() {
				i.Default = &in.Default
			}
			j.Inputs = append(j.Inputs, i)
		}
		list = append(list, j)
	}
	return answer(w, func(w io.Writer) error { return json.NewEncoder(w).Encode(list) })
}

// sum is a calculation to be done: with inputs, in spelled quantities
// ("3.25 A") or words, and on a record where one is given.
type sum struct {
	Inputs map[string]string `json:"inputs"`
	Record json.RawMessage   `json:"record"`
}

// calc answers inputs with what the calculator makes of them.
func (s *service) calc(w http.ResponseWriter, q *http.Request) error {
	c, ok := validate.CalculatorNamed(q.PathValue("name"))
	if !ok {
		return NewProblem(http.StatusNotFound, fmt.Sprintf("there is no calculator %q; see %scalc", q.PathValue("name"), Prefix))
	}
	if err := wantJSON(q); err != nil {
		return err
	}
	var in sum
	d := json.NewDecoder(q.Body)
	d.DisallowUnknownFields()
	if err := d.Decode(&in); err != nil {
		return s.bodyError(fmt.Errorf("the inputs' JSON: %w", err))
	}
	given, err := in.given(c)
	if err != nil {
		return err
	}
	if in.Record == nil {
		a, err := c.Do(given)
		if err != nil {
			return NewProblem(http.StatusUnprocessableEntity, err.Error())
		}
		return answer(w, func(w io.Writer) error { return export.WriteAnswersJSON(w, []*validate.Answer{a}) })
	}
	r, err := schema.ReadRecord(bytes.NewReader(in.Record))
	if err != nil {
		return err
	}
	all, err := c.DoRecord(r, given)
	if err != nil {
		return NewProblem(http.StatusUnprocessableEntity, err.Error())
	}
	return answer(w, func(w io.Writer) error { return export.WriteAnswersJSON(w, all) })
}

// given reads the inputs, in the order that the calculator has them.
func (in *sum) given(c *validate.Calculator) ([]validate.Given, error) {
	var given []validate.Given
	known := c.Inputs()
	for name := range in.Inputs {
		if !slices.ContainsFunc(known, func(k validate.Input) bool { return k.Name == name }) {
			return nil, NewProblem(http.StatusUnprocessableEntity, fmt.Sprintf("%s has no input %q", c.Name, name))
		}
	}
	for _, k := range known {
		text, ok := in.Inputs[k.Name]
		if !ok {
			continue
		}
		g := validate.Given{Input: k.Name, From: validate.FromGiven, Text: text}
		if !k.Text {
			quantity, err := validate.ParseSpelled(text)
			if err != nil {
				return nil, NewProblem(http.StatusUnprocessableEntity, fmt.Sprintf("%s: %v", k.Name, err))
			}
			g = validate.Given{Input: k.Name, From: validate.FromGiven, Quantity: quantity}
		}
		given = append(given, g)
	}
	return given, nil
}
