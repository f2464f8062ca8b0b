package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"saywatt/internal/archive"
	"saywatt/internal/export/naming"
	"saywatt/internal/export/plainjson"
	"saywatt/internal/export/word"
)

type reindexCmd struct {
	archiveFlag
	formFlag
	Restore bool `help:"Make reviews of records that the log does not name."`
	Sweep   bool `help:"Remove what killed processes left."`
}

func (reindexCmd) Help() string {
	return `Usage: saywatt reindex [FLAG ...]

Builds the index of the archive anew and reads everything in the archive: what
is damaged is reported by file, and the rest is served. The index is made from
the records and the log of decisions, so nothing can be lost by this. It is
rarely needed: an index that is missing, old or damaged is made anew when it is
next used. It also goes on with what is left of a log that was cut short.

Where the log, decisions.jsonl, was lost or cut short, a copy of it is best.
Without one, --restore makes reviews of the records that are still there. What
was decided on them, the names that they had, and that some were removed, stood
in the log alone: their names are made of those of their files.

Flags:
` + archiveHelp + `      --restore      first make a review of every record that no line of the
                     log names and whose captions no review has; also make
                     archive.json again where it is missing. No review is made
                     while lines of the log are damaged: they may name it
      --sweep        then remove what killed processes left: records that no
                     line of the log names though it has another one of the same
                     captions, and files that were being written; each is
                     listed. Nothing is removed while the log is damaged
      --json         print JSON

Exit status: 0 everything is whole; 1 something is damaged; 2 it could not be
done, as where another process writes.

Example:
  saywatt reindex --archive ~/reviews
`
}

func (c *reindexCmd) Run(e *env) error {
	open := archive.OpenDamaged
	switch {
	case c.Restore:
		open = archive.OpenToRestore
	case c.Sweep: // of a log that was cut short, nobody can say what it does not name
		open = archive.Open
	}
	a, err := open(c.dir(e))
	if err != nil {
		return err
	}
	e.held.hold(a)
	return errors.Join(c.reindex(e, a), a.Close())
}

func (c *reindexCmd) reindex(e *env, a *archive.Archive) error {
	result := reindexed{Damages: []string{}}
	if c.Restore {
		restored, err := a.Restore(e.getenv("USER"), time.Now())
		if err != nil {
			return err
		}
		for _, r := range restored {
			result.Restored = append(result.Restored, restoredReview{r.Review, r.Version, r.Title})
		}
	}
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
	result.Reviews = done
	if c.Sweep {
		if result.Removed, err = a.Sweep(); err != nil {
			return err
		}
	}
	damages, err := a.Check()
	if err != nil {
		return err
	}
	for _, d := range damages {
		result.Damages = append(result.Damages, d.Error())
		if mend := d.Mend(); mend != "" && !slices.Contains(result.Mend, mend) {
			result.Mend = append(result.Mend, mend)
		}
	}
	if c.JSON {
		err = plainjson.WriteLine(e.stdout, result)
	} else {
		err = result.write(e.stdout)
	}
	if err == nil && len(damages) > 0 {
		err = errAttention
	}
	return err
}

// reindexed is what was done and found.
type reindexed struct {
	Reviews  int              `json:"reviews"`
	Damages  []string         `json:"damages"`
	Mend     []string         `json:"mend,omitempty"` // how, each way once
	Restored []restoredReview `json:"restored,omitempty"`
	Removed  []string         `json:"removed,omitempty"`
}

// restoredReview is a version of a review that was made of a record.
type restoredReview struct {
	Review  string `json:"review"`
	Version int    `json:"version"`
	Title   string `json:"title"`
}

func (r *reindexed) write(w io.Writer) error {
	fmt.Fprintf(w, "%s indexed, %s\n", word.Plural(r.Reviews, "review", "reviews"),
		word.Plural(len(r.Damages), "damage", "damages"))
	for _, one := range r.Restored {
		fmt.Fprintf(w, "restored %s: %s, version %d\n", one.Review, naming.ShownName(one.Title), one.Version)
	}
	for _, name := range r.Removed {
		fmt.Fprintf(w, "removed %s\n", word.Printable(name))
	}
	for _, d := range r.Damages {
		if _, err := fmt.Fprintln(w, word.Printable(d)); err != nil {
			return err
		}
	}
	for _, how := range r.Mend {
		if _, err := fmt.Fprintln(w, "to mend damage "+how); err != nil {
			return err
		}
	}
	return nil
}
