// Package save puts files on the disk whole or not at all, and never over a file
// that was read. It knows nothing of what is in them.
package save

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"syscall"
)

// ErrOverInput is returned where a file would replace one that was read.
var ErrOverInput = errors.New("would be written over an input")

// errDangling is returned where a file would be written to a symbolic link that
// points nowhere: what it names may be meant for something else.
var errDangling = errors.New("is a symbolic link to nothing")

// A Saver writes files whole or not at all. The zero value works.
type Saver struct {
	// Inputs are the files read so far, which are never written over; asked
	// before the writing and after it, since more may be read meanwhile.
	Inputs func() []os.FileInfo

	mu    sync.Mutex
	temps map[string]bool // not yet renamed or removed
}

// WriteFile writes a file by way of a temporary one beside it, which takes its
// name once all of it is on the disk: whoever looks sees the old file or the
// new one, whole. A file that was there keeps its permissions; a symbolic link
// goes on pointing to its file, and one to nothing is errDangling. A path that
// is there and no regular file, such as a named pipe, is written to directly.
// Writing over an input, by whatever name, is ErrOverInput.
func (s *Saver) WriteFile(path string, write func(io.Writer) error) error {
	return s.write(path, s.Inputs, write)
}

// Rewrite is WriteFile for a file that was read itself, to be written anew:
// the inputs are those named.
func (s *Saver) Rewrite(path string, inputs []string, write func(io.Writer) error) error {
	return s.write(path, func() []os.FileInfo { return statAll(inputs) }, write)
}

func (s *Saver) write(path string, inputs func() []os.FileInfo, write func(io.Writer) error) error {
	if err := notInput(path, inputs); err != nil {
		return err
	}
	switch target, err := filepath.EvalSymlinks(path); {
	case err == nil:
		path = target
	case isLink(path):
		return fmt.Errorf("%s: %w", path, errDangling)
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		info = nil
	case info.IsDir():
		return &fs.PathError{Op: "write", Path: path, Err: syscall.EISDIR}
	case !info.Mode().IsRegular():
		return writeThrough(path, write)
	}
	f, err := s.temp(path)
	if folder := filepath.Dir(path); errors.Is(err, fs.ErrNotExist) && !isThere(folder) {
		return fmt.Errorf("%s: there is no folder %s to write it into", path, folder)
	}
	if p := (*fs.PathError)(nil); errors.As(err, &p) { // nobody asked for the temporary file
		err = &fs.PathError{Op: p.Op, Path: path, Err: p.Err}
	}
	if err != nil {
		return err
	}
	defer s.remove(f.Name())
	if err := fill(f, info, write); err != nil {
		f.Close()
		return err
	}
	if err := notInput(path, inputs); err != nil {
		return err
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return err
	}
	return syncDir(filepath.Dir(path))
}

// temp makes the temporary file of a path and remembers it.
func (s *Saver) temp(path string) (*os.File, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	f, err := tempBeside(path)
	if err == nil {
		s.remember(f.Name())
	}
	return f, err
}

// remove forgets a temporary file, and removes it if it is still there.
func (s *Saver) remove(name string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.temps[name] {
		delete(s.temps, name)
		os.Remove(name) // renamed, it is not there
	}
}

// Discard removes the temporary files of what is being written: for a process
// that is about to end. Nothing can be written afterwards.
func (s *Saver) Discard() {
	s.mu.Lock() // never unlocked: no further temporary file is made
	for name := range s.temps {
		os.RemoveAll(name)
	}
}

// Folder makes a folder for temporary files, where the system has such. What is
// done with it is removed, with all that is in it, by the function returned, and
// by Discard.
func (s *Saver) Folder() (path string, remove func(), err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	path, err = os.MkdirTemp("", "saywatt-")
	if err != nil {
		return "", nil, err
	}
	s.remember(path)
	return path, func() {
		s.mu.Lock()
		defer s.mu.Unlock()
		delete(s.temps, path)
		os.RemoveAll(path) // what is left of it there is the system's to clear
	}, nil
}

// remember has Discard remove what is named, until it is forgotten.
func (s *Saver) remember(name string) {
	if s.temps == nil {
		s.temps = map[string]bool{}
	}
	s.temps[name] = true
}

func isThere(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

func isLink(path string) bool {
	info, err := os.Lstat(path)
	return err == nil && info.Mode()&os.ModeSymlink != 0
}

// fill writes the temporary file and closes it once it is on the disk.
func fill(f *os.File, old os.FileInfo, write func(io.Writer) error) error {
	if err := write(f); err != nil {
		return err
	}
	if old != nil {
		if err := f.Chmod(old.Mode().Perm()); err != nil {
			return err
		}
	}
	if err := f.Sync(); err != nil {
		return err
	}
	return f.Close()
}

// maxTemps bounds the tries for a free name.
const maxTemps = 1000

// tempBeside makes a new file in the directory of path. Unlike that of
// os.CreateTemp, its mode is what the process gives to new files.
func tempBeside(path string) (*os.File, error) {
	dir, base := filepath.Split(path)
	for n := 0; ; n++ {
		name := fmt.Sprintf("%s.%s.%d-%d.tmp", dir, base, os.Getpid(), n)
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if err == nil || !errors.Is(err, os.ErrExist) || n == maxTemps {
			return f, err
		}
	}
}

func writeThrough(path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return errors.Join(write(f), f.Close())
}

// syncDir makes a new name last. Not every file system can.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return nil
	}
	defer d.Close()
	if err := d.Sync(); err != nil && !errors.Is(err, syscall.EINVAL) && !errors.Is(err, errors.ErrUnsupported) {
		return err
	}
	return nil
}

// notInput refuses a path that is one of the inputs.
func notInput(path string, inputs func() []os.FileInfo) error {
	out, err := os.Stat(path)
	if err != nil || inputs == nil {
		return nil // nothing there to write over
	}
	for _, in := range inputs() {
		if os.SameFile(in, out) {
			return fmt.Errorf("%s: %w", path, ErrOverInput)
		}
	}
	return nil
}

// statAll looks at files by name. "" and "-" are no files.
func statAll(names []string) []os.FileInfo {
	var all []os.FileInfo
	for _, name := range names {
		if name == "" || name == "-" {
			continue
		}
		if info, err := os.Stat(name); err == nil {
			all = append(all, info)
		}
	}
	return all
}
