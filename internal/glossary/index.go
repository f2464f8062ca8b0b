package glossary

import (
	"cmp"
	"slices"
)

// index finds keys equal to a given one or one edit away. Every key is held
// by its own hash and by the hashes of what is left when one of its letters is
// left out; keys one edit apart, a swap of neighbours included, share one of
// them.
type index struct {
	posts []post
}

// post says that a key of the entry has the hash.
type post struct {
	hash  uint32
	entry int32
}

// shortest is the length of key from which an edit is allowed: in shorter ones
// it changes too much of the name (common practice, no source).
const shortest = 4

func (x *index) add(k string, entry int32) {
	variants(k, func(h uint32) { x.posts = append(x.posts, post{h, entry}) })
}

// sort makes the index ready for find.
func (x *index) sort() {
	slices.SortFunc(x.posts, func(a, b post) int {
		return cmp.Or(cmp.Compare(a.hash, b.hash), cmp.Compare(a.entry, b.entry))
	})
	x.posts = slices.Compact(x.posts)
}

// find appends the entries that may have a key near k, in order, each once;
// whether they have is for the caller to see.
func (x *index) find(to []int32, k string) []int32 {
	from := len(to)
	variants(k, func(h uint32) {
		i, _ := slices.BinarySearchFunc(x.posts, h, func(p post, h uint32) int { return cmp.Compare(p.hash, h) })
		for ; i < len(x.posts) && x.posts[i].hash == h; i++ {
			to = append(to, x.posts[i].entry)
		}
	})
	found := to[from:]
	slices.Sort(found)
	return to[:from+len(slices.Compact(found))]
}

// variants yields the hash of k and, for keys long enough, of k without each
// of its bytes.
func variants(k string, yield func(uint32)) {
	yield(hash(k, -1))
	if len(k) < shortest {
		return
	}
	for i := range len(k) {
		if i > 0 && k[i] == k[i-1] {
			continue // leaves the same
		}
		yield(hash(k, i))
	}
}

// hash is FNV-1a, 32 bit (Fowler, Noll, Vo; RFC 9923), of k without byte skip.
func hash(k string, skip int) uint32 {
	h := uint32(2166136261)
	for i := range len(k) {
		if i != skip {
			h = (h ^ uint32(k[i])) * 16777619
		}
	}
	return h
}
