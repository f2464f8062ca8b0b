package api

import (
	"encoding/json"
	"errors"
	"net/http"

	"saywatt/extract/transcript"
	"saywatt/internal/archive"
	"saywatt/internal/pipeline"
	"saywatt/normalize"
	"saywatt/validate"
)

// A Problem tells a program what went wrong (RFC 9457, 3). File, Line and
// Column are of ours: the place in what was sent, from 1, where it is known.
type Problem struct {
	Type   string `json:"type"`
	Title  string `json:"title"`
	Status int    `json:"status"`
	Detail string `json:"detail,omitempty"`
	File   string `json:"file,omitempty"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
}

// Error returns the detail.
func (p *Problem) Error() string { return p.Detail }

// NewProblem makes a problem of no type of its own: what its status says.
func NewProblem(status int, detail string) *Problem {
	return &Problem{Type: "about:blank", Title: http.StatusText(status), Status: status, Detail: detail}
}

// Write answers with the problem.
func (p *Problem) Write(w http.ResponseWriter) {
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(p.Status)
	json.NewEncoder(w).Encode(p)
}

// problemOf tells of an error in what was sent.
func problemOf(err error) *Problem {
	var (
		own   *Problem
		large *http.MaxBytesError
		parse *transcript.ParseError
		form  *validate.FormError
		stray normalize.StrayAnswers
		query *archive.QueryError
	)
	switch {
	case errors.As(err, &own):
		return own
	case errors.As(err, &large), errors.Is(err, transcript.ErrTooBig), errors.Is(err, pipeline.ErrTooMany):
		return NewProblem(http.StatusRequestEntityTooLarge, err.Error())
	case errors.As(err, &parse):
		p := NewProblem(http.StatusUnprocessableEntity, parse.Err.Error())
		p.File, p.Line, p.Column = parse.Name, parse.Line, parse.Col
		return p
	case errors.As(err, &form):
		p := NewProblem(http.StatusBadRequest, form.Err.Error())
		p.Line, p.Column = form.Line, form.Col
		return p
	case errors.As(err, &stray):
		return NewProblem(http.StatusUnprocessableEntity, err.Error())
	case errors.As(err, &query):
		return NewProblem(http.StatusBadRequest, err.Error())
	}
	return NewProblem(http.StatusBadRequest, err.Error())
}
