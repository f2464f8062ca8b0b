package desk

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"

	"saywatt/extract/transcript"
	"saywatt/internal/intake"
)

// Bounds on what is added at a time.
const (
	maxFiles   = 5000
	jobsKept   = 20
	itemsShown = 200
)

var errStopped = errors.New("stopped before it was read")

// jobs are the batches of files being read, and some that were.
type jobs struct {
	mu   sync.Mutex
	all  []*job
	last int
	wait sync.WaitGroup
}

func newJobs() *jobs { return &jobs{} }

// A job reads files one after another, so that pages stay quick meanwhile.
type job struct {
	id     int
	cancel context.CancelFunc

	mu      sync.Mutex
	items   []jobItem
	done    int
	failed  int
	stopped bool
	ended   bool
	news    map[chan struct{}]bool
}

// A jobItem is one file of a job.
type jobItem struct {
	name   string
	path   string // on this machine, "" where it was sent
	open   func() (io.ReadCloser, error)
	state  itemState
	review string // its id, where it is open
	as     string // the name of the review that it is one with, where that was open
	err    string
}

// itemState says how far a file is.
type itemState string

const (
	itemWaits   itemState = "waits"
	itemReading itemState = "being read"
	itemDone    itemState = "read"
	itemFailed  itemState = "not read"
	itemStopped itemState = "stopped"
)

// start runs a job on files.
func (j *jobs) start(d *Desk, items []jobItem) *job {
	ctx, cancel := context.WithCancel(context.Background())
	j.mu.Lock()
	j.last++
	b := &job{id: j.last, cancel: cancel, items: items, news: map[chan struct{}]bool{}}
	for i := range b.items {
		b.items[i].state = itemWaits
	}
	j.all = append(j.all, b)
	if len(j.all) > jobsKept {
		j.all = slices.DeleteFunc(j.all, func(o *job) bool { return o.over() && o.id <= j.last-jobsKept })
	}
	j.mu.Unlock()
	j.wait.Add(1)
	go func() {
		defer j.wait.Done()
		defer cancel()
		b.run(ctx, d)
	}()
	return b
}

func (j *jobs) find(id string) *job {
	n, err := strconv.Atoi(id)
	if err != nil {
		return nil
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	for _, b := range j.all {
		if b.id == n {
			return b
		}
	}
	return nil
}

// stopAll ends every job and waits for the file that is being read.
func (j *jobs) stopAll() {
	j.mu.Lock()
	for _, b := range j.all {
		b.cancel()
	}
	j.mu.Unlock()
	j.wait.Wait()
}

func (b *job) over() bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.ended
}

