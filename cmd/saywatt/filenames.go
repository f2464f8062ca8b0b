package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"saywatt/internal/export"
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
	name := export.ReviewName(s)
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
