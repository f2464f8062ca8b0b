package intake

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"saywatt/extract/transcript"
	"saywatt/internal/export/feed"
	"saywatt/internal/export/naming"
	"saywatt/internal/pipeline"
	"saywatt/normalize"
	"saywatt/schema"
)

// A Reader makes records of files.
type Reader struct {
	Open     func(name string) (io.ReadCloser, error)
	Stdin    io.Reader
	MaxBytes int64 // of captions, and of one record; 0 means transcript.DefaultMaxBytes
	// Options are what captions are read with, asked for when the first come.
	Options func() (pipeline.Options, error)
	Answers *Answers
	// Review and Title are given to the review; "" for none.
	Review, Title string
	// Apart has reviews that nobody named named by more of their path, where
	// several files read together would have one name.
	Apart bool
	// Whole hands on files of records as they are, as Item.Text.
	Whole bool
	// Next is called with what is waited for, from 0 of all; nil for nobody.
	Next func(n, of int, name string)
}

// An Item is a record, with what it was made from.
type Item struct {
	File       File
	Record     *schema.Record
	Transcript *transcript.Transcript // nil where a record was read
	Number     int                    // of a record in its file, from 1; 0 for captions and in archives
	Lined      bool                   // the record is a line of several: JSON Lines or a feed
	// of the captions that it was read from, on this machine; "" where it is not known
	Path string
	Text []byte                 // a file of records, whole, in place of a Record
	Odd  []*normalize.OddAnswer // answers that stand and may be slips
	// Words is what a person said that the captions should say.
	Words []normalize.Wording
}

// Source is the bytes that the record's spans are of, nil where they were not read.
func (i *Item) Source() []byte {
	if i.Transcript == nil {
		return nil
	}
	return i.Transcript.Source
}

// errAnswersOnRecord says that answers were given and records read.
var errAnswersOnRecord = errors.New("this is a record, and answers are read with the captions: name those instead")

// PassedOver says that a file of a folder is neither captions nor records.
type PassedOver struct{ Err error }

func (e *PassedOver) Error() string { return "passed over: " + e.Err.Error() }
func (e *PassedOver) Unwrap() error { return e.Err }

// Each reads the files and hands what they hold to do, in order, from one
// goroutine. What cannot be read goes to failed, and the others are read; an
// error of do ends it and is returned.
func (r *Reader) Each(files []File, do func(*Item) error, failed func(error)) error {
	options := sync.OnceValues(r.Options)
	names := r.names(files)
	workers := runtime.GOMAXPROCS(0)
	// ahead bounds how many readings wait for their turn, so that one slow
	// file does not make all others pile up in memory.
	ahead := make(chan struct{}, 4*workers)
	turns := make(chan chan opened, cap(ahead))
	stop := make(chan struct{})
	go func() {
		defer close(turns)
		var g errgroup.Group
		g.SetLimit(workers)
		for _, f := range files {
			select {
			case ahead <- struct{}{}:
			case <-stop:
				return
			}
			turn := make(chan opened, 1)
			turns <- turn
			g.Go(func() error {
				turn <- r.open(f, names[f.Name], options)
				return nil
			})
		}
	}()
	var broken error
	for i, f := range files {
		if r.Next != nil {
			r.Next(i, len(files), f.Name)
		}
		got := <-(<-turns)
		<-ahead
		err := r.hand(f, got, do, failed)
		var out *doneError
		if errors.As(err, &out) {
			broken = out.err
			close(stop)
			break
		}
		if err != nil {
			failed(err)
		}
	}
	for turn := range turns { // what was opened ahead of an error of do
		(<-turn).close()
	}
	return broken
}

// doneError is an error of do, which ends the reading.
type doneError struct{ err error }

func (e *doneError) Error() string { return e.err.Error() }

// opened is a file that was read, or whose records are yet to be.
type opened struct {
	item    *Item
	doubt   error // what was wrong though there is an item
	records *bufio.Reader
	closer  io.Closer
	err     error
}

func (o opened) close() {
	if o.closer != nil {
		o.closer.Close()
	}
}

// hand gives what a file holds to do.
func (r *Reader) hand(f File, got opened, do func(*Item) error, failed func(error)) error {
	defer got.close()
	switch {
	case got.err != nil:
		return passed(f, got.err)
	case got.item != nil:
		if err := do(got.item); err != nil {
			return &doneError{err}
		}
		return got.doubt
	}
	return r.records(f, got.records, do, failed)
}

// Records of one file that cannot be read are reported one by one up to
// mostBroken; after mostInRow without one between them that can, the rest of the
// file is taken for something else.
const (
	mostBroken = 5
	mostInRow  = 100
)

