package normalize

import (
	"math"

	"saywatt/extract"
	"saywatt/extract/sound"
)

// fileView is what a whole file is like. Some are far harder to read than others: words
// of a weak recogniser are ordinary words where nobody says them, and where many
// quantities are open more of those that seem clear are wrong.
type fileView struct {
	words float32 // how much less usual its words are than those of reviews, in nats a word
	open  float64 // how many of its quantities are open, by their probabilities
	of    float64 // how many it has
}

// strangeness is by how many nats the words of the file are less usual than those of
// reviews, each word counting alike.
func (e *engine) strangeness() float32 {
	sum, n := 0.0, 0
	for _, t := range e.doc.Tokens {
		if t.Kind == extract.TokenWord {
			sum -= math.Log(e.doc.Lexicon.Share(e.doc.Transcript.Text, t, sound.Anywhere))
			n++
		}
	}
	return float32(loadBounds().strange(sum, float64(n)))
}

// strange is how much more improbable than usual so many words are, in nats a word, that
// are so improbable together.
func (b *bounds) strange(sum, words float64) float64 {
	return (sum+b.wordsWeight*b.usualWords)/(words+b.wordsWeight) - b.usualWords
}

// countOpen counts how many quantities are open.
func (e *engine) countOpen() {
	e.file.open, e.file.of = 0, 0
	for i := range e.nodes {
		n := &e.nodes[i]
		if n.settled || n.to == n.from {
			continue
		}
		if best := e.choose(n); best != nil {
			e.file.open += 1 - e.belief(n, best)
			e.file.of++
		}
	}
}

// openRate is how much more than usual of the file is open, in nats, beside a quantity
// that is so sure.
func (f *fileView) openRate(sure float64) float32 {
	return float32(loadBounds().openRate(max(0, f.open-(1-sure)), max(0, f.of-1)))
}

// openRate is how much more than usual is open, in nats, where so many of some are.
func (b *bounds) openRate(open, of float64) float64 {
	return overUsual(open, of, b.usualOpen, b.openWeight)
}
