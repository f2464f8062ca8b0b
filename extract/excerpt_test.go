package extract_test

import (
	"path/filepath"
	"testing"

	"saywatt/extract"
	"saywatt/internal/narration"
)

// Stretches of narrations are read as texts of their own: what a mention is of is
// a subject of the document or none, whatever the text begins with.
func TestExcerpts(t *testing.T) {
	files, err := filepath.Glob("../testdata/tuning/*.mark")
	if err != nil {
		t.Fatal(err)
	}
	all, err := narration.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range all {
		for _, e := range n.Excerpts() {
			tr, _, err := e.Transcript()
			if err != nil {
				t.Fatalf("%s: %v: %q", n.Name, err, e.Text)
			}
			d := extract.Find(tr)
			for i := range d.Mentions {
				if j := d.Mentions[i].Context.Subject; j < -1 || int(j) >= len(d.Subjects) {
					t.Errorf("%s: mention %d is of subject %d of %d: %q", n.Name, i, j, len(d.Subjects), e.Text)
				}
			}
		}
	}
}
