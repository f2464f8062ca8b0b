// Package filelock locks open files against other processes, by the system's own
// locks: a process that ends, however it ends, holds none.
package filelock

import (
	"errors"
	"os"
)

// ErrUnknown is the error of a system that has no file locks that this package
// knows.
var ErrUnknown = errors.New("this system has no file locks that saywatt knows")

// Try locks an open file for this process alone, until it is closed or the
// process ends. It does not wait: held is false where another has the file. The
// error is [ErrUnknown], or that of the system.
func Try(f *os.File) (held bool, err error) { return try(f) }
