package table

import (
	"encoding/csv"
	"io"
	"strings"

	"saywatt/internal/export/word"
	"saywatt/schema"
)

// NewCSV returns a writer of CSV as RFC 4180 has it: lines end in CRLF
// (section 2, rule 1), cells with commas, quotes or line breaks are quoted
// (rules 6 and 7).
func NewCSV(w io.Writer) *csv.Writer {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	return c
}

// CSVCell returns text from captions as a CSV cell. Control characters are shown
// as escapes, and a cell that a spreadsheet would take for a formula gets an
// apostrophe in front (common practice, no standard: a leading = + - or @,
// their full-width forms too).
func CSVCell(s string) string {
	s = word.Printable(s)
	if s == "-" { // standard input; no formula
		return s
	}
	for _, p := range [...]string{"=", "+", "-", "@", "＝", "＋", "－", "＠"} {
		if strings.HasPrefix(s, p) {
			return "'" + s
		}
	}
	return s
}

// in gives a value in a unit as a cell: nil where it is absent or of another
// kind. top picks the upper end of a range instead of the lower.
func in(v *schema.Value, u schema.Unit, top bool) any {
	if v == nil || v.Quantity.IsZero() {
		return nil
	}
	n := v.Quantity.Low
	if top {
		n = v.Quantity.High
	}
	n, err := v.Quantity.Unit.Convert(n, u)
	if err != nil {
		return nil
	}
	return n
}

// timeCell gives a time as a cell, nil where there is none.
func timeCell(s *schema.Seconds) any {
	if s == nil {
		return nil
	}
	return *s
}

// leastSure returns the status that most wants a person's eye: open, then
// repaired, then heard, then settled.
func leastSure(statuses ...schema.Status) schema.Status {
	order := [...]schema.Status{schema.StatusOpen, schema.StatusRepaired, schema.StatusHeard, schema.StatusSettled}
	for _, o := range order {
		for _, s := range statuses {
			if s == o {
				return s
			}
		}
	}
	return schema.StatusUnknown
}

func statusesOf(values ...*schema.Value) []schema.Status {
	var all []schema.Status
	for _, v := range values {
		if v != nil {
			all = append(all, v.Status)
		}
	}
	return all
}

// statusName is the name of a status, "" for the unknown one.
func statusName(s schema.Status) string {
	if s == schema.StatusUnknown {
		return ""
	}
	return s.String()
}
