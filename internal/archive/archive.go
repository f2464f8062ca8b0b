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

	"saywatt/schema"
)

// formatVersion names the form of the folder.
const formatVersion = "saywatt/archive/1"

// Archive is an opened archive. Its methods may be called from several
// goroutines.
type Archive struct {
	dir     string
	store   store
	journal journal

	checked checked
	open    openCounts
	recent  recent

	mu   sync.Mutex // guards view
	view *view
}

// Errors of opening an archive.
var (
	ErrNoArchive = errors.New("there is no archive here")
	ErrFormat    = errors.New("an archive of an unknown version")
	ErrNotEmpty  = errors.New("the folder is neither an archive nor empty")
	ErrNoReview  = errors.New("there is no review of this name")
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
			return nil, fmt.Errorf("%s: %w", dir, ErrNotEmpty)
		}
	}
	if err := os.MkdirAll(filepath.Join(dir, "records"), 0o755); err != nil {
		return nil, err
	}
	if err := writeSynced(filepath.Join(dir, "archive.json"), []byte(`{"version":"`+formatVersion+`"}`+"\n")); err != nil {
		return nil, err
	}
	if err := syncDir(filepath.Dir(filepath.Clean(dir))); err != nil {
		return nil, err
	}
	return Open(dir)
}

// Open opens the archive in a folder.
func Open(dir string) (*Archive, error) {
	b, err := os.ReadFile(filepath.Join(dir, "archive.json"))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: %w", dir, ErrNoArchive)
	}
	if err != nil {
		return nil, err
	}
	var head struct{ Version string }
	if err := json.Unmarshal(b, &head); err != nil {
		return nil, fmt.Errorf("%s: archive.json: %w", dir, err)
	}
	if head.Version != formatVersion {
		return nil, fmt.Errorf("%s: %w: %q, want %q", dir, ErrFormat, head.Version, formatVersion)
	}
	return &Archive{dir: dir, store: store{dir}, journal: journal{filepath.Join(dir, journalName)}}, nil
}

// Close lets go of the index. The archive must not be used afterwards.
func (a *Archive) Close() error {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.view == nil {
		return nil
	}
	v := a.view
	a.view = nil
	return v.release()
}

// Dir is the folder.
func (a *Archive) Dir() string { return a.dir }

// Reviews lists the reviews by name, from the log of decisions, and what of it
// cannot be read.
func (a *Archive) Reviews() ([]*Review, []*Damage, error) {
	size, err := a.journal.size()
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
// damages tell.
func (a *Archive) Record(name string) (*Review, *schema.Record, []*Damage, error) {
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
func (a *Archive) Decisions(name string) ([]Decision, []*Damage, error) {
	rv, err := a.find(name)
	if err != nil {
		return nil, nil, err
	}
	var all []Decision
	var damages []*Damage
	for _, at := range rv.lines {
		d, err := a.journal.lineAt(at)
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
		defer v.release()
		if fresh {
			if rv := v.review(name); rv != nil {
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
	return called(name, all, true)
}

// acquire returns the opened index with a reference for the caller, and
// whether it knows all decisions; nil where there is none that can be used.
func (a *Archive) acquire() (v *view, fresh bool) {
	m, err := readManifest(a.dir)
	if err != nil {
		return nil, false
	}
	size, err := a.journal.size()
	if err != nil || m.Log > size {
		return nil, false
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.view == nil || a.view.manifest.Generation != m.Generation || a.view.broken.Load() {
		next, err := a.openGeneration(m)
		if err != nil {
			return nil, false
		}
		if a.view != nil {
			a.view.release()
		}
		a.view = next
	}
	a.view.retain()
	return a.view, a.view.manifest.Log == size
}

// openGeneration opens what current.json names. Where a writer switched in
// between, the files are gone and the next one is tried.
func (a *Archive) openGeneration(m *manifest) (*view, error) {
	for {
		v, err := openView(a.dir, m, &a.checked)
		if err == nil {
			return v, nil
		}
		again, err2 := readManifest(a.dir)
		if err2 != nil || again.Generation == m.Generation {
			return nil, err
		}
		m = again
	}
}
