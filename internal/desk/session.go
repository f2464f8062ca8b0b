package desk

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"saywatt/extract/transcript"
	"saywatt/internal/archive"
	"saywatt/internal/export/naming"
	"saywatt/internal/pipeline"
	"saywatt/schema"
)

// maxOpen bounds how many reviews have what was read of them in memory. Of
// others there are the captions, which are read anew when they are asked for.
const maxOpen = 64

// Open opens captions given by their name and content, and puts them into the
// archive, where there is one. It returns the id of the review, "" where so many
// are open already that it is in the archive only. Captions that are open keep
// their review.
func (d *Desk) Open(ctx context.Context, name string, source io.Reader) (string, error) {
	id, _, err := d.open(ctx, name, "", source)
	return id, err
}

// OpenFile is Open for captions whose name is the path of a file: decisions on
// them can be kept beside it. A file with the bytes of another is a review of its
// own where its decisions are kept apart; as is the name of the review that it is
// one with, "" where it is another.
func (d *Desk) OpenFile(ctx context.Context, path string, source io.Reader) (id, as string, err error) {
	return d.open(ctx, path, path, source)
}

func (d *Desk) open(ctx context.Context, name, path string, source io.Reader) (id, as string, err error) {
	t, err := pipeline.ReadFrom(source, name, d.config.MaxBytes)
	if err != nil {
		return "", "", err
	}
	t.Call(naming.ShownPath(name)) // records go to others
	full := d.config.Archive != nil && len(d.all()) >= maxOpen
	r := &review{name: name, path: path, transcript: t, reader: pipeline.NewReader(t, d.config.Glossary),
		options: d.options()}
	if err := d.archiveOf(ctx, r); err != nil {
		return "", "", fmt.Errorf("%s: %w", name, err)
	}
	for _, o := range d.all() {
		if r.sameAs(o) {
			return o.id, o.name, nil
		}
	}
	if id, as := d.reopened(r); id != "" {
		return id, as, nil
	}
	if full { // it is found in the archive
		return "", "", nil
	}
	id, err = d.take(r)
	return id, "", err
}

func (d *Desk) options() readOptions {
	return readOptions{d.config.Threshold, d.config.Learned, d.patience, d.config.Gate}
}

// archiveOf gives a review its log, and puts what captions alone say into the
// archive where it is not there yet.
func (d *Desk) archiveOf(ctx context.Context, r *review) error {
	a := d.config.Archive
	if a == nil {
		r.log = &fileLog{path: d.logPath(r)}
		return nil
	}
	r.archive = a
	all, _, err := a.Reviews()
	if err != nil {
		return err
	}
	known := false
	for _, rv := range all {
		if rv.Source() == r.transcript.Hash {
			r.archived, known = rv.Name, true
		}
	}
	if !known {
		rec, err := d.run(r.transcript)
		if err != nil {
			return err
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		if r.archived, err = d.addNew(r, rec); err != nil {
			return err
		}
	}
	r.log = &archiveLog{a, r.archived, r.transcript.Hash}
	return nil
}

func (d *Desk) run(t *transcript.Transcript) (*schema.Record, error) {
	return pipeline.Run(t, pipeline.Options{Threshold: d.config.Threshold, Glossary: d.config.Glossary,
		Learned: d.config.Learned, Gate: d.config.Gate})
}

// addNew puts a record of captions into the archive. Where it is not certain
// whose review it is, it becomes one of its own: nothing is mixed up, and two
// that are one can be merged.
func (d *Desk) addNew(r *review, rec *schema.Record) (string, error) {
	p := archive.Addition{Record: rec, Who: d.config.Who, When: d.config.Now()}
	if r.path != "" {
		p.Path = d.config.Archive.PathFrom(r.path)
	}
	if naming.ReviewName(&rec.Source) == "" && rec.Product.Name == "" {
		p.ID = unnamed
	}
	w, err := begin(d.config.Archive)
	if err != nil {
		return "", err
	}
	added, err := w.Put(p)
	if doubt := (*archive.DoubtError)(nil); errors.As(err, &doubt) {
		p.ID = doubt.New
		added, err = w.Put(p)
	}
	return added.Review, closeWriter(w, err)
}

// unnamed is what a review is called that has neither a file nor a product.
const unnamed = "review"

// version puts a record into the archive as the next version of a review.
func (d *Desk) version(name string, r *schema.Record, who string) error {
	w, err := begin(d.config.Archive)
	if err != nil {
		return err
	}
	_, err = w.Put(archive.Addition{Record: r, ID: name, Path: w.PathOf(name), Who: who, When: d.config.Now(),
		Replace: true})
	return closeWriter(w, err)
}

// openArchived opens a review of the archive. Without its captions nothing can
// be read anew, but decisions are kept all the same. They are looked for in the
// folders named at start, if what is there is what was read.
func (d *Desk) openArchived(name string) (*review, error) {
	a := d.config.Archive
	rv, rec, _, err := a.Record(name)
	if err != nil {
		return nil, err
	}
	for _, r := range d.all() {
		if r.archived == rv.Name {
			return r, nil
		}
	}
	r := &review{name: rec.Source.File, archive: a, archived: rv.Name, options: d.options(),
		log: &archiveLog{a, rv.Name, rec.Source.SHA256}}
	if r.transcript = d.captionsOf(rec); r.transcript != nil {
		r.reader = pipeline.NewReader(r.transcript, d.config.Glossary)
	}
	if len(d.all()) >= maxOpen {
		d.forget()
	}
	id, err := d.take(r)
	if err != nil {
		return nil, err
	}
	return d.find(id), nil
}

// captionsOf finds the captions that a record was made of, nil where they are
// not there any more or have changed.
func (d *Desk) captionsOf(rec *schema.Record) *transcript.Transcript {
	for _, folder := range d.config.Captions {
		if t := d.captionsIn(folder, rec); t != nil {
			return t
		}
	}
	return nil
}

// captionsIn looks in one folder. Links that lead out of it are not followed.
func (d *Desk) captionsIn(folder string, rec *schema.Record) *transcript.Transcript {
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil
	}
	defer root.Close()
	name := filepath.Base(rec.Source.File)
	info, err := root.Stat(name)
	if err != nil || !info.Mode().IsRegular() || info.Size() > d.config.MaxBytes {
		return nil
	}
	f, err := root.Open(name)
	if err != nil {
		return nil
	}
	defer f.Close()
	t, err := pipeline.ReadFrom(f, rec.Source.File, d.config.MaxBytes)
	if err != nil || t.Hash != rec.Source.SHA256 {
		return nil
	}
	return t
}

