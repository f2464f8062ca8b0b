package archive

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"saywatt/internal/archive/index"
	"saywatt/internal/archive/query"
	"saywatt/internal/archive/store"
	"saywatt/internal/export/naming"
	"saywatt/schema"
)

// A Writer writes to an archive. There is one at a time, over all processes.
type Writer struct {
	a    *Archive
	lock *store.Lock

	lines   []byte // of decisions, not yet on disk
	pending []pending
	book    *book // all reviews, where the index does not know them
	touched map[string]*Review
}

type pending struct {
	d  *store.Decision
	at int // within lines
}

// Added says what an add did.
type Added struct {
	Review  string
	Version int
	Record  string
	Same    bool // the record was there already, as the newest of its captions
	Anew    bool // its file was damaged or missing, and was written anew
	Title   string
	CopyOf  string // the path at which the archive had the same captions, where they lie at another now
	// Removed is when a review of this name, or of these captions, was removed;
	// the zero time where none was. What was decided on it is not taken up again.
	Removed time.Time
}

// ErrTaken says that a name belongs to the review of another product.
var ErrTaken = errors.New("the name belongs to another review")

// Begin takes the right to write; a *BusyError where another process has it.
func (a *Archive) Begin() (*Writer, error) {
	l, err := store.TakeLock(a.dir)
	if err == nil {
		err = a.upgrade()
	}
	if err != nil {
		return nil, err
	}
	return &Writer{a: a, lock: l, touched: map[string]*Review{}}, nil
}

// upgrade makes an archive of before one of today's: what is written from now
// on, programs of before cannot read.
func (a *Archive) upgrade() error {
	if a.version == formatVersion {
		return nil
	}
	err := writeHead(a.dir)
	if err == nil {
		a.version = formatVersion
	}
	return err
}

// Add puts a record in as the newest version of a review: the same file read
// again, or a file that speaks of a product of the same name. Of a name that
// another product has, it is refused with ErrTaken, unless replace is set. It
// is acknowledged by Commit, not before.
func (w *Writer) Add(name string, r *schema.Record, who string, when time.Time, replace bool) (Added, error) {
	if name = Name(name); name == "" {
		return Added{}, errors.New("a review needs a name with letters or digits")
	}
	before, err := w.review(name)
	if err != nil {
		return Added{}, err
	}
	if err := w.a.journal.Begin(); err != nil {
		return Added{}, err
	}
	hash, err := w.a.store.Put(r)
	if err != nil {
		return Added{}, err
	}
	if before != nil && before.Record == hash {
		return Added{Review: name, Version: before.Version, Record: hash, Same: true, Title: before.Title()}, nil
	}
	if before != nil && !replace && before.source != r.Source.SHA256 &&
		query.Folded(before.Product) != query.Folded(r.Product.Name) && !calledAlike(before, r) {
		return Added{}, fmt.Errorf("%s: %w: of %q, and this is of %q", name, ErrTaken, before.shown(),
			naming.ShownName(r.Product.Name))
	}
	version := 1
	if before != nil {
		version = before.Version + 1
	}
	d := &store.Decision{When: when.UTC(), Who: who, Act: store.ActAdded, Review: name, Version: version, Record: hash,
		Source: r.Source.SHA256, Product: r.Product.Name, Called: heardAs(&r.Product)}
	return Added{Review: name, Version: version, Record: hash, Title: titleAfter(before, d)}, w.append(d)
}

// Decide puts in decisions on words of a review, all or none of them. It is
// acknowledged by Commit.
func (w *Writer) Decide(name string, decisions []store.Decision) error {
	rv, err := w.review(name)
	if err != nil {
		return err
	}
	if rv == nil {
		return fmt.Errorf("%q: %w", name, ErrNoReview)
	}
	for i := range decisions {
		if d := &decisions[i]; !d.OnWords() || d.Span == nil && d.Names == "" {
			return fmt.Errorf("%s: %q is no decision on words of a review", name, d.Act)
		}
	}
	for _, d := range decisions {
		d.Review, d.When = name, d.When.UTC()
		if err := w.append(&d); err != nil {
			return err
		}
	}
	return nil
}

// Remove takes a review out of the list. Its versions stay on disk. It is
// acknowledged by Commit.
func (w *Writer) Remove(name, who string, when time.Time) error {
	rv, err := w.review(name)
	if err != nil {
		return err
	}
	if rv == nil {
		return fmt.Errorf("%q: %w", name, ErrNoReview)
	}
	return w.append(&store.Decision{When: when.UTC(), Who: who, Act: store.ActRemoved, Review: name})
}

// review is a review as it stands with what was written so far, nil where
// there is none.
func (w *Writer) review(name string) (*Review, error) {
	if rv, ok := w.touched[name]; ok {
		return rv, nil
	}
	if w.book == nil {
		if v, fresh := w.a.acquire(); v != nil {
			rv := reviewIn(v, name)
			broken := v.Broken.Load()
			v.Release()
			if fresh && !broken {
				w.touched[name] = rv
				return rv, nil
			}
		}
		if _, err := w.replayed(); err != nil {
			return nil, err
		}
	}
	rv := w.book.reviews[name]
	w.touched[name] = rv
	return rv, nil
}

// append holds a decision ready for Commit.
func (w *Writer) append(d *store.Decision) (err error) {
	at := len(w.lines)
	if w.lines, err = store.AppendLine(w.lines, d); err != nil {
		return err
	}
	w.pending = append(w.pending, pending{d, at})
	if w.book != nil {
		w.ahead(d)
	} else if d.Act == store.ActAdded {
		rv := &Review{Name: d.Review}
		if old := w.touched[d.Review]; old != nil {
			c := *old
			rv = &c
		}
		rv.take(d, 0)
		w.touched[d.Review] = rv
	}
	return nil
}

