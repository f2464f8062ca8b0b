package calc

import (
	"embed"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"saywatt/internal/knowledge"
	"saywatt/schema"
	"saywatt/validate/standard"
)

// Calculator is one desk calculation as a value: what it computes, from what,
// on whose authority, and what it takes for granted. Numbers go in and come
// out as exact decimals; a quotient or logarithm without finite form carries
// 34 significant digits.
type Calculator struct {
	Name    string // lower case with hyphens
	Doc     string // one line
	Formula string // with the names of the inputs
	// standard and clause, or "common practice, no source"; references to papers of ours beside
	// them are not shown (schema.PlainSource)
	Source      string
	Standing    standard.Standing // how far Source was verified
	Assumptions []string          // what it takes for granted
	Cautions    []string          // ids of knowledge.Cautions; S10 goes with every one
	Run         func(a *Arguments) ([]Result, error)
	// Take finds the sets of inputs that a record offers. An input that the
	// record does not say is left out.
	Take func(r *schema.Record) []Taken
	// Unrecorded names the input without which nothing can be computed and
	// that no record holds; empty where records can hold all that is needed.
	Unrecorded string
}

// calculators is the suite, in the order in which it is listed.
var calculators = [...]*Calculator{
	levelPower,
	pdoDecode,
	pdoEncode,
	pdoList,
	requestDecode,
	markerDecode,
	packEnergy,
	usableEnergy,
	rechargeTime,
	runtimeAtLoad,
	airTravel,
	cableDrop,
	conductionLoss,
	fuseCurrent,
	energyDensity,
	powerDensity,
	efficiencyFloor,
	apparentPower,
	xDischarge,
	yLeakage,
	holdUp,
	resonance,
	cRate,
	phoneRefills,
	energyPrice,
	componentCode,
	nearestValue,
	wireGauge,
}

// All returns the suite of desk calculators in listing order. The
// slice is the caller's.
func All() []*Calculator { return slices.Clone(calculators[:]) }

// Named returns the calculator of the given name.
func Named(name string) (*Calculator, bool) {
	for _, c := range calculators {
		if c.Name == name {
			return c, true
		}
	}
	return nil, false
}

// Result is one computed quantity, or one finding in words.
type Result struct {
	Name     string
	Doc      string
	Quantity schema.Quantity // zero where the result is a word
	Text     string          // the word, or a remark to the quantity
}

// Taken is one set of inputs found in a record.
type Taken struct {
	Label   string // such as "output USB-C1 PD"
	Given   []Given
	Skipped string // why the calculator has nothing for it; "" where it has
}

// Answer is a finished calculation with everything needed to check it.
type Answer struct {
	Calculator *Calculator
	Label      string  // of the record's inputs, empty otherwise
	Given      []Given // every input used, defaults included, in input order
	Results    []Result
	Cautions   []string // texts
}

// Do runs the calculator. Inputs left out take their defaults. An unknown,
// missing, mismatched or impossible input is an *InputError.
func (c *Calculator) Do(given []Given) (*Answer, error) {
	args, err := c.arguments(given)
	if err != nil {
		return nil, err
	}
	results, err := c.Run(args)
	if err != nil {
		return nil, err
	}
	return &Answer{Calculator: c, Given: args.used(), Results: results, Cautions: c.CautionTexts()}, nil
}

// DoRecord runs the calculator on each set of inputs that the record offers;
// inputs in extra stand in for what the record says or leaves out. A set that
// is refused does not stop the others: the error is Refused, each with the
// label of its set, and comes with the answers that there are. A record
// that offers nothing is a *RecordError. What Take skips comes last, as an
// answer with the one result "skipped".
func (c *Calculator) DoRecord(r *schema.Record, extra []Given) ([]*Answer, error) {
	if err := c.Recorded(); err != nil {
		return nil, err
	}
	var answers, skipped []*Answer
	var refused Refused
	for _, t := range c.Take(r) {
		if t.Skipped != "" {
			skipped = append(skipped, &Answer{Calculator: c, Label: t.Label, Cautions: c.CautionTexts(),
				Results: []Result{{Name: "skipped", Doc: "why there is no answer", Text: t.Skipped}}})
			continue
		}
		given := slices.Clone(extra)
		for _, g := range t.Given {
			if !slices.ContainsFunc(extra, func(e Given) bool { return e.Input == g.Input }) {
				given = append(given, g)
			}
		}
		a, err := c.Do(given)
		if err != nil {
			refused = append(refused, fmt.Errorf("%s: %w", t.Label, err))
			continue
		}
		a.Label = t.Label
		answers = append(append(answers, a), c.otherwise(r, t.Label, given)...)
	}
	answers = append(answers, skipped...)
	if answers == nil && refused == nil {
		return nil, &RecordError{Calculator: c.Name, Product: r.Product.Name}
	}
	if refused == nil {
		return answers, nil
	}
	return answers, refused
}

// Refused says why a calculator refused some sets of inputs of a record.
type Refused []error

func (e Refused) Error() string   { return errors.Join(e...).Error() }
func (e Refused) Unwrap() []error { return e }

// Recorded says whether records can hold what the calculator computes from:
// the error is a *RecordError that names the input which none holds.
func (c *Calculator) Recorded() error {
	if c.Unrecorded == "" {
		return nil
	}
	return &RecordError{Calculator: c.Name, Unrecorded: c.Unrecorded}
}

// mostReadings is how many other readings of an open input are answered for.
const mostReadings = 3

