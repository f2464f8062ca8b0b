package extract

import (
	"strings"
	"sync"

	"saywatt/schema"
)

// codeFolds says for every letter which one stands for its group.
var codeFolds = sync.OnceValue(func() [256]byte {
	var f [256]byte
	for i := range f {
		f[i] = byte(i)
	}
	for _, r := range schema.MustReadTable(tables, "tables/codefolds.tsv").Rows {
		for _, c := range []byte(r.Get("letters")) {
			f[c] = r.Get("fold")[0]
		}
	}
	return f
})

// CodeKey is a part number or package by its letters and digits alone, upper
// case, with the letters folded that captions confuse: names that are read out
// alike share it. Digits are kept: another digit is another part.
func CodeKey(name string) string {
	f := codeFolds()
	var b strings.Builder
	for i := 0; i < len(name); i++ {
		c := name[i]
		if c >= 'a' && c <= 'z' {
			c &^= 0x20
		}
		if c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c >= 0x80 {
			b.WriteByte(f[c])
		}
	}
	return b.String()
}
