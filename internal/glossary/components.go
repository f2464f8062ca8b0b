package glossary

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"saywatt/schema"
)

// componentColumns are those that a component table must have to be taken in:
// what "saywatt read --format components" writes.
var componentColumns = []string{"kind", "maker", "part", "package", "ratings", "status"}

// errConflict is the cause where a part is given with two makers or packages.
var errConflict = errors.New("said in two ways")

// FromComponents makes entries of a component table: a part with its maker,
// package and ratings, and every maker, in the order of the table. Rows with
// the status open are left out and counted, for they are not sure; so are the
// sizes among ratings, and rows with neither part nor maker. A part said twice
// has the ratings of both. Errors are *ParseError.
func FromComponents(r io.Reader, name string) (all []Entry, open int, err error) {
	c := csv.NewReader(r)
	header, err := c.Read()
	if errors.Is(err, io.EOF) {
		return nil, 0, &ParseError{name, 1, "", fmt.Errorf("header row: %w", errMissing)}
	}
	if err != nil {
		return nil, 0, fileError(name, err)
	}
	at := map[string]int{}
	for i, h := range header {
		at[strings.TrimPrefix(h, "\uFEFF")] = i
	}
	for _, want := range componentColumns {
		if _, ok := at[want]; !ok {
			return nil, 0, &ParseError{name, 1, "",
				fmt.Errorf("column %q: %w; is it a table of components?", want, errMissing)}
		}
	}
	index := map[string]int{}
	for {
		cells, err := c.Read()
		if errors.Is(err, io.EOF) {
			return all, open, nil
		}
		if err != nil {
			return nil, 0, fileError(name, err)
		}
		line, _ := c.FieldPos(0)
		get := func(column string) string { return strings.TrimSpace(cells[at[column]]) }
		part, maker := get("part"), get("maker")
		if get("status") == schema.StatusOpen.String() {
			open++
			continue
		}
		if maker != "" {
			e := Entry{Kind: KindMaker, Name: maker, File: name, Line: line}
			if err := e.Check(); err != nil {
				return nil, 0, &ParseError{name, line, "maker", err}
			}
			if _, ok := index[e.id()]; !ok {
				index[e.id()] = len(all)
				all = append(all, e)
			}
		}
		if part == "" {
			continue
		}
		e := Entry{Kind: KindPart, Name: part, Maker: maker, Package: get("package"), File: name, Line: line}
		if err := e.Check(); err != nil {
			return nil, 0, &ParseError{name, line, "part", err}
		}
		if e.Ratings, err = ParseRatings(get("ratings")); err != nil {
			return nil, 0, &ParseError{name, line, "ratings", err}
		}
		i, ok := index[e.id()]
		if !ok {
			index[e.id()] = len(all)
			all = append(all, e)
			continue
		}
		if err := all[i].join(&e); err != nil {
			return nil, 0, &ParseError{name, line, "part", err}
		}
	}
}

// join takes into e what f says of the same part.
func (e *Entry) join(f *Entry) error {
	for _, p := range [...]struct {
		what string
		a    *string
		b    string
	}{{"maker", &e.Maker, f.Maker}, {"package", &e.Package, f.Package}} {
		switch {
		case *p.a == "":
			*p.a = p.b
		case p.b != "" && plain(*p.a) != plain(p.b):
			return fmt.Errorf("%s %q of %s, on line %d %q: %w", p.what, p.b, e.Name, e.Line, *p.a, errConflict)
		}
	}
	for _, q := range f.Ratings {
		if !slices.ContainsFunc(e.Ratings, q.Same) {
			e.Ratings = append(e.Ratings, q)
		}
	}
	return nil
}
