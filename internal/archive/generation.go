package archive

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"

	"github.com/blevesearch/bleve/v2/index/scorch"
	"github.com/blevesearch/bleve/v2/index/scorch/mergeplan"
	index "github.com/blevesearch/bleve_index_api"
)

// indexVersion changes with what the index holds or how it is spelled.
const (
	indexVersion = indexFamily + "10"
	indexFamily  = "saywatt/index/"
)

// manifest is index/current.json: which generation holds, what it was made
// from, and its files.
type manifest struct {
	Version    string    `json:"version"`
	Generation int       `json:"generation"`
	Log        int64     `json:"log"` // bytes of decisions.jsonl it was made from
	Files      []fileSum `json:"files"`
	Left       []leftOut `json:"left,omitempty"` // reviews whose records could not be read

	base string // folder that it lies in: that of the archive, or one aside
}

type fileSum struct {
	Name string `json:"name"`
	Size int64  `json:"size"`
	CRC  uint32 `json:"crc32c"`
}

// errIndex is the cause of an index that cannot be used.
var errIndex = errors.New("the index of the archive is damaged")

// checkedSize bounds the bytes of an index whose checksums are taken whenever
// it is opened; of a larger one only the sizes are.
const checkedSize = 128 << 20

func indexDir(dir string) string { return filepath.Join(dir, "index") }

func (m *manifest) dir(base string) string {
	return filepath.Join(indexDir(base), strconv.Itoa(m.Generation))
}

// errOldIndex is the cause of an index that another version of the program made.
var errOldIndex = errors.New("the index is of another version")

// readManifest reads the manifest of the index in a folder.
func readManifest(base string) (*manifest, error) {
	b, err := os.ReadFile(filepath.Join(indexDir(base), "current.json"))
	if err != nil {
		return nil, err
	}
	m := &manifest{base: base}
	if err := json.Unmarshal(b, m); err != nil {
		return nil, fmt.Errorf("%w: current.json is damaged: %v", errIndex, err)
	}
	if !strings.HasPrefix(m.Version, indexFamily) {
		return nil, fmt.Errorf("%w: current.json is not of an index", errIndex)
	}
	if m.Version != indexVersion {
		return nil, fmt.Errorf("%w: %q, want %q", errOldIndex, m.Version, indexVersion)
	}
	return m, nil
}

// checked are the files that this process has read or written whole: segments
// never change, so once is enough.
type checked struct{ files sync.Map }

func (c *checked) has(dir string, f fileSum) bool {
	_, ok := c.files.Load(checkedFile{dir, f})
	return ok
}

func (c *checked) add(dir string, f fileSum) {
	if strings.HasSuffix(f.Name, ".zap") {
		c.files.Store(checkedFile{dir, f}, true)
	}
}

// checkedFile is a segment in any generation of one archive.
type checkedFile struct {
	archive string
	fileSum
}

// check holds the files against the manifest.
func (m *manifest) check(archive string, seen *checked) error {
	total := int64(0)
	for _, f := range m.Files {
		total += f.Size
	}
	for _, f := range m.Files {
		if f.Name != filepath.Base(f.Name) {
			return fmt.Errorf("%w: file %q", errIndex, f.Name)
		}
		path := filepath.Join(m.dir(archive), f.Name)
		info, err := os.Stat(path)
		if err != nil {
			return fmt.Errorf("%w: %v", errIndex, err)
		}
		if info.Size() != f.Size {
			return fmt.Errorf("%w: %s has %d bytes, want %d", errIndex, f.Name, info.Size(), f.Size)
		}
		if total > checkedSize || seen.has(archive, f) {
			continue
		}
		if crc, err := sumFile(path); err != nil || crc != f.CRC {
			return fmt.Errorf("%w: %s: the checksum differs", errIndex, f.Name)
		}
		seen.add(archive, f)
	}
	return nil
}

// present reports a file that is no longer there.
func (m *manifest) present(archive string) error {
	for _, f := range m.Files {
		if _, err := os.Stat(filepath.Join(m.dir(archive), f.Name)); err != nil {
			return fmt.Errorf("%w: %v", errIndex, err)
		}
	}
	return nil
}

func sumFile(path string) (uint32, error) {
	f, err := os.Open(path)
	if err != nil {
		return 0, err
	}
	defer f.Close()
	h := crc32.New(castagnoli)
	_, err = io.Copy(h, f)
	return h.Sum32(), err
}

// seal lists the files of a finished generation. Sums of files that the one
// before had under the same name and size are taken over: segments are never
// changed, only added and dropped.
func (m *manifest) seal(archive string, before *manifest, seen *checked) error {
	entries, err := os.ReadDir(m.dir(archive))
	if err != nil {
		return err
	}
	m.Files = nil
	for _, e := range entries {
		info, err := e.Info()
		if err != nil {
			return err
		}
		f := fileSum{Name: e.Name(), Size: info.Size()}
		known := false
		if before != nil && strings.HasSuffix(f.Name, ".zap") {
			for _, old := range before.Files {
				if old.Name == f.Name && old.Size == f.Size {
					f.CRC, known = old.CRC, true
				}
			}
		}
		if !known {
			if f.CRC, err = sumFile(filepath.Join(m.dir(archive), f.Name)); err != nil {
				return err
			}
			seen.add(archive, f)
		}
		if err := share(archive, filepath.Join(m.dir(archive), f.Name)); err != nil {
			return err
		}
		m.Files = append(m.Files, f)
	}
	return nil
}

