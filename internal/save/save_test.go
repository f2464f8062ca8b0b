package save

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
)

func TestWriteFile(t *testing.T) {
	dir := t.TempDir()
	path := func(name string) string { return filepath.Join(dir, name) }
	text := func(s string) func(io.Writer) error {
		return func(w io.Writer) error {
			_, err := io.WriteString(w, s)
			return err
		}
	}
	holds := func(name, want string) {
		t.Helper()
		if b, err := os.ReadFile(path(name)); err != nil || string(b) != want {
			t.Errorf("%s holds %q, %v; want %q", name, b, err, want)
		}
	}
	alone := func(want int) {
		t.Helper()
		all, err := os.ReadDir(dir)
		if err != nil || len(all) != want {
			t.Errorf("%d files are left, %v; want %d: %v", len(all), err, want, all)
		}
	}

	if err := new(Saver).Rewrite(path("a"), nil, text("one")); err != nil {
		t.Fatal(err)
	}
	holds("a", "one")
	if err := os.Chmod(path("a"), 0o640); err != nil {
		t.Fatal(err)
	}
	if err := new(Saver).Rewrite(path("a"), []string{path("b"), "-", ""}, text("two")); err != nil {
		t.Fatal(err)
	}
	holds("a", "two")
	if info, err := os.Stat(path("a")); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("mode %v, %v: the permissions changed", info.Mode(), err)
	}
	alone(1)

	// What fails half way leaves the old file and nothing else.
	broken := errors.New("broken")
	err := new(Saver).Rewrite(path("a"), nil, func(w io.Writer) error {
		io.WriteString(w, "half")
		holds("a", "two") // nobody sees it before it is whole
		return broken
	})
	if !errors.Is(err, broken) {
		t.Errorf("error %v", err)
	}
	holds("a", "two")
	alone(1)

	// An input is safe by whatever name it goes.
	if err := os.Symlink(path("a"), path("link")); err != nil {
		t.Fatal(err)
	}
	if err := os.Link(path("a"), path("hard")); err != nil {
		t.Fatal(err)
	}
	for _, out := range []string{"a", "link", "hard"} {
		called := false
		err := new(Saver).Rewrite(path(out), []string{path("a")}, func(io.Writer) error { called = true; return nil })
		if !errors.Is(err, ErrOverInput) || called {
			t.Errorf("over %s: %v", out, err)
		}
	}
	holds("a", "two")

	// A link goes on pointing to its file.
	if err := new(Saver).Rewrite(path("link"), nil, text("three")); err != nil {
		t.Fatal(err)
	}
	holds("a", "three")
	if info, err := os.Lstat(path("link")); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is gone: %v, %v", info.Mode(), err)
	}

	if err := new(Saver).Rewrite(dir, nil, text("x")); err == nil {
		t.Error("wrote over a directory")
	}
	if err := new(Saver).Rewrite(filepath.Join(dir, "none", "a"), nil, text("x")); err == nil {
		t.Error("wrote into a directory that is not there")
	}
	if err := new(Saver).Rewrite(os.DevNull, nil, text("x")); err != nil {
		t.Errorf("a device: %v", err)
	}
	if info, err := os.Stat(os.DevNull); err != nil || info.Mode().IsRegular() {
		t.Fatal("the device was replaced by a file")
	}
}
