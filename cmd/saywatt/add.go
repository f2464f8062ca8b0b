package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"saywatt/internal/archive"
	"saywatt/internal/export/naming"
	"saywatt/internal/export/plainjson"
	"saywatt/internal/export/word"
	"saywatt/internal/intake"
	"saywatt/schema"
)

type addCmd struct {
	archiveFlag
	signature
	failFlag
	formFlag
	sourceFlags
	As      string `help:"The same as --id."`
	Replace bool   `help:"Let the name go to another product."`
}

func (addCmd) Help() string {
	return `Usage: saywatt add [FLAG ...] [FILE ...]

Puts reviews into the archive, which is made where there is none. Captions are
read first.

` + filesHelp + `
A review is known by the name that --id or --title gives it; else by its
captions, byte for byte, or by where they are and what product they are of. Its
name is then that of its file with the folder: v1/en.vtt is v1-en. One read
again gets a new version where it says something new, and the old ones stay; the
same captions from another path make none, and the path is noted. Another file
of the same name is another review. Where neither is certain, nothing is added
and it is said what to say. A record of the same captions that was damaged or
lost is written anew. "saywatt list" lists reviews, "rename", "merge" and
"remove" change that. A line for each review is printed when it is safely on
disk.

Flags:
` + archiveHelp + `      --replace      make it a new version of the review of that name though
                     the product is another
      --as NAME      the same as --id
` + signatureHelp + `      --json         print a line of JSON for each review
` + sourceHelp + failHelp("nothing") + `
Exit status: 0 all are in; 1 what --fail-on asks for; 2 one is not in, or the
command line is wrong. A file that cannot be read does not stop the others.

Example:
  saywatt add --title 'Tarn 65, second look' v2/en.vtt
`
}

func (c *addCmd) Run(e *env) error {
	when, err := c.check()
	if err != nil {
		return &usageError{err, "saywatt add"}
	}
	for _, name := range c.File {
		if sameFolder(name, c.dir(e)) {
			return &usageError{fmt.Errorf("%s: an archive is not added to itself", name), "saywatt add"}
		}
	}
	e.askForInput(c.File)
	k := adder{env: e, cmd: c, when: when}
	failed, err := c.eachNamed(e, false, k.item)
	if err := errors.Join(err, k.close()); err != nil {
		return err
	}
	failed = failed || k.refused > 0
	if failed && k.in > 0 {
		fmt.Fprintf(e.stderr, "saywatt: %s; the others were not\n",
			word.Plural(k.in, "review was added", "reviews were added"))
	}
	if k.in > 1 {
		e.report(&k.tally, "")
	}
	return c.outcome(&k.tally, failed)
}

// sameFolder reports whether two names are of one folder.
func sameFolder(a, b string) bool {
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}

// check refuses what flags alone cannot, and reads the time.
func (c *addCmd) check() (time.Time, error) {
	when, err := c.when()
	if err != nil {
		return when, err
	}
	if c.As != "" && c.ID != "" && c.As != c.ID {
		return when, errors.New("--as and --id are the same, and give two names")
	}
	if err := checkNames("--as", c.As, "--title", c.Title); err != nil {
		return when, err
	}
	if c.As != "" {
		c.ID = naming.Slug(c.As)
	}
	if err := c.checkFail(); err != nil {
		return when, err
	}
	return when, c.sourceFlags.check()
}

// adder puts records in as they are read.
type adder struct {
	env     *env
	cmd     *addCmd
	archive *archive.Archive
	writer  *archive.Writer
	when    time.Time
	tally   tally
	in      int // reviews added
	refused int
}

// begin opens the archive when there is something to put in: none is made for
// nothing.
func (k *adder) begin() (err error) {
	if k.archive != nil {
		return nil
	}
	if k.archive, err = k.env.makeArchive(k.cmd.dir(k.env)); err == nil {
		k.writer, err = k.archive.Begin()
	}
	return err
}

func (k *adder) close() (err error) {
	if k.writer != nil {
		err = k.writer.Close()
	}
	if k.archive != nil {
		err = errors.Join(err, k.archive.Close())
	}
	return err
}

// item puts one record in and reports it when it is on disk. One that is
// refused does not stop the others; a disk that is full does.
func (k *adder) item(i *intake.Item) error {
	if i.Transcript != nil {
		k.env.tellProblems(i.Record)
	}
	if err := k.begin(); err != nil {
		return err
	}
	added, err := k.writer.Put(archive.Addition{
		Record: i.Record, ID: i.Record.Source.Review, Title: i.Record.Source.Title, Path: k.path(i),
		Who: k.cmd.who(k.env), When: k.when, Replace: k.cmd.Replace,
	})
	if errors.Is(err, archive.ErrTaken) {
		err = fmt.Errorf("%w; --id gives it another name, --replace makes it a new version", err)
	}
	if err != nil {
		k.refused++
		k.env.complain(err)
		return nil
	}
	if err := k.writer.Commit(); err != nil {
		return err
	}
	k.in++
	k.tally.add(i.Record)
	return writeAdded(k.env.stdout, added, i.Record, k.archive.PathHere, k.cmd.JSON)
}

// path is where the captions of a record are, seen from the archive; "" where
// they came from standard input.
func (k *adder) path(i *intake.Item) string {
	if i.Path == "" {
		return ""
	}
	return k.archive.PathFrom(i.Path)
}

// writeAdded reports a review that is on disk. here makes of a path that the archive
// keeps one to show.
func writeAdded(w io.Writer, added archive.Added, r *schema.Record, here func(string) string, json bool) error {
	title, removed := added.Title, ""
	if title == added.Review && r.Product.Name == "" && r.Source.Title == "" {
		title = "" // nobody gave it one
	}
	if !added.Removed.IsZero() {
		removed = added.Removed.Format(time.DateOnly)
	}
	if json {
		return plainjson.WriteLine(w, struct {
			Review  string `json:"review"`
			Version int    `json:"version"`
			Same    bool   `json:"same"`              // it was there already
			CopyOf  string `json:"copy_of,omitempty"` // path from the archive's folder that it had before
			Anew    bool   `json:"anew,omitempty"`    // its file was damaged or missing
			Record  string `json:"record"`
			File    string `json:"file"`
			Product string `json:"product"`
			Title   string `json:"title"`             // as it is listed
			Removed string `json:"removed,omitempty"` // when it was removed before
		}{added.Review, added.Version, added.Same, added.CopyOf, added.Anew, added.Record, r.Source.File,
			r.Product.Name, title, removed})
	}
	what := fmt.Sprintf("version %d", added.Version)
	if added.Same {
		what += ", as it was"
	}
	if added.CopyOf != "" {
		what += ": the same captions as " + word.Printable(here(added.CopyOf))
	}
	if added.Anew {
		what += ", written anew"
	}
	if title == "" {
		title = "product without a name"
	}
	if removed != "" {
		what += ", a new review: it was removed on " + removed
	}
	_, err := fmt.Fprintf(w, "%s: %s, %s\n", added.Review, naming.ShownName(title), what)
	return err
}