// records gives the records of a file to do, and what cannot be read to failed.
func (r *Reader) records(f File, in io.Reader, do func(*Item) error, failed func(error)) error {
	read, broken, inRow := 0, 0, 0
	err := feed.ReadRecords(in, r.limit(), func(rec *schema.Record, d *feed.Document) error {
		read, inRow = read+1, 0
		path := pathIn(&rec.Source)
		call(rec)
		r.name(rec)
		if err := do(&Item{File: f, Record: rec, Number: d.Number, Lined: d.OneLine(), Path: path}); err != nil {
			return &doneError{err}
		}
		return nil
	}, func(wrong *feed.DocumentError) error {
		err := fmt.Errorf("%s: %w", f.Name, wrong)
		if f.Maybe && read == 0 { // some other JSON
			return &PassedOver{err}
		}
		if errors.Is(wrong, feed.ErrRows) && read == 0 { // so are all others
			return err
		}
		if broken, inRow = broken+1, inRow+1; broken <= mostBroken {
			failed(err)
		}
		if inRow == mostInRow {
			return fmt.Errorf("%s: line %d: %d lines in a row are no records; what follows was not read", f.Name,
				wrong.Line, inRow)
		}
		return nil
	})
	if broken > mostBroken {
		failed(fmt.Errorf("%s: %d more records cannot be read", f.Name, broken-mostBroken))
	}
	return err
}

// passed makes a failure of what a folder only may hold one to pass over: it
// was not read as captions or records at all.
func passed(f File, err error) error {
	if f.Maybe && NotOurs(err) {
		return &PassedOver{err}
	}
	return err
}

// NotOurs reports whether an error says that a file is something other than
// captions.
func NotOurs(err error) bool {
	for _, cause := range []error{transcript.ErrNotTimed, transcript.ErrNotTTML, transcript.ErrJSON, transcript.ErrForm,
		transcript.ErrNotText, transcript.ErrEncoding, transcript.ErrEmpty, transcript.ErrDTD, transcript.ErrDocument} {
		if errors.Is(err, cause) {
			return true
		}
	}
	return false
}

func (r *Reader) limit() int64 {
	if r.MaxBytes > 0 {
		return r.MaxBytes
	}
	return transcript.DefaultMaxBytes
}

// name gives a record the name and title that were given.
func (r *Reader) name(rec *schema.Record) {
	if r.Review != "" {
		rec.Source.Review = r.Review
	}
	if r.Title != "" {
		rec.Source.Title = r.Title
	}
}

// names are the names of reviews by the files that would else share one.
func (r *Reader) names(files []File) map[string]string {
	if !r.Apart || len(files) < 2 || r.Title != "" {
		return nil
	}
	paths := make([]string, len(files))
	for i, f := range files {
		paths[i] = called(f.Name)
		if f.Stored != nil {
			paths[i] = Stdin // it has a name
		}
		if f.Parts != nil {
			paths[i] = called(f.Parts[0])
		}
	}
	names := map[string]string{}
	for i, name := range naming.Distinct(paths) {
		if name != naming.ReviewName(&schema.Source{File: naming.ShownPath(paths[i])}) {
			names[files[i].Name] = name
		}
	}
	return names
}

// called is a file as it was named, but from the current folder where it is below
// that, so that a record is the same wherever the folder is.
func called(name string) string {
	if !filepath.IsAbs(name) {
		return name
	}
	here, err := os.Getwd()
	if err != nil {
		return name
	}
	way, err := filepath.Rel(here, name)
	if err != nil || !filepath.IsLocal(way) || filepath.Dir(here) == here { // below a root is everything
		return name
	}
	return way
}

// Shown is what records and reports call a file that was named so.
func Shown(name string) string { return naming.ShownPath(called(name)) }

// pathIn is the path of the captions, or of the first of them, that a source
// names; "" for standard input.
func pathIn(s *schema.Source) string {
	name := s.File
	if len(s.Parts) > 0 {
		name = s.Parts[0].File
	}
	if name == Stdin {
		return ""
	}
	return name
}

// call has a record call its files so. A path that begins at the root of a disk
// or leads out of the current folder is nobody's business who gets the record: of
// it the last folder and the file stay (naming.ShownPath).
func call(rec *schema.Record) {
	s := &rec.Source
	rename := func(name *string) {
		was, now := *name, Shown(*name)
		if now == was {
			return
		}
		*name = now
		for i := range s.Problems {
			s.Problems[i] = strings.ReplaceAll(s.Problems[i], was, now)
		}
	}
	if len(s.Parts) == 0 {
		rename(&s.File)
		return
	}
	names := make([]string, len(s.Parts))
	for i := range s.Parts {
		rename(&s.Parts[i].File)
		names[i] = s.Parts[i].File
	}
	s.File = strings.Join(names, partsJoin)
}

