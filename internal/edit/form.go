package edit

import (
	"errors"
	"fmt"
	"strings"

	"saywatt/extract/transcript"
)

// errTaken is returned where the words were taken out of a file that they
// cannot be put back into.
var errTaken = errors.New("corrections are not written back into a Word document; " +
	"save it as plain text and correct that, or take the list of changes")

// Writable reports whether corrections can be written back into the file that a
// transcript was read from: nil, or errTaken with its name.
func Writable(t *transcript.Transcript) error {
	if t.Taken {
		return fmt.Errorf("%s: %w", t.Name, errTaken)
	}
	return nil
}

// jsonEscapes write text inside the quotes of a JSON string (RFC 8259, 7).
var jsonEscapes = strings.NewReplacer(`\`, `\\`, `"`, `\"`)

// cellsBroken counts the rows of a table whose cells are not those of its head.
func cellsBroken(t *transcript.Transcript) int {
	n := 0
	for _, p := range t.Problems {
		if errors.Is(p, transcript.ErrCells) {
			n++
		}
	}
	return n
}

// isCaptions reports whether a form is of captions shown on a screen, which have
// bounds of reading.
func isCaptions(f transcript.Format) bool {
	switch f {
	case transcript.FormatVTT, transcript.FormatSRT, transcript.FormatTTML, transcript.FormatSBV, transcript.FormatASS:
		return true
	}
	return false
}
