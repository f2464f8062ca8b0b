package glossary

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"saywatt/schema"
)

// ProjectFile is the name of the project's glossary, in the working directory.
const ProjectFile = "saywatt-glossary.csv"

// PersonalFile is where the personal glossary stands in the user's
// configuration folder.
func PersonalFile(config string) string { return filepath.Join(config, "saywatt", "glossary.csv") }

// columns are those of the file, in the order written.
var columns = []string{"kind", "name", "aliases", "spoken", "maker", "ratings", "package", "note"}

// separator stands between the parts of a cell that holds several.
const separator = ";"

// A ParseError says what of a file cannot be read.
type ParseError struct {
	File   string
	Line   int
	Column string // name of the column, "" where it is about the line
	Err    error
}

func (e *ParseError) Error() string {
	if e.Column == "" {
		return fmt.Sprintf("%s:%d: %v", e.File, e.Line, e.Err)
	}
	return fmt.Sprintf("%s:%d: %s: %v", e.File, e.Line, e.Column, e.Err)
}

func (e *ParseError) Unwrap() error { return e.Err }

// Read reads a glossary file; name is for errors and the entries' File. The
// first fault ends it with a *ParseError. An empty file has no entries.
func Read(r io.Reader, name string) ([]Entry, error) {
	c := csv.NewReader(r)
	c.Comment = '#'
	c.TrimLeadingSpace = true
	header, err := c.Read()
	if errors.Is(err, io.EOF) {
		return nil, nil
	}
	if err != nil {
		return nil, fileError(name, err)
	}
	at, err := columnsOf(header)
	if err != nil {
		return nil, &ParseError{name, 1, "", err}
	}
	var all []Entry
	seen := map[string]int{}
	for {
		cells, err := c.Read()
		if errors.Is(err, io.EOF) {
			return all, nil
		}
		if err != nil {
			return nil, fileError(name, err)
		}
		line, _ := c.FieldPos(0)
		e, column, err := entryOf(cells, at)
		if err == nil {
			err = e.Check()
		}
		if err != nil {
			return nil, &ParseError{name, line, column, err}
		}
		e.File, e.Line = name, line
		id := e.id()
		if first, twice := seen[id]; twice {
			return nil, &ParseError{name, line, "name",
				fmt.Errorf("%s %s: %w, first on line %d", e.Kind, e.Name, errTwice, first)}
		}
		seen[id] = line
		all = append(all, e)
	}
}

// fileError puts the file's name and the line to an error of the CSV form.
func fileError(name string, err error) error {
	var p *csv.ParseError
	if errors.As(err, &p) {
		return &ParseError{name, p.Line, "", p.Err}
	}
	return fmt.Errorf("%s: %w", name, err)
}

// columnsOf says for each of Columns in which cell it stands, -1 nowhere.
func columnsOf(header []string) ([]int, error) {
	at := make([]int, len(columns))
	for i := range at {
		at[i] = -1
	}
	for i, cell := range header {
		cell = strings.TrimPrefix(strings.TrimSpace(cell), "\uFEFF") // spreadsheets write a byte order mark
		k := slices.Index(columns, cell)
		switch {
		case k < 0:
			return nil, fmt.Errorf("%w %q; there are %s", errColumn, clipped(cell), strings.Join(columns, ", "))
		case at[k] >= 0:
			return nil, fmt.Errorf("column %q: %w", cell, errTwice)
		}
		at[k] = i
	}
	for k := range 2 {
		if at[k] < 0 {
			return nil, fmt.Errorf("column %q: %w", columns[k], errMissing)
		}
	}
	return at, nil
}

// entryOf makes an entry of the cells of a row; the column is that at fault.
func entryOf(cells []string, at []int) (e Entry, column string, err error) {
	cell := func(k int) string {
		if at[k] < 0 {
			return ""
		}
		return strings.TrimSpace(cells[at[k]])
	}
	if e.Kind, err = parseKind(cell(0)); err != nil {
		return e, "kind", err
	}
	e.Name, e.Maker, e.Package, e.Note = cell(1), cell(4), cell(6), cell(7)
	e.Aliases, e.Spoken = list(cell(2)), list(cell(3))
	if e.Ratings, err = ParseRatings(cell(5)); err != nil {
		return e, "ratings", err
	}
	return e, "", nil
}

// list splits a cell that holds several.
func list(cell string) []string {
	var all []string
	for part := range strings.SplitSeq(cell, separator) {
		if part = strings.TrimSpace(part); part != "" {
			all = append(all, part)
		}
	}
	return all
}

// ParseRatings reads "650 V; 150 mOhm; 100..240 V; 10 kOhm ± 1 %", with units
// in UCUM code.
func ParseRatings(cell string) ([]schema.Quantity, error) {
	var all []schema.Quantity
	for _, part := range list(cell) {
		value, tolerance, tolerated := strings.Cut(part, "±")
		q, err := parseRating(value)
		if err != nil {
			return nil, err
		}
		if tolerated {
			t, err := parseRating(tolerance)
			if err != nil {
				return nil, err
			}
			q.Tolerance = &schema.Tolerance{Value: t.Low, Unit: t.Unit}
		}
		all = append(all, q)
	}
	return all, nil
}

func parseRating(s string) (schema.Quantity, error) {
	q, err := schema.ParseQuantity(strings.TrimSpace(s))
	if err != nil {
		return q, err
	}
	if q.Unit == "" {
		return q, fmt.Errorf("%q: unit: %w", s, errMissing)
	}
	_, err = schema.ParseUnit(string(q.Unit))
	return q, err
}

// Write writes a glossary file that Read reads as the same entries, in the
// order given.
func Write(w io.Writer, entries []Entry) error {
	c := csv.NewWriter(w)
	if err := c.Write(columns); err != nil {
		return err
	}
	for i := range entries {
		e := &entries[i]
		err := c.Write([]string{e.Kind.String(), e.Name, strings.Join(e.Aliases, separator+" "),
			strings.Join(e.Spoken, separator+" "), e.Maker,
			FormatRatings(e.Ratings), e.Package, e.Note})
		if err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// FormatRatings writes ratings as ParseRatings reads them.
func FormatRatings(all []schema.Quantity) string {
	var b strings.Builder
	for i, q := range all {
		if i > 0 {
			b.WriteString(separator + " ")
		}
		b.WriteString(q.Low.String())
		if q.Range {
			b.WriteString(".." + q.High.String())
		}
		if q.Unit != "" {
			b.WriteString(" " + string(q.Unit))
		}
		if t := q.Tolerance; t != nil {
			b.WriteString(" ± " + t.Value.String() + " " + string(t.Unit))
		}
	}
	return b.String()
}

// clipped is a cell as a message shows it: what is no glossary may be one long line.
func clipped(cell string) string {
	const most = 60
	if r := []rune(cell); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return cell
}

// id is what makes two entries the same: kind and plain name.
func (e *Entry) id() string { return e.Kind.String() + " " + plain(e.Name) }

// Merge joins lists of entries; of two with the same kind and name the one of
// the later list stands, in the place of the earlier.
func Merge(lists ...[]Entry) []Entry {
	var all []Entry
	at := map[string]int{}
	for _, l := range lists {
		for _, e := range l {
			if i, twice := at[e.id()]; twice {
				all[i] = e
				continue
			}
			at[e.id()] = len(all)
			all = append(all, e)
		}
	}
	return all
}
