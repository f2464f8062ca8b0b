package archive

import (
	"os"
	"path/filepath"
	"slices"
	"sync"
)

// aside is a folder for temporary files with an index of this process alone,
// where the archive cannot be written. The zero value has none yet.
type aside struct {
	mu   sync.Mutex
	dir  string
	over bool // no more is made
}

// path is the folder, "" where there is none.
func (s *aside) path() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.dir
}

// made is the folder, made where there is none.
func (s *aside) made() (string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.dir != "" {
		return s.dir, nil
	}
	if s.over {
		return "", os.ErrClosed
	}
	dir, err := os.MkdirTemp("", "saywatt-index-")
	if err == nil {
		s.dir = dir
	}
	return dir, err
}

// remove removes the folder.
func (s *aside) remove(over bool) (err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.dir != "" {
		err = os.RemoveAll(s.dir)
	}
	s.dir, s.over = "", over
	return err
}

// unfinished are the folders of generations that are being made. The zero value
// has none.
type unfinished struct {
	mu   sync.Mutex
	dirs []string
}

// begin remembers a folder until done is called.
func (u *unfinished) begin(dir string) (done func()) {
	u.mu.Lock()
	defer u.mu.Unlock()
	u.dirs = append(u.dirs, dir)
	return func() { u.finish(dir, func() error { return nil }) }
}

// finish forgets a folder and does what makes it the index and takes the one before
// away: all of that, or nothing.
func (u *unfinished) finish(dir string, publish func() error) error {
	u.mu.Lock()
	defer u.mu.Unlock()
	u.dirs = slices.DeleteFunc(u.dirs, func(d string) bool { return d == dir })
	return publish()
}

// abandon removes them, and nothing is finished afterwards.
func (u *unfinished) abandon() {
	u.mu.Lock() // never unlocked: what is being made must not become the index
	for _, dir := range u.dirs {
		parts, _ := filepath.Glob(filepath.Join(filepath.Dir(dir), builderPrefix+"*"))
		for _, path := range append(parts, dir) {
			removeAll(path)
		}
	}
}

// builderPrefix begins the names of folders that bleve's offline builder makes.
const builderPrefix = "scorch-offline-build"

// removeAll removes a folder in which files may be made meanwhile.
func removeAll(path string) {
	const tries = 3
	for range tries {
		if os.RemoveAll(path) == nil {
			return
		}
	}
}

// Abandon removes what the archive has in a folder for temporary files, and the
// index that is being made, whatever else goes on: for a process that is about to
// end.
func (a *Archive) Abandon() {
	a.unfinished.abandon()
	if dir := a.aside.path(); dir != "" {
		removeAll(dir)
	}
	a.aside.remove(true)
}
