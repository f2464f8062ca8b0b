// Package watch reports captions that come into a folder. In goes the folder;
// out come the names of files in it and below it, each when it has not been
// written to for a while, so that nothing half copied is read. What is there at
// the start comes first, in the order of names. Which files are captions is
// for package intake to say. It alone imports the library for file events.
package watch

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/fsnotify/fsnotify"

	"saywatt/internal/intake"
)

// Options steer a watch. The zero value works.
type Options struct {
	// Settle is how long a file must not be written to before it is handed on;
	// 0 means defaultSettle.
	Settle time.Duration
	// Once ends the watch when what is there was handed on.
	Once bool
	// Without are folders that are not looked into, such as the one written to.
	Without []string
}

// defaultSettle is long enough for a file that is copied over a network.
const defaultSettle = time.Second

// Folder watches a folder until the context ends, and hands on each file that
// came or changed, from one goroutine. A file that goes away before it is
// handed on is forgotten. An error of do ends the watch and is returned; the
// end of the context is no error.
func Folder(ctx context.Context, dir string, o Options, do func(name string) error) error {
	events, err := fsnotify.NewWatcher()
	if err != nil {
		return fmt.Errorf("watching %s: %w", dir, err)
	}
	defer events.Close()
	if o.Settle <= 0 {
		o.Settle = defaultSettle
	}
	w := watcher{dir: dir, options: o, events: events, waiting: map[string]seen{}}
	if err := w.enter(dir); err != nil {
		return err
	}
	if o.Once {
		return w.all(ctx, do)
	}
	return w.run(ctx, do)
}

// seen is how a file was last seen.
type seen struct {
	at   time.Time // since when it was like this
	size int64
	mod  time.Time
}

type watcher struct {
	dir     string
	options Options
	events  *fsnotify.Watcher
	waiting map[string]seen // files not yet handed on
}

// enter watches a folder and those below it, and takes note of their files.
func (w *watcher) enter(dir string) error {
	folders, err := intake.Below(dir)
	if err != nil {
		return err
	}
	for _, folder := range folders {
		if w.left(folder) {
			continue
		}
		if err := w.events.Add(folder); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("watching %s: %w", folder, err)
		}
	}
	files, err := intake.Files([]string{dir})
	if errors.Is(err, intake.ErrNothing) {
		return nil
	}
	for _, f := range files {
		w.note(f.Name)
	}
	return err
}

// left reports whether a folder is one that is not looked into, or below it.
func (w *watcher) left(dir string) bool {
	return slices.ContainsFunc(w.options.Without, func(without string) bool {
		way, err := filepath.Rel(without, dir)
		return err == nil && filepath.IsLocal(way)
	})
}

// note looks at a file, which waits from now on until it is handed on.
func (w *watcher) note(name string) {
	info, err := os.Stat(name)
	taken := intake.Taken(filepath.Base(name)) != intake.No && !w.left(filepath.Dir(name))
	if err != nil || !info.Mode().IsRegular() || !taken {
		delete(w.waiting, name)
		return
	}
	now := seen{time.Now(), info.Size(), info.ModTime()}
	if was, ok := w.waiting[name]; ok && was.size == now.size && was.mod.Equal(now.mod) {
		return
	}
	w.waiting[name] = now
}

// names are the files that wait, in order.
func (w *watcher) names() []string {
	var all []string
	for name := range w.waiting {
		all = append(all, name)
	}
	slices.SortFunc(all, cmp.Compare[string])
	return all
}

// all hands on everything that waits, as it is.
func (w *watcher) all(ctx context.Context, do func(string) error) error {
	for _, name := range w.names() {
		if ctx.Err() != nil {
			return nil
		}
		if err := do(name); err != nil {
			return err
		}
	}
	return nil
}

// settled hands on what was left alone for long enough.
func (w *watcher) settled(ctx context.Context, do func(string) error) error {
	for _, name := range w.names() {
		w.note(name)
		s, ok := w.waiting[name]
		if !ok || time.Since(s.at) < w.options.Settle || ctx.Err() != nil {
			continue
		}
		delete(w.waiting, name)
		if err := do(name); err != nil {
			return err
		}
	}
	return nil
}

// run waits for events, and for files to settle.
func (w *watcher) run(ctx context.Context, do func(string) error) error {
	tick := time.NewTicker(w.options.Settle / 2)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case err, ok := <-w.events.Errors:
			if !ok {
				return nil
			}
			if !errors.Is(err, fsnotify.ErrEventOverflow) {
				return fmt.Errorf("watching %s: %w", w.dir, err)
			}
			if err := w.enter(w.dir); err != nil { // some were missed
				return err
			}
		case e, ok := <-w.events.Events:
			if !ok {
				return nil
			}
			if err := w.event(e); err != nil {
				return err
			}
		case <-tick.C:
			if err := w.settled(ctx, do); err != nil {
				return err
			}
		}
	}
}

// event takes note of what happened to a file or folder.
func (w *watcher) event(e fsnotify.Event) error {
	if !e.Has(fsnotify.Create) && !e.Has(fsnotify.Write) {
		return nil
	}
	if info, err := os.Stat(e.Name); err == nil && info.IsDir() {
		if e.Has(fsnotify.Create) && !strings.HasPrefix(filepath.Base(e.Name), ".") {
			return w.enter(e.Name)
		}
		return nil
	}
	w.note(e.Name)
	return nil
}
