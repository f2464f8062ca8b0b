package overview

import (
	"cmp"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"saywatt/internal/archive"
	"saywatt/internal/export/naming"
	"saywatt/internal/export/table"
	"saywatt/internal/export/word"
)

// WriteReviews lists reviews for people, one a line: name, versions, day, what
// it is of, file. Other captions that it was read from stand below the file, with
// their product where that is another.
//
// here makes of a path that the archive keeps one to show.
func WriteReviews(w io.Writer, all []*archive.Review, here func(path string) string) error {
	if len(all) == 0 {
		_, err := fmt.Fprintln(w, "no reviews")
		return err
	}
	name, title := 0, 0
	for _, r := range all {
		name = max(name, utf8.RuneCountInString(r.Name))
		title = max(title, utf8.RuneCountInString(word.Printable(shown(r))))
	}
	name, title = min(name, widestName), min(title, widestName)
	for _, r := range all {
		line := fmt.Sprintf("%s  v%-3d %s  %s  %s", pad(r.Name, name), r.Version, r.Added.Format(time.DateOnly),
			pad(word.Printable(shown(r)), title), word.Printable(where(r, here)))
		if _, err := fmt.Fprintln(w, strings.TrimRight(line, " ")); err != nil {
			return err
		}
		margin := utf8.RuneCountInString(line) - utf8.RuneCountInString(word.Printable(where(r, here)))
		for _, c := range r.Others() {
			file := cmp.Or(here(c.Path), "(standard input)")
			if c.Product != "" && !r.IsOf(c.Product) {
				file += ", " + naming.ShownName(c.Product)
			}
			if _, err := fmt.Fprintf(w, "%*s%s\n", margin, "", word.Printable(file)); err != nil {
				return err
			}
		}
	}
	return nil
}

// where is the path of the captions of a review, where it is not known what the record
// calls them.
func where(r *archive.Review, here func(path string) string) string {
	return cmp.Or(here(r.Path), r.File)
}

// widestName is how wide a column of the list becomes for long names.
const widestName = 40

// WriteReviewsCSV lists reviews as CSV (RFC 4180): review, title, product,
// version, added, by, path, record, and the paths of other captions that a
// review was read from, with a line break between.
func WriteReviewsCSV(w io.Writer, all []*archive.Review) error {
	t := table.NewCSV(w)
	t.Write([]string{"review", "title", "product", "version", "added", "by", "path", "record", "also"})
	for _, r := range all {
		var also []string
		for _, c := range r.Others() {
			also = append(also, c.Path)
		}
		t.Write([]string{table.CSVCell(r.Name), table.CSVCell(r.Given), table.CSVCell(r.Product),
			strconv.Itoa(r.Version), r.Added.Format(time.RFC3339), table.CSVCell(r.By),
			table.CSVCell(r.Path), r.Record, table.CSVCell(strings.Join(also, "\n"))})
	}
	t.Flush()
	return t.Error()
}
