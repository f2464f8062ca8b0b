package desk

import (
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strings"
)

// A media is a file that can be heard. It is opened once, so that no address
// leads to any other file.
type media struct {
	name string
	file *os.File
	info fs.FileInfo
	kind string // media type
}

// mediaKinds are the media types by the ending of a file's name (IANA media
// types; those that browsers play).
var mediaKinds = map[string]string{
	".wav": "audio/wav", ".mp3": "audio/mpeg", ".m4a": "audio/mp4", ".aac": "audio/aac", ".ogg": "audio/ogg",
	".oga":  "audio/ogg",
	".opus": "audio/ogg", ".flac": "audio/flac", ".weba": "audio/webm", ".mp4": "video/mp4", ".m4v": "video/mp4",
	".webm": "video/webm",
	".ogv":  "video/ogg", ".mov": "video/quicktime", ".mkv": "video/x-matroska",
}

func openMedia(name string) (*media, error) {
	kind, ok := mediaKinds[strings.ToLower(filepath.Ext(name))]
	if !ok {
		return nil, fmt.Errorf("%s: not known as sound or film by its ending", name)
	}
	f, info, err := regular(name)
	if err != nil {
		return nil, err
	}
	return &media{filepath.Base(name), f, info, kind}, nil
}

// fits reports whether a file has the name of captions, which may have a
// language behind it: review.mp4 and review.en.vtt.
func (m *media) fits(captions string) bool {
	stem := strings.TrimSuffix(m.name, filepath.Ext(m.name))
	rest, ok := strings.CutPrefix(filepath.Base(captions), stem)
	return ok && strings.HasPrefix(rest, ".")
}

// mediaFor is what there is to hear of a review that is being opened: the file
// of its name, and for the first review else the first file; d.mu is held.
func (d *Desk) mediaFor(r *review) *media {
	if r.media != nil { // opened again, with what was chosen
		return r.media
	}
	for _, m := range d.media {
		if m.fits(r.name) {
			return m
		}
	}
	if len(d.reviews) == 0 && len(d.media) > 0 {
		return d.media[0]
	}
	return nil
}

// sound is what there is to hear of a review, nil where nothing is.
func (d *Desk) sound(r *review) *media {
	d.mu.RLock()
	defer d.mu.RUnlock()
	return r.media
}

// chooseMedia gives a review one of the files named at start.
func (d *Desk) chooseMedia(w http.ResponseWriter, q *http.Request, r *review, _ *state) {
	if !d.form(w, q) {
		return
	}
	name := q.PostFormValue("media")
	var chosen *media
	for _, m := range d.media {
		if m.name == name {
			chosen = m
		}
	}
	if chosen == nil && name != "" {
		d.refuse(w, q, http.StatusUnprocessableEntity, "No sound or film of this name was given at start.")
		return
	}
	d.mu.Lock()
	r.media = chosen
	d.mu.Unlock()
	http.Redirect(w, q, "/r/"+r.id+"/decisions?done=media", http.StatusSeeOther)
}

func (m *media) close() error { return m.file.Close() }

// film reports whether there is something to see.
func (m *media) film() bool { return strings.HasPrefix(m.kind, "video/") }

// ServeHTTP serves the file or ranges of it (RFC 9110, 14).
func (m *media) ServeHTTP(w http.ResponseWriter, q *http.Request) {
	w.Header().Set("Content-Type", m.kind)
	w.Header().Set("Cache-Control", "private, max-age=3600")
	http.ServeContent(w, q, "", m.info.ModTime(), io.NewSectionReader(m.file, 0, m.info.Size()))
}
