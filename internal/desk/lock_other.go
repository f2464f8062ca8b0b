//go:build !unix

package desk

import (
	"errors"
	"io/fs"
	"os"
	"time"
)

// lockLasts is when a lock that nobody gave back is taken over: it is held for
// the time of one write.
const lockLasts = 10 * time.Second

// lockFile locks a file by another beside it; false where another process has it.
func lockFile(f *os.File) (bool, error) {
	name := f.Name() + ".lock"
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

// unlockFile gives the lock back.
func unlockFile(f *os.File) { os.Remove(f.Name() + ".lock") }
