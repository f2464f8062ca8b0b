package intake

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"saywatt/internal/export/naming"
	"saywatt/internal/export/word"
	"saywatt/normalize"
	"saywatt/schema"
)

// decisionsEnding is behind the name of a file whose decisions the desk keeps
// beside it.
const decisionsEnding = ".decisions.jsonl"

// errWhichFile says that an answer does not say which of several files it is on.
var errWhichFile = errors.New(`several files are read, and this answer does not say which it is on: "file":"NAME" does`)

// An ElsewhereError says that lines of an answer file on several reviews are on one
// that is not read.
type ElsewhereError struct {
	From  string // the answer file
	Named string // the file or review that they are on
	Lines int
}

func (e *ElsewhereError) Error() string {
	return fmt.Sprintf("%s: %s on %q, which is not among the files read; passed over", e.From,
		word.Plural(e.Lines, "line is", "lines are"), e.Named)
}

// ErrNoAnswers is the cause where a folder has no answers on the files read.
var ErrNoAnswers = errors.New("no answers on the files read")

// Answers are a person's decisions on several files.
type Answers struct {
	of    map[string][]normalize.Answer  // by File.Name
	words map[string][]normalize.Wording // likewise
	// Elsewhere are the lines on files that are not read, of answer files in which every
	// line names its file and some name one that is.
	Elsewhere []*ElsewhereError
}

// For returns the answers on a file; none of nil Answers.
func (a *Answers) For(f File) []normalize.Answer {
	if a == nil {
		return nil
	}
	return a.of[f.Name]
}

// wordings are what a person said that the captions of a file should say.
func (a *Answers) wordings(f File) []normalize.Wording {
	if a == nil {
		return nil
	}
	return a.words[f.Name]
}

// ReadAnswers reads answer files, and folders of such, and gives each file its
// own. An answer that is on none of the files is an error.
func ReadAnswers(open func(string) (io.ReadCloser, error), names []string, files []File) (*Answers, error) {
	if len(names) == 0 {
		return nil, nil
	}
	all := map[string][]normalize.Decision{} // by File.Name
	elsewhere, err := eachFile(open, names, files, func(f *File, _ string, list []normalize.Decision) {
		all[f.Name] = append(all[f.Name], list...)
	})
	if err != nil {
		return nil, err
	}
	a := &Answers{of: map[string][]normalize.Answer{}, words: map[string][]normalize.Wording{}, Elsewhere: elsewhere}
	for name, list := range all {
		a.of[name], a.words[name] = normalize.Standing(list)
	}
	return a, nil
}

// eachFile reads answer files, and folders of such, in order, and gives what each has
// on a file, in its order: files in the order in which they come first.
func eachFile(open func(string) (io.ReadCloser, error), names []string, files []File,
	take func(f *File, from string, list []normalize.Decision)) (elsewhere []*ElsewhereError, err error) {
	for _, name := range names {
		if isFolder(name) {
			err := eachInFolder(name, files, func(f File, name string) error {
				list, err := readFile(open, name)
				if err == nil {
					err = areFor(&f, list)
				}
				if err == nil {
					take(&f, name, list)
				}
				return err
			})
			if err != nil {
				return nil, err
			}
			continue
		}
		list, err := readFile(open, name)
		if err != nil {
			return nil, err
		}
		list, others := onFiles(name, list, files)
		elsewhere = append(elsewhere, others...)
		var order []*File
		of := map[string][]normalize.Decision{} // by File.Name
		for _, d := range list {
			f, err := fileOf(d.For, files)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", d.From, err)
			}
			if of[f.Name] == nil {
				order = append(order, f)
			}
			if isNamed(d.For, f) {
				d.For = f.Name
			}
			of[f.Name] = append(of[f.Name], d)
		}
		for _, f := range order {
			if err := areFor(f, of[f.Name]); err != nil {
				return nil, err
			}
			take(f, name, of[f.Name])
		}
	}
	return elsewhere, nil
}

// onFiles leaves out what an answer file has on files that are not read, where each of
// its lines names a file, and some name one that is read: it is for several.
func onFiles(from string, list []normalize.Decision, files []File) (on []normalize.Decision, others []*ElsewhereError) {
	for _, d := range list {
		switch {
		case d.For == "":
			return list, nil
		case isOn(d.For, files):
			on = append(on, d)
			continue
		}
		k := slices.IndexFunc(others, func(e *ElsewhereError) bool { return e.Named == d.For })
		if k < 0 {
			k = len(others)
			others = append(others, &ElsewhereError{From: from, Named: d.For})
		}
		others[k].Lines++
	}
	if len(on) == 0 {
		return list, nil // each is said to be wrong
	}
	return on, others
}

