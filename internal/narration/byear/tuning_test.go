package byear

import (
	"path/filepath"
	"testing"

	"saywatt/extract/sound"
	"saywatt/internal/narration"
)

// everyFile is how many of the narrations there are for one that is tried.
const everyFile = 10

// A recogniser that writes just what was said has all marks on their words: none of
// them is lost or garbled, and what is written reads back.
func TestPerfectHearing(t *testing.T) {
	files, err := filepath.Glob("../../../testdata/tuning/*.mark")
	if err != nil || len(files) < 100 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	var some []string
	for i := 0; i < len(files); i += everyFile {
		some = append(some, files[i])
	}
	all, err := narration.Read(some)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range all {
		if n.ByEar() {
			continue
		}
		r, err := Aloud(n)
		if err != nil {
			t.Fatal(err)
		}
		var heard [][]string
		said := make([]int, len(r.said.Marks)) // words of each
		for i := range r.Utterances {
			var words []string
			for _, w := range r.Utterances[i].Words {
				words = append(words, w.Text)
				if w.Mark >= 0 {
					said[w.Mark]++
				}
			}
			heard = append(heard, words)
		}
		written, err := r.Write(sound.Default(), heard)
		if err != nil {
			t.Fatal(err)
		}
		next := 0
		for i := range r.said.Marks {
			m := &r.said.Marks[i]
			if next < len(written.Marks) && sameMark(&written.Marks[next], m) {
				next++
				continue
			}
			if m.Kind == narration.MarkNumber || said[i] == 0 { // said without a number; not said, as "-"
				continue
			}
			t.Errorf("%s: %q has no mark on its words", n.Name, r.said.Text[m.Start:m.End])
		}
		if back, err := narration.Parse(written.Name, written.Mark()); err != nil || back.Mark() != written.Mark() {
			t.Errorf("%s reads back otherwise: %v", n.Name, err)
		}
	}
}

// sameMark reports whether what is written stands for the mark, and not garbled.
func sameMark(written, said *narration.Mark) bool {
	return written.Kind == said.Kind && written.Slot == said.Slot && written.Name == said.Name &&
		written.Meant == said.Meant && written.Garble == ""
}
