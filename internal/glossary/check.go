package glossary

import "fmt"

// A Doubt is something in a glossary that reads well but may not be meant.
type Doubt struct {
	Entry   *Entry
	Message string
}

// Doubts lists, in the order of the book, the names that captions cannot keep
// apart, and the makers of parts that have no entry of their own.
func (b *Book) Doubts() []Doubt {
	var all []Doubt
	if b == nil {
		return nil
	}
	bySound := map[[2]string]int{}
	for i := range b.entries {
		e := &b.entries[i]
		if k := key(e.Kind, e.Name); k != "" {
			id := [2]string{e.Kind.String(), k}
			if first, ok := bySound[id]; ok {
				o := &b.entries[first]
				all = append(all, Doubt{e, fmt.Sprintf("%s %s sounds like %s (%s:%d): captions do not distinguish them",
					e.Kind, e.Name, o.Name, o.File, o.Line)})
			} else {
				bySound[id] = i
			}
		}
		for _, s := range append(append([]string(nil), e.Aliases...), e.Spoken...) {
			if at, ok := b.forms[e.Kind].exact[plain(s)]; ok && int(at) != i {
				o := &b.entries[at]
				all = append(all, Doubt{e, fmt.Sprintf("%q, given for %s, is taken for %s (%s:%d)", s, e.Name, o.Name,
					o.File, o.Line)})
			}
		}
		if e.Maker == "" {
			continue
		}
		if m := b.Find(KindMaker, e.Maker); len(m) == 0 || m[0].How != howExact {
			all = append(all, Doubt{e, fmt.Sprintf("maker %s of %s has no entry", e.Maker, e.Name)})
		}
	}
	return all
}
