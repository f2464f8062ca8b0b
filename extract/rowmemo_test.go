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

// TestRowsRemembered: the rows that are remembered by number are those of the
// features by their names, of the first text and of those behind it.
func TestRowsRemembered(t *testing.T) {
	names, err := filepath.Glob("../internal/demo/narrations/*.vtt")
	if err != nil || len(names) == 0 {
		t.Fatal(names, err)
	}
	model := place.Default()
	for _, name := range append(names, names[0]) {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		tr, err := transcript.Parse(name, b)
		if err != nil {
			t.Fatal(err)
		}
		d := Survey(tr)
		want := d.ObserveNames(func(name string) int32 { return model.Index.Row(feature.Of(name)) })
		got := d.observe(feature.List{Index: model.Index}, &workroom{})
		if len(got.Observations) != len(want.Observations) || len(got.Observations) == 0 {
			t.Fatalf("%s: %d mentions, want %d", name, len(got.Observations), len(want.Observations))
		}
		for i := range want.Observations {
			if g, w := got.Observations[i].Features, want.Observations[i].Features; !slices.Equal(g, w) {
				t.Fatalf("%s: mention %d has rows %v, want %v", name, i, g, w)
			}
		}
	}
}

// TestLongestPhrase: of the phrases that begin at a token the longest is found,
// of equal ones the first.
func TestLongestPhrase(t *testing.T) {
	x := Words()
	p := &x.cue.phrases
	tokens := make([]Token, 0, 8)
	for i := range p.list {
		for _, behind := range []int32{0, p.list[i].words[0], p.list[(i+1)%len(p.list)].words[0]} {
			tokens = tokens[:0]
			for _, w := range append(slices.Clone(p.list[i].words), behind) {
				tokens = append(tokens, Token{Kind: TokenWord, Word: w})
			}
			best, value := 0, int32(0)
			for k := range p.list {
				end := 0
				if p.list[k].words[0] == tokens[0].Word {
					end = follow(tokens, 1, p.list[k].words[1:])
				}
				if end > best {
					best, value = end, p.list[k].value
				}
			}
			if v, n := p.match(tokens, 0); n != best || v != value {
				t.Fatalf("phrase %d: %d over %d tokens, want %d over %d", i, v, n, value, best)
			}
		}
	}
}