// publish makes the generation the current one and removes the others. A
// process that still reads one keeps its files, under whatever name.
func (m *manifest) publish(archive string) error {
	b, err := json.Marshal(m)
	if err != nil {
		return err
	}
	if err := writeSynced(archive, filepath.Join(indexDir(archive), "current.json"), append(b, '\n')); err != nil {
		return err
	}
	entries, err := os.ReadDir(indexDir(archive))
	if err != nil {
		return err
	}
	for _, e := range entries {
		if e.IsDir() && e.Name() != strconv.Itoa(m.Generation) {
			os.RemoveAll(filepath.Join(indexDir(archive), e.Name())) // rubbish, if it stays
		}
	}
	return nil
}

// nextGeneration is a number that no generation has.
func nextGeneration(archive string) (int, error) {
	entries, err := os.ReadDir(indexDir(archive))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return 0, err
	}
	next := 1
	for _, e := range entries {
		if n, err := strconv.Atoi(e.Name()); err == nil {
			next = max(next, n+1)
		}
	}
	return next, nil
}

// buildBatch is how many documents the offline builder holds in memory at once.
const buildBatch = 40

// build makes a generation of all reviews in the index of a folder, with the
// offline builder. Where that is the folder of the archive, the caller holds
// the lock.
func (a *Archive) build(base string, b *book, log int64, progress func(done, total int)) (indexed int, err error) {
	next, err := nextGeneration(base)
	if err != nil {
		return 0, err
	}
	m := &manifest{Version: indexVersion, Generation: next, Log: log, base: base}
	m.leave(a, b.damages)
	done := a.unfinished.begin(m.dir(base))
	if err := makeFolder(base, m.dir(base)); err != nil {
		done()
		return 0, err
	}
	reviews := b.sorted()
	w := buildWriter{path: m.dir(base), prefix: indexDir(base)}
	err = a.documents(reviews, func(i int, d *document, damages []*Damage) error {
		if progress != nil {
			progress(i+1, len(reviews))
		}
		m.leave(a, damages)
		if d == nil {
			return nil
		}
		indexed++
		return w.add(d)
	})
	if err = errors.Join(err, w.close()); err == nil {
		err = m.seal(base, nil, &a.checked)
	}
	if err != nil {
		done()
		os.RemoveAll(m.dir(base))
		return 0, describe(err)
	}
	return indexed, a.unfinished.finish(m.dir(base), func() error { return m.publish(base) })
}

// documents makes the documents of reviews, some at a time, and gives them on
// in order with what could not be read; nil for a review of which nothing can.
func (a *Archive) documents(reviews []*Review, f func(int, *document, []*Damage) error) error {
	type made struct {
		d       *document
		damages []*Damage
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
func (a *Archive) extend(before *manifest, changed map[string]*Review, log int64) error {
	next, err := nextGeneration(a.dir)
	if err != nil {
		return err
	}
	m := &manifest{Version: indexVersion, Generation: next, Log: log, base: a.dir}
	for _, l := range before.Left {
		if _, anew := changed[l.Review]; !anew {
			m.Left = append(m.Left, l)
		}
	}
	done := a.unfinished.begin(m.dir(a.dir))
	if err = linkAll(a.dir, before.dir(a.dir), m.dir(a.dir)); err == nil {
		err = a.apply(m, changed)
	}
	if err == nil {
		err = m.seal(a.dir, before, &a.checked)
	}
	if err != nil {
		done()
		os.RemoveAll(m.dir(a.dir))
		return err
	}
	return a.unfinished.finish(m.dir(a.dir), func() error { return m.publish(a.dir) })
}

// apply writes changed reviews into a generation that nobody reads yet.
func (a *Archive) apply(m *manifest, changed map[string]*Review) error {
	path := m.dir(a.dir)
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
	err := a.documents(reviews, func(i int, d *document, damages []*Damage) error {
		m.leave(a, damages)
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

// linkAll gives the files of one folder to another: segments by link, since
// they never change, the rest as copies.
func linkAll(archive, from, to string) error {
	entries, err := os.ReadDir(from)
	if err != nil {
		return err
	}
	if err := makeFolder(archive, to); err != nil {
		return err
	}
	for _, e := range entries {
		src, dst := filepath.Join(from, e.Name()), filepath.Join(to, e.Name())
		if strings.HasSuffix(e.Name(), ".zap") && os.Link(src, dst) == nil {
			continue
		}
		b, err := os.ReadFile(src)
		if err != nil {
			return err
		}
		if err := os.WriteFile(dst, b, 0o600); err != nil {
			return err
		}
	}
	return nil
}

// describe is an error of the index as one that says what to do.
func describe(err error) error {
	if err == nil || errors.Is(err, errIndex) || readOnly(err) || errors.Is(err, syscall.ENOSPC) {
		return err
	}
	return fmt.Errorf("%w (%v)", errIndex, err)
}
