package calc

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"saywatt/internal/typed"
	"saywatt/schema"
)

// Input is what a calculator asks for, as in tables/inputs.tsv.
type Input struct {
	Name     string      // also the flag, with '_' as '-'
	Doc      string      // one line
	Unit     schema.Unit // the formula's unit; empty for words
	Text     bool        // takes words instead of a quantity
	Required bool
	Default  schema.Quantity // zero where there is none
	Bounds   Bounds
	Source   string // of default and bounds
	Standing string // verified, computed, unverified or practice
}

// Flag returns the name of the input on the command line.
func (in Input) Flag() string { return flagName(in.Name) }

// Given is an input with its value.
type Given struct {
	Input    string
	Quantity schema.Quantity
	Text     string            // for an input in words
	From     string            // "given", "default", or the path of a record
	Open     bool              // of a record: a value that a person has yet to confirm
	Said     []int             // of a record: numbers of the quantities said
	others   []schema.Quantity // of one reckoned from open values: what their other readings give
}

// Give reads a value of the input as people type it: words as they are,
// quantities as typed.Quantity takes them. The error is a *typed.Error.
func (in Input) Give(text string) (Given, error) {
	g := Given{Input: in.Name, From: FromGiven}
	if in.Text {
		g.Text = text
		return g, nil
	}
	var err error
	g.Quantity, err = typed.Quantity(text)
	return g, err
}

// Origins of a Given.
const (
	FromGiven   = "given"
	FromDefault = "default"
)

// Bounds is the interval of values that are possible, in the unit of the
// input.
type Bounds struct {
	Low, High         *schema.Decimal // nil for no limit
	OpenLow, OpenHigh bool            // the limit itself is outside
	Whole             bool            // whole numbers only
}

// contains reports whether v is possible.
func (b Bounds) contains(v schema.Decimal) bool {
	if b.Low != nil {
		if c := v.Cmp(*b.Low); c < 0 || c == 0 && b.OpenLow {
			return false
		}
	}
	if b.High != nil {
		if c := v.Cmp(*b.High); c > 0 || c == 0 && b.OpenHigh {
			return false
		}
	}
	return !b.Whole || v.IsWhole()
}

// In says the interval in words: "above 0 % and at most 100 %".
func (b Bounds) In(u schema.Unit) string {
	var parts []string
	if b.Whole {
		parts = append(parts, "a whole number")
	}
	if b.Low != nil {
		word := "at least "
		if b.OpenLow {
			word = "above "
		}
		parts = append(parts, word+schema.One(*b.Low, u).String())
	}
	if b.High != nil {
		word := "at most "
		if b.OpenHigh {
			word = "below "
		}
		parts = append(parts, word+schema.One(*b.High, u).String())
	}
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}

// ErrBounds is the cause of a malformed interval in a table.
var ErrBounds = errors.New("not an interval")

// parseBounds reads "(0,100]", "[0,)", "whole [1,)", and "-" for none.
func parseBounds(s string) (Bounds, error) {
	var b Bounds
	if s == "-" {
		return b, nil
	}
	rest, whole := strings.CutPrefix(s, "whole ")
	b.Whole = whole
	low, high, ok := strings.Cut(rest, ",")
	if !ok || low == "" || high == "" {
		return b, fmt.Errorf("%q: %w", s, ErrBounds)
	}
	b.OpenLow, b.OpenHigh = low[0] == '(', high[len(high)-1] == ')'
	for _, end := range []struct {
		text string
		to   **schema.Decimal
	}{{low[1:], &b.Low}, {high[:len(high)-1], &b.High}} {
		if end.text == "" {
			continue
		}
		d, err := schema.ParseDecimal(end.text)
		if err != nil {
			return b, fmt.Errorf("%q: %w", s, ErrBounds)
		}
		*end.to = &d
	}
	return b, nil
}

func parseInput(r schema.Row) (Input, error) {
	in := Input{Name: r.Get("input"), Doc: r.Get("doc"), Source: r.Get("source"), Standing: r.Get("standing")}
	bounds, err := parseBounds(r.Get("bounds"))
	if err != nil {
		return in, err
	}
	in.Bounds = bounds
	if r.Get("unit") == "text" {
		in.Text = true
	} else {
		in.Unit = schema.Unit(r.Get("unit"))
	}
	switch need := r.Get("need"); need {
	case "required":
		in.Required = true
	case "optional":
	default:
		d, err := schema.ParseDecimal(need)
		if err != nil {
			return in, err
		}
		in.Default = schema.One(d, in.Unit)
	}
	return in, nil
}

// Causes of an InputError.
var (
	ErrInputUnknown    = errors.New("no such input")
	ErrInputMissing    = errors.New("is missing")
	ErrInputKind       = errors.New("is of the wrong kind")
	ErrInputUnit       = errors.New("has no unit")
	ErrInputImpossible = errors.New("is impossible")
	ErrInputRange      = errors.New("takes a single value")
	ErrInputConflict   = errors.New("does not go with another input")
)

// InputError names the input that a calculator refused, and the bound.
type InputError struct {
	Calculator string
	Input      string
	Value      string // as given, empty where missing
	Bound      string // what would be possible
	Err        error  // one of the causes above
}

func (e *InputError) Error() string {
	s := e.Calculator + ": " + flagName(e.Input)
	if e.Value != "" {
		s += " " + e.Value
	}
	s += " " + e.Err.Error()
	if e.Bound != "" {
		s += ": " + e.Bound
	}
	return s
}

