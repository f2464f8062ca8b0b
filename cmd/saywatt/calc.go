package main

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/export/report"
	"saywatt/internal/intake"
	"saywatt/schema"
	"saywatt/validate/calc"
)

// calcCmd runs desk calculators. Each has flags of its own, so everything from
// the calculator's name on is parsed here and not by kong.
type calcCmd struct {
	Args []string `arg:"" optional:"" passthrough:"" help:"The calculator and its inputs."`
}

func (calcCmd) Help() string {
	return `Usage: saywatt calc [NAME [--INPUT VALUE ...] [--record FILE] [--json]]

Desk calculators, exact in decimals. Without NAME, lists them; with --help
after NAME, prints a calculator's inputs, formula, source and assumptions.

Values are numbers with a unit: 20V, "3.25 A", 10000mAh, 3.3-21V, 85%.

Flags after NAME:
      --record FILE  take the inputs from records: a record, JSON Lines, a feed,
                     or captions, which are read first ("-": standard input);
                     inputs given beside it stand in for those of the record.
                     Where an input is open, the answer for its other readings
                     follows. Of several records, those without its inputs are
                     reported and left out
      --answers F    a person's decisions on those captions
      --max-bytes N  refuse larger files and records; 67108864 where not given
  -f, --format F     text        for people (default)
                     json        an array of answers, every digit kept
      --json         the same as --format json, also for the list
      --ascii        nothing beyond ASCII in text; so too where the locale is
                     not UTF-8

Example:
  saywatt calc level-power --voltage 20V --current 3.25A
`
}

func (c *calcCmd) Run(e *env) error {
	if len(c.Args) == 0 || strings.HasPrefix(c.Args[0], "-") {
		return listCalculators(e, c.Args)
	}
	calculator, ok := calc.Named(c.Args[0])
	if !ok {
		return &usageError{fmt.Errorf("there is no calculator %q%s; \"saywatt calc\" lists them",
			c.Args[0], didYouMean(c.Args[0], calculatorNames())), "saywatt calc"}
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
		write = report.WriteAnswersJSON
	}
	return errors.Join(write(e.stdout, answers), err)
}

// listCalculators lists them, as the flags say.
func listCalculators(e *env, flags []string) error {
	var f reportFormat
	for _, flag := range flags {
		switch flag {
		case "--ascii":
			f.ASCII = true
		case "--json":
			f.JSON = true
		default:
			return &usageError{fmt.Errorf("%s stands before the name of a calculator, and its flags stand behind that",
				flag), "saywatt calc"}
		}
	}
	if f.json() {
		return report.WriteCalculatorsJSON(e.stdout, calc.All())
	}
	return f.sheet(e).WriteCalculators(e.stdout, calc.All())
}

func calculatorNames() []string {
	var names []string
	for _, c := range calc.All() {
		names = append(names, c.Name)
	}
	return names
}

// calcLine is a parsed command line of one calculator.
type calcLine struct {
	reportFormat
	given   []calc.Given
	record  string
	decided []string
	most    positive // bytes of a file or record; 0 where not given
	help    bool
}

// parseCalcLine reads "--input value", "--input=value" and the flags common to
// all calculators.
func parseCalcLine(c *calc.Calculator, args []string) (calcLine, error) {
	var line calcLine
	for len(args) > 0 {
		flag := args[0]
		args = args[1:]
		if line.alone(flag) {
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
		if err := line.valued(c, name, value); err != nil {
			return line, err
		}
	}
	return line, nil
}

// alone takes a flag that has no value.
func (l *calcLine) alone(flag string) bool {
	switch flag {
	case "--help", "-h":
		l.help = true
	case "--ascii":
		l.ASCII = true
	case "--json":
		l.Format = "json"
	default:
		return false
	}
	return true
}

// valued takes a flag with its value: one common to all calculators, or an
// input of this one.
func (l *calcLine) valued(c *calc.Calculator, name, value string) error {
	switch name {
	case "--record":
		l.record = value
		return nil
	case "--answers":
		l.decided = append(l.decided, value)
		return nil
	case "--max-bytes":
		n, err := strconv.ParseInt(value, 10, 64)
		if err != nil || n < 1 {
			return fmt.Errorf("--max-bytes %s: want a whole number of bytes, 1 at least", value)
		}
		l.most = positive(n)
		return nil
	case "--format", "-f":
		if value != "text" && value != "json" {
			return fmt.Errorf("format %q is not known%s; there are text, json", value,
				didYouMean(value, []string{"text", "json"}))
		}
		l.Format = value
		return nil
	}
	flags := []string{"--record", "--answers", "--max-bytes", "--format", "--json", "--ascii", "--help"}
	for _, in := range c.Inputs() {
		if "--"+in.Flag() != name {
			flags = append(flags, "--"+in.Flag())
			continue
		}
		g, err := in.Give(value)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		l.given = append(l.given, g)
		return nil
	}
	return fmt.Errorf("%s is no input of %s%s", name, c.Name, didYouMean(name, flags))
}

// answers runs the calculator on what was given, or on records. Of several records
// those that lack its inputs are reported, and are no failure where others have them.
func (l calcLine) answers(e *env, c *calc.Calculator) ([]*calc.Answer, error) {
	if l.record == "" {
		a, err := c.Do(l.given)
		if err != nil {
			return nil, err
		}
		return []*calc.Answer{a}, nil
	}
	if err := c.Recorded(); err != nil {
		return nil, err
	}
	e.bounded = true
	from := sourceFlags{File: []string{l.record}, Answers: l.decided, MaxBytes: l.most}
	var records []*schema.Record
	failed, err := from.each(e, func(i *intake.Item) error {
		records = append(records, i.Record)
		return nil
	})
	if err != nil {
		return nil, err
	}
	if failed {
		return nil, errReported
	}
	var all []*calc.Answer
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
		if err != nil {
			refused = append(refused, err)
		}
	}
	if len(records) == 1 || len(refused) == 0 {
		return all, errors.Join(refused...)
	}
	for _, err := range refused {
		e.complain(err)
	}
	if len(all) > 0 && !slices.ContainsFunc(refused, func(e error) bool { return !lacks(e) }) {
		return all, nil
	}
	return all, errReported
}

// lacks reports whether a record was refused for nothing but inputs that it lacks.
func lacks(err error) bool {
	var refused calc.Refused
	if errors.As(err, &refused) {
		return !slices.ContainsFunc(refused, func(e error) bool { return !errors.Is(e, calc.ErrInputMissing) })
	}
	var bare *calc.RecordError
	return errors.As(err, &bare)
}
