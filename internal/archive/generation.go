package archive

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"saywatt/internal/archive/store"
	"slices"
	"strings"
	"syscall"

	"github.com/blevesearch/bleve/v2/index/scorch"
	"github.com/blevesearch/bleve/v2/index/scorch/mergeplan"
	index "github.com/blevesearch/bleve_index_api"
)

// buildBatch is how many documents the offline builder holds in memory at once.
const buildBatch = 40

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
	w := buildWriter{path: m.Dir(base), prefix: store.IndexDir(base)}
	err = a.documents(reviews, func(i int, d *document, damages []*store.Damage) error {
		if progress != nil {
			progress(i+1, len(reviews))
		}
		m.Leave(a.store, damages)
		if d == nil {
			return nil
		}
		indexed++
		return w.add(d)
	})
	if err = errors.Join(err, w.close()); err == nil {
		err = m.Seal(base, nil, &a.checked)
	}
	if err != nil {
		done()
		os.RemoveAll(m.Dir(base))
		return 0, describe(err)
	}
	return indexed, a.unfinished.finish(m.Dir(base), func() error { return m.Publish(base) })
}

// documents makes the documents of reviews, some at a time, and gives them on
// in order with what could not be read; nil for a review of which nothing can.
func (a *Archive) documents(reviews []*Review, f func(int, *document, []*store.Damage) error) error {
	type made struct {
		d       *document
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

// buildWriter is the offline builder of bleve, made when the first document
// comes: it cannot build an empty index.
type buildWriter struct {
	path, prefix string
	b            *scorch.Builder
}

func (w *buildWriter) add(d *document) (err error) {
	if w.b == nil {
		if w.b, err = scorch.NewBuilder(map[string]any{"path": w.path, "buildPathPrefix": w.prefix,
			"batchSize": buildBatch}); err != nil {
			return err
		}
	}
	return w.b.Index(d)
}

func (w *buildWriter) close() error {
	if w.b != nil {
		return w.b.Close()
	}
	queue := index.NewAnalysisQueue(1)
	defer queue.Close()
	s, err := openScorch(w.path, queue)
	if err != nil {
		return err
	}
	return errors.Join(s.Batch(index.NewBatch()), s.Close())
}

// openScorch opens a generation: read-only, or, with a queue, to write, which
// only its maker may, who alone knows of it.
func openScorch(path string, queue *index.AnalysisQueue) (*scorch.Scorch, error) {
	i, err := scorch.NewScorch("",
		map[string]any{"path": path, "read_only": queue == nil, "bolt_timeout": "5s", "numSnapshotsToKeep": 1}, queue)
	if err != nil {
		return nil, err
	}
	if err := i.Open(); err != nil {
		return nil, err
	}
	return i.(*scorch.Scorch), nil
}

// maxSegments is the number of segment files from which small ones are merged
// by the writer; each costs every query a look.
const maxSegments = 12

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
	path := m.Dir(a.dir)
	batch := index.NewBatch()
	var reviews []*Review
	for name, rv := range changed {
		if rv == nil {
			batch.Delete(name)
			continue
		}
		reviews = append(reviews, rv)
	}
	slices.SortFunc(reviews, func(x, y *Review) int { return strings.Compare(x.Name, y.Name) })
	err := a.documents(reviews, func(i int, d *document, damages []*store.Damage) error {
		m.Leave(a.store, damages)
		if d == nil {
			batch.Delete(reviews[i].Name)
			return nil
		}
		batch.Update(d)
		return nil
	})
	if err != nil {
		return err
	}
	queue := index.NewAnalysisQueue(1)
	defer queue.Close()
	s, err := openScorch(path, queue)
	if err != nil {
		return err
	}
	err = s.Batch(batch)
	if err == nil {
		err = mergeSmall(s, path)
	}
	return errors.Join(err, s.Close())
}

// mergeSmall merges small segments where there are many.
func mergeSmall(s *scorch.Scorch, path string) error {
	segments, err := filepath.Glob(filepath.Join(path, "*.zap"))
	if err != nil || len(segments) <= maxSegments {
		return err
	}
	o := mergeplan.DefaultMergePlanOptions
	o.MaxSegmentsPerTier = 3
	return s.ForceMerge(context.Background(), &o)
}

// describe is an error of the index as one that says what to do.
func describe(err error) error {
	if err == nil || errors.Is(err, store.ErrIndex) || store.ReadOnly(err) || errors.Is(err, syscall.ENOSPC) {
		return err
	}
	return fmt.Errorf("%w (%v)", store.ErrIndex, err)
}
