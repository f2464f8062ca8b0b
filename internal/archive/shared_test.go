package archive

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"saywatt/internal/archive/store"
	"saywatt/schema"
)

// A record file is gzip, and what is in it is the record as it is written, by
// the hash that names the file.
func TestRecordsArePacked(t *testing.T) {
	a := filled(t, 3)
	reviews, _, err := a.Reviews()
	if err != nil {
		t.Fatal(err)
	}
	for _, rv := range reviews {
		f, err := os.ReadFile(a.store.Path(a.store.Name(rv.Record)))
		if err != nil {
			t.Fatal(err)
		}
		z, err := gzip.NewReader(bytes.NewReader(f)) // another reader than ours
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(z)
		if err != nil {
			t.Fatal(err)
		}
		if sum := sha256.Sum256(b); hex.EncodeToString(sum[:]) != rv.Record {
			t.Errorf("%s: unpacked, it is another record", rv.Name)
		}
		if _, err := schema.ReadRecord(bytes.NewReader(b)); err != nil {
			t.Errorf("%s: %v", rv.Name, err)
		}
		if 4*len(f) > len(b) {
			t.Errorf("%s: %d bytes packed, %d unpacked", rv.Name, len(f), len(b))
		}
	}
}

// An archive of before, whose records are plain, is read; written to, it is one
// of today's, and the old records stay as they are.
func TestPlainArchive(t *testing.T) {
	a := filled(t, 3)
	want := names(search(t, a, Request{Query: "mass > 0 g"}))
	reviews, _, _ := a.Reviews()
	for _, rv := range reviews {
		b, err := a.store.Open(rv.Record)
		if err != nil {
			t.Fatal(err)
		}
		old := a.store.Path(a.store.Name(rv.Record))
		if err := errors.Join(os.WriteFile(strings.TrimSuffix(old, store.Packed)+store.Unpacked, b, 0o644),
			os.Remove(old)); err != nil {
			t.Fatal(err)
		}
	}
	head := filepath.Join(a.dir, headName)
	if err := errors.Join(os.WriteFile(head, []byte(`{"version":"`+plainVersion+`"}`), 0o644), os.RemoveAll(store.IndexDir(a.dir)), a.Close()); err != nil {
		t.Fatal(err)
	}
	b, err := Open(a.dir)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if got := names(search(t, b, Request{Query: "mass > 0 g"})); !slices.Equal(got, want) {
		t.Errorf("found %v, want %v", got, want)
	}
	w, err := b.Begin()
	if err == nil {
		err = w.Close()
	}
	if text, _ := os.ReadFile(head); err != nil || !strings.Contains(string(text), formatVersion) {
		t.Errorf("written to, it says %s, %v", text, err)
	}
	if damages, err := b.Check(); err != nil || len(damages) > 0 {
		t.Errorf("%v, %v", damages, err)
	}
}

