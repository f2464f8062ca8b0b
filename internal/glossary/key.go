package glossary

import (
	"embed"
	"sync"

	"saywatt/extract"
	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

// folds tells for every letter which one stands for its group.
var folds = sync.OnceValue(func() [256]byte {
	var f [256]byte
	for i := range f {
		f[i] = byte(i)
	}
	for _, r := range schema.MustReadTable(tables, "tables/confusions.tsv").Rows {
		for _, c := range []byte(r.Get("letters")) {
			f[c] = r.Get("fold")[0]
		}
	}
	return f
})

// codeKey is a part number or package with the letters folded that captions
// confuse: names that are read out alike share it.
func codeKey(name string) string {
	f := folds()
	b := []byte(plain(name))
	for i, c := range b {
		b[i] = f[c]
	}
	return string(b)
}

// key is the key by sound of a name of the kind.
func key(k Kind, name string) string {
	if k == KindMaker {
		return extract.SoundKey(name)
	}
	return codeKey(name)
}