// isOn reports whether a name may be that of one of the files.
func isOn(named string, files []File) bool {
	return slices.ContainsFunc(files, func(f File) bool { return isNamed(named, &f) })
}

// isNamed reports whether what an answer says that it is on is a file: by its path, by the
// end of that, or by the name of its review.
func isNamed(named string, f *File) bool {
	return named != "" && (EndsIn(f.Name, named) || EndsIn(named, f.Name) ||
		f.Parts == nil && slices.Contains(naming.Longer(&schema.Source{File: Shown(f.Name)}), named))
}

// areFor is an error where a decision on a file names another; of answers that is said
// where the file is read, with all else that is wrong in them.
func areFor(f *File, list []normalize.Decision) error {
	for i := range list {
		d := &list[i]
		if !d.Answers() && d.For != "" && filepath.Base(d.For) != filepath.Base(f.Name) {
			return fmt.Errorf("%s: %w, %s", d.From, normalize.ErrOtherFile, d.For)
		}
	}
	return nil
}

// eachInFolder finds for each file the answers of its name in a folder. take
// says by fs.ErrNotExist that there are none of a name.
func eachInFolder(dir string, files []File, take func(f File, name string) error) error {
	bases := map[string]int{}
	for _, f := range files {
		bases[filepath.Base(f.Name)]++
	}
	found := false
	for _, f := range files {
		names := []string{filepath.Join(dir, f.Name+decisionsEnding)}
		if below(f.Name, dir) {
			names = append(names, f.Name+decisionsEnding)
		} else if base := filepath.Base(f.Name); bases[base] == 1 {
			names = append(names, filepath.Join(dir, base+decisionsEnding))
		}
		for _, name := range names {
			err := take(f, name)
			if errors.Is(err, fs.ErrNotExist) {
				continue
			}
			if err != nil {
				return err
			}
			found = true
			break
		}
	}
	if !found {
		return fmt.Errorf("%s: %w; they would be in NAME%s", dir, ErrNoAnswers, decisionsEnding)
	}
	return nil
}

// Decided is what an answer file has on one file, as lines.
type Decided struct {
	File  File
	From  string // name of the answer file
	Lines []byte
}

// SplitAnswers gives each file its own answers as [ReadAnswers] does, but as the
// lines that they are, for programs that read them elsewhere. What ReadAnswers refuses
// it refuses.
func SplitAnswers(open func(string) (io.ReadCloser, error), names []string,
	files []File) ([]Decided, []*ElsewhereError, error) {
	var all []Decided
	elsewhere, err := eachFile(open, names, files, func(f *File, from string, list []normalize.Decision) {
		d := Decided{File: *f, From: from}
		for i := range list {
			d.Lines = append(append(d.Lines, list[i].Text...), '\n')
		}
		all = append(all, d)
	})
	return all, elsewhere, err
}

// below reports whether a file is in a folder or below it.
func below(name, dir string) bool {
	way, err := filepath.Rel(dir, name)
	return err == nil && way != ".." && !strings.HasPrefix(way, ".."+string(os.PathSeparator))
}

func readFile(open func(string) (io.ReadCloser, error), name string) ([]normalize.Decision, error) {
	f, err := open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return normalize.ReadDecisions(f, name)
}

// fileOf finds the file that an answer is on: the only one there is, else the
// one it names.
func fileOf(named string, files []File) (*File, error) {
	if len(files) == 1 {
		return &files[0], nil
	}
	if named == "" {
		return nil, fmt.Errorf("%w; they are %s", errWhichFile, someNames(files))
	}
	var found *File
	for i := range files {
		f := &files[i]
		switch {
		case f.Name == named:
			return f, nil
		case !isNamed(named, f):
		case found != nil:
			return nil, fmt.Errorf("%q may be %s or %s: name the file as it is named to be read", named, found.Name,
				f.Name)
		default:
			found = f
		}
	}
	if found == nil {
		return nil, fmt.Errorf("the answer is on %q, which is not among the files read", named)
	}
	return found, nil
}

// someNames lists the names of files, of many the first.
func someNames(files []File) string {
	const shown = 5
	var all []string
	for i := range files[:min(len(files), shown)] {
		all = append(all, files[i].Name)
	}
	if n := len(files) - len(all); n > 0 {
		return fmt.Sprintf("%s and %d more", strings.Join(all, ", "), n)
	}
	return strings.Join(all, ", ")
}

// EndsIn reports whether a path ends in the whole of another.
func EndsIn(name, end string) bool {
	name, end = filepath.ToSlash(filepath.Clean(name)), filepath.ToSlash(filepath.Clean(end))
	return name == end || strings.HasSuffix(name, "/"+end)
}
