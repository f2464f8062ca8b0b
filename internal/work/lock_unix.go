//go:build unix

package work

import (
	"errors"
	"os"
	"syscall"
)

// lockFile locks an open file for this process alone; false where another has
// it. The system gives it back when the file is closed or the process ends.
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
