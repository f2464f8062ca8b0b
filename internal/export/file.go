package export

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"syscall"
)

// ErrOverInput is returned where a file would replace one that was read.
var ErrOverInput = errors.New("would be written over an input")

// WriteFile writes a file by way of a temporary one beside it, which takes its
// name once all of it is on the disk: whoever looks sees the old file or the
// new one, whole. A file that was there keeps its permissions; a symbolic link
// goes on pointing to its file. A path that is there and no regular file, such
// as a named pipe, is written to directly. inputs are the files read, by
// whatever name: writing over one is ErrOverInput, and checked first.
func WriteFile(path string, inputs []string, write func(io.Writer) error) error {
	if err := notInput(path, inputs); err != nil {
		return err
	}
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		info = nil
	case info.IsDir():
		return fmt.Errorf("%s is a directory", path)
	case !info.Mode().IsRegular():
		return writeThrough(path, write)
	}
	f, err := tempBeside(path)
	if err != nil {
		return err
	}
	if err := fill(f, info, write); err != nil {
		f.Close()
		return errors.Join(err, os.Remove(f.Name()))
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return syncDir(filepath.Dir(path))
}

// fill writes the temporary file and closes it once it is on the disk.
func fill(f *os.File, old os.FileInfo, write func(io.Writer) error) error {
	if err := write(f); err != nil {
		return err
	}
	if old != nil {
		if err := f.Chmod(old.Mode().Perm()); err != nil {
			return err
		}
	}
	if err := f.Sync(); err != nil {
		return err
	}
	return f.Close()
}

// maxTemps bounds the tries for a free name.
const maxTemps = 1000

// tempBeside makes a new file in the directory of path. Unlike that of
// os.CreateTemp, its mode is what the process gives to new files.
func tempBeside(path string) (*os.File, error) {
	dir, base := filepath.Split(path)
	for n := 0; ; n++ {
		name := fmt.Sprintf("%s.%s.%d-%d.tmp", dir, base, os.Getpid(), n)
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if err == nil || !errors.Is(err, os.ErrExist) || n == maxTemps {
			return f, err
		}
	}
}

func writeThrough(path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return errors.Join(write(f), f.Close())
}

// syncDir makes a new name last. Not every file system can.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return nil
	}
	defer d.Close()
	if err := d.Sync(); err != nil && !errors.Is(err, syscall.EINVAL) && !errors.Is(err, errors.ErrUnsupported) {
		return err
	}
	return nil
}

// notInput refuses a path that is one of the inputs. "" and "-" are no files.
func notInput(path string, inputs []string) error {
	out, err := os.Stat(path)
	if err != nil {
		return nil // nothing there to write over
	}
	for _, name := range inputs {
		if name == "" || name == "-" {
			continue
		}
		if in, err := os.Stat(name); err == nil && os.SameFile(in, out) {
			return fmt.Errorf("%s: %w", path, ErrOverInput)
		}
	}
	return nil
}