// otherwise answers for the other readings of the open inputs, one input at a
// time: a person who decides what was said sees what hangs on it.
func (c *Calculator) otherwise(r *schema.Record, label string, given []Given) []*Answer {
	var answers []*Answer
	for i, g := range given {
		for _, o := range g.otherValues(r) {
			with := slices.Clone(given)
			with[i].Quantity = o
			if a, err := c.Do(with); err == nil {
				a.Label = strings.TrimSpace(fmt.Sprintf("%s if %s is %s", label, flagName(g.Input), o))
				answers = append(answers, a)
			}
		}
	}
	return answers
}

// otherValues are what an open input may be instead: the other readings of what was
// said, or what was reckoned of them.
func (g *Given) otherValues(r *schema.Record) []schema.Quantity {
	if !g.Open || len(g.others) > 0 {
		return g.others
	}
	return otherReadings(r, g.Said, g.Quantity)
}

// otherReadings are what the first of the quantities may be instead of what it was
// taken for.
func otherReadings(r *schema.Record, numbers []int, taken schema.Quantity) []schema.Quantity {
	if len(numbers) == 0 {
		return nil
	}
	said := r.Quantity(numbers[0])
	if said == nil {
		return nil
	}
	var others []schema.Quantity
	for k := range said.Readings[:min(len(said.Readings), mostReadings+1)] {
		if o := said.Readings[k].Quantity; o.Unit != taken.Unit || !o.Same(taken) {
			others = append(others, o)
		}
	}
	return others
}

// CautionTexts returns the safety cautions that go with the calculator.
func (c *Calculator) CautionTexts() []string {
	var texts []string
	for _, row := range deskKnowledge().cautions {
		if id := row.Get("id"); id == cautionRecord || slices.Contains(c.Cautions, id) {
			texts = append(texts, reckoned(row))
		}
	}
	return texts
}

// Caution returns a caution that goes with what is of no one record, "" for an
// id that has none.
func Caution(id string) string {
	for _, row := range deskKnowledge().cautions {
		if row.Get("id") == id {
			return reckoned(row)
		}
	}
	return ""
}

// reckoned is the text of a caution for what was reckoned: that for records where
// the row has no other words.
func reckoned(row schema.Row) string {
	if text := row.Get("reckoned"); text != "=" {
		return text
	}
	return row.Get("text")
}

// reckonedCautions are the cautions of calculators, by their numbers.
func reckonedCautions() []schema.Row {
	var rows []schema.Row
	for _, r := range knowledge.Cautions().Rows {
		if r.Get("reckoned") != "-" {
			rows = append(rows, r)
		}
	}
	number := func(r schema.Row) int { return atoi(strings.TrimPrefix(r.Get("id"), "S")) }
	slices.SortFunc(rows, func(a, b schema.Row) int { return number(a) - number(b) })
	return rows
}

// cautionRecord goes with everything computed.
const cautionRecord = "S10"

// longestName is how many letters of a product's name an error shows.
const longestName = 80

// RecordError says that a record says nothing that a calculator could start
// from, or, with Unrecorded, that no record ever holds that input.
type RecordError struct{ Calculator, Product, Unrecorded string }

func (e *RecordError) Error() string {
	if e.Unrecorded != "" {
		return fmt.Sprintf("%s: no record holds its %s, a hexadecimal number: give it with --%[2]s",
			e.Calculator, flagName(e.Unrecorded))
	}
	what := "the record"
	if name := []rune(e.Product); len(name) > longestName {
		what += " of " + string(name[:longestName]) + "…"
	} else if len(name) > 0 {
		what += " of " + e.Product
	}
	return fmt.Sprintf("%s: %s has none of its inputs; give them as flags", e.Calculator, what)
}

// tables are the tables of this package, each with the columns "source" and
// "standing".
//
//go:embed tables/*.tsv
var tables embed.FS

// desk is the knowledge that the calculators work with.
type desk struct {
	inputs   map[string][]Input     // by calculator
	wires    map[int]schema.Decimal // Ohm/km by gauge number
	air      *schema.Table
	cautions []schema.Row     // by their numbers
	fuses    []schema.Decimal // IEC rated currents, A, rising
}

// deskKnowledge reads the embedded tables once. They are constants of the
// program: a malformed row is found by the tests, and panics here.
var deskKnowledge = sync.OnceValue(func() *desk {
	k := &desk{
		inputs:   map[string][]Input{},
		wires:    map[int]schema.Decimal{},
		air:      schema.MustReadTable(tables, "tables/air_travel.tsv"),
		cautions: reckonedCautions(),
	}
	for _, r := range schema.MustReadTable(tables, "tables/inputs.tsv").Rows {
		in, err := parseInput(r)
		if err != nil {
			panic(err)
		}
		k.inputs[r.Get("calculator")] = append(k.inputs[r.Get("calculator")], in)
	}
	for _, r := range standard.WireGauges().Rows {
		k.wires[atoi(r.Get("awg"))] = schema.MustDecimal(r.Get("ohm_per_km"))
	}
	for _, r := range standard.FuseCurrents().Rows {
		if r.Get("list") == "iec" {
			k.fuses = append(k.fuses, schema.MustDecimal(r.Get("current")))
		}
	}
	return k
})

// constant is Exact for a single number.
func constant(name string) schema.Decimal { return standard.Exact(name).Low }

// Inputs lists what the calculator asks for, in order.
func (c *Calculator) Inputs() []Input { return slices.Clone(deskKnowledge().inputs[c.Name]) }

// flagName is the input's name on the command line.
func flagName(input string) string { return strings.ReplaceAll(input, "_", "-") }
