package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"saywatt/internal/export/naming"
	"saywatt/internal/intake"
	"saywatt/schema"
)

// fileNames gives each review of a run a file of its own in a folder.
type fileNames struct {
	dir, ending string
	written     map[string]string // file read, by the path written
}

// of is the path for the review of a source. Two reviews of one name are an
// error: one would take the place of the other.
func (f *fileNames) of(s *schema.Source) (string, error) {
	name := naming.ReviewName(s)
	if name == "" {
		return "", errors.New("a review from standard input has no name; --id gives it one")
	}
	path := filepath.Join(f.dir, name+f.ending)
	if f.written == nil {
		f.written = map[string]string{}
	}
	if other, taken := f.written[path]; taken {
		return "", fmt.Errorf("%s: %s is written for %s already; --id gives a review another name", s.File, path, other)
	}
	f.written[path] = s.File
	return path, nil
}

// writtenName is the file in a folder written into by --into that says for which
// review each file was written: files of one name are written there from captions in
// several folders, one run after the other. It names no path, since the folder may
// be published.
const writtenName = ".saywatt-written.jsonl"

// A writtenLine is a line of it; the last of a file stands.
type writtenLine struct {
	File     string `json:"file"`     // written, from the folder
	Place    string `json:"place"`    // SHA-256 of where the captions are
	Captions string `json:"captions"` // SHA-256 of the captions
}

// errElsewhere says that a file was written for another review.
var errElsewhere = errors.New("was written for captions elsewhere and stays; remove it first, or name another folder")

// A writtenLog knows for which reviews the files of a folder were written.
type writtenLog struct {
	dir string
	of  map[string]writtenLine
}

// writtenIn reads what is known of a folder; nothing is known of one that is new.
// Half a line, as a crash leaves it, counts for nothing.
func (e *env) writtenIn(dir string) (*writtenLog, error) {
	if err := canHold(dir); err != nil {
		return nil, err
	}
	of, err := lastLines(e, filepath.Join(dir, writtenName), func(l *writtenLine) string { return l.File })
	return &writtenLog{dir, of}, err
}

// canHold says why files cannot be written into a folder, which may be one that is yet
// to be made: where it is to be, or above, is something else.
func canHold(dir string) error {
	for name := filepath.Clean(dir); ; name = filepath.Dir(name) {
		info, err := os.Stat(name)
		switch {
		case err == nil && !info.IsDir():
			return fmt.Errorf("%s: %w", name, errNoFolder)
		case err == nil:
			return nil
		}
		if _, err := os.Lstat(name); err == nil {
			return fmt.Errorf("%s: %w", name, errNoLink)
		}
		if name == filepath.Dir(name) {
			return nil
		}
	}
}

// What cannot hold files.
var (
	errNoFolder = errors.New("this is a file, and files are written into a folder")
	errNoLink   = errors.New("this is a symbolic link to nothing, and files are written into a folder")
)

// An origin is what a file is written for.
type origin struct {
	name     string // as the user named it
	place    string // where the captions are
	captions string // their SHA-256
}

// originOf is the origin of an item. The file of a record says nothing of it.
func originOf(i *intake.Item) origin {
	place := whole(i.File.Name)
	if i.Transcript == nil && i.File.Stored == nil {
		place = i.Record.Source.File
	}
	return origin{i.File.Name, place, i.Record.Source.SHA256}
}

// save has write write a file, unless one is there that was written for captions of
// another place and other bytes.
func (l *writtenLog) save(path string, from origin, write func() error) error {
	way, err := filepath.Rel(l.dir, path)
	if err != nil {
		return err
	}
	sum := sha256.Sum256([]byte(from.place))
	now := writtenLine{filepath.ToSlash(way), hex.EncodeToString(sum[:]), from.captions}
	was, known := l.of[now.File]
	if _, err := os.Stat(path); err == nil && known && was.Place != now.Place && was.Captions != now.Captions {
		return fmt.Errorf("%s: %s %w", from.name, path, errElsewhere)
	}
	if err := write(); err != nil || known && was == now {
		return err
	}
	l.of[now.File] = now
	return appendLine(filepath.Join(l.dir, writtenName), now)
}
