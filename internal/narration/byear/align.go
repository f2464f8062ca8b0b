package byear

import (
	"slices"

	"saywatt/extract/sound"
)

// align returns, for every word written, the word said that most of its sounds
// stand for, -1 where none does. The words said go up with those written. It
// finds the least cost of turning all sounds said into all written, as
// [sound.Model.Distance] counts it, and a sound speaks for a word by what it
// spares against losing both.
func align(m *sound.Model, said, written []string) []int {
	a, wordA := phones(m, said)
	b, wordB := phones(m, written)
	votes := make([][]vote, len(written))
	for _, p := range phonePairs(m, a, b) {
		v := &votes[wordB[p.b]]
		if n := len(*v); n == 0 || (*v)[n-1].word != wordA[p.a] {
			*v = append(*v, vote{word: wordA[p.a]})
		}
		(*v)[len(*v)-1].spared += p.spared
	}
	out := make([]int, len(written))
	for i, list := range votes {
		out[i] = -1
		var most float32
		for _, v := range list {
			if v.spared > most {
				out[i], most = v.word, v.spared
			}
		}
	}
	return out
}

// vote is how much the sounds of a word written speak for a word said.
type vote struct {
	word   int
	spared float32
}

// phones returns the sounds of words, and the word of each.
func phones(m *sound.Model, words []string) (p []sound.Phone, word []int) {
	var room []sound.Phone // Say joins a sound with the same before it
	for i, w := range words {
		room = m.Say(room[:0], []byte(w))
		p = append(p, room...)
		for len(word) < len(p) {
			word = append(word, i)
		}
	}
	return p, word
}

// phonePair are two sounds that stand for one another.
type phonePair struct {
	a, b   int
	spared float32 // against losing both
}

// The ways to a place of two rows of sounds.
const (
	wayBoth  = iota
	wayA     // a sound of the first is lost
	wayB     // a sound of the second is lost
	wayStart // there is none
)

// phonePairs returns the sounds of two rows that stand for one another where one row
// is turned into the other at the least cost, in their order.
func phonePairs(m *sound.Model, a, b []sound.Phone) []phonePair {
	width := len(b) + 1
	way := make([]uint8, (len(a)+1)*width)
	above, row := make([]float32, width), make([]float32, width)
	way[0] = wayStart
	for j, q := range b {
		row[j+1] = row[j] + m.Lose(q)
		way[j+1] = wayB
	}
	for i, p := range a {
		above, row = row, above
		ways := way[(i+1)*width:]
		row[0], ways[0] = above[0]+m.Lose(p), wayA
		for j, q := range b {
			best, by := above[j+1]+m.Lose(p), uint8(wayA)
			if c := row[j] + m.Lose(q); c < best {
				best, by = c, wayB
			}
			if c := above[j] + m.Swap(p, q); c < best {
				best, by = c, wayBoth
			}
			row[j+1], ways[j+1] = best, by
		}
	}
	return back(m, a, b, way)
}

// back follows the ways from the end to the beginning.
func back(m *sound.Model, a, b []sound.Phone, way []uint8) []phonePair {
	var out []phonePair
	for i, j := len(a), len(b); ; {
		switch way[i*(len(b)+1)+j] {
		case wayBoth:
			i, j = i-1, j-1
			out = append(out, phonePair{i, j, m.Lose(a[i]) + m.Lose(b[j]) - m.Swap(a[i], b[j])})
		case wayA:
			i--
		case wayB:
			j--
		default:
			slices.Reverse(out)
			return out
		}
	}
}
