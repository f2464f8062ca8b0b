package archive

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"saywatt/internal/export"
)

// Listed lists the reviews that a query finds by name, all for "", and what of
// the archive cannot be read.
func (a *Archive) Listed(query string) ([]*Review, []*Damage, error) {
	all, damages, err := a.Reviews()
	if err != nil || strings.TrimSpace(query) == "" {
		return all, damages, err
	}
	found, err := a.names(query)
	if err != nil {
		return nil, nil, err
	}
	kept := all[:0]
	for _, r := range all {
		if found[r.Name] {
			kept = append(kept, r)
		}
	}
	return kept, damages, nil
}

// names are the names of the reviews that a query finds.
func (a *Archive) names(query string) (map[string]bool, error) {
	found := map[string]bool{}
	_, err := a.with(func(v *view) error {
		_, in, err := (&evaluator{v: v}).find(query)
		if err != nil {
			return err
		}
		clear(found) // of an index that was broken
		in.each(func(doc uint64) bool {
			var name string
			if name, err = v.name(doc); err == nil {
				found[name] = true
			}
			return err == nil
		})
		return err
	})
	return found, err
}

// Named finds a review by its name, or by its title, product or path where only
// one is called so.
func (w *Writer) Named(name string) (*Review, error) {
	b, err := w.replayed()
	if err != nil {
		return nil, err
	}
	return b.named(name, w.a.PathFrom(name))
}

// Drop forgets what was written since the last Commit.
func (w *Writer) Drop() error {
	w.lines, w.pending, w.book = w.lines[:0], w.pending[:0], nil
	clear(w.touched)
	return nil
}

// WriteReviews lists reviews for people, one a line: name, versions, day, what
// it is of, file. Other captions that it was read from stand below the file, with
// their product where that is another.
//
// here makes of a path that the archive keeps one to show.
func WriteReviews(w io.Writer, all []*Review, here func(path string) string) error {
	if len(all) == 0 {
		_, err := fmt.Fprintln(w, "no reviews")
		return err
	}
	name, title := 0, 0
	for _, r := range all {
		name = max(name, utf8.RuneCountInString(r.Name))
		title = max(title, utf8.RuneCountInString(export.Printable(r.shown())))
	}
	name, title = min(name, widestName), min(title, widestName)
	for _, r := range all {
		line := fmt.Sprintf("%s  v%-3d %s  %s  %s", pad(r.Name, name), r.Version, r.Added.Format(time.DateOnly),
			pad(export.Printable(r.shown()), title), export.Printable(where(r, here)))
		if _, err := fmt.Fprintln(w, strings.TrimRight(line, " ")); err != nil {
			return err
		}
		margin := utf8.RuneCountInString(line) - utf8.RuneCountInString(export.Printable(where(r, here)))
		for _, c := range r.Others() {
			file := cmp.Or(here(c.Path), "(standard input)")
			if c.Product != "" && folded(c.Product) != folded(r.Product) {
				file += ", " + export.ShownName(c.Product)
			}
			if _, err := fmt.Fprintf(w, "%*s%s\n", margin, "", export.Printable(file)); err != nil {
				return err
			}
		}
	}
	return nil
}

// where is the path of the captions of a review, where it is not known what the record
// calls them.
func where(r *Review, here func(path string) string) string { return cmp.Or(here(r.Path), r.File) }

// widestName is how wide a column of the list becomes for long names.
const widestName = 40

// WriteReviewsCSV lists reviews as CSV (RFC 4180): review, title, product,
// version, added, by, path, record, and the paths of other captions that a
// review was read from, with a line break between.
func WriteReviewsCSV(w io.Writer, all []*Review) error {
	t := csv.NewWriter(w)
	t.UseCRLF = true
	t.Write([]string{"review", "title", "product", "version", "added", "by", "path", "record", "also"})
	for _, r := range all {
		var also []string
		for _, c := range r.Others() {
			also = append(also, c.Path)
		}
		t.Write([]string{csvCell(r.Name), csvCell(r.Given), csvCell(r.Product), strconv.Itoa(r.Version),
			r.Added.Format(time.RFC3339), csvCell(r.By), csvCell(r.Path), r.Record,
			csvCell(strings.Join(also, "\n"))})
	}
	t.Flush()
	return t.Error()
}
