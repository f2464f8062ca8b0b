//go:build !unix

package filelock

import "os"

func try(*os.File) (bool, error) { return false, ErrUnknown }
