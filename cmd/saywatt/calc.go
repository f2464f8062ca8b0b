package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"saywatt/internal/export"
	"saywatt/schema"
	"saywatt/validate"
)

// calcCmd runs desk calculators. Each has flags of its own, so everything from
// the calculator's name on is parsed here and not by kong.
type calcCmd struct {
	Args []string `arg:"" optional:"" passthrough:"" help:"The calculator and its inputs."`
}

func (calcCmd) Help() string {
	return `Usage: saywatt calc [NAME [--INPUT VALUE ...] [--record FILE] [--format F]]

Desk calculators, exact in decimals. Without NAME, lists them; with --help
after NAME, tells a calculator's inputs, formula, source and assumptions.

Values are numbers with a unit: 20V, "3.25 A", 10000mAh, 3.3-21V, 85%.

Flags after NAME:
      --record FILE  take the inputs from a record, as "saywatt read -f record"
                     or "-f jsonl" writes it, or from the feed of "saywatt emit"
                     ("-": standard input); inputs given beside it stand in for
                     those of the record. Where an input is open, the answer for
                     its other readings follows.
  -f, --format F     text        for people (default)
                     json        an array of answers, every digit kept
      --ascii        nothing beyond ASCII in text; so too where the locale is
                     not UTF-8

Example:
  saywatt calc level-power --voltage 20V --current 3.25A
`
}

func (c *calcCmd) Run(e *env) error {
	if len(c.Args) == 0 || len(c.Args) == 1 && c.Args[0] == "--ascii" {
		return (&reportFormat{ASCII: len(c.Args) == 1}).sheet(e).WriteCalculators(e.stdout, validate.Calculators())
	}
	calculator, ok := validate.CalculatorNamed(c.Args[0])
	if !ok {
		return &usageError{fmt.Errorf("there is no calculator %q; \"saywatt calc\" lists them", c.Args[0]), "saywatt calc"}
	}
	line, err := parseCalcLine(calculator, c.Args[1:])
	if err != nil {
		return &usageError{err, "saywatt calc " + calculator.Name}
	}
	if line.help {
		return line.sheet(e).WriteCalculator(e.stdout, calculator)
	}
	answers, err := line.answers(e, calculator)
	if len(answers) == 0 {
		return err
	}
	write := line.sheet(e).WriteAnswers
	if line.json() {
		write = export.WriteAnswersJSON
	}
	return errors.Join(write(e.stdout, answers), err)
}

// calcLine is a parsed command line of one calculator.
type calcLine struct {
	reportFormat
	given  []validate.Given
	record string
	help   bool
}

// parseCalcLine reads "--input value", "--input=value" and the flags common to
// all calculators.
func parseCalcLine(c *validate.Calculator, args []string) (calcLine, error) {
	var line calcLine
	inputs := map[string]validate.Input{}
	for _, in := range c.Inputs() {
		inputs[in.Flag()] = in
	}
	for len(args) > 0 {
		flag := args[0]
		args = args[1:]
		if flag == "--help" || flag == "-h" {
			line.help = true
			continue
		}
		if flag == "--ascii" {
			line.ASCII = true
			continue
		}
		name, value, joined := strings.Cut(flag, "=")
		if !strings.HasPrefix(name, "-") {
			return line, fmt.Errorf("%q is no flag; inputs are given as --%s VALUE", flag, c.Inputs()[0].Flag())
		}
		if !joined {
			if len(args) == 0 {
				return line, fmt.Errorf("%s: the value is missing", name)
			}
			value, args = args[0], args[1:]
		}
		switch name {
		case "--record":
			line.record = value
			continue
		case "--format", "-f":
			if value != "text" && value != "json" {
				return line, fmt.Errorf("format %q is not known; there are text, json", value)
			}
			line.Format = value
			continue
		}
		in, ok := inputs[strings.TrimPrefix(name, "--")]
		if !ok {
			return line, fmt.Errorf("%s is no input of %s", name, c.Name)
		}
		g, err := in.Give(value)
		if err != nil {
			return line, fmt.Errorf("%s: %w", name, err)
		}
		line.given = append(line.given, g)
	}
	return line, nil
}

// answers runs the calculator on what was given, or on a record.
func (l calcLine) answers(e *env, c *validate.Calculator) ([]*validate.Answer, error) {
	if l.record == "" {
		a, err := c.Do(l.given)
		if err != nil {
			return nil, err
		}
		return []*validate.Answer{a}, nil
	}
	records, err := e.readRecords(l.record)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", l.record, err)
	}
	var all []*validate.Answer
	var refused []error
	for i, r := range records {
		answers, err := c.DoRecord(r, l.given)
		if len(records) > 1 {
			for _, a := range answers {
				a.Label = strings.TrimSpace(fmt.Sprintf("record %d %s", i+1, a.Label))
			}
			if err != nil {
				err = fmt.Errorf("record %d: %w", i+1, err)
			}
		}
		all = append(all, answers...)
		refused = append(refused, err)
	}
	return all, errors.Join(refused...)
}

// readRecords reads the records of a file, or of standard input for "-": one JSON
// document, JSON Lines, or the lines of a feed.
func (e *env) readRecords(name string) ([]*schema.Record, error) {
	in := e.stdin
	if name != "-" {
		f, err := e.open(name)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		in = f
	}
	d := json.NewDecoder(io.LimitReader(in, largestRecord))
	var records []*schema.Record
	for {
		var raw json.RawMessage
		err := d.Decode(&raw)
		if err == io.EOF && len(records) > 0 {
			return records, nil
		}
		if err != nil {
			return nil, err
		}
		r, err := schema.ReadRecord(bytes.NewReader(export.RecordOf(raw)))
		if err != nil {
			if len(records) > 0 || d.More() {
				err = fmt.Errorf("record %d: %w", len(records)+1, err)
			}
			return nil, err
		}
		records = append(records, r)
	}
}

// readRecord reads a record from a file, or from standard input for "-".
func (e *env) readRecord(name string) (*schema.Record, error) {
	if name == "-" {
		return schema.ReadRecord(e.stdin)
	}
	f, err := e.open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return schema.ReadRecord(io.LimitReader(f, largestRecord))
}

// largestRecord bounds what is read of a file that claims to be a record, in
// bytes; a record of a two-hour review has about a megabyte.
const largestRecord = 64 << 20
