package archive

import (
	"errors"
	"os"
	"slices"
	"strings"

	"saywatt/internal/archive/index"
	"saywatt/internal/archive/store"
)

// build makes a generation of all reviews in the index of a folder, with the
// offline builder. Where that is the folder of the archive, the caller holds
// the lock.
func (a *Archive) build(base string, b *book, log int64, progress func(done, total int)) (indexed int, err error) {
	next, err := store.NextGeneration(base)
	if err != nil {
		return 0, err
	}
	m := &store.Manifest{Version: store.IndexVersion, Generation: next, Log: log, Base: base}
	m.Leave(a.store, b.damages)
	done := a.unfinished.begin(m.Dir(base))
	if err := store.MakeFolder(base, m.Dir(base)); err != nil {
		done()
		return 0, err
	}
	reviews := b.sorted()
	w := index.Builder{Path: m.Dir(base), Prefix: store.IndexDir(base)}
	err = a.documents(reviews, func(i int, d *index.Document, damages []*store.Damage) error {
		if progress != nil {
			progress(i+1, len(reviews))
		}
		m.Leave(a.store, damages)
		if d == nil {
			return nil
		}
		indexed++
		return w.Add(d)
	})
	if err = errors.Join(err, w.Close()); err == nil {
		err = m.Seal(base, nil, &a.checked)
	}
	if err != nil {
		done()
		os.RemoveAll(m.Dir(base))
		return 0, index.Describe(err)
	}
	return indexed, a.unfinished.finish(m.Dir(base), func() error { return m.Publish(base) })
}

// documents makes the documents of reviews, some at a time, and gives them on
// in order with what could not be read; nil for a review of which nothing can.
func (a *Archive) documents(reviews []*Review, f func(int, *index.Document, []*store.Damage) error) error {
	type made struct {
		d       *index.Document
		damages []*store.Damage
	}
	return ordered(len(reviews), func(i int) (m made) {
		rv := *reviews[i]
		r, damages := a.loadFacts(&rv)
		m.damages = damages
		if r != nil {
			rv.about(r)
			m.d = newDocument(&rv, r)
		}
		return m
	}, func(i int, m made) error { return f(i, m.d, m.damages) })
}

// extend makes a generation of the current one and changed reviews; nil stands
// for one that was removed. The caller holds the lock.
func (a *Archive) extend(before *store.Manifest, changed map[string]*Review, log int64) error {
	next, err := store.NextGeneration(a.dir)
	if err != nil {
		return err
	}
	m := &store.Manifest{Version: store.IndexVersion, Generation: next, Log: log, Base: a.dir}
	for _, l := range before.Left {
		if _, anew := changed[l.Review]; !anew {
			m.Left = append(m.Left, l)
		}
	}
	done := a.unfinished.begin(m.Dir(a.dir))
	if err = store.LinkAll(a.dir, before.Dir(a.dir), m.Dir(a.dir)); err == nil {
		err = a.apply(m, changed)
	}
	if err == nil {
		err = m.Seal(a.dir, before, &a.checked)
	}
	if err != nil {
		done()
		os.RemoveAll(m.Dir(a.dir))
		return err
	}
	return a.unfinished.finish(m.Dir(a.dir), func() error { return m.Publish(a.dir) })
}

// apply writes changed reviews into a generation that nobody reads yet.
func (a *Archive) apply(m *store.Manifest, changed map[string]*Review) error {
	var gone []string
	var reviews []*Review
	for name, rv := range changed {
		if rv == nil {
			gone = append(gone, name)
			continue
		}
		reviews = append(reviews, rv)
	}
	slices.SortFunc(reviews, func(x, y *Review) int { return strings.Compare(x.Name, y.Name) })
	var anew []*index.Document
	err := a.documents(reviews, func(i int, d *index.Document, damages []*store.Damage) error {
		m.Leave(a.store, damages)
		if d == nil {
			gone = append(gone, reviews[i].Name)
			return nil
		}
		anew = append(anew, d)
		return nil
	})
	if err != nil {
		return err
	}
	return index.Change(m.Dir(a.dir), gone, anew)
}
