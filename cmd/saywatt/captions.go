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
	"saywatt/internal/export"
	"saywatt/internal/intake"
	"saywatt/normalize"
	"saywatt/schema"
)

type captionsCmd struct {
	formFlag
	failFlag
	sourceFlags
	Style     edit.Units     `help:"How corrected units are written."`
	Decimal   edit.Decimal   `help:"Decimal sign."`
	Thousands edit.Thousands `help:"Grouping of digits."`
	Mark      bool           `help:"Note what is left for your ear."`
	MarkList  string         `help:"Write these notes to this file instead."`
	Changes   string         `help:"Write the list of changes instead."`
	Link      string         `help:"Address of a moment, with {s}."`
	Accept    string         `help:"Apply this list of changes."`
	Record    string         `help:"Take the corrections from these records."`
	Out       string         `short:"o" help:"Write to this file."`
	Into      string         `help:"Write each file into this folder."`
}

func (captionsCmd) Help() string {
	return `Usage: saywatt captions [FLAG ...] [FILE ...]

Writes the captions again with what was misheard corrected, in the format they
came in: only the corrected words differ; times, settings, styling, comments,
line ends and encoding stay as they are. Settled quantities are corrected, and
repaired ones where such corrections were right 99 times of 100; and garbled
names of terms that the record holds. The rest stays as heard and is left to
you: what is open, and where a correction would lose a number that was said. A
text that is not English stays as heard too. Into a Word document
nothing is written back; --changes lists what would be. A FILE is captions, a
folder or a pattern; "-" or none is standard input. Each is written by itself,
so that --join does not go with this command.

Flags:
      --into DIR     write each file into this folder, made where there is none,
                     by its name and the folders in which the FILEs differ;
                     wanted for several. What lies in it is no input, unless
                     it is named; what was written there for captions elsewhere
                     is not replaced. With --changes it has the lists,
                     NAME.changes.csv for each NAME
      --style S      own      as the speaker's captions have them (default)
                     symbols  3.25 A
                     words    3.25 amps
      --decimal D    decimal sign: point (default) or comma
      --thousands T  grouping: own (default), none, space or comma
      --mark         note what is left before its cue, "Needs your ear" of what
                     is open and "Left as heard" of the rest, where the format
                     has notes, WebVTT and TTML; for any other, such as SubRip,
                     the notes are a list on standard error
      --mark-list F  write these notes to file F instead, a line each, with the
                     time in front; for any format. Of several FILEs F is a
                     folder, with NAME.notes.txt for each NAME
      --changes F    write the list of changes instead, for an editor to
                     approve or undo: csv, md or jsonl; what is left for your
                     ear is in it as rows that say no
      --json         the same as --changes jsonl
      --link URL     in the list, the address of each moment: {s} stands for
                     its seconds; a W3C Media Fragment where not given
      --accept LIST  apply the rows of this list that say yes, and nothing else;
                     of several FILEs LIST is the folder of their lists
      --record FILE  take the corrections from records of the same captions, as
                     decided by people, instead of reading anew: a record, JSON
                     Lines or a feed, of which each file takes its own
  -o, --out PATH     write to this file, which appears whole or not at all
` + sourceHelp + failHelp("nothing") + `
Corrected words follow the style; words that were right stay as spoken. Standard
error has the corrections that could not be made, the captions that grew past
what people read in time, and at the end how many values were changed and how
much is left for your ear, as every command counts it of a record, and how many
places of the captions were corrected: values, names, and what a person
reworded. The values and the changes left as heard are those that were changed
and those that a person settled. A correction needs a probability of 0.95 at
least, whatever --threshold says.

Exit status: 0 written; 1 what --fail-on asks for; 2 a file could not be read or
written, or the command line is wrong.

Example:
  saywatt captions --changes csv review.vtt > changes.csv
`
}

// changeForms are the forms of the list of changes.
var changeForms = []string{"csv", "md", "jsonl"}

