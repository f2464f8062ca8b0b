package archive

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"saywatt/internal/archive/store"
)

// Check reads everything that the archive holds and lists what is damaged,
// and records that no line of the log names.
func (a *Archive) Check() ([]*store.Damage, error) {
	log, err := a.ledger()
	if err != nil {
		return nil, err
	}
	hashes, err := a.store.Hashes()
	if err != nil {
		return nil, err
	}
	damages := log.damages
	left, orphan := store.ErrLeft, store.ErrOrphan
	if len(log.damages) > 0 {
		left, orphan = store.ErrUnnamed, store.ErrUnnamed
	}
	there := map[string]bool{}
	for _, hash := range hashes {
		there[hash] = true
		rec, err := a.store.Get(hash)
		_, named := log.records[hash]
		switch {
		case err != nil:
			damages = append(damages, damageOf(err, log.records[hash]))
		case named:
		case log.sources[rec.Source.SHA256]:
			damages = append(damages, &store.Damage{File: a.store.There(hash), Err: left})
		default:
			damages = append(damages, &store.Damage{File: a.store.There(hash), Err: orphan})
		}
	}
	for hash, review := range log.records {
		if !there[hash] && store.IsHash(hash) {
			damages = append(damages, &store.Damage{File: a.store.Name(hash), Review: review,
				Err: store.PlainError(os.ErrNotExist)})
		}
	}
	store.SortDamages(damages)
	return damages, nil
}

// A ledger is what the log knows of records.
type ledger struct {
	records map[string]string // reviews, by the record
	sources map[string]bool   // captions, by their SHA-256
	damages []*store.Damage   // lines that cannot be read
}

// ledger reads the log for the records that it names.
func (a *Archive) ledger() (*ledger, error) {
	size, err := a.journal.Size()
	if err != nil {
		return nil, err
	}
	l := &ledger{records: map[string]string{}, sources: map[string]bool{}}
	err = a.journal.Each(0, size, func(d *store.Decision, _ int64) {
		if d.Act == store.ActAdded {
			l.records[d.Record] = d.Review
			l.sources[d.Source] = d.Source != ""
		}
	}, func(d *store.Damage) { l.damages = append(l.damages, d) })
	return l, err
}

// errUnsure is returned where it cannot be known which records nobody names.
var errUnsure = errors.New("the log is damaged, so nobody can say which records it does not name; nothing was removed")

// Sweep removes what killed processes left: records that no line of the log
// names though it has another one of the same captions, files that were being
// written, and generations of the index that are not the current one. It lists
// what it removed. A record whose captions no line knows stays: a log that was cut
// short names it no more, and nothing else says what it does ([Archive.Restore]).
// Where a line of the log cannot be read, nothing is removed: errUnsure.
func (a *Archive) Sweep() (removed []string, err error) {
	l, err := store.TakeLock(a.dir)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, l.Release()) }()
	log, err := a.ledger()
	if err != nil {
		return nil, err
	}
	if len(log.damages) > 0 {
		return nil, errUnsure
	}
	current := ""
	if m, err := store.ReadManifest(a.dir); err == nil {
		current = strconv.Itoa(m.Generation)
	}
	remove := func(path string) error {
		name, err := filepath.Rel(a.dir, path)
		if err == nil {
			err = os.RemoveAll(path)
		}
		if err == nil {
			removed = append(removed, filepath.ToSlash(name))
		}
		return err
	}
	err = filepath.WalkDir(a.dir, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case !d.IsDir() && strings.HasPrefix(d.Name(), store.NewPrefix):
			return remove(path)
		case d.IsDir() && filepath.Dir(path) == store.IndexDir(a.dir) && d.Name() != current && current != "":
			if err := remove(path); err != nil {
				return err
			}
			return fs.SkipDir
		}
		hash := strings.TrimSuffix(strings.TrimSuffix(d.Name(), store.Packed), store.Unpacked)
		if !d.IsDir() && store.IsHash(hash) && strings.HasPrefix(path, filepath.Join(a.dir, "records")) &&
			a.needless(hash, log) {
			return remove(path)
		}
		return nil
	})
	return removed, err
}

// needless reports whether a record file is named by no line of the log, and what
// it says is in the archive by another one.
func (a *Archive) needless(hash string, log *ledger) bool {
	if _, named := log.records[hash]; named {
		return false
	}
	if info, err := os.Stat(a.store.Path(a.store.There(hash))); err == nil && info.Size() == 0 {
		return true
	}
	rec, err := a.store.Get(hash)
	return err == nil && log.sources[rec.Source.SHA256]
}
