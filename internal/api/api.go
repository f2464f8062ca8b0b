package api

import (
	"net/http"
	"runtime"
	"time"

	"golang.org/x/sync/semaphore"

	"saywatt/internal/archive"
	"saywatt/internal/pipeline"
)

// Options say what is served and how much of it at once. The zero value works:
// no archive, and the limits named here.
type Options struct {
	Pipeline pipeline.Options // a request's threshold and names win over it; answers are the request's
	Archive  *archive.Archive // searched; nil: there is none
	MaxBytes int64            // of a body, and of a line of a batch; 0: DefaultMaxBytes
	MaxTime  time.Duration    // for a body to arrive, and for the work on it; 0: DefaultMaxTime
	// that files worked on at once take, where Pipeline has no Gate; 0: pipeline.DefaultMemory
	Memory   int64
	AtOnce   int         // files worked on at once; 0: one for each processor
	Requests int         // requests with a body held at once; 0: DefaultRequests
	Batches  int         // batches served at once; 0: DefaultBatches
	Log      func(error) // called with errors that are no client's; nil: nobody
}

// The limits where Options name none.
const (
	DefaultMaxBytes = 32 << 20
	DefaultMaxTime  = time.Minute
	DefaultRequests = 16
	DefaultBatches  = 4
)

// Handler serves the paths under /api/v1. It may be used by several servers
// at once.
func Handler(o Options) http.Handler {
	if o.MaxBytes <= 0 {
		o.MaxBytes = DefaultMaxBytes
	}
	if o.MaxTime <= 0 {
		o.MaxTime = DefaultMaxTime
	}
	if o.Memory <= 0 {
		o.Memory = pipeline.DefaultMemory
	}
	if o.Pipeline.Gate == nil {
		o.Pipeline.Gate = pipeline.NewGate(o.Memory, o.MaxTime)
	}
	if o.AtOnce <= 0 {
		o.AtOnce = runtime.GOMAXPROCS(0)
	}
	if o.Requests <= 0 {
		o.Requests = DefaultRequests
	}
	if o.Batches <= 0 {
		o.Batches = DefaultBatches
	}
	if o.Log == nil {
		o.Log = func(error) {}
	}
	a := &api{
		Options:  o,
		working:  semaphore.NewWeighted(int64(o.AtOnce)),
		requests: semaphore.NewWeighted(int64(o.Requests)),
		batches:  semaphore.NewWeighted(int64(o.Batches)),
	}
	a.routes = a.table()
	return a
}

type api struct {
	Options
	routes   []route
	working  *semaphore.Weighted // files worked on
	requests *semaphore.Weighted // requests that hold a body
	batches  *semaphore.Weighted
}

// table lists what is served.
func (a *api) table() []route {
	captions := append(captionTypes(), typeJSON)
	return []route{
		{path: "openapi.json", get: &endpoint{do: a.openAPI, gives: []string{typeJSON}}},
		{path: "record.schema.json", get: &endpoint{do: a.recordSchema, gives: []string{typeSchema, typeJSON}}},
		{path: "read", post: &endpoint{do: a.read, takes: captions, bare: true, gives: []string{typeJSON},
			query: []string{"name", "threshold"}}},
		{path: "batch", post: &endpoint{do: a.batch, takes: batchTypes, bare: true, gives: lineTypes, stream: true}},
		{path: "check", post: &endpoint{do: a.check, takes: []string{typeJSON}, gives: []string{typeJSON}}},
		{path: "rules", get: &endpoint{do: a.rules, gives: []string{typeJSON}}},
		{path: "calc", get: &endpoint{do: a.calculators, gives: []string{typeJSON}}},
		{path: "calc/{name}",
			get:  &endpoint{do: a.calculator, gives: []string{typeJSON}},
			post: &endpoint{do: a.calculate, takes: []string{typeJSON}, gives: []string{typeJSON}}},
		{path: "search", get: &endpoint{do: a.search, gives: []string{typeJSON},
			query: []string{"q", "sort", "limit", "offset", "facets"}}},
	}
}

// options are those of a run for a request that asks for nothing else.
func (a *api) options() pipeline.Options {
	o := a.Pipeline
	o.Answers = nil
	return o
}
