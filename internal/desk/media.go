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

// A media is the one file that can be heard. It is opened once, so that no
// address leads to any other file.
type media struct {
	file *os.File
	info fs.FileInfo
	kind string // media type
}

// mediaKinds are the media types by the ending of a file's name (IANA media
// types; those that browsers play).
var mediaKinds = map[string]string{
	".wav": "audio/wav", ".mp3": "audio/mpeg", ".m4a": "audio/mp4", ".aac": "audio/aac", ".ogg": "audio/ogg", ".oga": "audio/ogg",
	".opus": "audio/ogg", ".flac": "audio/flac", ".weba": "audio/webm", ".mp4": "video/mp4", ".m4v": "video/mp4", ".webm": "video/webm",
	".ogv": "video/ogg", ".mov": "video/quicktime", ".mkv": "video/x-matroska",
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
	return &media{f, info, kind}, nil
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
