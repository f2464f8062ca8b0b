package archive

import (
	"errors"
	"os"
)

// leftOut is a review that could not be read when the index was made, whole or
// in its newest version, or a line of the log. It is reported at every search, since otherwise a
// review would be found by nobody and missed by nobody.
type leftOut struct {
	Review string `json:"review"`
	File   string `json:"file"`
	Line   int    `json:"line,omitempty"`
	Why    string `json:"why"`
	Size   int64  `json:"size"` // of the file, -1 where there is none
	Time   int64  `json:"time"` // when it was written last, in nanoseconds
}

// leave notes what could not be read.
func (m *manifest) leave(a *Archive, damages []*Damage) {
	for _, d := range damages {
		l := leftOut{Review: d.Review, File: d.File, Line: d.Line, Why: d.Err.Error()}
		l.Size, l.Time = stamp(a.store.path(d.File))
		m.Left = append(m.Left, l)
	}
}

// stamp is the size of a file and when it was written last.
func stamp(path string) (size, written int64) {
	info, err := os.Stat(path)
	if err != nil {
		return -1, 0
	}
	return info.Size(), info.ModTime().UnixNano()
}

// changedSinceLeft reports whether a file that could not be read is another now.
func (m *manifest) changedSinceLeft(a *Archive) bool {
	for _, l := range m.Left {
		file := a.store.path(l.File)
		if l.File != journalName && len(l.File) > len("records/ab/")+hashLen {
			file = a.store.path(a.store.there(l.File[len("records/ab/"):][:hashLen]))
		}
		if size, written := stamp(file); l.File != journalName && (size != l.Size || written != l.Time) {
			return true
		}
	}
	return false
}

// left lists what the index could not take in.
func (v *view) left() []*Damage {
	var all []*Damage
	for _, l := range v.manifest.Left {
		all = append(all, &Damage{File: l.File, Line: l.Line, Review: l.Review, Err: errors.New(l.Why)})
	}
	return all
}

// without leaves out damages of the same file, line and review.
func without(all []*Damage) []*Damage {
	type key struct {
		file, review string
		line         int
	}
	seen := map[key]bool{}
	var out []*Damage
	for _, d := range all {
		k := key{d.File, d.Review, d.Line}
		if !seen[k] {
			seen[k] = true
			out = append(out, d)
		}
	}
	return out
}
