// Package plainjson writes JSON (RFC 8259) in the one way of this program: the signs
// <, > and & as they are, as a document that people can read ([Write]) or as a line
// of JSON Lines ([WriteLine]).
package plainjson

import (
	"encoding/json"
	"io"
)

// Write writes a value as one JSON document (RFC 8259), indented by two
// blanks, and a line break. The signs <, > and & stay as they are.
func Write(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// WriteLine writes a value as one line of JSON Lines; otherwise as
// [Write] does.
func WriteLine(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e.Encode(v)
}
