package desk

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"os"
	"strings"
	"sync"
	"time"

	"saywatt/extract/transcript"
	"saywatt/internal/archive"
	"saywatt/internal/export/account"
	"saywatt/internal/glossary"
	"saywatt/internal/pipeline"
	"saywatt/normalize/channel"
	"saywatt/validate/calc"
)

// Config is what a Desk is made of. The zero value works, for a server on a
// loopback address with nothing open.
type Config struct {
	Archive   *archive.Archive // nil: none
	Decisions string           // file of the log of the first review; "": where the others' are
	// logs are files beside the captions, or in Folder; else, without an archive, in memory
	Keep      bool
	Folder    string           // of the logs of captions that no folder of their own can be written to; "": in memory
	Captions  []string         // folders where captions of the archive's reviews may be looked for
	Media     []string         // files to hear; each belongs to the review of its name, the first else to the first
	Who       string           // who decides, unless the page is given another name
	Hosts     []string         // host names and addresses, without port, that requests may name; none: loopback
	Token     string           // asked for, where not ""
	Local     bool             // files may be opened by their path on this machine
	Threshold float64          // as in pipeline.Options
	Glossary  *glossary.Book   // as in pipeline.Options
	Learned   *channel.Learned // as in pipeline.Options
	MaxBytes  int64            // of one file; 0: transcript.DefaultMaxBytes
	Gate      *pipeline.Gate   // bounds the memory of what is read at once; nil: no bound
	API       http.Handler     // serves /api/, behind the same guard; nil: nothing is there
	Now       func() time.Time // nil: time.Now
	Log       func(error)      // called with errors that no page shows; nil: nobody
}

// A Desk serves the pages. Its methods may be called from several goroutines.
type Desk struct {
	config   Config
	pages    map[string]*template.Template
	media    []*media
	cautions []string
	entry    *entrance
	jobs     *jobs
	patience time.Duration // see readOptions

	mu      sync.RWMutex
	reviews []*review // in the order opened
	closed  []*review // that can be opened again, the last closed last
	news    watchers  // of any review
}

//go:embed templates static
var files embed.FS

// New makes a Desk. Close ends what it started.
func New(c Config) (*Desk, error) {
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Log == nil {
		c.Log = func(error) {}
	}
	if c.MaxBytes == 0 {
		c.MaxBytes = transcript.DefaultMaxBytes
	}
	d := &Desk{config: c, jobs: newJobs(), cautions: cautions(), patience: patience}
	var err error
	if d.pages, err = parsePages(); err != nil {
		return nil, err
	}
	if d.entry, err = newEntrance(c.Token); err != nil {
		return nil, err
	}
	for _, name := range c.Media {
		m, err := openMedia(name)
		if err != nil {
			return nil, err
		}
		d.media = append(d.media, m)
	}
	return d, nil
}

// Close stops every job, and puts what was decided into the archive as new
// versions of its records.
func (d *Desk) Close() error {
	d.jobs.stopAll()
	var errs []error
	for _, r := range d.all() {
		if err := d.keep(r, d.config.Who); err != nil {
			errs = append(errs, fmt.Errorf("%s: %w", r.name, err))
		}
	}
	for _, m := range d.media {
		errs = append(errs, m.close())
	}
	return errors.Join(errs...)
}

// footCautions are the cautions of pages that are of no one record.
var footCautions = []string{"S1", "S4", "S7", "S9"}

func cautions() []string {
	var all []string
	for _, id := range footCautions {
		all = append(all, calc.Caution(id))
	}
	return append(all, account.NotACertification)
}

// all are the reviews that are open.
func (d *Desk) all() []*review {
	d.mu.RLock()
	defer d.mu.RUnlock()
	return append([]*review(nil), d.reviews...)
}

// find is the review of an id, nil where none is open under it.
func (d *Desk) find(id string) *review {
	for _, r := range d.all() {
		if r.id == id {
			return r
		}
	}
	return nil
}

// staticAddress is where a file of the folder static is served: with a hash of it,
// so that browsers may keep it for good.
var staticAddress = sync.OnceValue(func() map[string]string {
	all := map[string]string{}
	names, err := fs.Glob(files, "static/*")
	if err != nil {
		panic(err) // the pattern is right
	}
	for _, name := range names {
		text, err := files.ReadFile(name)
		if err != nil {
			panic(err) // it is embedded
		}
		sum := sha256.Sum256(text)
		all[name[len("static/"):]] = "/" + name + "?v=" + hex.EncodeToString(sum[:6])
	}
	return all
})

// serveStatic serves the style, the script and the mark.
func serveStatic(w http.ResponseWriter, q *http.Request) {
	switch staticAddress()[q.PathValue("name")] {
	case "":
		http.NotFound(w, q)
		return
	case q.URL.RequestURI():
		w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	}
	http.ServeFileFS(w, q, files, strings.TrimPrefix(q.URL.Path, "/"))
}

// parsePages reads the templates: every page is the frame with its own middle.
func parsePages() (map[string]*template.Template, error) {
	names, err := fs.Glob(files, "templates/*.html")
	if err != nil {
		return nil, err
	}
	frame, err := template.New("frame").Funcs(functions).ParseFS(files, "templates/frame.html", "templates/parts.html")
	if err != nil {
		return nil, err
	}
	pages := map[string]*template.Template{}
	for _, name := range names {
		base := name[len("templates/") : len(name)-len(".html")]
		if base == "frame" || base == "parts" {
			continue
		}
		t, err := frame.Clone()
		if err == nil {
			t, err = t.ParseFS(files, name)
		}
		if err != nil {
			return nil, err
		}
		pages[base] = t
	}
	return pages, nil
}

// show writes a page. It is made whole first, so that an error in it is a page
// of its own and not half of one.
func (d *Desk) show(w http.ResponseWriter, status int, name string, data any) {
	var b bytes.Buffer
	if err := d.pages[name].ExecuteTemplate(&b, "frame.html", data); err != nil {
		d.config.Log(fmt.Errorf("page %s: %w", name, err))
		http.Error(w, "This page could not be made.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	w.Write(b.Bytes())
}

// regular opens a regular file for reading.
func regular(name string) (*os.File, fs.FileInfo, error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, nil, fmt.Errorf("%s: not a regular file", name)
	}
	f, err := os.Open(name)
	return f, info, err
}
