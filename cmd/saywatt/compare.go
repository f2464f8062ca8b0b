package main

import (
	"errors"

	"saywatt/internal/archive"
)

type compareCmd struct {
	archiveFlag
	Format string   `short:"f" enum:"text,csv,html" default:"text" help:"Form of the output: text, csv or html."`
	ASCII  bool     `name:"ascii" help:"Nothing beyond ASCII in text."`
	Review []string `arg:"" help:"Names of reviews in the archive."`
}

func (compareCmd) Help() string {
	return `Usage: saywatt compare [FLAG ...] REVIEW REVIEW ...

Sets reviews of the archive side by side, by field: what differs first, units
converted to those of the first review, ratios to it behind the values, power
per mass and volume, energy per mass, and the parts that all of them have.

Flags:
` + archiveHelp + `  -f, --format F     text (default), csv (RFC 4180) or html, one page that
                     needs nothing else
      --ascii        nothing beyond ASCII in text; so too where the locale is
                     not UTF-8

Example:
  saywatt compare -f html station cable > compared.html
`
}

func (c *compareCmd) Run(e *env) error {
	if len(c.Review) < 2 {
		return &usageError{errors.New("a comparison needs two reviews or more"), "saywatt compare"}
	}
	return c.with(e, func(a *archive.Archive) error {
		got, err := a.Compare(c.Review...)
		if err != nil {
			return err
		}
		switch c.Format {
		case "csv":
			return archive.WriteComparisonCSV(e.stdout, got)
		case "html":
			return archive.WriteComparisonHTML(e.stdout, got)
		}
		look := lookFlags{ASCII: c.ASCII}
		return look.look(e).WriteComparison(e.stdout, got)
	})
}
