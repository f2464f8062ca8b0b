package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"

	"saywatt/internal/export/plainjson"
	"saywatt/internal/export/word"
	"saywatt/internal/glossary"
	"saywatt/internal/intake"
)

// glossaryCmd keeps the names that a user knows.
type glossaryCmd struct {
	Add    glossaryAddCmd    `cmd:"" help:"Put a name into the glossary."`
	List   glossaryListCmd   `cmd:"" help:"List the names, of all files together."`
	Check  glossaryCheckCmd  `cmd:"" help:"Check glossary files."`
	Import glossaryImportCmd `cmd:"" help:"Take makers and parts from component tables."`
}

func (glossaryCmd) Help() string {
	return `Usage: saywatt glossary COMMAND [FLAG ...]

Keeps the makers, part numbers and packages that you know. What captions made
of such a name is then read as the name; the known ratings of a part are
evidence for the ratings heard.

Commands:
  add     put a name into the glossary
  list    list the names, of all files together
  check   check glossary files
  import  take makers and parts from component tables

A glossary is a CSV file with the columns kind (maker, part, package), name,
aliases, spoken, maker, ratings, package and note; aliases, spoken and ratings
take several, with ";" between. There are two, and a later one wins:
  personal  saywatt/glossary.csv in your configuration folder
  project   saywatt-glossary.csv in the current folder

Example:
  saywatt glossary add maker Brannick --spoken 'bran nick'
`
}

// glossaryFile says which file is written.
type glossaryFile struct {
	Personal bool   `help:"Write the personal file."`
	Out      string `short:"o" help:"Write this file."`
}

const glossaryFileHelp = `      --personal     write the personal file, not the project's
  -o, --out FILE     write this file
`

// writtenHelp describes --json of commands that write a glossary.
const writtenHelp = `      --json         print a line of JSON for each name put in, as "saywatt
                     glossary list" has it
`

// written prints the names that were put into a file, as JSON.
func (f *formFlag) written(e *env, file string, names []glossary.Entry) error {
	if !f.JSON {
		return nil
	}
	all, err := e.entries(file, false)
	if err != nil {
		return err
	}
	type name struct {
		kind glossary.Kind
		name string
	}
	put := map[name]bool{}
	for i := range names {
		put[name{names[i].Kind, names[i].Name}] = true
	}
	all = slices.DeleteFunc(all, func(n glossary.Entry) bool { return !put[name{n.Kind, n.Name}] })
	return writeNames(e.stdout, all)
}

// name is the file meant.
func (f *glossaryFile) name(e *env) (string, error) {
	switch {
	case f.Out != "":
		return f.Out, nil
	case f.Personal:
		config, err := e.config()
		if err != nil {
			return "", err
		}
		return glossary.PersonalFile(config), nil
	}
	return glossary.ProjectFile, nil
}

// errNoConfig says that there is no place for a personal file.
var errNoConfig = errors.New("no configuration folder is known; set XDG_CONFIG_HOME or HOME")

// config is the user's configuration folder.
func (e *env) config() (string, error) {
	if e.configDir == nil {
		return "", errNoConfig
	}
	dir, err := e.configDir()
	if err != nil {
		return "", errors.Join(errNoConfig, err)
	}
	return dir, nil
}

// glossary reads the personal and the project file, as far as they are there,
// and the named ones, which must be.
func (e *env) glossary(named ...string) (*glossary.Book, error) {
	var lists [][]glossary.Entry
	if config, err := e.config(); err == nil {
		list, err := e.entries(glossary.PersonalFile(config), true)
		if err != nil {
			return nil, err
		}
		lists = append(lists, list)
	}
	list, err := e.entries(glossary.ProjectFile, true)
	if err != nil {
		return nil, err
	}
	lists = append(lists, list)
	for _, name := range named {
		list, err := e.entries(name, false)
		if err != nil {
			return nil, err
		}
		lists = append(lists, list)
	}
	return glossary.New(lists...), nil
}

// entries reads a glossary file; where it may be missing it then has none.
func (e *env) entries(name string, optional bool) ([]glossary.Entry, error) {
	f, err := e.open(name)
	if optional && errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return glossary.Read(f, name)
}

// change writes a glossary file anew with what edit makes of its entries.
func (f *glossaryFile) change(e *env, inputs []string,
	edit func(old []glossary.Entry) ([]glossary.Entry, error)) (string, error) {
	name, err := f.name(e)
	if err != nil {
		return "", err
	}
	old, err := e.entries(name, true)
	if err != nil {
		return "", err
	}
	entries, err := edit(old)
	if err != nil {
		return "", err
	}
	if err := e.makeFolder(name); err != nil {
		return "", err
	}
	return name, e.saver.Rewrite(name, inputs, func(w io.Writer) error { return glossary.Write(w, entries) })
}

