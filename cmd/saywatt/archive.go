package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"saywatt/internal/archive"
	"saywatt/internal/archive/query"
	"saywatt/internal/export/overview"
	"saywatt/internal/export/word"
	"saywatt/internal/intake"
	"saywatt/schema"
)

// archiveFlag says where the archive is.
type archiveFlag struct {
	Archive string `help:"Folder of the archive."`
}

// archiveHelp describes the flag, for the help of commands that have it.
const archiveHelp = `      --archive DIR  folder of the archive; else the environment variable
                     SAYWATT_ARCHIVE, else ` + defaultArchive + ` in the current
                     folder
`

// archiveVariable names the folder of the archive in the environment.
const archiveVariable = "SAYWATT_ARCHIVE"

// defaultArchive is the folder of the archive where none is named.
const defaultArchive = "saywatt-archive"

// dir is the folder meant.
func (f *archiveFlag) dir(e *env) string {
	switch {
	case f.Archive != "":
		return f.Archive
	case e.getenv(archiveVariable) != "":
		return e.getenv(archiveVariable)
	}
	return defaultArchive
}

// makeArchive opens the archive in a folder; a new one is reported.
func (e *env) makeArchive(dir string) (*archive.Archive, error) {
	a, err := archive.Open(dir)
	if errors.Is(err, archive.ErrNoArchive) {
		if a, err = archive.Create(dir); err == nil {
			fmt.Fprintf(e.stderr, "saywatt: made a new archive, %s\n", word.Printable(dir))
		}
	}
	if err == nil {
		e.held.hold(a)
	}
	return a, err
}

// with opens the archive for f.
func (f *archiveFlag) with(e *env, do func(*archive.Archive) error) error {
	dir := f.dir(e)
	a, err := archive.Open(dir)
	if errors.Is(err, archive.ErrNoArchive) {
		if shards := archive.ShardsIn(dir); len(shards) > 0 {
			return fmt.Errorf("%w, but its folders hold %s, such as %s: name one; \"saywatt search\" "+
				"searches them all", err, word.Plural(len(shards), "archive", "archives"), shards[0])
		}
		return fmt.Errorf("%w; \"saywatt add\" makes one", err)
	}
	if err != nil {
		return err
	}
	e.held.hold(a)
	err = do(a)
	e.tellRepair(a)
	return e.queryError(errors.Join(err, a.Close()))
}

// stored lists the reviews of an archive that is named as a FILE. The archive is
// let go of when the command ends.
func (e *env) stored(dir string) ([]intake.File, error) {
	a, err := archive.Open(dir)
	if err != nil {
		return nil, err
	}
	e.held.hold(a)
	e.atEnd = append(e.atEnd, a)
	e.tellRepair(a)
	reviews, damages, err := a.Reviews()
	if err := errors.Join(err, e.damaged(damages)); err != nil {
		return nil, err
	}
	e.tellDecided(a, reviews)
	var files []intake.File
	for _, rv := range reviews {
		files = append(files, intake.File{Name: filepath.Join(dir, rv.Name), Stored: func() (*schema.Record, error) {
			return storedRecord(a, rv)
		}})
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("%s: the archive has no reviews", dir)
	}
	return files, nil
}

// storedRecord is the record of a review as it stands, called as the review is.
func storedRecord(a *archive.Archive, rv *archive.Review) (*schema.Record, error) {
	_, rec, damages, err := a.Record(rv.Name)
	for _, d := range damages {
		err = errors.Join(err, d)
	}
	if rec == nil {
		return nil, err
	}
	rec.Source.Review = rv.Name
	if rv.Given != "" {
		rec.Source.Title = rv.Given
	}
	return rec, err
}

// tellRepair reports an index that was found damaged and made anew.
func (e *env) tellRepair(a *archive.Archive) {
	if cause := a.Repaired(); cause != nil {
		fmt.Fprintf(e.stderr, "saywatt: %s: %s; it was made anew, and nothing is lost\n", word.Printable(a.Dir()),
			word.Printable(cause.Error()))
	}
}

// tellDecided names reviews in whose records decisions stand that were not yet
// there when the captions were read.
func (e *env) tellDecided(a *archive.Archive, reviews []*archive.Review) {
	if n := a.DecidedSince(reviews); n > 0 {
		fmt.Fprintf(e.stderr, "saywatt: %s: %s decided on since the captions were read: the decisions stand, and "+
			"findings follow them; other values are as likely as before, until the captions are read with the "+
			"decisions, at the desk or by \"saywatt add --answers\"\n", word.Printable(a.Dir()),
			word.Plural(n, "review was", "reviews were"))
	}
}

// tellNotes says what a query was taken for otherwise than typed, and what may have
// been meant by one that finds nothing, as a search does beneath its count.
func (e *env) tellNotes(a *archive.Archive, query string) error {
	if strings.TrimSpace(query) == "" {
		return nil
	}
	notes, err := a.Notes(query)
	for _, n := range notes {
		fmt.Fprintf(e.stderr, "saywatt: %s\n", word.Printable(n))
	}
	return err
}

// damaged lists what could not be read of the archive, each on a line of
// standard error; the answer was given without it, so the exit status is 2.
func (e *env) damaged(all []*archive.Damage) error {
	for _, d := range all {
		e.complain(d)
	}
	if len(all) > 0 {
		return errReported
	}
	return nil
}

// write opens the archive to change it, and has what f did on disk.
func (f *archiveFlag) write(e *env, do func(*archive.Writer) error) error {
	return f.with(e, func(a *archive.Archive) error {
		w, err := a.Begin()
		if err != nil {
			return err
		}
		return errors.Join(do(w), w.Close())
	})
}

// queryError draws a query that cannot be read with a mark under the place.
func (e *env) queryError(err error) error {
	var q *query.Error
	if !errors.As(err, &q) {
		return err
	}
	e.complain(err)
	for line := range strings.Lines(q.Show()) {
		fmt.Fprintf(e.stderr, "  %s\n", strings.TrimSuffix(line, "\n"))
	}
	return errReported
}

// lookFlags are the flags on how answers look.
type lookFlags struct {
	Link  string `help:"Address of a moment."`
	ASCII bool   `name:"ascii" help:"Nothing beyond ASCII in text."`
}

// lookHelp describes these flags.
const lookHelp = `      --link URL     address of a moment, {file} and {s} standing for the name
                     of the file read and the seconds; a W3C Media Fragment
                     where not given
      --ascii        nothing beyond ASCII in text; so too where the locale is
                     not UTF-8
`

func (l *lookFlags) look(e *env) overview.Look {
	return overview.Look{Width: min(e.width, widestSheet), ASCII: l.ASCII || !e.unicode(), Color: e.color(),
		Link: l.Link}
}

// signature says who wrote and when.
type signature struct {
	Who  string `help:"Name of the person."`
	When string `help:"Date and time to put down."`
}

// signatureHelp describes these flags.
const signatureHelp = `      --who NAME     who is put down for it; else the user's name
      --when TIME    date, or date and time (RFC 3339), put down for it; else
                     now
`

func (s *signature) who(e *env) string {
	if s.Who != "" {
		return s.Who
	}
	return e.getenv("USER")
}

func (s *signature) when() (time.Time, error) {
	if s.When == "" {
		return time.Now(), nil
	}
	for _, form := range []string{time.RFC3339, "2006-01-02"} {
		if t, err := time.Parse(form, s.When); err == nil {
			return t, nil
		}
	}
	return time.Time{}, fmt.Errorf("--when %q is no date; write 2026-03-01 or 2026-03-01T14:30:00Z", s.When)
}
