package main

import (
	"errors"
	"fmt"
	"strings"

	"saywatt/internal/archive"
	"saywatt/internal/export/word"
)

type openCmd struct {
	archiveFlag
	lookFlags
	formFlag
	failFlag
	Limit int      `default:"50" help:"Readings listed."`
	Query []string `arg:"" optional:"" help:"Only reviews that this finds."`
}

func (openCmd) Help() string {
	return `Usage: saywatt open [FLAG ...] [QUERY ...]

Lists the readings that wait for an ear, over all reviews of the archive or
those that a query finds (see "saywatt help search"): the review with the most
of them first, each with the moment, the words heard and what they may be. Names
of makers and parts that are for an ear too are counted on standard error: the
sheet of a review lists them.

Flags:
` + archiveHelp + `      --limit N      readings listed; 50 where not given, 0 for all
      --json         print JSON Lines, one for every reading
` + lookHelp + failHelp("nothing") + `
Exit status: 0, whatever waits; 1 what --fail-on asks for; 2 the query or
something of the archive cannot be read.

Example:
  saywatt open kind:charger
`
}

func (c *openCmd) Run(e *env) error {
	if c.Limit < 0 {
		return &usageError{fmt.Errorf("--limit %d is negative", c.Limit), "saywatt open"}
	}
	if err := c.checkFail(); err != nil {
		return &usageError{err, "saywatt open"}
	}
	return c.with(e, func(a *archive.Archive) error {
		query := strings.Join(c.Query, " ")
		list, total, damages, err := a.Waiting(query, c.Limit)
		if err != nil {
			return err
		}
		names, reviews, err := a.WaitingNames(query)
		if err != nil {
			return err
		}
		all, _, err := a.Reviews() // what is damaged Waiting reports
		if err != nil {
			return err
		}
		e.tellDecided(a, all)
		if c.JSON {
			err = c.look(e).WriteWaitingJSON(e.stdout, list)
		} else {
			err = c.look(e).WriteWaiting(e.stdout, list, total)
		}
		if err := e.tellNotes(a, query); err != nil {
			return err
		}
		if names > 0 {
			fmt.Fprintf(e.stderr, "saywatt: %s for your ear too, in %s; the sheets list them\n",
				word.Plural(names, "name is", "names are"), word.Plural(reviews, "review", "reviews"))
		}
		if err = errors.Join(err, e.damaged(damages)); err != nil {
			return err
		}
		return c.outcome(&tally{open: total + names}, false)
	})
}
