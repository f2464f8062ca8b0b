package extract

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"saywatt/extract/feature"
	"saywatt/extract/place"
	"saywatt/extract/transcript"
)

// TestPortFeatures: what is seen of ports when they are chosen is what has names when
// the choice is trained.
func TestPortFeatures(t *testing.T) {
	files, err := filepath.Glob("../internal/demo/narrations/*.vtt")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	asked := 0
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		tr, err := transcript.Parse(file, b)
		if err != nil {
			t.Fatal(err)
		}
		type question struct {
			names    []string
			features [][]feature.Hash
		}
		questions := func(named bool) (all []question) {
			d := Find(tr)
			a := portAsker{d: d, named: named}
			a.ask(func(k int) place.Class { return d.Mentions[k].Context.Class }, func(q *PortQuestion) int {
				seen := question{names: slices.Clone(q.Names)}
				for _, list := range q.Features {
					var hashes []feature.Hash
					for _, f := range list {
						if named {
							f.Hash = feature.Of(f.Name)
						}
						hashes = append(hashes, f.Hash)
					}
					seen.features = append(seen.features, hashes)
				}
				all = append(all, seen)
				return len(all) % len(q.Names) // any answer: questions hang on the answers before
			}, func(int, string) {})
			return all
		}
		named, hashed := questions(true), questions(false)
		if !slices.EqualFunc(named, hashed, func(a, b question) bool {
			return slices.Equal(a.names, b.names) && slices.EqualFunc(a.features, b.features, slices.Equal)
		}) {
			t.Errorf("%s: with names %v, without %v", file, named, hashed)
		}
		asked += len(hashed)
	}
	if asked < 20 {
		t.Errorf("only %d questions", asked)
	}
}
