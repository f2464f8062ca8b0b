package archive

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// errOrphan is the damage of a record that no line of the log names.
var errOrphan = errors.New("no line of " + journalName + ` names it; "saywatt reindex --sweep" removes it`)

// errUnnamed is the damage of such a record where lines of the log cannot be read:
// one of them may name it.
var errUnnamed = errors.New("no line of " + journalName + " that can be read names it")

// Check reads everything that the archive holds and lists what is damaged,
// and records that no line of the log names.
func (a *Archive) Check() ([]*Damage, error) {
	named, damages, err := a.named()
	if err != nil {
		return nil, err
	}
	hashes, err := a.store.hashes()
	if err != nil {
		return nil, err
	}
	orphan := errOrphan
	if len(damages) > 0 {
		orphan = errUnnamed
	}
	there := map[string]bool{}
	for _, hash := range hashes {
		there[hash] = true
		if _, err := a.store.get(hash); err != nil {
			damages = append(damages, damageOf(err, named[hash]))
		} else if _, ok := named[hash]; !ok {
			damages = append(damages, &Damage{File: a.store.there(hash), Err: orphan})
		}
	}
	for hash, review := range named {
		if !there[hash] && isHash(hash) {
			damages = append(damages, &Damage{File: a.store.name(hash), Review: review,
				Err: plainError(os.ErrNotExist)})
		}
	}
	sortDamages(damages)
	return damages, nil
}

// named lists the records that the log names, with their reviews, and what of
// the log cannot be read.
func (a *Archive) named() (map[string]string, []*Damage, error) {
	size, err := a.journal.size()
	if err != nil {
		return nil, nil, err
	}
	named := map[string]string{}
	var damages []*Damage
	err = a.journal.each(0, size, func(d *Decision, _ int64) {
		if d.Act == ActAdded {
			named[d.Record] = d.Review
		}
	}, func(d *Damage) { damages = append(damages, d) })
	return named, damages, err
}

// errUnsure is returned where it cannot be known which records nobody names.
var errUnsure = errors.New("the log is damaged, so nobody can tell which records it does not name; nothing was removed")

// Sweep removes what killed processes left: records that no line of the log
// names, files that were being written, and generations of the index that are
// not the current one. It lists what it removed. Where a line of the log cannot
// be read, it removes nothing: errUnsure.
func (a *Archive) Sweep() (removed []string, err error) {
	l, err := takeLock(a.dir)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, l.release()) }()
	named, damages, err := a.named()
	if err != nil {
		return nil, err
	}
	if len(damages) > 0 {
		return nil, errUnsure
	}
	current := ""
	if m, err := readManifest(a.dir); err == nil {
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
		case !d.IsDir() && strings.HasPrefix(d.Name(), newPrefix):
			return remove(path)
		case d.IsDir() && filepath.Dir(path) == indexDir(a.dir) && d.Name() != current && current != "":
			if err := remove(path); err != nil {
				return err
			}
			return fs.SkipDir
		}
		hash := strings.TrimSuffix(strings.TrimSuffix(d.Name(), packed), unpacked)
		if _, ok := named[hash]; !ok && !d.IsDir() && isHash(hash) &&
			strings.HasPrefix(path, filepath.Join(a.dir, "records")) {
			return remove(path)
		}
		return nil
	})
	return removed, err
}
