package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"saywatt/internal/archive"
	"saywatt/internal/export/naming"
	"saywatt/internal/export/overview"
	"saywatt/internal/export/plainjson"
	"saywatt/internal/export/word"
)

// The commands on the list of reviews: list, remove, rename, merge.

// reviewHelp says how a review is named on the command line.
const reviewHelp = `A review is called by its name, or by its title, product or path where only one
is called so.
`

type listCmd struct {
	archiveFlag
	formFlag
	Format string   `short:"f" enum:"text,json,csv" default:"text" help:"Form of the output: text, json or csv."`
	Query  []string `arg:"" optional:"" help:"Only reviews that this finds."`
}

func (listCmd) Help() string {
	return `Usage: saywatt list [FLAG ...] [QUERY ...]

Lists the reviews of the archive, or those that a query finds (see "saywatt help
search"), by name: how many versions, when the newest was added, what it is of
and where its captions are. Of a review that was merged, or read from several
files, the other captions stand below; json and csv call them "also", and have
paths as seen from the archive's folder.

Flags:
` + archiveHelp + `  -f, --format F     text (default), json (a line for each) or csv
` + jsonHelp + `
Example:
  saywatt list kind:charger
`
}

func (c *listCmd) Run(e *env) error {
	if err := c.checkForm(&c.Format); err != nil {
		return &usageError{err, "saywatt list"}
	}
	return c.with(e, func(a *archive.Archive) error {
		all, damages, err := a.Listed(strings.Join(c.Query, " "))
		if err != nil {
			return err
		}
		if err := errors.Join(c.write(e.stdout, all, a), e.damaged(damages)); err != nil {
			return err
		}
		return e.tellNotes(a, strings.Join(c.Query, " "))
	})
}

func (c *listCmd) write(w io.Writer, all []*archive.Review, a *archive.Archive) error {
	switch c.Format {
	case "json":
		for _, r := range all {
			if err := plainjson.WriteLine(w, r); err != nil {
				return err
			}
		}
		return nil
	case "csv":
		return overview.WriteReviewsCSV(w, all)
	}
	return overview.WriteReviews(w, all, a.PathHere)
}

type removeCmd struct {
	archiveFlag
	signature
	formFlag
	Review []string `arg:"" help:"The reviews to remove, by their names."`
}

func (removeCmd) Help() string {
	return `Usage: saywatt remove [FLAG ...] REVIEW ...

Takes reviews out of the archive: they are no longer listed or found. Their
records and decisions stay on disk, and no review has them. The same captions
can be added again: that makes a new review, version 1, without what was decided
before, and "add" says when it was removed. All of the reviews are removed or
none.

` + reviewHelp + `
Flags:
` + archiveHelp + signatureHelp + lineHelp + `
Example:
  saywatt remove v1-en
`
}

func (c *removeCmd) Run(e *env) error {
	when, err := c.when()
	if err != nil {
		return &usageError{err, "saywatt remove"}
	}
	return c.write(e, func(w *archive.Writer) error {
		var names []string
		for _, name := range c.Review {
			r, err := w.Named(name)
			if err != nil && len(names) > 0 { // it may be one that was named before
				err = namedBefore(c.Review[:len(names)], name, err)
			}
			if err != nil {
				return errors.Join(w.Drop(), err)
			}
			if err := w.Remove(r.Name, c.who(e), when); err != nil {
				return errors.Join(w.Drop(), err)
			}
			names = append(names, r.Name)
		}
		if err := w.Commit(); err != nil {
			return err
		}
		for _, name := range names {
			if err := c.line(e.stdout, changed{Review: name, What: archive.ActRemoved}, name+": removed"); err != nil {
				return err
			}
		}
		return nil
	})
}

// namedBefore is the error of a name that a command line has twice, else err.
func namedBefore(before []string, name string, err error) error {
	if slices.Contains(before, name) {
		return fmt.Errorf("%s is named twice", word.Printable(name))
	}
	return err
}

