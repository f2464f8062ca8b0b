package main

import (
	"io"
	"strings"

	"saywatt/internal/demo"
	"saywatt/internal/export"
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
	if c.Captions {
		_, err := io.WriteString(e.stdout, demo.Captions())
		return err
	}
	r := reader{env: e}
	got := r.stream(demo.Name, strings.NewReader(demo.Captions()))
	if got.err != nil {
		return got.err
	}
	return c.writer(e, export.FormatSheet).Write(got.record, got.source)
}
