package export

import (
	"path/filepath"
	"strings"
	"unicode"

	"saywatt/schema"
)

// Columns in front of every table of several reviews, and of all that are
// written for other programs:
//
//	review  name of the review: as given, else made of its file's name (ReviewName)
//	file    name of the file that was read, as given; empty for standard input
var reviewColumns = []string{"review", "file"}

// OfReview puts the columns of the review in front of a table of its record.
func (t Table) OfReview(r *schema.Record) Table {
	out := Table{Name: t.Name, Columns: append(append([]string{}, reviewColumns...), t.Columns...)}
	var file any
	if r.Source.File != "-" {
		file = r.Source.File
	}
	for _, row := range t.Rows {
		out.Rows = append(out.Rows, append([]any{ReviewName(&r.Source), file}, row...))
	}
	return out
}

// ReviewName is the name of a review: that which was given, else its title as
// a name, else that of its file with the folder it is in and without its
// ending, so that two files of the same name stay apart. It is "" for captions
// from standard input that nobody named.
func ReviewName(s *schema.Source) string {
	switch {
	case s.Review != "":
		return s.Review
	case s.Title != "":
		return Slug(s.Title)
	}
	file := filepath.ToSlash(s.File)
	if len(s.Parts) > 0 {
		file = filepath.ToSlash(s.Parts[0].File)
	}
	dir, base := "", file
	if i := strings.LastIndexByte(file, '/'); i >= 0 {
		dir, base = file[:i], file[i+1:]
		dir = dir[strings.LastIndexByte(dir, '/')+1:]
	}
	if ext := filepath.Ext(base); isEnding(ext) {
		base = strings.TrimSuffix(base, ext)
	}
	return strings.Trim(Slug(dir)+"-"+Slug(base), "-")
}

// isEnding reports whether what follows the last point of a name is an ending:
// letters and digits, a letter among them, and few.
func isEnding(ext string) bool {
	const longest = 6 // .jsonl
	return len(ext) > 1 && len(ext) <= longest && !strings.ContainsAny(ext, " ") && strings.ContainsFunc(ext, unicode.IsLetter)
}

// Slug makes a name of a text: its letters and digits, lower case, with hyphens
// for what is between; a point between digits belongs to the number.
func Slug(s string) string {
	var b strings.Builder
	runes := []rune(s)
	gap := false
	for i, c := range runes {
		point := c == '.' && i > 0 && i+1 < len(runes) && unicode.IsDigit(runes[i-1]) && unicode.IsDigit(runes[i+1])
		if !point && !unicode.IsLetter(c) && !unicode.IsDigit(c) && !unicode.Is(unicode.Mn, c) {
			gap = true
			continue
		}
		if gap && b.Len() > 0 {
			b.WriteByte('-')
		}
		gap = false
		b.WriteRune(unicode.ToLower(c))
	}
	return b.String()
}
