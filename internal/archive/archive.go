package archive

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"syscall"

	"saywatt/internal/archive/index"
	"saywatt/internal/archive/store"
	"saywatt/schema"
)

// formatVersion names the form of the folder, and plainVersion that of before,
// whose records are not compressed: it is read, and becomes one of today's when
// it is written to.
const (
	formatVersion = "saywatt/archive/2"
	plainVersion  = "saywatt/archive/1"
)

// Archive is an opened archive. Its methods may be called from several
// goroutines.
type Archive struct {
	dir     string
	version string // of its form
	store   store.Records
	journal store.Journal

	checked store.Checked
	recent  recent
	aside   aside

	unfinished unfinished

	mu       sync.Mutex // guards what follows
	view     *index.View
	repaired error // what was wrong with an index that was made anew
}

// Errors of opening an archive.
var (
	ErrNoArchive = errors.New("there is no archive here")
	errFormat    = errors.New("an archive of an unknown version")
	errNotEmpty  = errors.New("the folder is neither an archive nor empty")
	ErrNoReview  = errors.New("there is no review of this name")
	errLog       = errors.New("the log of the archive is damaged")
)

// Create opens the archive in a folder, and makes one where there is nothing
// yet.
func Create(dir string) (*Archive, error) {
	a, err := Open(dir)
	if !errors.Is(err, ErrNoArchive) {
		return a, err
	}
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	for _, e := range entries {
		// What Create itself leaves when it is killed is no obstacle.
		if n := e.Name(); n != "records" && n != "lock" && !bytes.HasPrefix([]byte(n), []byte(".new-")) {
			return nil, fmt.Errorf("%s: %w", dir, errNotEmpty)
		}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("%s: no archive can be made there: %w", dir, store.PlainCause(err))
	}
	if err := store.MakeFolder(dir, filepath.Join(dir, "records")); err != nil {
		return nil, fmt.Errorf("%s: no archive can be made there: %w", dir, store.PlainCause(err))
	}
	if err := writeHead(dir); err != nil {
		return nil, err
	}
	if err := store.SyncDir(filepath.Dir(filepath.Clean(dir))); err != nil {
		return nil, err
	}
	return Open(dir)
}

// Open opens the archive in a folder. Where its log is missing or cut short, so
// that reviews are gone of which records or index know, that is errLog.
func Open(dir string) (*Archive, error) {
	a, err := OpenDamaged(dir)
	if err == nil {
		err = a.checkLog()
	}
	if err != nil {
		return nil, err
	}
	return a, nil
}

// OpenDamaged opens an archive also where its log is damaged, to go on with
// what is left of it.
func OpenDamaged(dir string) (*Archive, error) {
	b, err := os.ReadFile(filepath.Join(dir, headName))
	if errors.Is(err, fs.ErrNotExist) {
		err = ErrNoArchive
		if looksMade(dir) {
			err = errHead
		}
		return nil, fmt.Errorf("%s: %w", dir, err)
	}
	if errors.Is(err, syscall.ENOTDIR) {
		return nil, fmt.Errorf("%s: an archive is a folder, and this is a file", dir)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %s: %w", dir, headName, store.PlainError(err))
	}
	var head struct{ Version string }
	if err := json.Unmarshal(b, &head); err != nil {
		return nil, fmt.Errorf(`%s: %s is damaged; it should be {"version":"%s"}: %w`, dir, headName, formatVersion,
			err)
	}
	if head.Version != formatVersion && head.Version != plainVersion {
		return nil, fmt.Errorf("%s: %w: %q, want %q", dir, errFormat, head.Version, formatVersion)
	}
	return &Archive{dir: dir, version: head.Version, store: store.Records{Dir: dir},
		journal: store.Journal{Path: filepath.Join(dir, store.JournalName)}}, nil
}

// headName is the file that says what the folder is.
const headName = "archive.json"

// checkLog compares the log with what the index was made of, and where there is
// neither, with the records.
func (a *Archive) checkLog() error {
	_, err := os.Stat(a.journal.Path)
	missing := errors.Is(err, fs.ErrNotExist)
	if err != nil && !missing {
		return fmt.Errorf("%s: %s: %w", a.dir, store.JournalName, store.PlainError(err))
	}
	if m, err := store.ReadManifest(a.dir); err == nil && m.Log > 0 && !missing {
		size, err := a.journal.Size()
		if err != nil {
			return fmt.Errorf("%s: %s: %w", a.dir, store.JournalName, store.PlainError(err))
		}
		if size < m.Log {
			return fmt.Errorf("%s: %w: %s has %d bytes, and the index was made from %d; put it back from a copy, or "+
				"\"saywatt reindex --restore\" goes on with what is left of it, and makes reviews of the other records",
				a.dir, errLog, store.JournalName, size, m.Log)
		}
	}
	if !missing {
		return nil
	}
	any, err := a.store.Any()
	if err != nil {
		return fmt.Errorf("%s: the records: %w", a.dir, store.PlainError(err))
	}
	if any {
		return fmt.Errorf("%s: %w: %s is missing, and there are records; put it back from a copy, or "+
			"\"saywatt reindex --restore\" makes reviews of them, without what was decided",
			a.dir, errLog, store.JournalName)
	}
	return nil
}