type renameCmd struct {
	archiveFlag
	signature
	formFlag
	Title  string `help:"Title of the review."`
	Review string `arg:"" help:"The review to rename, by its name."`
	Name   string `arg:"" optional:"" help:"Its new name."`
}

func (renameCmd) Help() string {
	return `Usage: saywatt rename [FLAG ...] REVIEW [NAME]

Gives a review of the archive another name, another title, or both. Its versions
and what was decided on it stay.

` + reviewHelp + `
Flags:
      --title TEXT   title, shown in place of the product's name
` + archiveHelp + signatureHelp + lineHelp + `
Example:
  saywatt rename v1-en tarn-65 --title 'Tarn 65, second look'
`
}

func (c *renameCmd) Run(e *env) error {
	when, err := c.when()
	if err == nil && c.Name == "" && c.Title == "" {
		err = errors.New("want a new NAME, --title, or both")
	}
	if err == nil {
		err = checkNames("NAME", c.Name, "--title", c.Title)
	}
	if err != nil {
		return &usageError{err, "saywatt rename"}
	}
	return c.write(e, func(w *archive.Writer) error {
		r, err := w.Named(c.Review)
		if err != nil {
			return err
		}
		from, to := r.Name, c.Name
		if to == "" {
			to = from
		}
		if to, err = w.Rename(from, to, c.Title, c.who(e), when); err != nil {
			return err
		}
		if err := w.Commit(); err != nil {
			return err
		}
		done := changed{Review: to, What: archive.ActRenamed, Was: []string{from}, Title: c.Title}
		if c.Title != "" {
			to += ", " + word.Printable(c.Title)
		}
		return c.line(e.stdout, done, from+": is now "+to)
	})
}

type mergeCmd struct {
	archiveFlag
	signature
	formFlag
	Different bool `name:"different-products" help:"Merge reviews of different products too."`

	Into   string   `arg:"" help:"The review that takes the others in, by its name."`
	Review []string `arg:"" help:"A review that goes into it, by its name."`
}

func (mergeCmd) Help() string {
	return `Usage: saywatt merge [FLAG ...] INTO REVIEW ...

Makes one review of several that turned out to be one: all versions are those of
INTO, in the order in which they were added, and what was decided on any of them
stays with the captions that it was decided on. The captions of all of them are
those of INTO from then on, also when they are added again. Reviews that are of
different products or makers are refused: they may be one where captions garbled
a name, and that is for you to say. Files that are the parts of one review are
not merged but read together: "saywatt add --join". To take a merge back, remove
the review and add its captions again.

` + reviewHelp + `
Flags:
      --different-products  merge them though they are of different products
` + archiveHelp + signatureHelp + lineHelp + `
Example:
  saywatt merge tarn-65 v2-en
`
}

func (c *mergeCmd) Run(e *env) error {
	when, err := c.when()
	if err != nil {
		return &usageError{err, "saywatt merge"}
	}
	return c.write(e, func(w *archive.Writer) error {
		var merged *archive.Review
		var from []string
		for _, name := range c.Review {
			if r, err := w.Named(name); err == nil {
				from = append(from, r.Name)
			}
			merged, err = w.Merge(c.Into, name, c.Different, c.who(e), when)
			if errors.As(err, new(*archive.DifferentError)) {
				err = fmt.Errorf("%w; --different-products merges them all the same", err)
			}
			if err != nil {
				return errors.Join(w.Drop(), err)
			}
		}
		if err := w.Commit(); err != nil {
			return err
		}
		done := changed{Review: merged.Name, What: archive.ActMerged, Was: from, Title: merged.Title(),
			Version: merged.Version}
		return c.line(e.stdout, done,
			fmt.Sprintf("%s: %s, version %d", merged.Name, naming.ShownName(merged.Title()), merged.Version))
	})
}
