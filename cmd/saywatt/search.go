package main

import (
	"errors"
	"fmt"
	"strings"

	"saywatt/internal/archive"
)

type searchCmd struct {
	archiveFlag
	lookFlags
	formFlag
	Sort   string   `default:"best" help:"Order of the results."`
	Limit  int      `default:"20" help:"Results listed."`
	Offset int      `help:"Results passed over."`
	Facets bool     `help:"Count the results by field."`
	Query  []string `arg:"" optional:"" help:"What to find."`
}

func (searchCmd) Help() string {
	return `Usage: saywatt search [FLAG ...] QUERY ...

Finds reviews in the archive and shows where they say what was asked for, with
the moment in the video. Without a query, all reviews are listed. Quote it where
it holds signs of the shell; behind "--" nothing is taken for a flag. A folder
of archives, as "saywatt gather --shards" makes it, is searched as one archive.

  word "several words" beg*    as heard or in normal form; beg* has any ending
  maker:Oakwharf cell:21700    fields; names may be a letter or two off
  power >= 65 W                a property compared; also < <= > =
  capacitance 300..500 uF      a property within a range, units converted
  fuse 2.5A                    a part, or level, cell, pack …, with a value
  level:"20 V 2.25 A"          all of it in one level; part:"…" in one part
  a b, a and b, a or b, not a, (a or b) c

A power that was not said of a level follows from its voltage and current. What
is asked for is shown, and of words that stand around values only the nearest,
with the marks that sheets have: * repaired, ? needs your ear, ✓ settled by a
person, † may belong elsewhere, ‡ probably belongs elsewhere.

Fields: kind maker name model mark protocol port mode cell chemistry class year
status package topology board file review rule material.

Flags:
` + archiveHelp + `      --sort ORDER   best (default), name, added (latest first), power
                     (highest output first) or mass (lightest first)
      --limit N      results listed; 20 where not given
      --offset N     results passed over
      --facets       count the results by kind, maker, protocol, cell format,
                     power class, year added and status
      --json         print JSON
` + lookHelp + `
Exit status: 0, also where nothing is found; 2 the query cannot be read, or
something of the archive cannot, which is said on standard error.

Example:
  saywatt search 'cell:21700 energy > 70 Wh not cable'
`
}

func (c *searchCmd) Run(e *env) error {
	if c.Limit < 1 || c.Offset < 0 {
		return &usageError{fmt.Errorf("--limit %d --offset %d: a page has at least one result and begins at 0 or later",
			c.Limit, c.Offset), "saywatt search"}
	}
	q := archive.Request{Query: strings.Join(c.Query, " "), Sort: c.Sort, Offset: c.Offset, Limit: c.Limit,
		Facets: c.Facets}
	if shards := archive.ShardsIn(c.dir(e)); len(shards) > 0 {
		s, err := archive.OpenSeveral(shards...)
		if err != nil {
			return err
		}
		e.held.hold(s.Archives()...)
		err = c.answer(e, q, s.Search)
		for _, a := range s.Archives() {
			e.tellRepair(a)
		}
		return e.queryError(errors.Join(err, s.Close()))
	}
	return c.with(e, func(a *archive.Archive) error { return c.answer(e, q, a.Search) })
}

// answer asks and writes the answer.
func (c *searchCmd) answer(e *env, q archive.Request, search func(archive.Request) (*archive.Results, error)) error {
	r, err := search(q)
	if err != nil {
		return err
	}
	damages := r.Damages
	if c.JSON {
		err = c.look(e).WriteResultsJSON(e.stdout, r)
	} else {
		r.Damages = nil // reported on standard error
		err = c.look(e).WriteResults(e.stdout, r)
	}
	return errors.Join(err, e.damaged(damages))
}
