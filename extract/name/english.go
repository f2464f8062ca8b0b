package name

import (
	"bytes"
	"embed"
	"strconv"
	"sync"
)

//go:embed tables/*.tsv
var tables embed.FS

// english is tables/english.tsv behind its head: sorted lines of a word and the
// size of the list that has it.
var english = sync.OnceValue(func() []byte {
	b, err := tables.ReadFile("tables/english.tsv")
	if err != nil {
		panic(err)
	}
	const head = "\nword\tsize\n"
	return b[bytes.Index(b, []byte(head))+len(head):]
})

// Common tells how common an English word in small letters is: 10, 20 or 35,
// the size of the smallest word list that has it; 0 where none has.
func Common(word string) int {
	list := english()
	lo, hi := 0, len(list) // begins of lines
	for lo < hi {
		mid := lo + (hi-lo)/2
		from := bytes.LastIndexByte(list[lo:mid], '\n') + 1 + lo
		to := from + bytes.IndexByte(list[from:], '\n')
		w, size, _ := bytes.Cut(list[from:to], []byte{'\t'})
		switch {
		case string(w) == word:
			n, _ := strconv.Atoi(string(size))
			return n
		case string(w) < word:
			lo = to + 1
		default:
			hi = from
		}
	}
	return 0
}