type glossaryAddCmd struct {
	glossaryFile
	formFlag
	Alias   []string      `sep:"none" help:"Another spelling."`
	Spoken  []string      `sep:"none" help:"What captions show for it."`
	Maker   string        `help:"Who makes the part."`
	Ratings string        `help:"What the part is rated for."`
	Package string        `help:"Package of the part."`
	Note    string        `help:"For the reader."`
	Replace bool          `help:"Take the place of an entry with the name."`
	Kind    glossary.Kind `arg:"" help:"maker, part or package."`
	Name    string        `arg:"" help:"The name in its standard spelling."`
}

func (glossaryAddCmd) Help() string {
	return `Usage: saywatt glossary add [FLAG ...] KIND NAME

Puts a name into the project's glossary. KIND is maker, part or package.

Flags:
      --alias A      another spelling of it; may be given several times
      --spoken S     what captions show for it; may be given several times
      --maker M      of a part: who makes it
      --ratings R    of a part: what it is rated for, "650 V; 150 mOhm"
      --package P    of a part: its package code
      --note N       for the reader
      --replace      take the place of an entry with the same name
` + glossaryFileHelp + writtenHelp + `
Comments in the file are not kept.

Example:
  saywatt glossary add part DQ65R150 --ratings '650 V; 150 mOhm'
`
}

func (c *glossaryAddCmd) Run(e *env) error {
	ratings, err := glossary.ParseRatings(c.Ratings)
	if err != nil {
		return &usageError{fmt.Errorf("--ratings: %w", err), "saywatt glossary add"}
	}
	entry := glossary.Entry{Kind: c.Kind, Name: c.Name, Aliases: c.Alias, Spoken: c.Spoken, Maker: c.Maker,
		Ratings: ratings, Package: c.Package, Note: c.Note}
	if err := entry.Check(); err != nil {
		return &usageError{err, "saywatt glossary add"}
	}
	file, err := c.change(e, nil, func(old []glossary.Entry) ([]glossary.Entry, error) {
		all := glossary.Merge(old, []glossary.Entry{entry})
		if len(all) == len(old) && !c.Replace {
			return nil, fmt.Errorf("%s %s is there already; --replace takes its place", c.Kind, c.Name)
		}
		return all, nil
	})
	if err != nil {
		return err
	}
	return c.written(e, file, []glossary.Entry{entry})
}

type glossaryListCmd struct {
	formFlag
	Glossary []string      `sep:"none" help:"A further glossary file."`
	Kind     glossary.Kind `arg:"" optional:"" help:"maker, part or package."`
	Name     string        `arg:"" optional:"" help:"Only what this name may mean."`
}

func (glossaryListCmd) Help() string {
	return `Usage: saywatt glossary list [FLAG ...] [KIND [NAME]]

Lists the names of all glossary files together, as CSV in the form of the file.
With KIND only those; with NAME those that a name heard may mean, best first.

Flags:
      --glossary FILE  a further glossary file, which wins over the others; may
                       be given several times
      --json           print a line of JSON for each name instead

Exit status: 0; 1 where NAME means none; 2 a file could not be read.

Example:
  saywatt glossary list maker 'bran nick'
`
}

func (c *glossaryListCmd) Run(e *env) error {
	book, err := e.glossary(c.Glossary...)
	if err != nil {
		return err
	}
	var out []glossary.Entry
	if c.Name == "" {
		for _, entry := range book.Entries() {
			if c.Kind == glossary.KindUnknown || entry.Kind == c.Kind {
				out = append(out, entry)
			}
		}
		return c.write(e, out)
	}
	for _, m := range book.Find(c.Kind, c.Name) {
		out = append(out, *m.Entry)
	}
	if len(out) > 0 {
		return c.write(e, out)
	}
	message := fmt.Sprintf("no %s is called %s", c.Kind, c.Name)
	if near := book.Suggest(c.Kind, c.Name); len(near) > 0 {
		message += "; there is " + strings.Join(near, ", ")
	}
	e.complain(errors.New(message))
	return errAttention
}

// write writes names, as the file has them or as lines of JSON.
func (c *glossaryListCmd) write(e *env, all []glossary.Entry) error {
	if !c.JSON {
		return glossary.Write(e.stdout, all)
	}
	return writeNames(e.stdout, all)
}

// writeNames writes names as a line of JSON each.
func writeNames(w io.Writer, all []glossary.Entry) error {
	for i := range all {
		n := &all[i]
		if err := plainjson.WriteLine(w, struct {
			Kind    string   `json:"kind"`
			Name    string   `json:"name"`
			Aliases []string `json:"aliases,omitempty"`
			Spoken  []string `json:"spoken,omitempty"`
			Maker   string   `json:"maker,omitempty"`
			Ratings string   `json:"ratings,omitempty"`
			Package string   `json:"package,omitempty"`
			Note    string   `json:"note,omitempty"`
			File    string   `json:"file"` // as it is called here: it is for whoever keeps it
			Line    int      `json:"line"`
		}{n.Kind.String(), n.Name, n.Aliases, n.Spoken, n.Maker, glossary.FormatRatings(n.Ratings), n.Package, n.Note,
			n.File, n.Line}); err != nil {
			return err
		}
	}
	return nil
}

