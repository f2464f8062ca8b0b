package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"saywatt/internal/archive"
	"saywatt/internal/edit"
	"saywatt/internal/export/table"
	"saywatt/internal/export/word"
	"saywatt/internal/intake"
	"saywatt/internal/picture"
	"saywatt/internal/watch"
)

type watchCmd struct {
	archiveFlag
	signature
	failFlag
	formFlag
	knownFlags
	Answers   string        `help:"Folder of decisions."`
	Threshold float64       `help:"Probability from which a reading stands."`
	MaxBytes  positive      `help:"Largest file read, in bytes."`
	To        []string      `help:"Write each review in this format, too."`
	Into      string        `help:"Folder to write into."`
	Link      string        `help:"Address of a moment, with {s}."`
	State     string        `help:"File that says what is done."`
	Settle    time.Duration `default:"1s" help:"How long a file must be left alone."`
	Once      bool          `help:"Do what is there, and end."`
	Folder    string        `arg:"" help:"The folder to watch."`
}

// watchState is the name of the file, in the watched folder, that says what is done.
const watchState = "saywatt-watch.jsonl"

func (watchCmd) Help() string {
	return `Usage: saywatt watch [FLAG ...] FOLDER

Waits for captions in a folder and below it. Each file that comes or changes is
read once nobody writes to it any more, put into the archive, and, with --into,
written for others to use; a line is printed when that is done. Ctrl-C ends it.
What is done is kept in FOLDER/` + watchState + `, so that the next start goes
on where the last one ended and does nothing twice; what was written and is gone
is written anew. A file that cannot be read is reported and tried again when it
changes, or at the next start.

Flags:
` + archiveHelp + lineHelp + `      --to FORMAT    what to write: a format of "saywatt emit"; may be repeated
      --into DIR     where: DIR/NAME.FORMAT by the name of the review
      --link URL     address of each moment in md and html, with {s}
      --state FILE   keep what is done in this file instead
      --settle TIME  how long a file must be left alone before it is read (1s)
      --once         do what is there, and end
      --answers DIR  decisions, in DIR as NAME.decisions.jsonl
      --threshold P  probability, 0 to 1, from which a reading stands
` + signatureHelp + knownHelp + `      --max-bytes N  refuse larger files
` + failHelp("nothing") + `
Exit status: 0 ended as asked; 1 with --once, what --fail-on asks for; 2 with
--once, a file could not be read; or it could not start, or the command line is
wrong.

Example:
  saywatt watch --to html --into sheets captions
`
}

func (c *watchCmd) Run(e *env) (err error) {
	if err := c.check(e); err != nil {
		return &usageError{err, "saywatt watch"}
	}
	when, err := c.when()
	if err != nil {
		return &usageError{err, "saywatt watch"}
	}
	dir := c.dir(e)
	a, err := e.makeArchive(dir)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, a.Close()) }()
	k := keeper{env: e, cmd: c, archive: a, now: func() time.Time { return when }}
	if c.When == "" {
		k.now = time.Now
	}
	if c.State == "" {
		c.State = filepath.Join(c.Folder, watchState)
	}
	// A line that is not whole was cut off by a crash: its file is done again, which adds
	// nothing twice.
	if k.done, err = lastLines(e, c.State, func(d *doneLine) string { return d.File }); err != nil {
		return err
	}
	ctx, stop := e.untilInterrupted()
	defer stop()
	if !c.Once {
		fmt.Fprintf(e.stderr, "saywatt: watching %s, adding to %s; Ctrl-C ends it\n",
			word.Printable(c.Folder), word.Printable(dir))
	}
	o := watch.Options{Settle: c.Settle, Once: c.Once, Without: []string{dir}}
	if c.Into != "" {
		o.Without = append(o.Without, c.Into)
	}
	if err := watch.Folder(ctx, c.Folder, o, func(name string) error { return k.file(ctx, name) }); err != nil {
		return err
	}
	if !c.Once {
		return nil
	}
	if k.tally.records > 0 {
		e.report(&k.tally, c.Folder)
	}
	return c.outcome(&k.tally, k.failed)
}

// check refuses what flags alone cannot.
func (c *watchCmd) check(e *env) error {
	switch {
	case (c.Into == "") != (len(c.To) == 0):
		return errors.New("--to says what to write and --into where: one wants the other")
	case c.Settle <= 0:
		return fmt.Errorf("--settle %v: want some time", c.Settle)
	}
	for _, to := range c.To {
		if err := c.emit(to).check(e); err != nil {
			return err
		}
	}
	if err := c.checkFail(); err != nil {
		return err
	}
	s := c.source("")
	if err := s.check(); err != nil {
		return err
	}
	info, err := os.Stat(c.Folder) // before an archive is made for nothing
	if err == nil && !info.IsDir() {
		err = fmt.Errorf("%s: this is a file, and a folder is watched", c.Folder)
	}
	if err == nil && c.Into != "" {
		err = canHold(c.Into)
	}
	return err
}

// source are the flags by which a file is read.
func (c *watchCmd) source(name string) sourceFlags {
	return sourceFlags{knownFlags: c.knownFlags, Threshold: c.Threshold, MaxBytes: c.MaxBytes, File: []string{name}}
}

// emit is what writes a format.
func (c *watchCmd) emit(to string) *emitCmd {
	return &emitCmd{To: to, Into: c.Into, Link: c.Link, Picture: "levels"}
}

