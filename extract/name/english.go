package name

import (
	"embed"
	"strconv"
	"strings"
	"sync"
)

//go:embed tables/priors.tsv tables/bounds.tsv
var tables embed.FS

//go:embed tables/weights.tsv
var weightsTable string

//go:embed tables/english.tsv
var englishTable string

// english is tables/english.tsv behind its head: sorted lines of a word and the
// size of the list that has it.
var english = sync.OnceValue(func() string {
	_, list, _ := strings.Cut(englishTable, "\nword\tsize\n")
	return list
})

// Common says how common an English word in small letters is: 10, 20 or 35,
// the size of the smallest word list that has it; 0 where none has.
func Common(word string) int {
	list := english()
	lo, hi := 0, len(list) // begins of lines
	for lo < hi {
		mid := lo + (hi-lo)/2
		from := strings.LastIndexByte(list[lo:mid], '\n') + 1 + lo
		to := from + strings.IndexByte(list[from:], '\n')
		w, size, _ := strings.Cut(list[from:to], "\t")
		switch {
		case w == word:
			n, _ := strconv.Atoi(size)
			return n
		case w < word:
			lo = to + 1
		default:
			hi = from
		}
	}
	return 0
}
