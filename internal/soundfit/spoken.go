package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"saywatt/extract/sound"
	"saywatt/internal/narration"
)

const turnsHead = `# What words follow one another where numbers are spoken: counted by go run ./internal/soundfit -spoken over the marked
# narrations of testdata/tuning, in what was said. Other words are all that are no number and no unit.
# from    class of a word, other also before the first
# to      class of the word behind it
# n       how often seen
# source  where counted
from	to	n	source
`

const spokenHead = `# How often number words and units are said: counted by go run ./internal/soundfit -spoken over the marked narrations of
# testdata/tuning, in what was said.
# form    as spoken, a dash between its parts
# n       how often seen
# source  where counted
form	n	source
`

// turns counts what follows what.
type turns struct {
	after map[[2]string]int
	forms map[string]int
	known map[string]knownForm // by the words joined
}

type knownForm struct{ name, turn string }

// countSpoken writes turns.tsv and spoken.tsv.
func countSpoken(dir string, files []string) error {
	all, err := narration.Read(files)
	if err != nil {
		return err
	}
	forms, err := readForms()
	if err != nil {
		return err
	}
	t := turns{map[[2]string]int{}, map[string]int{}, map[string]knownForm{}}
	for _, f := range forms {
		t.known[strings.Join(f.words, "")] = knownForm{strings.Join(f.words, "-"), turnOf(f.means)}
	}
	for w, turn := range map[string]sound.Turn{"hundred": sound.TurnHundred, "thousand": sound.TurnThousand,
		"point": sound.TurnPoint} {
		t.known[w] = knownForm{w, turn.String()}
	}
	for _, n := range all {
		if said := n.Said(); !n.ByEar() && inWords(said) {
			t.count(said)
		}
	}
	var rows, words []string
	for k, n := range t.after {
		rows = append(rows, fmt.Sprintf("%s\t%s\t%d\tcounted over testdata/tuning\n", k[0], k[1], n))
	}
	for f, n := range t.forms {
		words = append(words, fmt.Sprintf("%s\t%d\tcounted over testdata/tuning\n", f, n))
	}
	slices.Sort(rows)
	slices.Sort(words)
	err = os.WriteFile(filepath.Join(dir, "turns.tsv"), []byte(turnsHead+strings.Join(rows, "")), 0o644)
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, "spoken.tsv"), []byte(spokenHead+strings.Join(words, "")), 0o644)
}

// inWords reports whether a narration has its numbers in words, but for one in ten.
func inWords(n *narration.Narration) bool {
	digits, all := 0, 0
	for i := range n.Marks {
		if m := &n.Marks[i]; m.Kind == narration.MarkQuantity {
			all++
			if strings.ContainsAny(n.Text[m.Start:m.End], "0123456789") {
				digits++
			}
		}
	}
	return digits*10 < all
}

// turnOf is the class of a form that means a number or a unit.
func turnOf(means string) string {
	v, err := strconv.Atoi(means)
	switch {
	case err != nil:
		return sound.TurnUnit.String()
	case v < 10:
		return sound.TurnDigit.String()
	case v < 20:
		return sound.TurnTeen.String()
	}
	return sound.TurnTens.String()
}

// count counts a narration; quantities with digits are not spoken words, and end
// what is counted.
func (t *turns) count(n *narration.Narration) {
	other := sound.TurnOther.String()
	last, at := other, 0
	for i := range n.Marks {
		m := &n.Marks[i]
		for range strings.FieldsSeq(n.Text[at:m.Start]) {
			last = t.follow(last, other)
		}
		at = m.End
		text := strings.ToLower(n.Text[m.Start:m.End])
		if m.Kind != narration.MarkName && strings.ContainsAny(text, "0123456789") {
			last = ""
			continue
		}
		last = t.words(last, strings.FieldsFunc(text, notLetter))
	}
}

// words counts the words of a mark.
func (t *turns) words(last string, words []string) string {
	for i := 0; i < len(words); {
		end := min(len(words), i+3)
		for end > i+1 && t.known[strings.Join(words[i:end], "")].name == "" {
			end--
		}
		f, ok := t.known[strings.Join(words[i:end], "")]
		if !ok {
			f.turn = sound.TurnOther.String()
		} else {
			t.forms[f.name]++
		}
		last = t.follow(last, f.turn)
		i = end
	}
	return last
}

func (t *turns) follow(last, turn string) string {
	if last != "" {
		t.after[[2]string{last, turn}]++
	}
	return turn
}
