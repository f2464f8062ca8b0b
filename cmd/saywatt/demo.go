package main

import (
	"errors"
	"io"

	"saywatt/internal/demo"
	"saywatt/internal/export"
	"saywatt/internal/pipeline"
)

type demoCmd struct {
	output
	Captions bool `help:"Print the captions themselves."`
}

func (demoCmd) Help() string {
	return `Usage: saywatt demo [FLAG ...]

Reads a narration that comes with the program, captions with the usual garbles,
and prints the sheet of it. No file is needed. Maker, product and people are
invented. The exit status is 0 though some readings are open.

Flags:
      --captions     print the captions themselves, to compare or to keep
` + outputHelp + `
Example:
  saywatt demo --captions > demo.vtt && saywatt read -f readings demo.vtt
`
}

func (c *demoCmd) Run(e *env) error {
	if err := c.checkOutput(); err != nil {
		return &usageError{err, "saywatt demo"}
	}
	if c.Captions && (e.asked("--json") || e.asked("--format") || e.asked("-f")) {
		return &usageError{errors.New("--captions prints captions, and --json or --format the record: " +
			"two things to print"), "saywatt demo"}
	}
	if c.Captions {
		_, err := io.WriteString(e.stdout, demo.Captions())
		return err
	}
	t, err := pipeline.Read(demo.Name, []byte(demo.Captions()), 0)
	if err != nil {
		return err
	}
	r, err := pipeline.Run(t, pipeline.Options{})
	if err != nil {
		return err
	}
	return c.writer(e, c.format(export.FormatSheet), false).Write(r)
}
