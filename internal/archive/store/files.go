package store

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// Who may read and write what is in the archive is said by its folder alone:
// files have the permissions of the folder without those to run, folders in it
// have the same. So a folder open to a group is an archive shared by the group,
// and a private one is private, whatever a process is set to give to new files.

// folderMode is the mode of the folder of the archive.
func folderMode(dir string) fs.FileMode {
	info, err := os.Stat(dir)
	if err != nil {
		return 0o700
	}
	return info.Mode().Perm() | 0o700
}

// MakeFolder makes a folder in the archive, and those above it.
func MakeFolder(dir, path string) error {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return nil
	}
	if up := filepath.Dir(path); up != path && up != filepath.Clean(dir) {
		if err := MakeFolder(dir, up); err != nil {
			return err
		}
	}
	mode := folderMode(dir)
	if err := os.Mkdir(path, mode); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	if info, err := os.Stat(path); err == nil {
		mode |= info.Mode() & fs.ModeSetgid // else what lies deeper would be of another group
	}
	return os.Chmod(path, mode)
}

// share gives a file in the archive the permissions of its folder. Where it is
// another person's, who alone can, it stays as it is.
func share(dir, path string) error {
	err := os.Chmod(path, folderMode(dir)&0o666)
	if errors.Is(err, fs.ErrPermission) {
		return nil
	}
	return err
}

// WriteSynced writes a file of the archive in dir so that under its name there
// is at any moment the old content or the new, and the new is on disk when it
// returns.
func WriteSynced(dir, path string, b []byte) error {
	folder := filepath.Dir(path)
	f, err := os.CreateTemp(folder, NewPrefix+"*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // gone already where all went well
	if err := f.Chmod(folderMode(dir) & 0o666); err != nil {
		f.Close()
		return err
	}
	_, err = f.Write(b)
	if err == nil {
		err = f.Sync()
	}
	if err2 := f.Close(); err == nil {
		err = err2
	}
	if err != nil {
		return err
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return err
	}
	return SyncDir(folder)
}

// NewPrefix begins the names of files that are being written.
const NewPrefix = ".new-"

// SyncDir has the names in a folder on disk.
func SyncDir(path string) error {
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := d.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, fs.ErrInvalid) {
		return err
	}
	return nil
}

// PlainError is what the system says of a file, without the call and the path
// that stand in front: whoever speaks of it names the file.
func PlainError(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		err = p.Err
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return &worded{"it is missing", err}
	case errors.Is(err, fs.ErrPermission):
		return &worded{"this user may not read it", err}
	}
	return err
}

// worded is an error in other words than those of the system.
type worded struct {
	words string
	err   error
}

func (e *worded) Error() string { return e.words }
func (e *worded) Unwrap() error { return e.err }

// PlainCause is what the system says, without the call and the path.
func PlainCause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// ReadOnly reports whether an error of the system says that nothing can be
// written there.
func ReadOnly(err error) bool {
	return errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS)
}
