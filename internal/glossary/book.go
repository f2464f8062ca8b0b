package glossary

import (
	"cmp"
	"slices"

	"saywatt/internal/alike"
)

// Book is a glossary to look names up in. It is not changed once made and may
// be used by several goroutines. A nil Book holds nothing.
type Book struct {
	entries []Entry
	forms   [len(kindNames)]forms
}

// forms are the names of one kind in all their spellings.
type forms struct {
	exact map[string]int32 // plain form to entry
	names []form
	near  index // of names
}

type form struct {
	key   string
	entry int32
}

// New makes a Book of entries, in which a later list wins over an earlier one
// (see Merge).
func New(lists ...[]Entry) *Book {
	b := &Book{entries: Merge(lists...)}
	for k := range b.forms {
		b.forms[k].exact = map[string]int32{}
	}
	for i := range b.entries { // the names first: an alias gives way to a name
		b.add(int32(i), b.entries[i].Name)
	}
	for i := range b.entries {
		for _, s := range b.entries[i].Aliases {
			b.add(int32(i), s)
		}
		for _, s := range b.entries[i].Spoken {
			b.add(int32(i), s)
		}
	}
	for k := range b.forms {
		b.forms[k].near.sort()
	}
	return b
}

func (b *Book) add(entry int32, name string) {
	f := &b.forms[b.entries[entry].Kind]
	p := plain(name)
	if _, taken := f.exact[p]; taken {
		return
	}
	f.exact[p] = entry
	k := key(b.entries[entry].Kind, name)
	if k == "" {
		return
	}
	f.names = append(f.names, form{k, entry})
	f.near.add(k, int32(len(f.names)-1))
}

// Entries returns the entries, in the order given. The caller may not change
// them.
func (b *Book) Entries() []Entry {
	if b == nil {
		return nil
	}
	return b.entries
}

// how says in what way a name was found, the surest first.
type how uint8

// The ways.
const (
	howNot   how = iota
	howExact     // the same letters and digits
	howSound     // the same sound, or only letters that captions confuse
	howNear      // one edit of the sound away
)

// Match is an entry that a name heard may mean.
type Match struct {
	Entry *Entry
	How   how
}

// most bounds the matches of a look-up.
const most = 5

// Find returns up to five entries of the kind that the heard name may mean,
// the surest first, of equal ones the first in the book. Where the letters and
// digits are the same there is one.
func (b *Book) Find(k Kind, heard string) []Match {
	if b == nil || heard == "" {
		return nil
	}
	f := &b.forms[k]
	if i, ok := f.exact[plain(heard)]; ok {
		return []Match{{&b.entries[i], howExact}}
	}
	want := key(k, heard)
	if want == "" {
		return nil
	}
	var stack [32]int32
	type found struct {
		entry int32
		how   how
		d     int
	}
	var all []found
	for _, n := range f.near.find(stack[:0], want) {
		o := &f.names[n]
		how := howSound
		if o.key != want {
			if !near(k, want, o.key) {
				continue
			}
			how = howNear
		}
		all = append(all, found{o.entry, how, alike.Distance(plain(heard), plain(b.entries[o.entry].Name), 99)})
	}
	slices.SortStableFunc(all, func(x, y found) int { return cmp.Or(cmp.Compare(x.how, y.how), cmp.Compare(x.d, y.d)) })
	var out []Match
	for _, m := range all {
		if len(out) < most && !slices.ContainsFunc(out, func(o Match) bool { return o.Entry == &b.entries[m.entry] }) {
			out = append(out, Match{&b.entries[m.entry], m.how})
		}
	}
	return out
}

// edited is the length of a maker's key from which an edit is allowed; in one
// letter less, two may be swapped.
const edited = 5

// near reports whether two keys are one edit apart; those of makers only where
// they are long enough and begin and end alike, since what is lost in the
// middle of a name is lost more often than its ends (common practice, no
// source).
func near(k Kind, a, b string) bool {
	if alike.Distance(a, b, 2) != 1 {
		return false
	}
	if k != KindMaker {
		return true
	}
	long := max(len(a), len(b)) >= edited || len(a) == len(b) && len(a) == edited-1 && swapped(a, b)
	return long && a[0] == b[0] && a[len(a)-1] == b[len(b)-1]
}

// swapped reports whether two keys have the same letters.
func swapped(a, b string) bool {
	x, y := []byte(a), []byte(b)
	slices.Sort(x)
	slices.Sort(y)
	return string(x) == string(y)
}

// PartNumbers says whether words are a part number of the book, by their letters and
// digits; nil where it has none.
func (b *Book) PartNumbers() func(words string) bool {
	if b == nil || len(b.forms[KindPart].exact) == 0 {
		return nil
	}
	return func(words string) bool {
		_, ok := b.forms[KindPart].exact[plain(words)]
		return ok
	}
}

// Suggest returns names of the kind that a person may have meant by what was
// typed, best first.
func (b *Book) Suggest(k Kind, typed string) []string {
	var names []string
	for i := range b.Entries() {
		if b.entries[i].Kind == k {
			names = append(names, b.entries[i].Name)
		}
	}
	return alike.Nearest(typed, names, most)
}
