package api

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"saywatt/extract/transcript"
	"saywatt/internal/archive/query"
	"saywatt/internal/export/plainjson"
	"saywatt/internal/glossary"
	"saywatt/internal/pipeline"
	"saywatt/internal/typed"
	"saywatt/normalize"
	"saywatt/validate/calc"
	"saywatt/validate/form"
)

// A Problem says to a program what went wrong: problem details, RFC 9457. Where
// the status says it all, Type is about:blank and Title the phrase of the
// status (4.2.1).
type Problem struct {
	Type   string `json:"type"`
	Title  string `json:"title"`
	Status int    `json:"status"`
	Detail string `json:"detail,omitempty"`
	Place  *place `json:"place,omitempty"`
}

// NewProblem makes a problem of which its status says what it is.
func NewProblem(status int, detail string) *Problem {
	return &Problem{Type: "about:blank", Title: http.StatusText(status), Status: status, Detail: detail}
}

// Write answers with the problem.
func (p *Problem) Write(w http.ResponseWriter) {
	var b bytes.Buffer
	plainjson.WriteLine(&b, p) // strings and numbers, into memory
	w.Header().Set("Content-Type", typeProblem)
	w.Header().Set("Content-Length", strconv.Itoa(b.Len()))
	w.WriteHeader(p.Status)
	w.Write(b.Bytes()) // a client that is gone needs none
}

// place is where it went wrong, as far as known.
type place struct {
	File      string `json:"file,omitempty"`      // name of the captions, or the member of the body that is a file
	Line      int    `json:"line,omitempty"`      // from 1, of the file, else of the body
	Column    int    `json:"column,omitempty"`    // from 1, in bytes
	Parameter string `json:"parameter,omitempty"` // of the address; a column is within its value
	Member    string `json:"member,omitempty"`    // of the body, as a JSON pointer (RFC 6901)
}

// A kind of problem is the end of its type.
type kind string

const (
	kindBody        kind = "body"
	kindParameter   kind = "parameter"
	kindCaptions    kind = "captions"
	kindAnswers     kind = "answers"
	kindGlossary    kind = "glossary"
	kindRecord      kind = "record"
	kindCalculation kind = "calculation"
	kindQuery       kind = "query"
	kindNoArchive   kind = "no-archive"
)

// problemTypes is what the types of problems begin with.
const problemTypes = "urn:saywatt:problem:"

// titles say what each type means, the same for every occurrence.
var titles = map[kind]string{
	kindBody:        "The body cannot be read",
	kindParameter:   "A parameter is wrong",
	kindCaptions:    "The captions cannot be read",
	kindAnswers:     "The answers do not fit",
	kindGlossary:    "The glossary cannot be read",
	kindRecord:      "This is no record that can be used",
	kindCalculation: "This cannot be calculated",
	kindQuery:       "The query cannot be read",
	kindNoArchive:   "There is no archive here",
}

// A refusal is an error that knows its problem.
type refusal struct {
	status int
	kind   kind // "" where the status says it all
	detail string
	place  *place
	inBody bool // detail is of line and column of the place
	retry  int  // seconds after which to try again
}

func (r *refusal) Error() string {
	if r.inBody {
		return fmt.Sprintf("line %d, column %d: %s", r.place.Line, r.place.Column, r.detail)
	}
	return r.detail
}

// onLine is an error of a body of one line that is a line of another.
func onLine(err error, line int) error {
	r := refusalOf(err)
	if r == nil || !r.inBody {
		return err
	}
	moved, at := *r, *r.place
	at.Line = line
	moved.place = &at
	return &moved
}

func badParameter(name, what string) error {
	return &refusal{status: http.StatusBadRequest, kind: kindParameter, detail: name + ": " + what,
		place: &place{Parameter: name}}
}

// refuse answers with a problem.
func (a *api) refuse(c *call, err error) {
	p := a.problemOf(err)
	if r := refusalOf(err); r != nil && r.retry > 0 {
		c.w.Header().Set("Retry-After", strconv.Itoa(r.retry))
	}
	p.Write(c.w)
}

