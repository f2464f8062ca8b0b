package main

import (
	"fmt"

	"saywatt/internal/archive"
	"saywatt/internal/export"
)

type reindexCmd struct {
	archiveFlag
	formFlag
}

func (reindexCmd) Help() string {
	return `Usage: saywatt reindex [FLAG ...]

Builds the index of the archive anew and reads everything in the archive: what
is damaged is told by file, and the rest is served. The index is made from the
records and the log of decisions, so nothing can be lost by this. It is rarely
needed: an index that is missing, old or broken is rebuilt when it is next used.

Flags:
` + archiveHelp + `      --json         print JSON

Exit status: 0 everything is whole; 1 something is damaged; 2 it could not be
done, as where another process writes.

Example:
  saywatt reindex --archive ~/reviews
`
}

func (c *reindexCmd) Run(e *env) error {
	return c.with(e, func(a *archive.Archive) error {
		done, err := a.Reindex(func(n, total int) {
			if e.errTerminal && (n%100 == 0 || n == total) {
				fmt.Fprintf(e.stderr, "\r\x1b[K%d of %d", n, total)
			}
		})
		if e.errTerminal {
			fmt.Fprint(e.stderr, "\r\x1b[K")
		}
		if err != nil {
			return err
		}
		damages, err := a.Check()
		if err != nil {
			return err
		}
		if c.JSON {
			told := []string{}
			for _, d := range damages {
				told = append(told, d.Error())
			}
			err := writeLineJSON(e.stdout, struct {
				Reviews int      `json:"reviews"`
				Damages []string `json:"damages"`
			}{done, told})
			if err == nil && len(damages) > 0 {
				err = errAttention
			}
			return err
		}
		fmt.Fprintf(e.stdout, "%d reviews indexed, %d damages\n", done, len(damages))
		for _, d := range damages {
			fmt.Fprintln(e.stdout, export.Printable(d.Error()))
		}
		if len(damages) > 0 {
			return errAttention
		}
		return nil
	})
}
