package schema

import (
	"encoding/json"
	"errors"
	"fmt"
)

// ErrTwice is the cause of a document in which an object has a member twice:
// readers differ in which of the two they take.
var ErrTwice = errors.New("given twice")

// A KeyError is of a member that an object has twice.
type KeyError struct {
	Key    string
	Offset int64 // of the second
}

func (e *KeyError) Error() string { return fmt.Sprintf("%q: %v", e.Key, ErrTwice) }
func (e *KeyError) Unwrap() error { return ErrTwice }

// CheckKeys returns a *KeyError where an object of a JSON document, which must
// be valid, has a member twice.
func CheckKeys(document []byte) error {
	_, err := keysOf(document)
	return err
}

// keysOf is CheckKeys, and gives the members of the document itself; nil where it is
// no object.
func keysOf(document []byte) (members map[string]bool, err error) {
	var open []map[string]bool // of the objects and arrays open; nil for an array
	key := false               // a string is the name of a member
	for i := 0; i < len(document); i++ {
		switch document[i] {
		case '{':
			open, key = append(open, map[string]bool{}), true
			if members == nil && len(open) == 1 {
				members = open[0]
			}
		case '[':
			open, key = append(open, nil), false
		case '}', ']':
			if len(open) > 0 {
				open = open[:len(open)-1]
			}
			key = false
		case ',':
			key = len(open) > 0 && open[len(open)-1] != nil
		case '"':
			from := i
			for i++; i < len(document) && document[i] != '"'; i++ {
				if document[i] == '\\' {
					i++
				}
			}
			if !key || i >= len(document) {
				continue
			}
			key = false
			var name string
			if err := json.Unmarshal(document[from:i+1], &name); err != nil {
				return nil, err
			}
			if names := open[len(open)-1]; names[name] {
				return nil, &KeyError{name, int64(from)}
			}
			open[len(open)-1][name] = true
		}
	}
	return members, nil
}
