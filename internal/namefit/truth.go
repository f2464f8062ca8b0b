package main

import (
	"saywatt/extract"
	"saywatt/extract/name"
	"saywatt/internal/alike"
	"saywatt/internal/narration"
)

// marked is a narration with the items of its names and what they are.
type marked struct {
	n      *narration.Narration
	fold   int
	doc    *extract.Document
	items  *extract.NameItems
	makers map[[2]int]bool // spans of items that name a maker
	owners map[[2]int]bool // those that name the product's maker
	titles map[[2]int]bool // those that name the product
	bare   bool            // without capitals and signs
	hidden map[int]bool    // items of which the truth does not say: other products
}

// mark makes a marked of a narration.
func mark(n *narration.Narration) (*marked, error) {
	tr, at, err := n.Transcript()
	if err != nil {
		return nil, err
	}
	d := extract.Survey(tr)
	t := &marked{n: n, doc: d, items: d.NameItems(), makers: map[[2]int]bool{}, owners: map[[2]int]bool{},
		titles: map[[2]int]bool{}, hidden: map[int]bool{}}
	names, err := n.Names()
	if err != nil {
		return nil, err
	}
	owner := n.Head["maker"]
	for _, s := range names {
		a, b := t.span(at, s)
		switch {
		case b <= a:
		case s.Type == "maker":
			t.makers[[2]int{a, b}] = true
			if extract.SamePlain(s.Meant, owner) {
				t.owners[[2]int{a, b}] = true
			}
		case !n.IsTitle(s.Meant):
			for i := a; i < b; i++ {
				t.hidden[i] = true
			}
		}
	}
	titles, err := n.Titles()
	if err != nil {
		return nil, err
	}
	for _, s := range titles {
		a, b := t.span(at, s)
		if b <= a {
			continue
		}
		t.titles[[2]int{a, b}] = true
		if k := t.opens(a, b, owner); k > a {
			t.makers[[2]int{a, k}], t.owners[[2]int{a, k}] = true, true
		}
	}
	return t, nil
}

// span returns the items of a name.
func (t *marked) span(at *narration.Offsets, s narration.NameSaid) (int, int) {
	start, end := at.Span(&narration.Mark{Start: s.Start, End: s.End})
	a, b := 0, 0
	for i, w := range t.items.Spans {
		from, to := int(t.doc.Tokens[w[0]].Start), int(t.doc.Tokens[w[1]-1].End)
		if from < end && to > start && t.items.Items[i].Kind != name.Para {
			if b == 0 {
				a = i
			}
			b = i + 1
		}
	}
	return a, b
}

// opens returns the item behind the words of items [a, b) that sound like the
// maker, a where none do.
func (t *marked) opens(a, b int, maker string) int {
	want := alike.Key(maker)
	best, at := len(want)/2+1, a
	for k := a + 1; k <= b && k <= a+3 && t.items.Items[k-1].Kind == name.Word; k++ {
		if d := alike.Distance(t.items.Key(a, k), want, best); d < best {
			best, at = d, k
		}
	}
	return at
}

// plain returns the same as captions without capitals and signs would show it.
func (t *marked) plain() *marked {
	c := *t
	c.bare = true
	c.items = &extract.NameItems{}
	now := make([]int, len(t.items.Items)+1)
	for i, it := range t.items.Items {
		now[i] = len(c.items.Items)
		if it.Kind == name.Sign || it.Kind == name.Para {
			continue
		}
		if it.Kind == name.Word {
			it.Text = it.Fold
		}
		c.items.Items = append(c.items.Items, it)
		c.items.Spans = append(c.items.Spans, t.items.Spans[i])
	}
	now[len(t.items.Items)] = len(c.items.Items)
	move := func(spans map[[2]int]bool) map[[2]int]bool {
		out := map[[2]int]bool{}
		for s := range spans {
			out[[2]int{now[s[0]], now[s[1]]}] = true
		}
		return out
	}
	c.makers, c.owners, c.titles, c.hidden = move(t.makers), move(t.owners), move(t.titles), map[int]bool{}
	for i := range t.hidden {
		c.hidden[now[i]] = true
	}
	c.items.Of(t.doc)
	return &c
}
