package api

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"

	"saywatt/internal/export/report"
	"saywatt/schema"
	"saywatt/validate/calc"
	"saywatt/validate/form"
)

// calculators lists them.
func (a *api) calculators(c *call) error {
	all := []report.CalculatorJSON{}
	for _, x := range calc.All() {
		all = append(all, report.CalculatorOf(x))
	}
	return c.send(struct {
		Calculators []report.CalculatorJSON `json:"calculators"`
	}{all})
}

// named is the calculator of a call.
func (c *call) calculator() (*calc.Calculator, error) {
	x, ok := calc.Named(c.name)
	if !ok {
		return nil, &refusal{status: http.StatusNotFound,
			detail: fmt.Sprintf("there is no calculator %q; %scalc lists them", clip(c.name), Base)}
	}
	return x, nil
}

func (a *api) calculator(c *call) error {
	x, err := c.calculator()
	if err != nil {
		return err
	}
	return c.send(report.CalculatorOf(x))
}

// calculated is the answer of a calculation: one for each set of inputs, and
// why there is none for others that the record offers.
type calculated struct {
	Answers json.RawMessage `json:"answers"`
	Refused []string        `json:"refused,omitempty"`
}

// calculate runs a calculator on what is given, or on a record.
func (a *api) calculate(c *call) error {
	x, err := c.calculator()
	if err != nil {
		return err
	}
	given, record, err := calculation(x, c.body)
	if err != nil {
		return err
	}
	var answers []*calc.Answer
	var refused error // of some sets of a record
	answers, err = work(c.r.Context(), a, func() ([]*calc.Answer, error) {
		if record == nil {
			one, err := x.Do(given)
			return []*calc.Answer{one}, err
		}
		r, err := recordOf(record)
		if err != nil {
			return nil, err
		}
		some, err := x.DoRecord(r, given)
		if len(some) > 0 {
			refused, err = err, nil
		}
		return some, err
	})
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := report.WriteAnswersJSON(&b, answers); err != nil {
		return err
	}
	out := calculated{Answers: b.Bytes()}
	for _, err := range each(refused) {
		out.Refused = append(out.Refused, err.Error())
	}
	return c.send(out)
}

// each takes joined errors apart.
func each(err error) []error {
	if err == nil {
		return nil
	}
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		return joined.Unwrap()
	}
	return []error{err}
}

// calculation reads inputs, as people type them or as records have them, and
// a record.
func calculation(x *calc.Calculator, body []byte) (given []calc.Given, record json.RawMessage, err error) {
	inputs := map[string]calc.Input{}
	for _, in := range x.Inputs() {
		inputs[in.Name] = in
	}
	err = object(body, func(name string, v value) error {
		switch name {
		case "inputs":
			return v.members(func(name string, v value) error {
				in, ok := inputs[name]
				if !ok {
					return &calc.InputError{Calculator: x.Name, Input: name, Err: calc.ErrInputUnknown}
				}
				g, err := give(in, v)
				given = append(given, g)
				return err
			})
		case "record":
			record = v.raw
			return nil
		}
		if _, input := inputs[name]; input {
			return fmt.Errorf(`inputs are members of "inputs": {"inputs":{"%s":…}}`, name)
		}
		return errUnknown("inputs", "record")
	})
	return given, record, err
}

// give reads the value of an input.
func give(in calc.Input, v value) (calc.Given, error) {
	switch {
	case v.raw[0] == '"':
		s, err := v.text()
		if err != nil {
			return calc.Given{}, err
		}
		g, err := in.Give(s)
		if err != nil {
			err = &refusal{status: http.StatusUnprocessableEntity, kind: kindCalculation,
				detail: in.Name + ": " + err.Error(), place: &place{Member: v.member}}
		}
		return g, err
	case in.Text:
		return calc.Given{}, fmt.Errorf("want words, not %s", clip(string(v.raw)))
	case v.raw[0] == '{':
		g := calc.Given{Input: in.Name, From: calc.FromGiven}
		return g, json.Unmarshal(v.raw, &g.Quantity)
	}
	return calc.Given{}, fmt.Errorf(`want a quantity with its unit, "20 V" or {"value":20,"unit":"V"}, not %s`,
		clip(string(v.raw)))
}

// recordOf reads the record of a calculation; one of a wrong form is refused.
func recordOf(document []byte) (*schema.Record, error) {
	found, r, err := checkDocument(document)
	var form *form.Error
	switch {
	case errors.As(err, &form):
		return nil, &refusal{status: http.StatusBadRequest, kind: kindBody, detail: "record: " + err.Error(),
			place: &place{Member: "/record"}}
	case err != nil:
		return nil, err
	case r != nil:
		return r, nil
	}
	f := &found[0]
	detail := "record: " + f.Message
	if len(found) > 1 {
		detail += fmt.Sprintf("; and %d more, which %scheck lists", len(found)-1, Base)
	}
	place := &place{Member: "/record"}
	if len(f.Paths) > 0 {
		detail = f.Paths[0] + ": " + detail
	}
	return nil, &refusal{status: http.StatusUnprocessableEntity, kind: kindRecord, detail: detail, place: place}
}