// Commit has everything written so far on disk before it returns nil: that is
// the acknowledgement.
func (w *Writer) Commit() error {
	if len(w.pending) == 0 {
		return nil
	}
	base, err := w.a.journal.Size()
	if err != nil {
		return err
	}
	if err := w.a.journal.Append(w.lines); err != nil {
		return err
	}
	for _, p := range w.pending {
		at := base + int64(p.at)
		switch name := p.d.Review; p.d.Act {
		case store.ActRemoved:
			w.touched[name] = nil
		default:
			if p.d.OnWords() {
				rv := *w.touched[name]
				rv.take(p.d, at)
				w.touched[name] = &rv
			}
		}
		if w.book != nil && p.d.OnWords() {
			w.book.take(p.d, at)
		}
	}
	w.lines, w.pending = w.lines[:0], w.pending[:0]
	return nil
}

// Close commits, brings the index up to date and gives the right to write
// back. An error of the index alone is an *IndexError: nothing is lost by it.
func (w *Writer) Close() error {
	err := w.Commit()
	if err == nil {
		if err = w.a.catchUp(); err != nil {
			err = &IndexError{err}
		}
	}
	return errors.Join(err, w.lock.Release())
}

// IndexError says that the index could not be brought up to date. The archive
// itself is whole.
type IndexError struct{ Err error }

func (e *IndexError) Error() string {
	return "what was reported as added is safe, but the index could not be brought up to date; " +
		"that is tried again when it is next used: " +
		e.Err.Error()
}

func (e *IndexError) Unwrap() error { return e.Err }

// Name makes a review's name of a file's name or a title: its words with
// hyphens, extension and folders left out.
func Name(s string) string {
	s = filepath.Base(filepath.ToSlash(s))
	switch ext := filepath.Ext(s); strings.ToLower(ext) {
	case ".vtt", ".srt", ".ttml", ".xml", ".txt", ".md", ".json", ".jsonl":
		s = strings.TrimSuffix(s, ext)
	}
	return strings.Join(query.Words(s), "-")
}

// refresh brings the index up to date; a *BusyError where another process
// writes.
func (a *Archive) refresh() error {
	l, err := store.TakeLock(a.dir)
	if err != nil {
		return err
	}
	return errors.Join(a.catchUp(), l.Release())
}

// rebuildShare is the part of all reviews from which building the index anew
// is faster than adding to it; rebuildLeast keeps small adds out of that.
const (
	rebuildShare = 3
	rebuildLeast = 500
)

// catchUp brings the index up to the end of the log. The caller holds the
// lock.
func (a *Archive) catchUp() error {
	size, err := a.journal.Size()
	if err != nil {
		return err
	}
	m, err := store.ReadManifest(a.dir)
	if err == nil {
		err = m.Check(a.dir, &a.checked)
	}
	if err != nil || m.Log > size || m.ChangedSinceLeft(a.store) {
		if errors.Is(err, store.ErrIndex) {
			a.noteRepair(err)
		}
		return a.rebuild(size)
	}
	if m.Log == size {
		return nil
	}
	changed, count, err := a.changedSince(m, size)
	few := len(changed) <= rebuildLeast || len(changed)*rebuildShare <= count
	if err != nil || !few || a.extend(m, changed, size) != nil {
		return a.rebuild(size)
	}
	return nil
}

// changedSince lists the reviews that decisions behind the index touch, as
// they stand now, nil for one removed; and how many reviews the index has.
func (a *Archive) changedSince(m *store.Manifest, size int64) (map[string]*Review, int, error) {
	v, err := index.Open(a.dir, m, &a.checked)
	if err != nil {
		return nil, 0, err
	}
	defer v.Release()
	b := newBook()
	changed := map[string]*Review{}
	var damage error // what is lost is noted by who reads all of the log
	err = a.journal.Each(m.Log, size, func(d *store.Decision, at int64) {
		for _, name := range []string{d.Review, d.To} {
			if _, met := changed[name]; met || name == "" {
				continue
			}
			changed[name] = nil
			if rv := reviewIn(v, name); rv != nil {
				b.reviews[name] = rv
			}
		}
		b.take(d, at)
	}, func(d *store.Damage) { damage = d })
	for name := range changed {
		if rv := b.reviews[name]; rv != nil && rv.Record != "" {
			changed[name] = rv
		}
	}
	return changed, v.Live.Count(), errors.Join(err, damage)
}

func (a *Archive) rebuild(size int64) error {
	_, err := a.buildTo(size, nil)
	return err
}

func (a *Archive) buildTo(size int64, progress func(done, total int)) (int, error) {
	if err := store.MakeFolder(a.dir, store.IndexDir(a.dir)); err != nil {
		return 0, err
	}
	b, err := a.replay(size)
	if err != nil {
		return 0, err
	}
	return a.build(a.dir, b, size, progress)
}

// Reindex builds the index anew and returns how many reviews it has. progress
// may be nil; it is called with how many reviews of all are done.
func (a *Archive) Reindex(progress func(done, total int)) (int, error) {
	l, err := store.TakeLock(a.dir)
	if err != nil {
		return 0, err
	}
	n := 0
	size, err := a.journal.Size()
	if err == nil {
		n, err = a.buildTo(size, progress)
	}
	return n, errors.Join(err, l.Release())
}
