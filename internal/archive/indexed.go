package archive

import (
	"encoding/json"

	"saywatt/internal/archive/index"
	"saywatt/schema"
)

// reviewIn returns the review of a name as the index keeps it, nil where there
// is none.
func reviewIn(v *index.View, name string) (rv *Review) {
	defer func() {
		if recover() != nil {
			v.Broken.Store(true)
			rv = nil
		}
	}()
	if v.Stored(name, index.FieldStored, func(b []byte) { rv, _ = readStored(b) }) != nil {
		return nil
	}
	return rv
}

// openIn is openOf of a review as the index keeps it.
func openIn(v *index.View, name string) (said []schema.Said, err error) {
	broken := v.Stored(name, index.FieldOpen, func(b []byte) { err = json.Unmarshal(b, &said) })
	if broken != nil {
		return nil, broken
	}
	return said, index.Describe(err)
}