// problemOf says an error to a client. What is nobody's fault there is
// logged, and not described in detail.
func (a *api) problemOf(err error) *Problem {
	r := refusalOf(err)
	if r == nil {
		a.Log(err)
		r = &refusal{status: http.StatusInternalServerError,
			detail: "this went wrong here and is logged; the request may be right"}
	}
	p := NewProblem(r.status, r.Error())
	p.Place = r.place
	if r.kind != "" {
		p.Type, p.Title = problemTypes+string(r.kind), titles[r.kind]
	}
	return p
}

// refusalOf knows the errors that a request can be blamed for; nil for others.
func refusalOf(err error) *refusal {
	var (
		known       *refusal
		captions    *transcript.ParseError
		silent      *pipeline.NoWordsError
		memory      *pipeline.MemoryError
		answer      *normalize.AnswerError
		stray       normalize.StrayAnswers
		names       *glossary.ParseError
		form        *form.Error
		input       *calc.InputError
		spelling    *typed.Error
		unoffered   *calc.RecordError
		query       *query.Error
		unreadables = http.StatusUnprocessableEntity
	)
	switch {
	case errors.As(err, &known):
		return known
	case errors.Is(err, context.Canceled):
		return &refusal{status: http.StatusServiceUnavailable, detail: "the request was given up"}
	case errors.As(err, &captions):
		status := unreadables
		if errors.Is(err, transcript.ErrTooBig) {
			status = http.StatusRequestEntityTooLarge
		}
		return &refusal{status: status, kind: kindCaptions, detail: err.Error(),
			place: &place{File: captions.Name, Line: captions.Line, Column: captions.Col}}
	case errors.As(err, &silent):
		return &refusal{status: unreadables, kind: kindCaptions, detail: err.Error(), place: &place{File: silent.Name}}
	case errors.Is(err, pipeline.ErrTooMany), errors.As(err, &memory):
		return &refusal{status: http.StatusRequestEntityTooLarge, kind: kindCaptions, detail: err.Error()}
	case errors.Is(err, pipeline.ErrNoRoom):
		return &refusal{status: http.StatusServiceUnavailable, detail: err.Error(), retry: 1}
	case errors.As(err, &answer):
		return &refusal{status: unreadables, kind: kindAnswers, detail: err.Error(), place: answerPlace(answer.Line)}
	case errors.As(err, &stray):
		var place *place
		if _, line, ok := strings.Cut(stray[0].Answer.From, answersName+":"); ok {
			if n, err := strconv.Atoi(line); err == nil {
				place = answerPlace(n)
			}
		}
		return &refusal{status: unreadables, kind: kindAnswers, detail: err.Error(), place: place}
	case errors.As(err, &names):
		return &refusal{status: unreadables, kind: kindGlossary, detail: err.Error(),
			place: &place{File: names.File, Line: names.Line, Member: "/glossary"}}
	case errors.As(err, &form):
		return &refusal{status: http.StatusBadRequest, kind: kindBody, detail: err.Error(),
			place: &place{Line: form.Line, Column: form.Col}}
	case errors.As(err, &input):
		return &refusal{status: unreadables, kind: kindCalculation, detail: err.Error(),
			place: &place{Member: "/inputs/" + input.Input}}
	case errors.As(err, &spelling), errors.As(err, &unoffered):
		return &refusal{status: unreadables, kind: kindCalculation, detail: err.Error()}
	case errors.As(err, &query):
		return &refusal{status: http.StatusBadRequest, kind: kindQuery, detail: err.Error(),
			place: &place{Parameter: "q", Column: query.Span.Start + 1}}
	}
	return nil
}

// answerPlace is the place of an answer by its number from 1.
func answerPlace(number int) *place { return &place{Member: fmt.Sprintf("/answers/%d", number-1)} }