func (c *captionsCmd) Run(e *env) error {
	style := edit.Style{Units: c.Style, Decimal: c.Decimal, Thousands: c.Thousands}
	if err := c.check(style); err != nil {
		return &usageError{err, "saywatt captions"}
	}
	if c.JSON {
		c.Changes = "jsonl"
	}
	c.Without = c.Into
	files, err := c.files(e)
	if err != nil {
		return err
	}
	if err := c.checkFiles(files); err != nil {
		return &usageError{err, "saywatt captions"}
	}
	e.askForInput(c.File)
	r, err := c.reader(e, files)
	if err != nil {
		return err
	}
	k := corrector{env: e, cmd: c, style: style, base: commonFolder(files), several: c.several()}
	if c.Into != "" {
		if k.written, err = e.writtenIn(c.Into); err != nil {
			return err
		}
	}
	failed, err := k.run(r, files)
	if err != nil {
		return err
	}
	if k.tally.records > 1 {
		fmt.Fprintf(e.stderr, "saywatt: %d files: %s\n", k.tally.records, k.summary(&k.tally))
	}
	return c.outcome(&k.tally, failed || k.unwritten > 0)
}

// check refuses what flags alone cannot.
func (c *captionsCmd) check(s edit.Style) error {
	switch {
	case c.Accept != "" && (c.Record != "" || c.Mark || c.MarkList != "" || c.Changes != "" || len(c.Answers) > 0):
		return errors.New("--accept applies a list as it is; --record, --answers, --mark, --mark-list, --changes " +
			"do not go with it")
	case c.Record != "" && len(c.Answers) > 0:
		return errors.New("--record takes the corrections from records, and --answers reads the captions anew")
	case c.MarkList == stdinName || c.MarkList != "" && c.MarkList == c.Out:
		return fmt.Errorf("--mark-list %s: the notes go to a file of their own", c.MarkList)
	case c.Join:
		return errors.New("captions are written file by file; --join does not go with that")
	case c.Record == stdinName && (len(c.File) == 0 || slices.Contains(c.File, stdinName)):
		return errors.New("standard input is named more than once")
	case c.Into != "" && c.Out != "":
		return errors.New("--out names one file and --into a folder for many")
	}
	if err := c.checkList(); err != nil {
		return err
	}
	if err := c.checkFail(); err != nil {
		return err
	}
	if err := c.sourceFlags.check(); err != nil {
		return err
	}
	return s.Check()
}

// checkList refuses what cannot be a list of changes.
func (c *captionsCmd) checkList() error {
	switch {
	case c.JSON && c.Changes != "" && c.Changes != "jsonl":
		return fmt.Errorf("--json and --changes %s do not go together", c.Changes)
	case c.JSON && c.Accept != "":
		return errors.New("--json writes a list of changes, and --accept applies one")
	case c.Changes != "" && !slices.Contains(changeForms, c.Changes):
		return fmt.Errorf("list of changes %q is not known%s; there are %s", c.Changes,
			didYouMean(c.Changes, changeForms), strings.Join(changeForms, ", "))
	}
	return nil
}

// checkFiles refuses several files where one is meant.
func (c *captionsCmd) checkFiles(files []intake.File) error {
	if len(files) == 1 {
		return nil
	}
	for _, f := range []struct{ flag, value string }{
		{"--accept", c.Accept}, {"--out", c.Out},
	} {
		if f.value != "" && !(f.value == c.Accept && isDir(c.Accept)) {
			return fmt.Errorf("%s is of one file, and %d are given", f.flag, len(files))
		}
	}
	if c.Into == "" {
		return fmt.Errorf("%d files are given; --into names a folder to write them into", len(files))
	}
	return nil
}

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
		return fmt.Sprintf("%d changed, %s no", t.repaired, counted(t.captions.refused, "row says", "rows say")) +
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

// remark tells on standard error of a moment of a file.
func (e *env) remark(name string, at *schema.Seconds, text string) {
	when := ""
	if at != nil {
		when = " " + at.Clock()
	}
	fmt.Fprintf(e.stderr, "saywatt: %s%s: %s\n", export.Printable(name), when, export.Printable(text))
}

// tellLanguage warns of captions that are not English.
func (e *env) tellLanguage(t *transcript.Transcript, so string) {
	if why := t.Foreign(); why != "" {
		e.remark(t.Name, nil, transcript.ErrLanguage.Error()+": "+why+so)
	}
}
