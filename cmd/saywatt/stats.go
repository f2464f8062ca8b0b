package main

import (
	"strings"

	"saywatt/internal/archive"
)

type statsCmd struct {
	archiveFlag
	lookFlags
	Format  string   `short:"f" enum:"text,json,svg" default:"text" help:"Form of the output: text, json or svg."`
	Within  string   `help:"Only reviews that this query finds."`
	Subject []string `arg:"" help:"What to count: a property, or a part and a property."`
}

func (statsCmd) Help() string {
	return `Usage: saywatt stats [FLAG ...] SUBJECT

Tells how the values of a property are spread over the archive: a histogram,
the median, and which reviews disagree with the rest (robust z-score of 3.5 and
more; Iglewicz and Hoaglin, 1993). SUBJECT is what stands before a comparison
in a query: power, efficiency, cell capacity, fuse current.

Flags:
` + archiveHelp + `  -f, --format F     text (default), json or svg, a picture
      --within QUERY only reviews that this query finds
` + lookHelp + `
Example:
  saywatt stats -f svg --within kind:charger efficiency > efficiency.svg
`
}

func (c *statsCmd) Run(e *env) error {
	return c.with(e, func(a *archive.Archive) error {
		d, err := a.Stats(strings.Join(c.Subject, " "), c.Within)
		if err != nil {
			return err
		}
		switch c.Format {
		case "json":
			return c.look(e).WriteDistributionJSON(e.stdout, d)
		case "svg":
			return archive.WriteDistributionSVG(e.stdout, d)
		}
		return c.look(e).WriteDistribution(e.stdout, d)
	})
}
