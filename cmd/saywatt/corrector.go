package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"saywatt/extract/transcript"
	"saywatt/internal/edit"
	"saywatt/internal/export/word"
	"saywatt/internal/intake"
	"saywatt/normalize"
	"saywatt/schema"
)

// corrector writes files again.
type corrector struct {
	env     *env
	cmd     *captionsCmd
	style   edit.Style
	base    string // folder that all files are in
	tally   tally
	written *writtenLog // of --into; nil without
	// several says that the command line may name several files.
	several bool
	// unwritten counts the files of several that could not be written.
	unwritten int
}

// run writes each file: as read anew, or as records or a list say.
func (k *corrector) run(r *intake.Reader, files []intake.File) (failed bool, err error) {
	if k.cmd.Accept == "" && k.cmd.Record == "" {
		return k.env.each(r, files, func(i *intake.Item) error {
			if i.Transcript == nil {
				return fmt.Errorf("%s: this is a record; name its captions, and the record with --record", i.File.Name)
			}
			return k.one(len(files), k.file(i.Transcript, k.by(i.Record, i.Transcript, i.Words)))
		})
	}
	records, err := k.records(r)
	if err != nil {
		return false, err
	}
	for _, f := range files {
		t, err := r.Captions(f.Name)
		if err != nil {
			k.env.complain(err)
			failed = true
			continue
		}
		if err := k.one(len(files), k.file(t, k.given(t, records))); err != nil {
			return false, err
		}
	}
	return failed, nil
}

// one lets a file of several that could not be written be reported and the
// others go on.
func (k *corrector) one(of int, err error) error {
	if err == nil || of == 1 {
		return err
	}
	k.env.complain(err)
	k.unwritten++
	return nil
}

// records reads those of --record.
func (k *corrector) records(r *intake.Reader) ([]*schema.Record, error) {
	if k.cmd.Record == "" {
		return nil, nil
	}
	var all []*schema.Record
	from := intake.Reader{Open: r.Open, Stdin: r.Stdin, MaxBytes: r.MaxBytes, Options: r.Options}
	failed, err := k.env.each(&from, []intake.File{{Name: k.cmd.Record}}, func(i *intake.Item) error {
		all = append(all, i.Record)
		return nil
	})
	if failed && err == nil {
		err = errReported
	}
	return all, err
}

// A correction is what is to be done to a file.
type correction struct {
	record  *schema.Record // nil where a list of changes is applied
	changes []edit.Change
	left    []edit.Left
	refused int // rows of a list that say no
	err     error
}

// by is the correction that a record makes to its captions, and what a person
// reworded in them.
func (k *corrector) by(r *schema.Record, t *transcript.Transcript, words []normalize.Wording) correction {
	changes, left, err := edit.ForReworded(reworded(words), r, t, k.style)
	return correction{record: r, changes: changes, left: left, err: err}
}

// reworded is what a person reworded, as rows of a list of changes.
func reworded(words []normalize.Wording) []edit.Item {
	var items []edit.Item
	for _, w := range words {
		items = append(items, edit.Item{From: w.From, Before: w.Heard, After: w.Words, Span: w.Span})
	}
	return items
}

// given is the correction that a record or a list of changes makes to a file.
func (k *corrector) given(t *transcript.Transcript, records []*schema.Record) correction {
	if k.cmd.Accept != "" {
		return k.accepted(t)
	}
	for _, rec := range records {
		if rec.Source.SHA256 == t.Hash || len(records) == 1 {
			return k.by(rec, t, nil)
		}
	}
	return correction{err: fmt.Errorf("%s holds no record of these captions", k.cmd.Record)}
}

// accepted lists the corrections of a list of changes.
func (k *corrector) accepted(t *transcript.Transcript) (made correction) {
	name, err := k.listOf(t.Name)
	if err != nil {
		return correction{err: err}
	}
	f, err := k.env.open(name)
	if err != nil {
		return correction{err: err}
	}
	defer f.Close()
	items, err := edit.ReadList(f)
	if err == nil {
		made.changes, made.left, err = edit.ForList(items, t)
	}
	if err != nil {
		return correction{err: fmt.Errorf("%s: %w", name, err)}
	}
	for i := range items {
		if !items[i].Accept {
			made.refused++
		}
	}
	return made
}