func (e *InputError) Unwrap() error { return e.Err }

// Arguments are the checked inputs of one run, each in the unit of its Input.
type Arguments struct {
	calculator *Calculator
	inputs     []Input
	given      []Given // parallel to inputs; From is empty where absent
	converted  []schema.Quantity
}

func (c *Calculator) arguments(given []Given) (*Arguments, error) {
	a := &Arguments{calculator: c, inputs: deskKnowledge().inputs[c.Name]}
	a.given = make([]Given, len(a.inputs))
	a.converted = make([]schema.Quantity, len(a.inputs))
	for _, g := range given {
		i := a.index(g.Input)
		if i < 0 {
			return nil, &InputError{c.Name, g.Input, "", "has " + a.flags(), ErrInputUnknown}
		}
		if g.From == "" {
			g.From = FromGiven
		}
		q, err := a.inputs[i].accept(c.Name, g)
		if err != nil {
			return nil, err
		}
		a.given[i], a.converted[i] = g, q
	}
	for i, in := range a.inputs {
		switch {
		case a.given[i].From != "":
		case in.Required:
			return nil, &InputError{c.Name, in.Name, "", in.Doc, ErrInputMissing}
		case !in.Default.IsZero():
			a.given[i] = Given{Input: in.Name, Quantity: in.Default, From: FromDefault}
			a.converted[i] = in.Default
		}
	}
	return a, nil
}

// accept converts a given value to the input's unit and checks its bounds.
func (in Input) accept(calculator string, g Given) (schema.Quantity, error) {
	if in.Text {
		if g.Text == "" {
			return schema.Quantity{}, &InputError{calculator, in.Name, g.Quantity.String(), in.Doc, ErrInputKind}
		}
		return schema.Quantity{}, nil
	}
	q := g.Quantity
	fail := func(cause error, bound string) (schema.Quantity, error) {
		return schema.Quantity{}, &InputError{calculator, in.Name, g.Quantity.String(), bound, cause}
	}
	if q.Unit == "" && (in.Unit.Kind() == schema.KindRatio || in.Unit == "{AWG}") {
		if q.Unit = "1"; in.Unit == "{AWG}" {
			q.Unit = in.Unit
		}
	}
	if q.Unit == "" && in.Unit != "" && in.Unit != "1" {
		return fail(ErrInputUnit, "write it with one, such as "+q.Low.String()+
			strings.ReplaceAll(in.Unit.Symbol(), " ", ""))
	}
	low, err := q.Unit.Convert(q.Low, in.Unit)
	if err != nil {
		return fail(ErrInputKind, fmt.Sprintf("give a %s such as %s", in.Unit.Kind(),
			schema.One(schema.NewDecimal(1, 0), in.Unit)))
	}
	high, err := q.Unit.Convert(q.High, in.Unit)
	if err != nil {
		return fail(ErrInputKind, err.Error())
	}
	if low.Cmp(high) > 0 {
		return fail(ErrInputImpossible, "the low end is above the high end")
	}
	if !in.Bounds.contains(low) || !in.Bounds.contains(high) {
		return fail(ErrInputImpossible, "must be "+in.Bounds.In(in.Unit))
	}
	return schema.Quantity{Low: low, High: high, Range: q.Range, Unit: in.Unit}, nil
}

func (a *Arguments) index(input string) int {
	for i := range a.inputs {
		if a.inputs[i].Name == input {
			return i
		}
	}
	return -1
}

func (a *Arguments) flags() string {
	names := make([]string, len(a.inputs))
	for i, in := range a.inputs {
		names[i] = in.Flag()
	}
	return strings.Join(names, ", ")
}

func (a *Arguments) used() []Given {
	var used []Given
	for _, g := range a.given {
		if g.From != "" {
			used = append(used, g)
		}
	}
	return used
}

// has reports whether the input has a value, given or default.
func (a *Arguments) has(input string) bool {
	i := a.index(input)
	return i >= 0 && a.given[i].From != ""
}

// quantity returns the input in the unit of its Input, zero where absent.
func (a *Arguments) quantity(input string) schema.Quantity {
	if i := a.index(input); i >= 0 {
		return a.converted[i]
	}
	return schema.Quantity{}
}

// text returns an input in words.
func (a *Arguments) text(input string) string {
	if i := a.index(input); i >= 0 {
		return a.given[i].Text
	}
	return ""
}

// single returns the value of an input that must not be a range.
func (a *Arguments) single(input string) (schema.Decimal, error) {
	q := a.quantity(input)
	if q.Range {
		return q.Low, a.refuse(input, ErrInputRange, "")
	}
	return q.Low, nil
}

// singles is single for several inputs in a row.
func (a *Arguments) singles(inputs ...string) ([]schema.Decimal, error) {
	values := make([]schema.Decimal, len(inputs))
	for i, in := range inputs {
		v, err := a.single(in)
		if err != nil {
			return nil, err
		}
		values[i] = v
	}
	return values, nil
}

// refuse makes the error for an input that turned out impossible.
func (a *Arguments) refuse(input string, cause error, bound string) error {
	value := ""
	if i := a.index(input); i >= 0 && a.given[i].From != "" {
		if value = a.given[i].Text; value == "" {
			value = a.given[i].Quantity.String()
		}
	}
	return &InputError{a.calculator.Name, input, value, bound, cause}
}

// atoi reads a whole number of an embedded table.
func atoi(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		panic("table: " + err.Error())
	}
	return n
}