// lookedAt is how many bytes of a file are looked at to see what it is.
const lookedAt = 16 << 10

// open opens a file and reads what it holds, but for records. name is that of
// its review where it has none; "" for that of its file.
func (r *Reader) open(f File, name string, options func() (pipeline.Options, error)) opened {
	if f.Stored != nil {
		return r.stored(f)
	}
	if f.Parts != nil {
		t, err := r.join(f)
		return r.made(f, t, err, name, options)
	}
	in, closer, err := r.stream(f.Name)
	if err != nil {
		return opened{err: err}
	}
	head := bufio.NewReaderSize(in, lookedAt)
	records, err := beginning(head)
	switch {
	case err != nil:
		closer.Close()
		return opened{err: fmt.Errorf("%s: %w", f.Name, err)}
	case !records:
		defer closer.Close()
		t, err := pipeline.ReadFrom(head, f.Name, r.limit())
		return r.made(f, t, err, name, options)
	case len(r.Answers.For(f))+len(r.Answers.wordings(f)) > 0:
		closer.Close()
		return opened{err: fmt.Errorf("%s: %w", f.Name, errAnswersOnRecord)}
	case r.Whole:
		defer closer.Close()
		text, err := r.all(f.Name, head)
		return opened{item: &Item{File: f, Text: text}, err: err}
	}
	return opened{records: head, closer: closer}
}

// stored takes a record out of an archive.
func (r *Reader) stored(f File) opened {
	if len(r.Answers.For(f))+len(r.Answers.wordings(f)) > 0 {
		return opened{err: fmt.Errorf("%s: %w", f.Name, errAnswersOnRecord)}
	}
	rec, err := f.Stored()
	if rec == nil {
		return opened{err: err}
	}
	path := pathIn(&rec.Source)
	call(rec)
	r.name(rec)
	return opened{item: &Item{File: f, Record: rec, Path: path}, doubt: err}
}

// stream opens a file, or standard input.
func (r *Reader) stream(name string) (io.Reader, io.Closer, error) {
	if name == Stdin {
		return r.Stdin, io.NopCloser(nil), nil
	}
	f, err := r.Open(name)
	return f, f, err
}

// all reads a file whole, up to the limit.
func (r *Reader) all(name string, in io.Reader) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(in, r.limit()+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if int64(len(text)) > r.limit() {
		return nil, fmt.Errorf("%s: %w: more than %d bytes", name, transcript.ErrTooBig, r.limit())
	}
	return text, nil
}

// join reads the parts of one review.
func (r *Reader) join(f File) (*transcript.Transcript, error) {
	var parts []*transcript.Transcript
	for _, name := range f.Parts {
		t, err := r.Captions(name)
		if err != nil {
			return nil, err
		}
		parts = append(parts, t)
	}
	return transcript.Join(parts...)
}

// Captions reads one file as captions, and makes no record of it.
func (r *Reader) Captions(name string) (*transcript.Transcript, error) {
	in, closer, err := r.stream(name)
	if err != nil {
		return nil, err
	}
	defer closer.Close()
	return pipeline.ReadFrom(in, name, r.limit())
}

// made makes the record of captions.
func (r *Reader) made(f File, t *transcript.Transcript, err error, name string,
	options func() (pipeline.Options, error)) opened {
	if err != nil {
		return opened{err: err}
	}
	o, err := options()
	if err != nil {
		return opened{err: err}
	}
	o.Answers = r.Answers.For(f)
	var odd []*normalize.OddAnswer
	o.Odd = func(a *normalize.OddAnswer) { odd = append(odd, a) }
	rec, err := pipeline.Run(t, o)
	if stray := (normalize.StrayAnswers)(nil); errors.As(err, &stray) {
		return opened{err: stray} // it names its own file and line
	}
	if err != nil {
		return opened{err: fmt.Errorf("%s: %w", f.Name, err)}
	}
	path := pathIn(&rec.Source)
	call(rec)
	rec.Source.Review = name
	r.name(rec)
	return opened{item: &Item{File: f, Record: rec, Transcript: t, Path: path, Odd: odd,
		Words: r.Answers.wordings(f)}}
}

// beginning looks at an input as far as it takes to distinguish records from captions,
// without taking it away, and of records without waiting for more. Records may have
// stray lines before them.
func beginning(r *bufio.Reader) (records bool, err error) {
	for n := 1; ; n = min(r.Buffered()+1, r.Size()) {
		if _, err = r.Peek(n); err != nil && err != io.EOF {
			return false, err
		}
		start, _ := r.Peek(r.Buffered())
		records, known := feed.TellRecords(start)
		whole := err != nil || len(start) == r.Size()
		switch {
		case records && (known || whole), feed.RecordBehind(start):
			return true, nil
		case whole:
			return false, nil
		}
	}
}