// listOf is the list of changes of a file: the one that was named, or that of its
// name in a folder, as --into leaves them.
func (k *corrector) listOf(name string) (string, error) {
	if !isDir(k.cmd.Accept) {
		return k.cmd.Accept, nil
	}
	ways := []string{k.way(name)}
	for rest := filepath.ToSlash(name); rest != ""; _, rest, _ = strings.Cut(rest, "/") {
		ways = append(ways, filepath.FromSlash(rest)) // the lists may have been made with other files
	}
	for _, of := range ways {
		for _, form := range changeForms {
			list := filepath.Join(k.cmd.Accept, of+changesEnding+form)
			if _, err := os.Stat(list); err == nil {
				return list, nil
			}
		}
	}
	return "", fmt.Errorf("%s has no list of changes of it; that would be %s%s%s", k.cmd.Accept, k.way(name),
		changesEnding, changeForms[0])
}

// changesEnding is behind the name of captions whose list of changes a file is,
// before its form; notesEnding of those whose notes it is.
const (
	changesEnding = ".changes."
	notesEnding   = ".notes.txt"
)

// isDir reports whether a name is that of a folder.
func isDir(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}

// way is how a file is called below the folder that all files are in: each by
// another name.
func (k *corrector) way(name string) string {
	way, err := filepath.Rel(k.base, whole(name))
	if err != nil || !filepath.IsLocal(way) {
		return filepath.Base(name)
	}
	return way
}

// whole is the path of a file from the root of its disk: paths that lead through
// ".." and those that do not can be set side by side so.
func whole(name string) string {
	if path, err := filepath.Abs(name); err == nil {
		return path
	}
	return filepath.Clean(name) // there is no current folder
}

// file writes one file again, or its list of changes.
func (k *corrector) file(t *transcript.Transcript, made correction) error {
	e, c := k.env, k.cmd
	changes, left, err := made.changes, made.left, made.err
	e.tellLanguage(t, "; only what a person settled is corrected")
	if err == nil && c.Changes == "" {
		if err := edit.Writable(t); err != nil {
			return err
		}
	}
	var out bytes.Buffer
	switch {
	case err != nil:
	case c.Changes == "csv":
		err = edit.WriteCSV(&out, changes, left, c.Link)
	case c.Changes == "md":
		err = edit.WriteMarkdown(&out, changes, left, c.Link)
	case c.Changes == "jsonl":
		err = edit.WriteJSON(&out, changes, left, c.Link)
	default:
		err = k.correct(t, changes, left, &out)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", t.Name, err)
	}
	for _, l := range left {
		if l.Unmade() {
			e.remark(t.Name, l.At, l.Error())
		}
	}
	if err := k.save(t, &out); err != nil {
		return err
	}
	if err := k.notes(t, left); err != nil {
		return err
	}
	var one tally
	for _, t := range []*tally{&one, &k.tally} {
		if made.record == nil {
			t.records++
			t.repaired += quantitiesOf(changes)
			t.captions.refused += made.refused
		} else {
			t.add(made.record)
		}
		t.captions.add(changes, left, k.verb())
	}
	e.remark(t.Name, nil, k.summary(&one))
	return nil
}

// notes writes what is left of a file for your ear to --mark-list: a file, or in a
// folder one for each of several.
func (k *corrector) notes(t *transcript.Transcript, left []edit.Left) error {
	path := k.cmd.MarkList
	switch {
	case path == "":
		return nil
	case k.several || isDir(path):
		path = filepath.Join(path, k.way(t.Name)+notesEnding)
		if err := k.env.makeFolder(path); err != nil {
			return err
		}
	}
	return k.env.output(path, func(w io.Writer) error { return edit.WriteMarks(w, left, t) })
}

