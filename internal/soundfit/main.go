// Command soundfit counts and fits what package sound rests on:
//
//	go run ./internal/soundfit -common testdata/tuning/*.mark > extract/sound/tables/common.tsv
//
// counts the words that stand for themselves in marked narrations: those
// outside of all marks.
//
//	go run ./internal/soundfit -weights extract/sound/testdata/pairs.tsv
//
// fits the weights of sounds over pairs of words shown and meant and prints the
// rows of weights.tsv.
package main

import (
	"bufio"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"saywatt/internal/narration"
)

func main() {
	common := flag.Bool("common", false, "count words")
	weights := flag.Bool("weights", false, "fit weights")
	flag.Parse()
	var err error
	out := bufio.NewWriter(os.Stdout)
	switch {
	case *common:
		err = countWords(out, flag.Args())
	case *weights:
		err = fitWeights(out, flag.Args())
	default:
		err = fmt.Errorf("-common or -weights")
	}
	if err == nil {
		err = out.Flush()
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "soundfit:", err)
		os.Exit(1)
	}
}

// leastCommon is how often a word must stand in the narrations to have a row.
const leastCommon = 2

// commonHead stands above the rows of common.tsv.
const commonHead = `# Words of reviews that stand for themselves, and how often: counted by go run ./internal/soundfit -common over the marked
# narrations of testdata/tuning, outside of every quantity and name. Words seen once are left out.
# word    folded to lower case
# n       how often seen
# source  where counted
`

// countWords writes common.tsv.
func countWords(out io.Writer, files []string) error {
	n := map[string]int{}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			return err
		}
		nar, err := narration.Parse(f, string(data))
		if err != nil {
			return err
		}
		at := 0
		for _, m := range nar.Marks {
			countIn(n, nar.Text[at:m.Start])
			at = m.End
		}
		countIn(n, nar.Text[at:])
	}
	words := make([]string, 0, len(n))
	for w, k := range n {
		if k >= leastCommon {
			words = append(words, w)
		}
	}
	slices.Sort(words)
	fmt.Fprint(out, commonHead, "word\tn\tsource\n")
	for _, w := range words {
		fmt.Fprintf(out, "%s\t%d\tcounted over testdata/tuning\n", w, n[w])
	}
	return nil
}

// countIn counts the words of a text.
func countIn(n map[string]int, text string) {
	for w := range strings.FieldsFuncSeq(strings.ToLower(text),
		func(r rune) bool { return (r < 'a' || r > 'z') && r != '\'' }) {
		if w = strings.Trim(w, "'"); w != "" {
			n[w]++
		}
	}
}