// keeper does what is to be done with each file.
type keeper struct {
	env     *env
	cmd     *watchCmd
	archive *archive.Archive
	now     func() time.Time
	done    map[string]doneLine
	tally   tally
	failed  bool
}

// A doneLine is a line of the state: a file, as it was when it was done.
type doneLine struct {
	File     string    `json:"file"` // from the watched folder
	Size     int64     `json:"size"`
	Modified time.Time `json:"modified"`
	SHA256   string    `json:"sha256"`
	Review   string    `json:"review"`
	To       []string  `json:"to,omitempty"`
	Blank    []string  `json:"blank,omitempty"` // of To, pictures that have nothing to draw
}

// file does one file, unless it is done. An error ends the watch; what is wrong
// with the file alone is reported.
func (k *keeper) file(ctx context.Context, name string) error {
	info, err := os.Stat(name)
	if err != nil {
		return nil // it went away
	}
	line := doneLine{File: k.way(name), Size: info.Size(), Modified: info.ModTime().UTC(), To: k.cmd.To}
	was, ok := k.done[line.File]
	same := ok && was.Size == line.Size && was.Modified.Equal(line.Modified) && slices.Equal(was.To, line.To)
	if same && k.written(&was) {
		return nil
	}
	from := k.cmd.source(name)
	files := []intake.File{{Name: name, Maybe: intake.Taken(filepath.Base(name)) == intake.Content}}
	r, err := from.reader(k.env, files)
	if err == nil && k.cmd.Answers != "" {
		answers, err := intake.ReadAnswers(k.env.open, []string{k.cmd.Answers}, files)
		if err != nil && !errors.Is(err, intake.ErrNoAnswers) { // where there are none, nothing was decided
			k.env.complain(err)
			k.failed = true
			return nil
		}
		r.Answers = answers
	}
	if err != nil {
		return err
	}
	failed, err := k.env.each(r, files, func(i *intake.Item) error { return k.item(&line, i) })
	k.failed = k.failed || failed
	if err != nil || failed || line.Review == "" || ctx.Err() != nil {
		return err
	}
	k.done[line.File] = line
	return appendLine(k.cmd.State, line)
}

// written reports whether all is there that was written for a file.
func (k *keeper) written(line *doneLine) bool {
	for _, to := range line.To {
		if slices.Contains(line.Blank, to) {
			continue
		}
		if _, err := os.Lstat(k.sheet(line.Review, to)); errors.Is(err, fs.ErrNotExist) {
			return false
		}
	}
	return true
}

// sheet is the path of what is written for a review in a format.
func (k *keeper) sheet(review, to string) string { return filepath.Join(k.cmd.Into, review+"."+to) }

// way is the path of a file from the watched folder.
func (k *keeper) way(name string) string {
	way, err := filepath.Rel(k.cmd.Folder, name)
	if err != nil {
		return name
	}
	return filepath.ToSlash(way)
}

// item adds a record and writes it. One that is refused is reported.
func (k *keeper) item(line *doneLine, i *intake.Item) (err error) {
	if i.Transcript != nil {
		k.env.tellProblems(i.Record)
	}
	w, err := k.archive.Begin()
	if err != nil {
		return err
	}
	added, err := w.Put(archive.Addition{Record: i.Record, ID: i.Record.Source.Review, Title: i.Record.Source.Title,
		Path: k.archive.PathFrom(i.Path), Who: k.cmd.who(k.env), When: k.now()})
	if err := w.Close(); err != nil {
		return err
	}
	if err != nil {
		k.failed = true
		k.env.complain(err)
		return nil
	}
	for _, to := range k.cmd.To {
		err := k.write(to, added.Review, i)
		if errors.As(err, new(*picture.BlankError)) { // it has no picture; the others have
			k.env.complain(err)
			line.Blank = append(line.Blank, to)
			continue
		}
		if err != nil {
			return err
		}
	}
	k.tally.add(i.Record)
	line.SHA256, line.Review = i.Record.Source.SHA256, added.Review
	return writeAdded(k.env.stdout, added, i.Record, k.archive.PathHere, k.cmd.JSON)
}

// write writes a record in a format.
func (k *keeper) write(to, review string, i *intake.Item) error {
	m := emitter{env: k.env, cmd: k.cmd.emit(to)}
	s := table.Sourced{Record: i.Record}
	if i.Transcript != nil {
		var err error
		if s.Changes, _, err = edit.ForReworded(reworded(i.Words), i.Record, i.Transcript,
			edit.Style{}); err != nil {
			return err
		}
	}
	return m.save(k.sheet(review, to), s)
}

// lastLines reads what appendLine wrote: of the lines of one key the last stands, a file
// that is not there has none, and half a line, as a crash leaves it, counts for nothing.
func lastLines[L any](e *env, name string, key func(*L) string) (map[string]L, error) {
	last := map[string]L{}
	text, err := e.readFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return last, nil
	}
	if err != nil {
		return nil, err
	}
	for line := range bytes.Lines(text) {
		var l L
		if json.Unmarshal(line, &l) == nil && key(&l) != "" {
			last[key(&l)] = l
		}
	}
	return last, nil
}

// appendLine adds a line of JSON to a file and has it on disk. It begins with a
// line break, behind what may be half a line.
func appendLine(name string, v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_APPEND, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(slices.Concat([]byte("\n"), b, []byte("\n")))
	return errors.Join(err, f.Sync(), f.Close())
}
