package index

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"syscall"

	"github.com/blevesearch/bleve/v2/index/scorch"
	"github.com/blevesearch/bleve/v2/index/scorch/mergeplan"
	api "github.com/blevesearch/bleve_index_api"

	"saywatt/internal/archive/store"
)

// BuildBatch is how many documents the offline builder holds in memory at once.
const BuildBatch = 40

// Builder is the offline builder of bleve, made when the first document
// comes: it cannot build an empty index.
type Builder struct {
	Path, Prefix string // folder of the generation, and the one for what is made on the way
	b            *scorch.Builder
}

// Add puts a document in.
func (w *Builder) Add(d *Document) (err error) {
	if w.b == nil {
		if w.b, err = scorch.NewBuilder(map[string]any{"path": w.Path, "buildPathPrefix": w.Prefix,
			"batchSize": BuildBatch}); err != nil {
			return err
		}
	}
	return w.b.Index(d)
}

// Close finishes the generation, an empty one where nothing was put in.
func (w *Builder) Close() error {
	if w.b != nil {
		return w.b.Close()
	}
	queue := api.NewAnalysisQueue(1)
	defer queue.Close()
	s, err := openScorch(w.Path, queue)
	if err != nil {
		return err
	}
	return errors.Join(s.Batch(api.NewBatch()), s.Close())
}

// Change takes documents out of a generation that nobody reads yet, and puts
// others in, in the place of those of the same id.
func Change(path string, gone []string, anew []*Document) error {
	batch := api.NewBatch()
	for _, id := range gone {
		batch.Delete(id)
	}
	for _, d := range anew {
		batch.Update(d)
	}
	queue := api.NewAnalysisQueue(1)
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

// openScorch opens a generation: read-only, or, with a queue, to write, which
// only its maker may, who alone knows of it.
func openScorch(path string, queue *api.AnalysisQueue) (*scorch.Scorch, error) {
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

// Describe is an error of the index as one that says what to do.
func Describe(err error) error {
	if err == nil || errors.Is(err, store.ErrIndex) || store.ReadOnly(err) || errors.Is(err, syscall.ENOSPC) {
		return err
	}
	return fmt.Errorf("%w (%v)", store.ErrIndex, err)
}
