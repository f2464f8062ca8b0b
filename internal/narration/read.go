package narration

import (
	"os"
	"path/filepath"
	"slices"
	"strings"

	"saywatt/extract/transcript"
)

// Read reads marked narrations from files, in the order of their names.
func Read(files []string) ([]*Narration, error) {
	var out []*Narration
	for _, f := range slices.Sorted(slices.Values(files)) {
		source, err := os.ReadFile(f)
		if err != nil {
			return nil, err
		}
		n, err := Parse(strings.TrimSuffix(filepath.Base(f), ".mark"), string(source))
		if err != nil {
			return nil, err
		}
		out = append(out, n)
	}
	return out, nil
}

// Transcript returns what a reader of captions makes of the narration in the form
// of its head, and where the marks stand in that text.
func (n *Narration) Transcript() (*transcript.Transcript, *Offsets, error) {
	return n.transcript(n.Name+Ending(n.Form()), n.Form())
}

// transcript is Transcript for a caption file of a name, in a form.
func (n *Narration) transcript(file, form string) (*transcript.Transcript, *Offsets, error) {
	t, err := transcript.Parse(file, n.Captions(form))
	if err != nil {
		return nil, nil, err
	}
	at, err := n.Align(t.Text)
	return t, at, err
}

// MarkAt returns the mark that covers most of bytes [start, end) of the text that
// the offsets lead to, of those that want takes; nil where none does.
func (n *Narration) MarkAt(at *Offsets, start, end int, want func(*Mark) bool) *Mark {
	var best *Mark
	most := 0
	for i := range n.Marks {
		m := &n.Marks[i]
		a, b := at.Span(m)
		if common := min(b, end) - max(a, start); common > most && want(m) {
			best, most = m, common
		}
	}
	return best
}

// Any takes every mark, Quantity those of quantities; for MarkAt.
func Any(*Mark) bool        { return true }
func Quantity(m *Mark) bool { return m.Kind == MarkQuantity }