// quantitiesOf counts the quantities that changes of a list are of: as many as
// there are changes where it does not say.
func quantitiesOf(changes []edit.Change) int {
	n := 0
	met := map[int]bool{}
	for i := range changes {
		switch said := changes[i].Said; {
		case said == edit.NotSaid:
			n++
		case said > 0 && !met[said]:
			met[said] = true
			n++
		}
	}
	return n
}

// verb says what is done to the places of a change.
func (k *corrector) verb() string {
	if k.cmd.Changes != "" {
		return "to correct"
	}
	return "corrected"
}

// summary says what was done to captions, and what their records leave to a person.
func (k *corrector) summary(t *tally) string {
	if k.cmd.Accept != "" {
		return fmt.Sprintf("%d changed, %s no", t.repaired, word.Plural(t.captions.refused, "row says", "rows say")) +
			t.captions.String()
	}
	return t.String()
}

// add counts the changes to a file.
func (c *corrections) add(changes []edit.Change, left []edit.Left, verb string) {
	c.verb = verb
	c.places += len(changes)
	for i := range changes {
		switch {
		case changes[i].Said == 0:
			c.names++
		case changes[i].Reworded:
			c.reworded++
		}
	}
	c.left += len(left)
	for i := range left {
		if !errors.Is(left[i].Err, edit.ErrOpen) {
			c.unsure++
		}
	}
}

// save writes what was made of a file.
func (k *corrector) save(t *transcript.Transcript, out *bytes.Buffer) error {
	write := func(path string) error {
		return k.env.output(path, func(w io.Writer) error { _, err := out.WriteTo(w); return err })
	}
	if k.cmd.Into == "" {
		return write(k.cmd.Out)
	}
	if t.Name == stdinName {
		return errors.New("standard input has no name in a folder; --out names a file")
	}
	path := filepath.Join(k.cmd.Into, k.way(t.Name))
	if k.cmd.Changes != "" {
		path += changesEnding + k.cmd.Changes
	}
	if err := k.env.makeFolder(path); err != nil {
		return err
	}
	return k.written.save(path, origin{t.Name, whole(t.Name), t.Hash}, func() error { return write(path) })
}

// commonFolder is the folder that all files are in, themselves or farther below.
func commonFolder(files []intake.File) string {
	common := ""
	for i, f := range files {
		dir := filepath.Dir(whole(f.Name))
		if i == 0 {
			common = dir
		}
		for {
			if way, err := filepath.Rel(common, dir); err == nil && filepath.IsLocal(way) {
				break
			}
			up := filepath.Dir(common)
			if up == common {
				break
			}
			common = up
		}
	}
	return common
}

// correct writes the corrected file, with marks if they are wanted in it.
func (k *corrector) correct(t *transcript.Transcript, changes []edit.Change, left []edit.Left,
	out *bytes.Buffer) error {
	if k.cmd.Mark && k.cmd.MarkList == "" {
		marks, unmarked, err := edit.Marks(left, t)
		if errors.Is(err, edit.ErrNoNotes) {
			unmarked = left
		} else if err != nil {
			return err
		}
		changes = slices.Concat(changes, marks)
		for _, l := range unmarked {
			if l.Note != "" {
				k.env.remark(t.Name, l.At, l.Note)
			}
		}
	}
	corrected, err := edit.Apply(t.Source, changes)
	if err != nil {
		return err
	}
	after, err := edit.Reread(t, corrected)
	if err != nil {
		return err
	}
	out.Write(corrected)
	for _, w := range edit.Warn(t, after) {
		k.env.remark(t.Name, w.At, w.What)
	}
	return nil
}

// remark says on standard error of a moment of a file.
func (e *env) remark(name string, at *schema.Seconds, text string) {
	when := ""
	if at != nil {
		when = " " + at.Clock()
	}
	fmt.Fprintf(e.stderr, "saywatt: %s%s: %s\n", word.Printable(name), when, word.Printable(text))
}

// tellLanguage warns of captions that are not English.
func (e *env) tellLanguage(t *transcript.Transcript, so string) {
	if why := t.Foreign(); why != "" {
		e.remark(t.Name, nil, transcript.ErrLanguage.Error()+": "+why+so)
	}
}
