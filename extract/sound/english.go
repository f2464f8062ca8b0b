package sound

import (
	_ "embed"
	"slices"
	"strings"
	"sync"
)

//go:embed tables/english.tsv
var englishTable string

// english is tables/english.tsv behind its head: sorted lines of a word and its phones.
var english = sync.OnceValue(func() string {
	_, list, _ := strings.Cut(englishTable, "word\tphones\n")
	return list
})

// sayEnglish appends the phones of a word in small letters where the table has it.
func (m *Model) sayEnglish(dst []Phone, word []byte) []Phone {
	list, key := english(), string(word)
	low, high := 0, len(list) // starts of lines
	for low < high {
		mid := (low + high) / 2
		start := strings.LastIndexByte(list[:mid], '\n') + 1
		line := list[start : start+strings.IndexByte(list[start:], '\n')]
		w, phones, _ := strings.Cut(line, "\t")
		switch c := strings.Compare(w, key); {
		case c < 0:
			low = start + len(line) + 1
		case c > 0:
			high = start
		default:
			for symbol := range strings.FieldsSeq(phones) {
				if p := slices.Index(m.names, symbol); p > 0 {
					dst = append(dst, Phone(p))
				}
			}
			return dst
		}
	}
	return dst
}
