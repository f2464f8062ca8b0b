package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"saywatt/internal/archive"
	"saywatt/internal/archive/query"
	"saywatt/internal/export/overview"
)

type statsCmd struct {
	archiveFlag
	lookFlags
	formFlag
	Format  string   `short:"f" enum:"text,json,svg" default:"text" help:"Form of the output: text, json or svg."`
	Within  string   `help:"Only reviews that this query finds."`
	Subject []string `arg:"" help:"What to count, a property, or a part and a property."`
}

func (statsCmd) Help() string {
	return `Usage: saywatt stats [FLAG ...] SUBJECT

Prints how the values of a property are spread over the archive: a histogram,
the median, and which reviews disagree with the rest (robust z-score of 3.5 and
more; Iglewicz and Hoaglin, 1993). SUBJECT is what stands before a comparison
in a query: output power, efficiency, cell capacity, fuse current. Power,
voltage and current alone are distinguished by input, output and no load; a
picture is of one of them. Values that may belong elsewhere are counted with the
others, and it is said how many they are.

Flags:
` + archiveHelp + `  -f, --format F     text (default), json or svg, a picture
` + jsonHelp + `      --within QUERY only reviews that this query finds
` + lookHelp + `
Exit status: 0; 2 there is no such property, the query cannot be read, or
something of the archive cannot, which is said on standard error.

Example:
  saywatt stats -f svg --within kind:charger efficiency > efficiency.svg
`
}

func (c *statsCmd) Run(e *env) error {
	if err := c.checkForm(&c.Format); err != nil {
		return &usageError{err, "saywatt stats"}
	}
	subject := strings.Join(c.Subject, " ")
	apart := query.Apart(subject)
	if len(apart) > 0 && c.Format == "svg" {
		return &usageError{fmt.Errorf("a picture is of one thing; say which: %s", strings.Join(apart, ", ")),
			"saywatt stats"}
	}
	return c.with(e, func(a *archive.Archive) error {
		if err := e.tellNotes(a, c.Within); err != nil {
			return err
		}
		if len(apart) > 0 {
			return c.apart(e, a, subject, apart)
		}
		d, err := a.Stats(subject, c.Within)
		if err != nil {
			return err
		}
		return errors.Join(c.spread(e, d), e.damaged(d.Damages))
	})
}

// spread says how the subject is spread.
func (c *statsCmd) spread(e *env, d *archive.Distribution) error {
	switch c.Format {
	case "json":
		return c.look(e).WriteDistributionJSON(e.stdout, d)
	case "svg":
		return overview.Histogram(d).WriteSVG(e.stdout)
	}
	return c.look(e).WriteDistribution(e.stdout, d)
}

// apart prints each of the things that a subject means.
func (c *statsCmd) apart(e *env, a *archive.Archive, subject string, subjects []string) error {
	var all []*archive.Distribution
	var damages []*archive.Damage
	for _, s := range subjects {
		d, err := a.Stats(s, c.Within)
		if err != nil {
			return err
		}
		all = append(all, d)
		for _, one := range d.Damages {
			if !slices.ContainsFunc(damages, func(met *archive.Damage) bool { return met.Error() == one.Error() }) {
				damages = append(damages, one)
			}
		}
	}
	if c.Format == "json" {
		return errors.Join(c.look(e).WriteDistributionsJSON(e.stdout, subject, all), e.damaged(damages))
	}
	for i, d := range all {
		if i > 0 {
			fmt.Fprintln(e.stdout)
		}
		if err := c.look(e).WriteDistribution(e.stdout, d); err != nil {
			return err
		}
	}
	return e.damaged(damages)
}
