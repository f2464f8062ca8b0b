package filelock

import (
	"os"
	"path/filepath"
	"testing"
)

// A file that is locked is not locked again until it is closed.
func TestTry(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lock")
	open := func() *os.File {
		f, err := os.Create(path)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { f.Close() })
		return f
	}
	first, second := open(), open()
	for _, c := range []struct {
		f    *os.File
		held bool
	}{{first, true}, {second, false}} {
		if held, err := Try(c.f); held != c.held || err != nil {
			t.Errorf("held %v, %v; want %v", held, err, c.held)
		}
	}
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}
	if held, err := Try(second); !held || err != nil {
		t.Errorf("after it was closed: held %v, %v", held, err)
	}
}