// Who may read and write the folder may read and write what is in it.
func TestFolderSaysWhoMay(t *testing.T) {
	for _, mode := range []fs.FileMode{0o755, 0o770, 0o700} {
		dir := filepath.Join(t.TempDir(), "archive")
		if err := errors.Join(os.Mkdir(dir, mode), os.Chmod(dir, mode)); err != nil {
			t.Fatal(err)
		}
		a, err := Create(dir)
		if err != nil {
			t.Fatal(err)
		}
		addSome(t, a, 2)
		a.Close()
		err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			info, err := d.Info()
			want := mode
			if !d.IsDir() {
				want = mode & 0o666
			}
			if err == nil && info.Mode().Perm() != want {
				t.Errorf("%v: %s has %v, want %v", mode, path, info.Mode().Perm(), want)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

// What lies in the folder of a group is of that group, however deep.
func TestFolderSaysWhoseGroup(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "archive")
	if err := errors.Join(os.Mkdir(dir, 0o770), os.Chmod(dir, 0o770|fs.ModeSetgid)); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(dir); err != nil || info.Mode()&fs.ModeSetgid == 0 {
		t.Skip("folders have no setgid here")
	}
	a, err := Create(dir)
	if err != nil {
		t.Fatal(err)
	}
	addSome(t, a, 2)
	a.Close()
	err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err == nil && info.Mode()&fs.ModeSetgid == 0 {
			t.Errorf("%s: what is made in it is of no group's", path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// An archive that this process may not write is searched all the same, with an
// index aside where its own is gone; nothing is left behind.
func TestReadOnlyArchive(t *testing.T) {
	a := filled(t, 3)
	want := names(search(t, a, Request{Query: "mass > 0 g"}))
	if err := errors.Join(a.Close(), os.RemoveAll(store.IndexDir(a.dir))); err != nil {
		t.Fatal(err)
	}
	b, err := Open(a.dir)
	if err != nil {
		t.Fatal(err)
	}
	if os.Geteuid() == 0 { // may write everywhere: the way around is taken by hand
		if err := b.buildAside(); err != nil {
			t.Fatal(err)
		}
	} else {
		if err := os.Chmod(a.dir, 0o555); err != nil {
			t.Fatal(err)
		}
		defer os.Chmod(a.dir, 0o755)
		var no *store.ReadOnlyError
		if _, err := b.Begin(); !errors.As(err, &no) {
			t.Errorf("writing is refused with %v", err)
		}
	}
	if got := names(search(t, b, Request{Query: "mass > 0 g"})); !slices.Equal(got, want) {
		t.Errorf("found %v, want %v", got, want)
	}
	aside := b.aside.path()
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(aside); aside == "" || !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the index aside %q is there: %v", aside, err)
	}
	if _, err := os.Stat(store.IndexDir(a.dir)); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the archive has an index: %v", err)
	}
}

// A process that ends at once leaves no index aside, and makes no other.
func TestAbandon(t *testing.T) {
	a := filled(t, 2)
	if err := a.buildAside(); err != nil {
		t.Fatal(err)
	}
	dir := a.aside.path()
	if _, err := os.Stat(dir); err != nil {
		t.Fatal(err)
	}
	a.Abandon()
	if _, err := os.Stat(dir); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("%s is there: %v", dir, err)
	}
	if err := a.buildAside(); !errors.Is(err, os.ErrClosed) {
		t.Errorf("another is made: %v", err)
	}
}

// So it does with an index that is being made, which never becomes the index.
func TestAbandonUnfinished(t *testing.T) {
	a := filled(t, 3)
	kept, err := store.ReadManifest(a.dir)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Open(a.dir)
	if err != nil {
		t.Fatal(err)
	}
	begun, blocked := make(chan bool), make(chan bool)
	go b.Reindex(func(done, total int) {
		if done == 1 {
			close(begun)
			<-blocked
		}
	})
	<-begun
	b.Abandon()
	entries, err := os.ReadDir(store.IndexDir(a.dir))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if n := e.Name(); n != "current.json" && n != strconv.Itoa(kept.Generation) {
			t.Errorf("%s is left", n)
		}
	}
	if now, err := store.ReadManifest(a.dir); err != nil || now.Generation != kept.Generation {
		t.Errorf("the index is %v, %v", now, err)
	}
}

// A log that is missing or cut short is an error at once, and never an archive
// without reviews.
func TestDamagedLogIsRefused(t *testing.T) {
	for name, breakIt := range map[string]func(log string) error{
		"missing":   os.Remove,
		"cut short": func(log string) error { return os.Truncate(log, 100) },
		"empty":     func(log string) error { return os.Truncate(log, 0) },
	} {
		a := filled(t, 3)
		if err := errors.Join(a.Close(), breakIt(filepath.Join(a.dir, store.JournalName))); err != nil {
			t.Fatal(err)
		}
		if _, err := Open(a.dir); !errors.Is(err, errLog) {
			t.Errorf("%s: %v", name, err)
		}
		b, err := OpenDamaged(a.dir)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := b.Reindex(nil); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		b.Close()
	}
}

// A record that could not be read when the index was made is reported by every
// search, also one that would not have found it, until it is back.
func TestMissingRecordIsTold(t *testing.T) {
	a := filled(t, 3)
	defer a.Close()
	reviews, _, _ := a.Reviews()
	path := a.store.Path(a.store.Name(reviews[0].Record))
	away := filepath.Join(t.TempDir(), "away")
	if err := os.Rename(path, away); err != nil {
		t.Fatal(err)
	}
	if r := search(t, a, Request{}); len(r.Damages) != 1 {
		t.Errorf("listed with damages %v", r.Damages)
	}
	if _, err := a.Reindex(nil); err != nil {
		t.Fatal(err)
	}
	r := search(t, a, Request{Query: "zeppelin"})
	if len(r.Damages) != 1 || r.Damages[0].Review != reviews[0].Name {
		t.Errorf("damages %v", r.Damages)
	}
	if _, _, damages, err := a.Waiting("", 0); err != nil || len(damages) != 1 {
		t.Errorf("what waits: damages %v, %v", damages, err)
	}
	if err := os.Rename(away, path); err != nil {
		t.Fatal(err)
	}
	if r := search(t, a, Request{}); r.Total != 3 || len(r.Damages) != 0 {
		t.Errorf("back again: %d reviews, damages %v", r.Total, r.Damages)
	}
}

// Sweeping removes what killed processes left and nothing else; not while the
// log is damaged.
func TestSweep(t *testing.T) {
	a := filled(t, 3)
	defer a.Close()
	reviews, _, err := a.Reviews()
	if err != nil {
		t.Fatal(err)
	}
	rec, err := a.store.Get(reviews[0].Record)
	if err != nil {
		t.Fatal(err)
	}
	rec.Product.Name = "As another engine read it"
	read, err := a.store.Put(rec)
	if err != nil {
		t.Fatal(err)
	}
	rec.Source.SHA256 = strings.Repeat("0f", 32)
	alone, err := a.store.Put(rec)
	if err != nil {
		t.Fatal(err)
	}
	orphan := "records/ab/" + strings.Repeat("ab", 32) + store.Packed
	half := "records/.new-77"
	for _, name := range []string{orphan, half} {
		path := a.store.Path(name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, nil, 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	log := filepath.Join(a.dir, store.JournalName)
	whole, _ := os.ReadFile(log)
	os.WriteFile(log, bytes.Replace(whole, []byte(`"what":"added"`), []byte(`"what":"addes"`), 1), 0o644)
	if removed, err := a.Sweep(); !errors.Is(err, errUnsure) || len(removed) > 0 {
		t.Errorf("with a damaged log: removed %v, %v", removed, err)
	}
	os.WriteFile(log, whole, 0o644)
	removed, err := a.Sweep()
	slices.Sort(removed)
	want := []string{half, orphan, a.store.Name(read)}
	slices.Sort(want)
	if err != nil || !slices.Equal(removed, want) {
		t.Errorf("removed %v, %v; want %v", removed, err, want)
	}
	// Nothing else says what this one does.
	if damages, err := a.Check(); err != nil || len(damages) != 1 || damages[0].File != a.store.Name(alone) ||
		!errors.Is(damages[0], store.ErrOrphan) {
		t.Errorf("%v, %v", damages, err)
	}
}

// A log that was cut short or lost names records no more: they become reviews
// again, and sweeping removes none of them before or after.
func TestRestore(t *testing.T) {
	for _, c := range []struct {
		what string
		do   func(t *testing.T, a *Archive)
		want int
	}{
		{"cut short", func(t *testing.T, a *Archive) {
			damage(t, filepath.Join(a.dir, store.JournalName),
				func(b []byte) []byte { return b[:bytes.IndexByte(b, '\n')+20] })
		}, 2},
		{"lost", func(t *testing.T, a *Archive) { remove(t, filepath.Join(a.dir, store.JournalName)) }, 3},
		{"lost, and the head", func(t *testing.T, a *Archive) {
			remove(t, filepath.Join(a.dir, store.JournalName))
			remove(t, filepath.Join(a.dir, headName))
		}, 3},
	} {
		t.Run(c.what, func(t *testing.T) {
			a := filled(t, 3)
			before := search(t, a, Request{})
			a.Close()
			c.do(t, a)
			if _, err := Open(a.dir); !errors.Is(err, errLog) && !errors.Is(err, errHead) {
				t.Errorf("opened: %v", err)
			}
			a, err := OpenToRestore(a.dir)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := a.Reindex(nil); err != nil {
				t.Fatal(err)
			}
			if removed, err := a.Sweep(); err != nil || len(removed) > 0 {
				t.Errorf("swept %v, %v", removed, err)
			}
			added, err := a.Restore("Ada", time.Unix(0, 0))
			if err != nil || len(added) != c.want {
				t.Errorf("restored %v, %v; want %d", added, err, c.want)
			}
			a.Close()
			if a, err = Open(a.dir); err != nil {
				t.Fatal(err)
			}
			defer a.Close()
			was, is := names(before), names(search(t, a, Request{}))
			slices.Sort(was)
			slices.Sort(is)
			if !slices.Equal(was, is) {
				t.Errorf("before %v, after %v", was, is)
			}
			if damages, err := a.Check(); err != nil || len(damages) > 0 {
				t.Errorf("%v, %v", damages, err)
			}
			if again, err := a.Restore("Ada", time.Unix(0, 0)); err != nil || len(again) > 0 {
				t.Errorf("restored again: %v, %v", again, err)
			}
		})
	}
}

// A line that cannot be read may name a record: it is not said to be named by none,
// and no review is made of it until the line is gone.
func TestRestoreBesideDamagedLines(t *testing.T) {
	a := filled(t, 3)
	defer a.Close()
	log := filepath.Join(a.dir, store.JournalName)
	whole, err := os.ReadFile(log)
	if err != nil {
		t.Fatal(err)
	}
	damage(t, log, func(b []byte) []byte { return bytes.Replace(b, []byte(`"what":"added"`), []byte(`"what":"addes"`), 1) })
	damaged, err := os.ReadFile(log)
	if err != nil {
		t.Fatal(err)
	}
	damages, err := a.Check()
	if err != nil || len(damages) != 2 || !errors.Is(damages[0], store.ErrChecksum) ||
		!errors.Is(damages[1], store.ErrUnnamed) {
		t.Errorf("%v, %v", damages, err)
	}
	added, err := a.Restore("Ada", time.Unix(0, 0))
	if !errors.Is(err, errUnsureOf) || !errors.Is(err, store.ErrChecksum) || len(added) > 0 {
		t.Errorf("restored %v, %v", added, err)
	}
	if now, err := os.ReadFile(log); err != nil || !bytes.Equal(now, damaged) {
		t.Errorf("the log was changed: %v", err)
	}
	a.Close()
	if err := os.WriteFile(log, whole[bytes.IndexByte(whole, '\n')+1:], 0o644); err != nil {
		t.Fatal(err)
	}
	if a, err = OpenToRestore(a.dir); err != nil {
		t.Fatal(err)
	}
	if added, err := a.Restore("Ada", time.Unix(0, 0)); err != nil || len(added) != 1 {
		t.Errorf("without the line: restored %v, %v", added, err)
	}
	if damages, err := a.Check(); err != nil || len(damages) > 0 {
		t.Errorf("%v, %v", damages, err)
	}
}

func remove(t *testing.T, path string) {
	t.Helper()
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
}

// What waits for a person is kept in the index: no record is read for it.
func TestWaitingReadsNoRecord(t *testing.T) {
	a := filled(t, 5)
	defer a.Close()
	list, total, _, err := a.Waiting("", 0)
	if err != nil || total == 0 || len(list) != total {
		t.Fatalf("%d of %d, %v", len(list), total, err)
	}
	reviews, _, _ := a.Reviews()
	n := 0
	for _, rv := range reviews {
		r, _ := a.load(rv)
		n += len(openOf(r))
	}
	if n != total {
		t.Errorf("%d wait, and the records have %d", total, n)
	}
	if err := os.RemoveAll(filepath.Join(a.dir, "records")); err != nil {
		t.Fatal(err)
	}
	again, _, _, err := a.Waiting("", 0)
	if err != nil || len(again) != len(list) {
		t.Errorf("without records %d wait, %v", len(again), err)
	}
	for i := range list {
		if s := &list[i].Said; len(s.Readings) == 0 || s.Heard == "" {
			t.Errorf("%s: number %d without readings or words", list[i].Review.Name, s.Number)
		}
	}
}
