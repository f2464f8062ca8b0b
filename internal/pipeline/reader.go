package pipeline

import (
	"slices"
	"sync"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/internal/glossary"
	"saywatt/normalize"
	"saywatt/schema"
)

// A Reader reads one transcript again and again with other answers. It keeps
// what was found in the text, which is more than half of the work: that changes
// only where an answer says what a quantity belongs to, or how a name is written. Its methods may be called
// from several goroutines.
type Reader struct {
	transcript *transcript.Transcript
	glossary   *glossary.Book

	mu    sync.Mutex
	found []found // the last used first
}

// found is a document with the conditions and the names that it was made on.
type found struct {
	conditions []extract.Condition
	names      []extract.Naming
	doc        *extract.Document
	kept       *normalize.Kept
}

// keptDocuments is how many documents a Reader keeps: that of the answers as
// they are, and that of the answers without the one that is looked at.
const keptDocuments = 2

// NewReader makes a Reader; the glossary may be nil.
func NewReader(t *transcript.Transcript, g *glossary.Book) *Reader {
	return &Reader{transcript: t, glossary: g}
}

// Run is Run with the transcript and the glossary of the Reader.
func (r *Reader) Run(o Options) (*schema.Record, error) {
	leave, err := o.Gate.enter(r.transcript)
	if err != nil {
		return nil, err
	}
	defer leave()
	o.Glossary = r.glossary
	f := r.document(o)
	return read(f.doc, o, f.kept)
}

// Forget lets go of what is kept.
func (r *Reader) Forget() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.found = nil
}

func (r *Reader) document(o Options) found {
	conditions, names := normalize.Conditions(o.Answers), normalize.Names(o.Answers)
	r.mu.Lock()
	defer r.mu.Unlock()
	i := slices.IndexFunc(r.found, func(f found) bool {
		return slices.Equal(f.conditions, conditions) && slices.Equal(f.names, names)
	})
	f := found{conditions: conditions, names: names}
	if i >= 0 {
		f = r.found[i]
		r.found = slices.Delete(r.found, i, i+1)
	} else {
		f.doc, f.kept = survey(r.transcript, o), &normalize.Kept{}
	}
	r.found = slices.Insert(r.found, 0, f)
	r.found = r.found[:min(len(r.found), keptDocuments)]
	return f
}
