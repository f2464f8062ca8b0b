// Package naming says what reviews and files are called where people and programs
// see them: the name of a review that nobody named ([ReviewName]), those of several
// read together ([Distinct]), and what is shown of a path ([ShownPath], [ShownFile]).
//
// A name has letters, digits and single hyphens ([Slug]). What is shown of a path
// says nothing of the machine that it was on.
package naming

import (
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"unicode"

	"saywatt/internal/export/word"
	"saywatt/schema"
)

// ShownFile is the name of the file read as tables and sheets show it (ShownPath).
// Where on a disk a file was is of no use to those who get a table.
func ShownFile(s *schema.Source) string {
	if len(s.Parts) == 0 {
		return ShownPath(s.File)
	}
	names := make([]string, len(s.Parts))
	for i := range s.Parts {
		names[i] = ShownPath(s.Parts[i].File)
	}
	return strings.Join(names, "+")
}

// ShownName cuts a name for lines that people read: captions may say anything.
func ShownName(s string) string { return word.Clip(s, mostShown) }

// mostShown is how many letters of a name are shown.
const mostShown = 80

// ShownPath is the name of one file as columns have it: as it was named, but of
// a name that begins at the root of a disk, or leads out of the current folder,
// the last folder and the file.
func ShownPath(name string) string {
	slashed := strings.ReplaceAll(name, `\`, "/")
	drive := len(slashed) > 2 && slashed[1] == ':' && slashed[2] == '/'
	out := strings.HasPrefix(path.Clean(slashed), "../")
	if !strings.HasPrefix(slashed, "/") && !strings.HasPrefix(slashed, "~/") && !drive && !out {
		return name
	}
	dir, base := path.Split(path.Clean(slashed))
	if above := path.Base(dir); above != "/" && above != ".." {
		return path.Join(above, base)
	}
	return base
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
	return Longer(s)[0]
}

// Longer are what a review can be called by its file: the name of
// ReviewName, then each with one folder more, at last all of the path and the
// ending. The list is never empty.
func Longer(s *schema.Source) []string {
	if len(s.Parts) > 0 {
		return longerNames(s.Parts[0].File)
	}
	return longerNames(s.File)
}

func longerNames(file string) []string {
	steps := strings.Split(filepath.ToSlash(file), "/")
	base := steps[len(steps)-1]
	steps = steps[:len(steps)-1]
	stem := base
	if ext := filepath.Ext(base); isEnding(ext) {
		stem = strings.TrimSuffix(base, ext)
	}
	name := Slug(stem)
	var names []string
	for i := len(steps) - 1; i >= 0; i-- {
		if longer := strings.Trim(Slug(steps[i])+"-"+name, "-"); longer != name {
			name = longer
			names = append(names, name)
		}
	}
	if len(names) == 0 {
		names = append(names, name)
	}
	if ending := Slug(strings.TrimPrefix(base, stem)); ending != "" {
		names = append(names, strings.Trim(name+"-"+ending, "-"))
	}
	return names
}

// Distinct are names of reviews by the paths of their files, the shortest
// of LongerNames by which none is called as another. Files that even those do
// not distinguish are numbered.
func Distinct(files []string) []string {
	longer := make([][]string, len(files))
	names := make([]string, len(files))
	for i, f := range files {
		longer[i] = longerNames(f)
	}
	for again := true; again; {
		again = false
		bearers := map[string]int{}
		for i := range files {
			names[i] = longer[i][0]
			bearers[names[i]]++
		}
		for i, name := range names {
			if name != "" && bearers[name] > 1 && len(longer[i]) > 1 {
				longer[i], again = longer[i][1:], true
			}
		}
	}
	taken := map[string]bool{}
	for i, name := range names {
		for n := 2; name != "" && taken[names[i]]; n++ {
			names[i] = name + "-" + strconv.Itoa(n)
		}
		taken[names[i]] = true
	}
	return names
}

// isEnding reports whether what follows the last point of a name is an ending:
// letters and digits, a letter among them, and few.
func isEnding(ext string) bool {
	const longest = 6 // .jsonl
	return len(ext) > 1 && len(ext) <= longest && !strings.ContainsAny(ext, " ") &&
		strings.ContainsFunc(ext, unicode.IsLetter)
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
