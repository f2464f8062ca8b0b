//go:build !unix

package archive

import (
	"fmt"
	"os"
)

// lockFile refuses: without locks of the system, a process that was killed
// would leave the archive locked, or two could write.
func lockFile(f *os.File) (bool, error) {
	return false, fmt.Errorf("%s: this system has no file locks that saywatt knows; the archive can be read only", f.Name())
}
