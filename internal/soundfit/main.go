// Command soundfit counts and fits what package sound rests on:
//
//	go run ./internal/soundfit -common testdata/tuning/*.mark > extract/sound/tables/common.tsv
//
// counts the words that stand for themselves in marked narrations: those
// outside of all marks.
//
//	go run ./internal/soundfit -spoken extract/sound/tables testdata/tuning/*.mark
//
// counts what numbers and units are said, and what follows what.
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
	spoken := flag.String("spoken", "", "count what is said into `folder`")
	weights := flag.Bool("weights", false, "fit weights")
	flag.Parse()
	var err error
	out := bufio.NewWriter(os.Stdout)
	switch {
	case *common:
		err = countWords(out, flag.Args())
	case *spoken != "":
		err = countSpoken(*spoken, flag.Args())
	case *weights:
		err = fitWeights(out, flag.Args())
	default:
		err = fmt.Errorf("-common, -spoken or -weights")
	}
	if err == nil {
		err = out.Flush()
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "soundfit:", err)
		os.Exit(1)
	}
}

// leastCommon is in how many narrations a word must stand to have a row: one that
// is in the table of the narration that it is from alone would look common there, and
// be strange in any other.
const leastCommon = 2

// commonHead stands above the rows of common.tsv.
const commonHead = `# Words of reviews that stand for themselves, and how often: counted by go run ./internal/soundfit -common over the marked
# narrations of testdata/tuning, outside of every quantity and name. Words of one narration only are left out.
# word    folded to lower case
# n       how often seen
# number  how often right before a number
# unit    how often right before the word of a unit that no number stands before
# behind  how often right behind a number without a unit
# source  where counted
`

// seen is how often a word was seen, and where.
type seen struct {
	n, number, unit, behind int
	files                   int
	last                    *narration.Narration // where it was seen last
}

// counter counts words.
type counter struct {
	words   map[string]*seen
	units   map[string]bool // words of units
	numbers map[string]bool // number words
}

// countWords writes common.tsv.
func countWords(out io.Writer, files []string) error {
	forms, err := readForms()
	if err != nil {
		return err
	}
	c := counter{map[string]*seen{}, map[string]bool{}, map[string]bool{}}
	for _, f := range forms {
		if f.means[0] >= '0' && f.means[0] <= '9' {
			c.numbers[f.words[0]] = true
		} else {
			c.units[f.words[0]] = true
		}
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			return err
		}
		nar, err := narration.Parse(f, string(data))
		if err != nil {
			return err
		}
		if !nar.ByEar() {
			c.countNarration(nar)
		}
	}
	words := make([]string, 0, len(c.words))
	for w, k := range c.words {
		if k.files >= leastCommon {
			words = append(words, w)
		}
	}
	slices.Sort(words)
	fmt.Fprint(out, commonHead, "word\tn\tnumber\tunit\tbehind\tsource\n")
	for _, w := range words {
		k := c.words[w]
		fmt.Fprintf(out, "%s\t%d\t%d\t%d\t%d\tcounted over testdata/tuning\n", w, k.n, k.number, k.unit, k.behind)
	}
	return nil
}

// countNarration counts the words between the marks of a narration.
func (c *counter) countNarration(nar *narration.Narration) {
	at := 0
	bare := false // a number without a unit stands before
	for _, m := range nar.Marks {
		quantity := m.Kind == narration.MarkQuantity || m.Kind == narration.MarkNumber
		c.countIn(nar, nar.Text[at:m.Start], bare, quantity && c.startsNumber(nar.Text[m.Start:m.End]))
		at, bare = m.End, m.Kind == narration.MarkNumber
	}
	c.countIn(nar, nar.Text[at:], bare, false)
}

// startsNumber reports whether the words of a mark begin with a digit, or with a
// number word: others were misheard.
func (c *counter) startsNumber(text string) bool {
	word, _, _ := strings.Cut(strings.ToLower(text), " ")
	return text != "" && (text[0] >= '0' && text[0] <= '9' || c.numbers[word])
}

// countIn counts the words of a text that stands behind a bare number or before a
// number.
func (c *counter) countIn(nar *narration.Narration, text string, bare, number bool) {
	var last *seen
	text = strings.ToLower(text)
	start := 0
	for w := range strings.FieldsFuncSeq(text, notLetter) {
		if w = strings.Trim(w, "'"); w == "" {
			continue
		}
		i := strings.Index(text[start:], w) + start
		joined := strings.TrimSpace(text[start:i]) == "" // nothing but blanks between
		start = i + len(w)
		k := c.words[w]
		if k == nil {
			k = &seen{}
			c.words[w] = k
		}
		k.n++
		if k.last != nar {
			k.last, k.files = nar, k.files+1
		}
		if last == nil && bare && joined {
			k.behind++
		}
		if last != nil && joined && c.units[w] {
			last.unit++
		}
		last = k
	}
	if last != nil && number && strings.TrimSpace(text[start:]) == "" {
		last.number++
	}
}

func notLetter(r rune) bool { return (r < 'a' || r > 'z') && r != '\'' }
