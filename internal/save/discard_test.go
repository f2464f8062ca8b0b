package save

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
)

// What was read before or while a file is written is never written over, and
// nothing half written stays.
func TestSaverRefusesInputs(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "in.vtt")
	if err := os.WriteFile(path, []byte("captions"), 0o644); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	var read []os.FileInfo
	s := Saver{Inputs: func() []os.FileInfo { return read }}
	err = s.WriteFile(path, func(io.Writer) error {
		read = append(read, info) // only now is it known that it is read
		return nil
	})
	if !errors.Is(err, ErrOverInput) {
		t.Errorf("read while written: %v", err)
	}
	if err := s.WriteFile(path, func(io.Writer) error { t.Error("written"); return nil }); !errors.Is(err,
		ErrOverInput) {
		t.Errorf("read before: %v", err)
	}
	if err := s.Rewrite(path, nil,
		func(w io.Writer) error { _, err := io.WriteString(w, "anew"); return err }); err != nil {
		t.Error(err)
	}
	if b, _ := os.ReadFile(path); string(b) != "anew" {
		t.Errorf("%q", b)
	}
	link := filepath.Join(dir, "link")
	if err := os.Symlink(filepath.Join(dir, "nothing"), link); err != nil {
		t.Skip(err)
	}
	if err := s.WriteFile(link, func(io.Writer) error { return nil }); !errors.Is(err, errDangling) {
		t.Errorf("a link to nothing: %v", err)
	}
	only(t, dir, "in.vtt", "link")
}

// A process that ends in the middle of writing leaves nothing behind.
func TestDiscardRemovesWhatIsHalfWritten(t *testing.T) {
	dir := t.TempDir()
	var s Saver
	begun, stay := make(chan bool), make(chan bool)
	defer close(stay)
	go s.WriteFile(filepath.Join(dir, "out"), func(io.Writer) error {
		close(begun)
		<-stay
		return errors.New("ended")
	})
	<-begun
	s.Discard()
	only(t, dir)
}

// A folder for temporary files goes with what is in it, and with the process.
func TestFolderGoes(t *testing.T) {
	temporary := t.TempDir()
	t.Setenv("TMPDIR", temporary)
	if os.TempDir() != temporary {
		t.Skip("the system has its temporary files elsewhere")
	}
	var s Saver
	for _, end := range []func(remove func()){func(remove func()) { remove() }, func(func()) { s.Discard() }} {
		path, remove, err := s.Folder()
		if err != nil || filepath.Dir(path) != temporary {
			t.Fatalf("%q, %v", path, err)
		}
		if err := os.WriteFile(filepath.Join(path, "part"), nil, 0o600); err != nil {
			t.Fatal(err)
		}
		end(remove)
		only(t, temporary)
	}
}

func only(t *testing.T, dir string, names ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range entries {
		if i >= len(names) || e.Name() != names[i] {
			t.Errorf("%s is left", e.Name())
		}
	}
}
