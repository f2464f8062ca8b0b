package desk

import (
	"errors"
	"io/fs"
	"os"
	"time"

	"saywatt/internal/filelock"
)

// lockLasts is when a lock beside a file that nobody gave back is taken over: it
// is held for the time of one write.
const lockLasts = 10 * time.Second

// lockedFile is an open file that no other desk has; closing gives it back.
type lockedFile struct {
	*os.File
	beside string // the file that locks it where the system has no locks
}

func (f *lockedFile) Close() error {
	if f.beside != "" {
		os.Remove(f.beside)
	}
	return f.File.Close()
}

// lockFile locks an open file for this process alone; nil where another has it.
func lockFile(f *os.File) (*lockedFile, error) {
	locked := &lockedFile{File: f}
	held, err := filelock.Try(f)
	if errors.Is(err, filelock.ErrUnknown) {
		locked.beside = f.Name() + ".lock"
		held, err = lockBeside(locked.beside)
	}
	if !held {
		return nil, err
	}
	return locked, nil
}

// lockBeside makes a file that stands for a lock; false where another has it.
func lockBeside(name string) (held bool, err error) {
	if info, err := os.Stat(name); err == nil && time.Since(info.ModTime()) > lockLasts {
		os.Remove(name)
	}
	lock, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	return true, lock.Close()
}