// Close lets go of the index. The archive must not be used afterwards.
func (a *Archive) Close() error {
	a.mu.Lock()
	defer a.mu.Unlock()
	var err error
	if a.view != nil {
		err = a.view.Release()
		a.view = nil
	}
	return errors.Join(err, a.aside.remove(false))
}

// Repaired is what was wrong with the index where this process found it damaged
// and made it anew; nil where nothing was.
func (a *Archive) Repaired() error {
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.repaired
}

func (a *Archive) noteRepair(err error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.repaired == nil {
		a.repaired = err
	}
}

// Dir is the folder.
func (a *Archive) Dir() string { return a.dir }

// Reviews lists the reviews by name, from the log of decisions, and what of it
// cannot be read.
func (a *Archive) Reviews() ([]*Review, []*store.Damage, error) {
	size, err := a.journal.Size()
	if err != nil {
		return nil, nil, err
	}
	b, err := a.replay(size)
	if err != nil {
		return nil, nil, err
	}
	return b.sorted(), b.damages, nil
}

// Record returns the record of a review as it stands, decisions replayed.
// Where its newest version is damaged, the one before is served, and the
// damages say so.
func (a *Archive) Record(name string) (*Review, *schema.Record, []*store.Damage, error) {
	rv, err := a.find(name)
	if err != nil {
		return nil, nil, nil, err
	}
	r, damages := a.load(rv)
	if r == nil {
		return rv, nil, nil, damages[0]
	}
	return rv, r, damages, nil
}

// Decisions lists what was decided on the words of a review, in order, and
// what of that cannot be read.
func (a *Archive) Decisions(name string) ([]store.Decision, []*store.Damage, error) {
	rv, err := a.find(name)
	if err != nil {
		return nil, nil, err
	}
	var all []store.Decision
	var damages []*store.Damage
	for _, at := range rv.lines {
		d, err := a.journal.LineAt(at)
		if err != nil {
			damages = append(damages, damageOf(err, name))
			continue
		}
		all = append(all, *d)
	}
	return all, damages, nil
}

// find looks a review up, in the index where that is up to date.
func (a *Archive) find(name string) (*Review, error) {
	if v, fresh := a.acquire(); v != nil {
		defer v.Release()
		if fresh {
			if rv := reviewIn(v, name); rv != nil {
				return rv, nil
			}
		}
	}
	all, _, err := a.Reviews()
	if err != nil {
		return nil, err
	}
	for _, rv := range all {
		if rv.Name == name {
			return rv, nil
		}
	}
	return called(name, a.PathFrom(name), all, true)
}

// current is the manifest of the index to use: that of the archive, or one
// aside that knows more. nil where there is none.
func (a *Archive) current(size int64) *store.Manifest {
	m, err := store.ReadManifest(a.dir)
	if err == nil && m.Log == size && !m.ChangedSinceLeft(a.store) {
		return m
	}
	if aside := a.aside.path(); aside != "" {
		if other, err := store.ReadManifest(aside); err == nil {
			return other
		}
	}
	if err != nil || m.Log > size {
		return nil
	}
	return m
}

// acquire returns the opened index with a reference for the caller, and
// whether it knows all decisions; nil where there is none that can be used.
func (a *Archive) acquire() (v *index.View, fresh bool) {
	size, err := a.journal.Size()
	if err != nil {
		return nil, false
	}
	m := a.current(size)
	if m == nil {
		return nil, false
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if old := a.view; old == nil || old.Manifest.Generation != m.Generation || old.Manifest.Base != m.Base ||
		old.Broken.Load() {
		next, err := a.openGeneration(m)
		if err != nil {
			return nil, false
		}
		if a.view != nil {
			a.view.Release()
		}
		a.view = next
	}
	a.view.Retain()
	return a.view, a.view.Manifest.Log == size && !a.view.Manifest.ChangedSinceLeft(a.store)
}

// openGeneration opens what current.json names. Where a writer switched in
// between, the files are gone and the next one is tried.
func (a *Archive) openGeneration(m *store.Manifest) (*index.View, error) {
	for {
		v, err := index.Open(m.Base, m, &a.checked)
		if err == nil {
			return v, nil
		}
		again, err2 := store.ReadManifest(m.Base)
		if err2 != nil || again.Generation == m.Generation {
			return nil, err
		}
		m = again
	}
}
