package desk

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"strconv"
	"strings"
	"time"

	"saywatt/internal/demo"
)

// uploadFactor is how many times the limit of one file may come at a time.
const uploadFactor = 4

// addFiles takes files that were chosen or dropped, or a path on this machine.
func (d *Desk) addFiles(w http.ResponseWriter, q *http.Request) {
	items, err := d.sent(w, q)
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		d.refuse(w, q, http.StatusRequestEntityTooLarge,
			fmt.Sprintf("Together these files are more than %d MB; add them by their path, or fewer at a time.",
				large.Limit>>20))
		return
	case err != nil:
		p := d.homeOf(q)
		p.Fault = err.Error()
		d.show(w, http.StatusUnprocessableEntity, "home", p)
		return
	}
	b := d.jobs.start(d, items)
	http.Redirect(w, q, "/jobs/"+strconv.Itoa(b.id), http.StatusSeeOther)
}

var (
	errNoFile = errors.New("no file and no path was given")
	errRemote = errors.New("files of this machine are not opened by their path from elsewhere; choose or drop them")
)

// sent lists the files of a request. They are read part by part: nothing of
// them is written to disk.
func (d *Desk) sent(w http.ResponseWriter, q *http.Request) ([]jobItem, error) {
	q.Body = http.MaxBytesReader(w, q.Body, uploadFactor*d.config.MaxBytes+bodyLimit)
	parts, err := q.MultipartReader()
	if err != nil {
		return nil, errNoFile
	}
	var items []jobItem
	for {
		part, err := parts.NextPart()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, err
		}
		more, err := d.sentPart(part)
		if err != nil {
			return nil, err
		}
		if items = append(items, more...); len(items) > maxFiles {
			return nil, fmt.Errorf("more than %d files at a time are not read", maxFiles)
		}
	}
	if len(items) == 0 {
		return nil, errNoFile
	}
	return items, nil
}

func (d *Desk) sentPart(part *multipart.Part) ([]jobItem, error) {
	defer part.Close()
	switch part.FormName() {
	case "path":
		b, err := io.ReadAll(io.LimitReader(part, 4096))
		path := strings.TrimSpace(string(b))
		if err != nil || path == "" {
			return nil, err
		}
		if !d.config.Local {
			return nil, errRemote
		}
		return d.filesAt(path)
	case "demo":
		return []jobItem{{name: demo.Name,
			open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(demo.Captions())), nil }}}, nil
	case "files":
		name := part.FileName() // without folders, so no path of ours is meant
		if name == "" {
			return nil, nil
		}
		text, err := io.ReadAll(part)
		if err != nil {
			return nil, err
		}
		return []jobItem{{name: name, open: func() (io.ReadCloser,
			error) {
			return io.NopCloser(bytes.NewReader(text)), nil
		}}}, nil
	}
	return nil, nil
}

type jobPage struct {
	*page
	Job jobView
}

// jobPage shows how far a job is.
func (d *Desk) jobPage(w http.ResponseWriter, q *http.Request) {
	b := d.jobs.find(q.PathValue("job"))
	if b == nil {
		d.refuse(w, q, http.StatusNotFound, "There is no such job any more.")
		return
	}
	d.show(w, http.StatusOK, "job", &jobPage{d.page(q, "Reading files", "home"), b.view()})
}

// jobStop ends a job after the file that it reads.
func (d *Desk) jobStop(w http.ResponseWriter, q *http.Request) {
	b := d.jobs.find(q.PathValue("job"))
	if b == nil {
		d.refuse(w, q, http.StatusNotFound, "There is no such job any more.")
		return
	}
	b.cancel()
	http.Redirect(w, q, "/jobs/"+strconv.Itoa(b.id), http.StatusSeeOther)
}

// often bounds how often an event is sent, so that a batch of small files does
// not keep a page drawing.
const often = 200 * time.Millisecond

// jobEvents streams how far a job is (Server-sent events, HTML Standard 9.2).
func (d *Desk) jobEvents(w http.ResponseWriter, q *http.Request) {
	b := d.jobs.find(q.PathValue("job"))
	if b == nil {
		d.refuse(w, q, http.StatusNotFound, "There is no such job any more.")
		return
	}
	news, stop := b.watch()
	defer stop()
	stream(w, q, news, func() (string, any, bool) {
		v := b.view()
		return "job", v, v.Ended
	})
}

// stillThere is how often a stream without news shows that it is alive.
const stillThere = 20 * time.Second

// stream sends what next returns, at once and after all news, until it is the
// last or the page goes.
func stream(w http.ResponseWriter, q *http.Request, news <-chan struct{},
	next func() (name string, data any, last bool)) {
	w.Header().Set("Content-Type", "text/event-stream")
	out := http.NewResponseController(w)
	beat := time.NewTicker(stillThere)
	defer beat.Stop()
	for {
		name, data, last := next()
		text, err := json.Marshal(data)
		if err != nil {
			return
		}
		if _, err := fmt.Fprintf(w, "event: %s\ndata: %s\n\n", name, text); err != nil || out.Flush() != nil || last {
			return
		}
		select {
		case <-time.After(often):
		case <-q.Context().Done():
			return
		}
		for waiting := true; waiting; {
			select {
			case <-news:
				waiting = false
			case <-beat.C:
				if _, err := io.WriteString(w, ": still there\n\n"); err != nil || out.Flush() != nil {
					return
				}
			case <-q.Context().Done():
				return
			}
		}
	}
}
