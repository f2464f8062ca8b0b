package edit

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strings"

	"saywatt/schema"
)

// The list of changes as JSON Lines: an object a row, in the order of the file,
// with the keys that CSV has as columns. accept is true or false, at, confidence
// and said are numbers, span is [715,723]; what is empty is left out.

// jsonRow is a row of the list.
type jsonRow struct {
	Accept     *bool           `json:"accept"`
	At         *schema.Seconds `json:"at,omitempty"`
	Before     *string         `json:"before"`
	After      *string         `json:"after"`
	Why        string          `json:"why,omitempty"`
	Confidence float64         `json:"confidence,omitempty"`
	Link       string          `json:"link,omitempty"`
	Said       int             `json:"said,omitempty"`
	Span       *schema.Span    `json:"span"`
	Left       string          `json:"left,omitempty"`
}

// WriteJSON writes the list of changes and places left as JSON Lines. link is a
// pattern, see Link.
func WriteJSON(w io.Writer, changes []Change, left []Left, link string) error {
	j := json.NewEncoder(w)
	j.SetEscapeHTML(false)
	write := func(c *Change, accept bool, left string) error {
		return j.Encode(jsonRow{&accept, c.At, &c.Before, &c.After, c.Why, c.Confidence, Link(c, link), c.Said, &c.Span,
			left})
	}
	return inOrder(changes, left,
		func(c *Change) error { return write(c, true, "") },
		func(l *Left) error { return write(l.change(), false, l.why()) })
}

// Errors of a list in JSON Lines.
var (
	errRow = errors.New("this is no JSON object of a list of changes")
	errKey = errors.New("the key is missing")
)

// readJSONList reads what WriteJSON wrote.
func readJSONList(b []byte) ([]Item, error) {
	var items []Item
	n := 0
	for line := range bytes.Lines(b) {
		n++
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		var row jsonRow
		if err := json.Unmarshal(line, &row); err != nil {
			return nil, &listError{n, badKey(err), errRow}
		}
		for _, key := range []struct {
			name  string
			there bool
		}{{"accept", row.Accept != nil}, {"before", row.Before != nil}, {"after", row.After != nil},
			{"span", row.Span != nil}} {
			if !key.there {
				return nil, &listError{n, key.name, errKey}
			}
		}
		items = append(items, Item{Line: n, Accept: *row.Accept, Before: strings.TrimSpace(*row.Before),
			After: strings.TrimSpace(*row.After), Span: *row.Span, Said: row.Said})
	}
	return items, nil
}

// badKey is the key of a row whose value cannot be read, "" where the row cannot.
func badKey(err error) string {
	var kind *json.UnmarshalTypeError
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &kind):
		return kind.Field
	case errors.As(err, &syntax):
		return ""
	}
	return err.Error() // of a span, in our words
}
