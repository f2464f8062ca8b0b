package work

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"saywatt/internal/archive"
	"saywatt/internal/export/feed"
	"saywatt/schema"
)

// Shards are archives that share the reviews of a job by the hash of its name. Each is the
// folder of a whole archive, and moves by being copied.
type Shards struct {
	Dir   string // shard n of several is Dir/shard-NNN; one alone is Dir itself
	Count int
	Only  []int // shards that are kept here; nil all
	Who   string
	// Every is how often the index is brought up to date while results come;
	// 0 means at the end only.
	Every time.Duration

	// Seen is called with every record that is put in; nil for nobody.
	Seen func(*schema.Record)

	Added, Same int // records put in, and those that were there

	all []*shard
}

type shard struct {
	dir     string
	archive *archive.Archive
	writer  *archive.Writer
	mark    mark
	indexed time.Time
}

// mark is gathered.json in a shard's folder: what is in the shard. It is
// written when the records are safe, so that at worst some are put in twice,
// which makes one.
type mark struct {
	Shard  int       `json:"shard"`
	Shards int       `json:"shards"`
	Job    string    `json:"job"`
	Stream time.Time `json:"stream"` // when the results stream was made
	Seq    uint64    `json:"seq"`    // up to which everything is in
}

const markName = "gathered.json"

// errShards says that a folder holds another share of the reviews.
var errShards = errors.New("the shard holds other reviews")

// Archives gathers records into shards. Each is added as a version of its
// review, once, whatever was gathered before.
func (g *Gatherer) Archives(ctx context.Context, to *Shards) (err error) {
	if to.Count < 1 || to.Count > Slots {
		return fmt.Errorf("%d shards: there are from 1 to %d", to.Count, Slots)
	}
	info, err := g.Job.results.Info(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, to.close()) }()
	if err := to.open(g.Job.job, info.Created.UTC()); err != nil {
		return err
	}
	return g.run(ctx, to)
}

// shardDir is the folder of a shard.
func (s *Shards) shardDir(n int) string {
	if s.Count == 1 {
		return s.Dir
	}
	return filepath.Join(s.Dir, fmt.Sprintf("shard-%03d", n))
}

func (s *Shards) kept() []int {
	if s.Only != nil {
		return s.Only
	}
	all := make([]int, s.Count)
	for i := range all {
		all[i] = i
	}
	return all
}

func (s *Shards) open(job string, stream time.Time) error {
	s.all = make([]*shard, s.Count)
	for _, n := range s.kept() {
		if n < 0 || n >= s.Count {
			return fmt.Errorf("shard %d: there are 0 to %d", n, s.Count-1)
		}
		one := &shard{dir: s.shardDir(n), mark: mark{Shard: n, Shards: s.Count, Job: job, Stream: stream}}
		if err := os.MkdirAll(filepath.Dir(one.dir), 0o755); err != nil {
			return err
		}
		old, err := readMark(one.dir)
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return err
		case old.Shard != n || old.Shards != s.Count:
			return fmt.Errorf("%s: %w: it is shard %d of %d, not %d of %d", one.dir, errShards, old.Shard, old.Shards,
				n, s.Count)
		case old.Job == job && old.Stream.Equal(stream):
			one.mark.Seq = old.Seq
		}
		if one.archive, err = archive.Create(one.dir); err != nil {
			return err
		}
		s.all[n] = one
		if one.writer, err = one.archive.Begin(); err != nil {
			return err
		}
		one.indexed = time.Now()
	}
	return nil
}

func readMark(dir string) (mark, error) {
	var m mark
	name := filepath.Join(dir, markName)
	b, err := os.ReadFile(name)
	if err != nil {
		return m, err
	}
	if err := json.Unmarshal(b, &m); err != nil {
		return m, fmt.Errorf("%s: %w", name, err)
	}
	return m, nil
}

func (s *Shards) subjects(n names) []string {
	if s.Only == nil {
		return []string{n.all(kindRecord)}
	}
	var all []string
	for _, shard := range s.kept() {
		from, to := slotsOf(shard, s.Count)
		for slot := from; slot < to; slot++ {
			all = append(all, n.slot(kindRecord, slot))
		}
	}
	return all
}

// from is where the shard that has least goes on.
func (s *Shards) from() uint64 {
	least := ^uint64(0)
	for _, n := range s.kept() {
		least = min(least, s.all[n].mark.Seq)
	}
	return least + 1
}

func (s *Shards) put(r result) error {
	one := s.all[shardOf(r.Review, s.Count)]
	if one == nil || r.Seq <= one.mark.Seq {
		return nil
	}
	record, err := schema.ReadRecord(bytes.NewReader(feed.RecordOf(r.Line)))
	if err != nil {
		return fmt.Errorf("review %s: %w", r.Review, err)
	}
	same, err := add(one.writer, r, record, s.Who)
	if err != nil {
		return fmt.Errorf("review %s: %w", r.Review, err)
	}
	if same {
		s.Same++
	} else {
		s.Added++
	}
	if s.Seen != nil && !same {
		s.Seen(record)
	}
	return nil
}

// add puts a record in under its review's name, whatever product it speaks of:
// the name was made when the captions were sent.
func add(w *archive.Writer, r result, record *schema.Record, who string) (same bool, err error) {
	added, err := w.Add(r.Review, record, who, r.Stored, true)
	return added.Same, err
}

func (s *Shards) commit(upTo uint64) error {
	for _, n := range s.kept() {
		one := s.all[n]
		if upTo <= one.mark.Seq {
			continue
		}
		if err := one.writer.Commit(); err != nil {
			return err
		}
		one.mark.Seq = upTo
		b, err := json.Marshal(one.mark)
		if err != nil {
			return err
		}
		name := filepath.Join(one.dir, markName)
		if err := os.WriteFile(name+".new", append(b, '\n'), 0o644); err != nil {
			return err
		}
		if err := os.Rename(name+".new", name); err != nil {
			return err
		}
		if s.Every > 0 && time.Since(one.indexed) > s.Every {
			if err := one.index(); err != nil {
				return err
			}
		}
	}
	return nil
}

// index brings a shard's index up to date: an archive does so when its writer
// ends.
func (o *shard) index() (err error) {
	err = o.writer.Close()
	o.writer = nil
	if err != nil {
		return err
	}
	o.writer, err = o.archive.Begin()
	o.indexed = time.Now()
	return err
}

func (s *Shards) close() error {
	var all []error
	for _, one := range s.all {
		if one == nil {
			continue
		}
		if one.writer != nil {
			all = append(all, one.writer.Close())
		}
		all = append(all, one.archive.Close())
	}
	return errors.Join(all...)
}
