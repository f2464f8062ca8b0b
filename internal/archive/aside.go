package archive

import (
	"os"
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

// Abandon removes what the archive has in a folder for temporary files, whatever
// else goes on: for a process that is about to end.
func (a *Archive) Abandon() {
	const tries = 3 // a file may be made in it meanwhile
	for range tries {
		if dir := a.aside.path(); dir == "" || os.RemoveAll(dir) == nil {
			break
		}
	}
	a.aside.remove(true)
}
