package intake

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"saywatt/schema"
)

// Stdin is how command lines and records call standard input.
const Stdin = "-"

// A File is one thing to read.
type File struct {
	// Name is as it was given; of a file in a folder, that of the folder with
	// the way below it.
	Name string
	// Maybe says that it was found in a folder and its ending says nothing:
	// what is in it may be something else.
	Maybe bool
	// Parts are the files of a review that are read as one; nil for one file.
	Parts []string
	// Stored hands out the record, of one that lies in an archive; nil for a
	// file to read. A record may come with an error: the one before stands in.
	Stored func() (*schema.Record, error)
}

// An Archive lists the reviews of the archive in a folder.
type Archive func(dir string) ([]File, error)

// What says that a folder stands for no file, of captions and of tables.
var (
	ErrNothing = errors.New("no captions there")
	errNoTable = errors.New("no CSV files there")
)

// Files returns the files that names stand for, each once, in the order named.
// A name that nothing has is a file too: reading it says so. Without names it
// is standard input.
func Files(names []string) ([]File, error) { return FilesOr(names, nil) }

// FilesOr is Files, but of a folder that is an archive it takes the reviews;
// archives are folders as others for nil.
func FilesOr(names []string, archive Archive) ([]File, error) {
	return found(names, finder{take: Taken, none: ErrNothing, archive: archive})
}

// Tables is Files for commands that read tables: a folder stands for the CSV
// files in it and below it, of which each may be another table than is wanted.
func Tables(names []string) ([]File, error) {
	return found(names, finder{take: takenTable, none: errNoTable})
}

func takenTable(name string) Take {
	if strings.HasPrefix(name, ".") || !strings.EqualFold(filepath.Ext(name), ".csv") {
		return No
	}
	return Content
}

func found(names []string, f finder) ([]File, error) {
	if len(names) == 0 {
		names = []string{Stdin}
	}
	f.met = map[string]bool{}
	for _, name := range names {
		if err := f.name(name); err != nil {
			return nil, err
		}
	}
	return f.files, nil
}

// Joined makes one file of several: the parts of one review.
func Joined(files []File) File {
	if len(files) == 1 {
		return files[0]
	}
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
	}
	return File{Name: strings.Join(names, partsJoin), Parts: names}
}

// partsJoin is between the names of the parts of a review.
const partsJoin = "+"

// Many reports whether names may stand for more files than one, now or another
// time: that is a question of how the command line is written, and not of what
// a folder holds.
func Many(names []string) bool {
	if len(names) > 1 {
		return true
	}
	return slices.ContainsFunc(names, func(name string) bool { return isFolder(name) || isPattern(name) })
}

func isFolder(name string) bool {
	info, err := os.Stat(name)
	return name != Stdin && err == nil && info.IsDir()
}

// isPattern reports whether a name can be read as a pattern and no file has it.
func isPattern(name string) bool {
	if !strings.ContainsAny(name, "*?[") {
		return false
	}
	if _, err := filepath.Match(name, ""); err != nil {
		return false
	}
	_, err := os.Lstat(name)
	return err != nil
}

type finder struct {
	files []File
	met   map[string]bool
	take  func(name string) Take // of a file in a folder
	none  error                  // where a folder has none

	archive Archive // nil for none
}

func (f *finder) add(file File) {
	if key := filepath.Clean(file.Name); !f.met[key] {
		f.met[key] = true
		f.files = append(f.files, file)
	}
}

func (f *finder) name(name string) error {
	switch {
	case name == Stdin && f.met[Stdin]:
		return errors.New("standard input is named more than once")
	case f.archive != nil && isArchive(name):
		stored, err := f.archive(name)
		for _, file := range stored {
			f.add(file)
		}
		return err
	case isFolder(name):
		return f.folder(name)
	case isPattern(name):
		return f.pattern(name)
	}
	f.add(File{Name: name})
	return nil
}

func (f *finder) pattern(pattern string) error {
	names, err := filepath.Glob(pattern)
	if err != nil {
		return fmt.Errorf("%s: %w", pattern, err)
	}
	if len(names) == 0 {
		return fmt.Errorf("%s: no file has such a name", pattern)
	}
	for _, name := range names {
		if isFolder(name) {
			if err := f.folder(name); err != nil && !errors.Is(err, f.none) {
				return err
			}
			continue
		}
		f.add(File{Name: name})
	}
	return nil
}

func (f *finder) folder(dir string) error {
	n := 0
	err := walk(dir, f.take, func(name string, maybe bool) {
		n++
		f.add(File{Name: name, Maybe: maybe})
	}, nil)
	if err == nil && n == 0 {
		err = fmt.Errorf("%s: %w", dir, f.none)
	}
	return err
}

// walk goes through a folder in the order of names and gives to take the files
// of which taken says so, and to into, where it is not nil, the folders gone into.
func walk(dir string, taken func(string) Take, take func(name string, maybe bool), into func(dir string)) error {
	return filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if name != dir && !entered(name) {
				return filepath.SkipDir
			}
			if into != nil {
				into(name)
			}
			return nil
		}
		if t := taken(d.Name()); t != No && isFile(name, d) {
			take(name, t == Content)
		}
		return nil
	})
}

// isFile reports whether an entry is a file, or a link to one.
func isFile(name string, d fs.DirEntry) bool {
	if d.Type()&fs.ModeSymlink == 0 {
		return d.Type().IsRegular()
	}
	info, err := os.Stat(name)
	return err == nil && info.Mode().IsRegular()
}

// Below lists the folder and those below it in which captions are looked for.
func Below(dir string) ([]string, error) {
	var all []string
	err := walk(dir, Taken, func(string, bool) {}, func(name string) { all = append(all, name) })
	return all, err
}

// archiveMark is the file by which a folder is known to be an archive.
const archiveMark = "archive.json"

// entered reports whether a folder below one that was named is gone into.
func entered(dir string) bool {
	if strings.HasPrefix(filepath.Base(dir), ".") {
		return false
	}
	return !isArchive(dir)
}

func isArchive(dir string) bool {
	_, err := os.Stat(filepath.Join(dir, archiveMark))
	return err == nil
}

// Take says whether a file of a folder is taken.
type Take uint8

// What Taken answers.
const (
	No      Take = iota
	Yes          // its ending is that of captions
	Content      // its content decides
)

// Taken says by its name whether a file of a folder is taken.
func Taken(name string) Take {
	if strings.HasPrefix(name, ".") {
		return No
	}
	name = strings.ToLower(name)
	for _, e := range loadEndings() {
		if ok, _ := path.Match(e.pattern, name); ok {
			return e.take
		}
	}
	return No
}

//go:embed tables/*.tsv
var tables embed.FS

type ending struct {
	pattern string
	take    Take
}

var takes = map[string]Take{"no": No, "yes": Yes, "content": Content}

var loadEndings = sync.OnceValue(func() []ending {
	var all []ending
	for _, r := range schema.MustReadTable(tables, "tables/endings.tsv").Rows {
		all = append(all, ending{r.Get("pattern"), takes[r.Get("take")]})
	}
	return all
})
