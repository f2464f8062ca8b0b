package archive

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"saywatt/internal/archive/store"
	"saywatt/internal/export/naming"
	"saywatt/schema"
)

// errHead says that the file is missing by which a folder is known to be an archive.
var errHead = errors.New(headName + ` is missing from this archive; put it back from a copy, or ` +
	`"saywatt reindex --restore" makes it again`)

// looksMade reports whether a folder without archive.json was an archive: a log
// or records lie there. Create, when it is killed, leaves neither.
func looksMade(dir string) bool {
	if _, err := os.Stat(filepath.Join(dir, store.JournalName)); err == nil {
		return true
	}
	any, err := store.Records{Dir: dir}.Any()
	return err == nil && any
}

// OpenToRestore is OpenDamaged, and where archive.json alone is missing it is
// made again.
func OpenToRestore(dir string) (*Archive, error) {
	a, err := OpenDamaged(dir)
	if !errors.Is(err, errHead) {
		return a, err
	}
	if err := writeHead(dir); err != nil {
		return nil, fmt.Errorf("%s: %w", dir, store.PlainCause(err))
	}
	return OpenDamaged(dir)
}

// writeHead has the file on disk that says what the folder is.
func writeHead(dir string) error {
	return store.WriteSynced(dir, filepath.Join(dir, headName), []byte(`{"version":"`+formatVersion+`"}`+"\n"))
}

// errUnsureOf is returned where a line that cannot be read may name the records that
// no other line names.
var errUnsureOf = errors.New("the log is damaged, and there are records that a damaged line may name, so no review " +
	"was made of them; put " + store.JournalName + " back from a copy, or delete its damaged lines, and restore again")

// Restore makes reviews of the records that no line of the log names and whose
// captions it does not know: a log that was lost or cut short leaves such records,
// and so does a process that was killed. Records of the same captions become
// versions of one review, in the order in which they were written. What was
// decided, the names that were given, and that a review was removed stood in the
// log alone and is not known. It returns what it put in. Where a line of the log
// cannot be read, such records are left as they are: errUnsureOf.
func (a *Archive) Restore(who string, when time.Time) (restored []Added, err error) {
	w, err := a.Begin()
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, w.Close()) }()
	if err := a.journal.Begin(); err != nil {
		return nil, err
	}
	if err := a.catchUp(); err != nil { // else lines added take the place of those that are gone
		return nil, err
	}
	log, err := a.ledger()
	if err != nil {
		return nil, err
	}
	lost, err := a.store.Unnamed(log.records)
	if err != nil {
		return nil, err
	}
	book, err := w.replayed()
	if err != nil {
		return nil, err
	}
	made := map[string]string{} // names of reviews by their captions
	for _, hash := range lost {
		rec, err := a.store.Get(hash)
		if err != nil || log.sources[rec.Source.SHA256] {
			continue // [Archive.Check] reports it
		}
		if len(log.damages) > 0 {
			return nil, fmt.Errorf("%w: %w", errUnsureOf, log.damages[0])
		}
		name, again := made[rec.Source.SHA256]
		if !again || rec.Source.SHA256 == "" {
			name = book.freeFor(nameOf(rec), &rec.Source)
		}
		made[rec.Source.SHA256] = name
		into := book.reviews[name]
		d := &store.Decision{When: when.UTC(), Who: who, Act: store.ActAdded, Review: name, Version: 1, Record: hash,
			Source: rec.Source.SHA256, Product: rec.Product.Name, Called: heardAs(&rec.Product),
			Title: rec.Source.Title}
		if into != nil {
			d.Version = into.Version + 1
		}
		restored = append(restored, Added{Review: name, Version: d.Version, Record: hash, Title: titleAfter(into, d)})
		if err := w.append(d); err != nil {
			return nil, err
		}
	}
	return restored, w.Commit()
}

// nameOf is what a review is called of which only the record is known.
func nameOf(r *schema.Record) string {
	return cmp.Or(naming.ReviewName(&r.Source), naming.Slug(r.Product.Name), "review")
}
