package export

import (
	"encoding/json"
	"io"
)

// WriteJSON writes a value as one JSON document (RFC 8259), indented by two
// blanks, and a line break. The signs <, > and & stay as they are.
func WriteJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// WriteJSONLine writes a value as one line of JSON Lines; otherwise as
// [WriteJSON] does.
func WriteJSONLine(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e.Encode(v)
}
