//go:build !unix

package work

import (
	"fmt"
	"os"
)

// lockFile refuses: without locks of the system two processes could serve the
// same files.
func lockFile(f *os.File) (bool, error) {
	return false, fmt.Errorf("%s: this system has no file locks that saywatt knows; --broker names a broker elsewhere", f.Name())
}
