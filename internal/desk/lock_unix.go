//go:build unix

package desk

import (
	"errors"
	"os"
	"syscall"
)

// lockFile locks an open file for this process alone, until it is closed or the
// process ends; false where another has it.
func lockFile(f *os.File) (bool, error) {
	for {
		err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		switch {
		case errors.Is(err, syscall.EINTR):
		case errors.Is(err, syscall.EWOULDBLOCK):
			return false, nil
		default:
			return err == nil, err
		}
	}
}

// unlockFile gives the lock back; closing the file does.
func unlockFile(*os.File) {}