// parkOld lets go of what was read of reviews that nobody looked at for
// longest.
func (d *Desk) parkOld() {
	var full []*review
	for _, r := range d.all() {
		if r.state() != nil {
			full = append(full, r)
		}
	}
	slices.SortStableFunc(full, func(a, b *review) int { return a.summary().used.Compare(b.summary().used) })
	for _, r := range full[:max(0, len(full)-maxOpen)] {
		r.park()
	}
}

// sameAs reports whether a review that is to be opened is one that is: of the same
// bytes, and with the same place for what is decided. Files of one content in two
// folders have a place each. What was sent has no folder, and is what is open
// already.
func (r *review) sameAs(open *review) bool {
	switch {
	case open.transcript == nil || open.transcript.Hash != r.transcript.Hash:
		return false
	case r.archive != nil:
		return open.archived == r.archived
	case r.path == "":
		return true
	case open.path == "":
		return false
	}
	kept, keptThere := r.log.(*fileLog), open.log.(*fileLog)
	return whole(r.path) == whole(open.path) || kept.path != "" && whole(kept.path) == whole(keptThere.path)
}

// whole is the path of a file from the root, whatever links its folder is reached
// by.
func whole(path string) string {
	dir, err := filepath.Abs(filepath.Dir(path))
	if err != nil {
		return path
	}
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		dir = real
	}
	return filepath.Join(dir, filepath.Base(path))
}

// forget closes the review opened first of those that can be opened again as
// they are: the archive has them, and captions that are at hand can be found.
func (d *Desk) forget() {
	for _, r := range d.all() {
		if r.archived == "" || r.media != nil || r.state() == nil ||
			r.transcript != nil && d.captionsOf(r.state().record) == nil {
			continue
		}
		d.mu.Lock()
		d.reviews = slices.DeleteFunc(d.reviews, func(o *review) bool { return o == r })
		d.mu.Unlock()
		return
	}
}

// take reads a review for the first time and has it among those that are open.
func (d *Desk) take(r *review) (string, error) {
	if _, err := r.refresh(); err != nil && !errors.Is(err, errBeingRead) {
		return "", err
	}
	defer d.parkOld()
	d.mu.Lock()
	defer d.mu.Unlock()
	base := archive.Name(r.name)
	if r.archived != "" {
		base = r.archived
	}
	base = addressable(base)
	r.id = base
	for n := 2; ; n++ {
		taken := false
		for _, o := range d.reviews {
			taken = taken || o.id == r.id
		}
		if !taken {
			break
		}
		r.id = base + "-" + strconv.Itoa(n)
	}
	r.media = d.mediaFor(r)
	r.changed = d.news.wake
	r.touch(d.config.Now())
	d.reviews = append(d.reviews, r)
	return r.id, nil
}

// addressable makes an id that needs no escaping in an address.
func addressable(s string) string {
	id := strings.Map(func(c rune) rune {
		switch {
		case c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-':
			return c
		}
		return '-'
	}, s)
	if id = strings.Trim(id, "-"); id == "" {
		return "review"
	}
	return id[:min(len(id), 80)]
}

// keep puts the record of a review, as its decisions have it, into the archive
// as a new version. It does nothing where it is there already, or where nothing
// was read anew.
func (d *Desk) keep(r *review, who string) error {
	if r.archive == nil || r.transcript == nil {
		return nil
	}
	s, err := r.readWhole(context.Background())
	if err != nil || s.version() == 0 {
		return err
	}
	return d.version(r.archived, s.record, who)
}