type glossaryCheckCmd struct {
	formFlag
	File []string `arg:"" optional:"" help:"Glossary files."`
}

func (glossaryCheckCmd) Help() string {
	return `Usage: saywatt glossary check [FILE ...]

Checks glossary files: that they can be read, and for names that captions do
not distinguish, spoken forms that another name has, and makers of parts that
have no entry. A folder stands for the CSV files in it and below it. Without
FILE, the personal and the project file.

Flags:
      --json         print a line of JSON for each thing to look at

Exit status: 0 nothing to look at; 1 something is; 2 a file could not be read.

Example:
  saywatt glossary check saywatt-glossary.csv
`
}

func (c *glossaryCheckCmd) Run(e *env) error {
	var book *glossary.Book
	if len(c.File) == 0 {
		var err error
		if book, err = e.glossary(); err != nil {
			return err
		}
	} else {
		lists, err := e.glossaries(c.File)
		if err != nil {
			return err
		}
		book = glossary.New(lists...)
	}
	doubts := book.Doubts()
	for _, d := range doubts {
		if c.JSON {
			if err := plainjson.WriteLine(e.stdout, struct {
				File    string `json:"file"`
				Line    int    `json:"line"`
				Message string `json:"message"`
			}{d.Entry.File, d.Entry.Line, d.Message}); err != nil {
				return err
			}
			continue
		}
		fmt.Fprintf(e.stdout, "%s:%d: %s\n", word.Printable(d.Entry.File), d.Entry.Line, word.Printable(d.Message))
	}
	if !c.JSON {
		fmt.Fprintf(e.stdout, "%d names, %d to look at\n", len(book.Entries()), len(doubts))
	}
	if len(doubts) > 0 {
		return errAttention
	}
	return nil
}

// anotherTable reports whether the head of a table is that of something else.
func anotherTable(err error) bool {
	var p *glossary.ParseError
	return errors.As(err, &p) && p.Line == 1
}

// glossaries reads glossary files. Of a folder, tables that are none are passed over.
func (e *env) glossaries(names []string) ([][]glossary.Entry, error) {
	files, err := intake.Tables(names)
	if err != nil {
		return nil, err
	}
	var lists [][]glossary.Entry
	for _, f := range files {
		list, err := e.entries(f.Name, false)
		if f.Maybe && anotherTable(err) {
			e.complain(&intake.PassedOver{Err: err})
			continue
		}
		if err != nil {
			return nil, err
		}
		lists = append(lists, list)
	}
	return lists, nil
}

type glossaryImportCmd struct {
	glossaryFile
	formFlag
	File []string `arg:"" help:"A table that \"saywatt read --format components\" writes."`
}

func (glossaryImportCmd) Help() string {
	return `Usage: saywatt glossary import [FLAG ...] FILE ...

Takes the makers and parts of component tables, as "saywatt read --format
components" writes them, into the project's glossary. A folder stands for the
CSV files in it and below it; those of another kind are passed over. Rows whose
status is open are left out. A name that the glossary has stays as it is.

Flags:
` + glossaryFileHelp + writtenHelp + `
Read what was taken in before you rely on it: an entry is evidence.

Example:
  saywatt glossary import parts.csv
`
}

func (c *glossaryImportCmd) Run(e *env) error {
	files, err := intake.Tables(c.File)
	if err != nil {
		return err
	}
	var found []glossary.Entry
	var read []string
	open := 0
	for _, f := range files {
		list, n, err := e.componentTable(f.Name)
		if f.Maybe && anotherTable(err) {
			e.complain(&intake.PassedOver{Err: err})
			continue
		}
		if err != nil {
			return err
		}
		found, open, read = glossary.Merge(found, list), open+n, append(read, f.Name)
	}
	var added []glossary.Entry
	name, err := c.change(e, read, func(old []glossary.Entry) ([]glossary.Entry, error) {
		all := glossary.Merge(old, glossary.Merge(found, old)) // what is there wins, and stays in its place
		added = all[len(old):]
		return all, nil
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(e.stderr, "saywatt: %s: %d names added, %d there already; %d open rows left out\n",
		word.Printable(name), len(added), len(found)-len(added), open)
	return c.written(e, name, added)
}

func (e *env) componentTable(name string) ([]glossary.Entry, int, error) {
	if name == stdinName {
		return glossary.FromComponents(e.stdin, name)
	}
	f, err := e.open(name)
	if err != nil {
		return nil, 0, err
	}
	defer f.Close()
	return glossary.FromComponents(f, name)
}
