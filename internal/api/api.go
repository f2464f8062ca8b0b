package api

import (
	"context"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strings"
	"time"

	"saywatt/internal/archive"
	"saywatt/internal/pipeline"
	"saywatt/schema"
)

// Prefix is where the paths of this version begin.
const Prefix = "/api/v1/"

// Options bound the service and say what it reads with.
type Options struct {
	Pipeline pipeline.Options // glossary, learned counts, threshold; answers are the request's
	Archive  *archive.Archive // nil: no search
	MaxBytes int64            // largest body; 0 means DefaultMaxBytes
	Parallel int              // readings at a time; 0 means 2
}

// DefaultMaxBytes is the largest body where none is given.
const DefaultMaxBytes = 32 << 20

// writeWait is how long a client may take to receive a line of a batch.
const writeWait = time.Minute

//go:embed openapi.json
var openAPI []byte

// Handler serves the paths under Prefix.
func Handler(o Options) http.Handler {
	if o.MaxBytes == 0 {
		o.MaxBytes = DefaultMaxBytes
	}
	if o.Parallel == 0 {
		o.Parallel = 2
	}
	s := &service{Options: o, turns: make(chan struct{}, o.Parallel)}
	mux := http.NewServeMux()
	for _, r := range []struct {
		method, path string
		do           func(http.ResponseWriter, *http.Request) error
	}{
		{"POST", "read", s.read},
		{"POST", "batch", s.batch},
		{"POST", "check", s.check},
		{"GET", "rules", s.rules},
		{"GET", "calc", s.calculators},
		{"POST", "calc/{name}", s.calc},
		{"GET", "search", s.search},
		{"GET", "openapi.json", document(openAPI, "application/json")},
		{"GET", "record.schema.json", document(schema.JSONSchema(), "application/schema+json")},
	} {
		mux.HandleFunc(r.method+" "+Prefix+r.path, func(w http.ResponseWriter, q *http.Request) {
			if r.path != "batch" { // its lines are bounded, not their sum
				q.Body = http.MaxBytesReader(w, q.Body, o.MaxBytes)
			}
			if err := r.do(w, q); err != nil && q.Context().Err() == nil {
				problemOf(err).Write(w)
			}
		})
		allow := r.method
		if allow == "GET" {
			allow = "GET, HEAD"
		}
		mux.HandleFunc(Prefix+r.path, func(w http.ResponseWriter, q *http.Request) {
			w.Header().Set("Allow", allow)
			NewProblem(http.StatusMethodNotAllowed, fmt.Sprintf("%s is asked for with %s.", q.URL.Path, allow)).Write(w)
		})
	}
	mux.HandleFunc("/", func(w http.ResponseWriter, q *http.Request) {
		NewProblem(http.StatusNotFound, "There is nothing at "+q.URL.Path+"; see "+Prefix+"openapi.json.").Write(w)
	})
	return mux
}

type service struct {
	Options
	turns chan struct{} // one for each reading that runs
}

// turn waits until a reading may run. The function it returns ends the turn.
func (s *service) turn(ctx context.Context) (func(), error) {
	select {
	case s.turns <- struct{}{}:
		return func() { <-s.turns }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func document(text []byte, kind string) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, q *http.Request) error {
		w.Header().Set("Content-Type", kind)
		w.Write(text)
		return nil
	}
}

// answer writes what write writes as JSON, whole or not at all.
func answer(w http.ResponseWriter, write func(io.Writer) error) error {
	w.Header().Set("Content-Type", "application/json")
	return write(w)
}

// contentType returns the media type of a request's body, in lower case; ""
// where none is given.
func contentType(q *http.Request) (string, error) {
	given := q.Header.Get("Content-Type")
	if given == "" {
		return "", nil
	}
	kind, _, err := mime.ParseMediaType(given)
	if err != nil {
		return "", NewProblem(http.StatusUnsupportedMediaType, "the media type "+strings.ToValidUTF8(given, "?")+" cannot be read")
	}
	return kind, nil
}

// wantJSON refuses a body of another media type.
func wantJSON(q *http.Request) error {
	switch kind, err := contentType(q); {
	case err != nil:
		return err
	case kind != "" && kind != "application/json" && kind != "application/x-ndjson" && kind != "application/jsonl":
		return NewProblem(http.StatusUnsupportedMediaType, fmt.Sprintf("a body of %s is not read here; send application/json", kind))
	}
	return nil
}

// tooLarge tells of a body or line beyond the bound.
func tooLarge(limit int64) error {
	return NewProblem(http.StatusRequestEntityTooLarge, fmt.Sprintf("more than the %d bytes that are read at once", limit))
}

// bodyError puts the bound's error into our words.
func (s *service) bodyError(err error) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return tooLarge(s.MaxBytes)
	}
	return err
}
