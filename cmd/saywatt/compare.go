package main

import (
	"errors"

	"saywatt/internal/archive"
	"saywatt/internal/export/overview"
)

type compareCmd struct {
	archiveFlag
	formFlag
	Format string   `short:"f" enum:"text,json,csv,html" default:"text" help:"Form of the output: text, json, csv or html."`
	ASCII  bool     `name:"ascii" help:"Nothing beyond ASCII in text."`
	Review []string `arg:"" help:"Two reviews of the archive or more, by their names."`
}

func (compareCmd) Help() string {
	return `Usage: saywatt compare [FLAG ...] REVIEW REVIEW ...

Sets reviews of the archive side by side, by field: what differs first, units
converted to those of the first review, ratios to it behind the values, power
per mass and volume, energy per mass, and the parts that all of them have. Of
several values the highest is first; of levels it alone is shown. Each
form keeps the marks: * repaired, ? needs your ear, ✓ settled by a person, † may
belong elsewhere, ‡ probably belongs elsewhere.

` + reviewHelp + `
Flags:
` + archiveHelp + `  -f, --format F     text (default), json, csv (RFC 4180) or html, one page that
                     needs nothing else
` + jsonHelp + `      --ascii        nothing beyond ASCII in text; so too where the locale is
                     not UTF-8

Example:
  saywatt compare -f html station cable > compared.html
`
}

func (c *compareCmd) Run(e *env) error {
	if len(c.Review) < 2 {
		return &usageError{errors.New("a comparison needs two reviews or more"), "saywatt compare"}
	}
	if err := c.checkForm(&c.Format); err != nil {
		return &usageError{err, "saywatt compare"}
	}
	for i, name := range c.Review {
		if err := namedBefore(c.Review[:i], name, nil); err != nil {
			return &usageError{err, "saywatt compare"}
		}
	}
	return c.with(e, func(a *archive.Archive) error {
		got, err := a.Compare(c.Review...)
		if err != nil {
			return err
		}
		damages := got.Damages
		switch c.Format {
		case "json":
			err = overview.WriteComparisonJSON(e.stdout, got)
		case "csv":
			err = overview.WriteComparisonCSV(e.stdout, got)
		case "html":
			err = overview.WriteComparisonHTML(e.stdout, got)
		default:
			got.Damages = nil // reported on standard error
			look := lookFlags{ASCII: c.ASCII}
			err = look.look(e).WriteComparison(e.stdout, got)
		}
		return errors.Join(err, e.damaged(damages))
	})
}
