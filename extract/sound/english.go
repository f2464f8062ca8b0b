package sound

import (
	"bytes"
	"slices"
	"sync"
)

// english is tables/english.tsv behind its head: sorted lines of a word and its phones.
var english = sync.OnceValue(func() []byte {
	b, err := tables.ReadFile("tables/english.tsv")
	if err != nil {
		panic(err) // the table is embedded
	}
	head := []byte("word\tphones\n")
	return b[bytes.Index(b, head)+len(head):]
})

// sayEnglish appends the phones of a word in small letters where the table has it.
func (m *Model) sayEnglish(dst []Phone, word []byte) []Phone {
	list := english()
	low, high := 0, len(list) // starts of lines
	for low < high {
		mid := (low + high) / 2
		start := bytes.LastIndexByte(list[:mid], '\n') + 1
		line := list[start : start+bytes.IndexByte(list[start:], '\n')]
		w, phones, _ := bytes.Cut(line, []byte{'\t'})
		switch c := bytes.Compare(w, word); {
		case c < 0:
			low = start + len(line) + 1
		case c > 0:
			high = start
		default:
			for symbol := range bytes.FieldsSeq(phones) {
				if p := slices.Index(m.names, string(symbol)); p > 0 {
					dst = append(dst, Phone(p))
				}
			}
			return dst
		}
	}
	return dst
}