func (b *job) run(ctx context.Context, d *Desk) {
	for i := range b.items {
		if ctx.Err() != nil {
			break
		}
		b.set(i, itemReading, "", nil)
		id, as, err := b.read(ctx, d, i)
		switch {
		case err != nil && ctx.Err() != nil:
			b.set(i, itemStopped, "", errStopped)
		case err != nil:
			b.set(i, itemFailed, "", err)
		default:
			b.oneWith(i, as)
			b.set(i, itemDone, id, nil)
		}
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.ended = true
	for i := range b.items {
		b.items[i].open = nil // lets go of what was uploaded
		if b.items[i].state == itemWaits {
			b.items[i].state, b.stopped = itemStopped, true
		}
	}
	b.wake()
}

func (b *job) read(ctx context.Context, d *Desk, i int) (id, as string, err error) {
	f, err := b.items[i].open()
	if err != nil {
		return "", "", err
	}
	defer f.Close()
	return d.open(ctx, b.items[i].name, b.items[i].path, f)
}

func (b *job) set(i int, s itemState, review string, err error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.items[i].state, b.items[i].review = s, review
	if err != nil {
		b.items[i].err = clip(err.Error(), 300)
	}
	switch s {
	case itemDone:
		b.done++
	case itemFailed:
		b.failed++
	case itemStopped:
		b.stopped = true
	}
	b.wake()
}

// oneWith notes that a file is a review that was open, by its name.
func (b *job) oneWith(i int, as string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.items[i].as = as
}

// wake wakes who watches; mu is held.
func (b *job) wake() {
	for c := range b.news {
		select {
		case c <- struct{}{}:
		default:
		}
	}
}

func (b *job) watch() (news <-chan struct{}, stop func()) {
	c := make(chan struct{}, 1)
	b.mu.Lock()
	defer b.mu.Unlock()
	b.news[c] = true
	return c, func() {
		b.mu.Lock()
		defer b.mu.Unlock()
		delete(b.news, c)
	}
}

// A jobView is a job as it stands.
type jobView struct {
	ID      int        `json:"id"`
	Total   int        `json:"total"`
	Done    int        `json:"done"`
	Failed  int        `json:"failed"`
	Ended   bool       `json:"ended"`
	Stopped bool       `json:"stopped"`
	Now     string     `json:"now"` // the file being read
	Items   []itemView `json:"items"`
	More    int        `json:"more"` // files not shown
	Words   string     `json:"words"`
}

type itemView struct {
	Name  string `json:"name"`
	State string `json:"state"`
	Err   string `json:"error,omitempty"`
	Link  string `json:"link,omitempty"`
}

// view shows the job: those files that failed or are at work first to be
// seen, in the order given.
func (b *job) view() jobView {
	b.mu.Lock()
	defer b.mu.Unlock()
	v := jobView{ID: b.id, Total: len(b.items), Done: b.done, Failed: b.failed, Ended: b.ended, Stopped: b.stopped}
	for i := range b.items {
		it := &b.items[i]
		if it.state == itemReading {
			v.Now = clip(filepath.Base(it.name), 80)
		}
		if len(v.Items) == itemsShown {
			v.More++
			continue
		}
		w := itemView{Name: clip(filepath.Base(it.name), 80), State: string(it.state), Err: it.err}
		if it.review != "" {
			w.Link = "/r/" + it.review
		}
		if it.as != "" {
			w.State += "; these captions were read before, as " + clip(it.as, 80)
		}
		v.Items = append(v.Items, w)
	}
	v.Words = fmt.Sprintf("%d of %d read", v.Done, v.Total)
	if v.Failed > 0 {
		v.Words += fmt.Sprintf(", %d could not be", v.Failed)
	}
	switch {
	case v.Stopped && v.Ended:
		v.Words += "; stopped"
	case v.Ended:
		v.Words += "; finished"
	}
	return v
}

// filesAt lists the files of a path: itself, or those of a folder that look like
// captions, as the command line finds them.
func (d *Desk) filesAt(path string) ([]jobItem, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, pathError(path, err)
	}
	names := []string{path}
	if info.IsDir() {
		found, err := intake.Files(names)
		if err != nil {
			return nil, err
		}
		names = names[:0]
		for _, f := range found {
			if !f.Maybe { // of other files of the folder somebody names those that are captions
				names = append(names, f.Name)
			}
		}
		if len(names) == 0 {
			return nil, fmt.Errorf("%s: %w; name a file of it", path, intake.ErrNothing)
		}
	}
	if len(names) > maxFiles {
		return nil, fmt.Errorf("%d files are more than the %d that are read at a time", len(names), maxFiles)
	}
	var items []jobItem
	for _, name := range names {
		items = append(items, jobItem{name: name, path: name,
			open: func() (io.ReadCloser, error) { return d.openPath(name) }})
	}
	return items, nil
}

// pathError says of a path why it cannot be read, without the call that failed.
func pathError(path string, err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s: there is no such file or folder", path)
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("%s: you have no right to read it", path)
	}
	if of, ok := errors.AsType[*fs.PathError](err); ok {
		err = of.Err
	}
	return fmt.Errorf("%s: %w", path, err)
}

// openPath opens a file to read captions from.
func (d *Desk) openPath(name string) (io.ReadCloser, error) {
	f, info, err := regular(name)
	if err != nil {
		return nil, pathError(name, err)
	}
	if info.Size() > d.config.MaxBytes {
		f.Close()
		return nil, &fs.PathError{Op: "read", Path: name, Err: transcript.ErrTooBig}
	}
	return f, nil
}
