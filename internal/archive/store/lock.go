package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"saywatt/internal/filelock"
)

// A BusyError says that another process writes to the archive.
type BusyError struct {
	Dir string
	By  string // who, as the other left word: "process 4711"; "" where it did not
}

func (e *BusyError) Error() string {
	by := "another process"
	if e.By != "" {
		by = e.By
	}
	return fmt.Sprintf("archive %s is being written to by %s; only one can write at a time, so try again when it has "+
		"finished", e.Dir, by)
}

// A ReadOnlyError says that this process may not write to the archive.
type ReadOnlyError struct {
	Dir string
	Err error
}

func (e *ReadOnlyError) Error() string {
	return fmt.Sprintf("archive %s can be read, not written: %v", e.Dir, e.Err)
}

func (e *ReadOnlyError) Unwrap() error { return e.Err }

// Lock is the right to write, held until it is closed or the process ends.
type Lock struct{ f *os.File }

// TakeLock gets the right to write or a *BusyError.
func TakeLock(dir string) (*Lock, error) {
	path := filepath.Join(dir, "lock")
	_, before := os.Stat(path)
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, folderMode(dir)&0o666)
	if ReadOnly(err) {
		return nil, &ReadOnlyError{Dir: dir, Err: PlainCause(err)}
	}
	if err != nil {
		return nil, fmt.Errorf("archive %s cannot be locked: %w", dir, PlainCause(err))
	}
	if before != nil {
		if err := share(dir, path); err != nil {
			f.Close()
			return nil, err
		}
	}
	held, err := filelock.Try(f)
	if errors.Is(err, filelock.ErrUnknown) { // a killed process would leave it locked, or two could write
		err = fmt.Errorf("%s: %w; the archive can be read only", f.Name(), err)
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	if !held {
		b, _ := os.ReadFile(path) // who it is is a help, not more
		f.Close()
		return nil, &BusyError{Dir: dir, By: strings.TrimSpace(string(b))}
	}
	if err := f.Truncate(0); err == nil {
		_, err = f.WriteAt(fmt.Appendf(nil, "process %d\n", os.Getpid()), 0)
		if err != nil {
			f.Close()
			return nil, err
		}
	}
	return &Lock{f}, nil
}

// Release gives the right back.
func (l *Lock) Release() error { return l.f.Close() }
