package name

import (
	"cmp"
	"slices"
	"strconv"

	"saywatt/extract/feature"
)

// Choice is a stretch of items [First, Last) that may be a name.
type Choice struct {
	First, Last int
	Key         string  // of its sound, equal for names that sound alike
	Rows        []int32 // its features
	Score       float64 // log odds, or their part that chooses among titles and owners
}

// Found are the names of a narration. First and Last are zero of what was not
// found.
type Found struct {
	Makers []Choice // in the order of the text, with log odds
	Title  Choice   // the product's name
	Owner  Choice   // its maker's
}

// Find finds the names among the items. key gives the key of the sound of items
// [first, last).
func (m *Model) Find(items []Item, key func(first, last int) string) Found {
	t := newText(items, m.List())
	defer t.memo.giveBack(m.index)
	s := m.scorer(t)
	all := m.Score(t.makers(s.places(key)))
	f := Found{Makers: apart(all), Title: s.title(all)}
	f.Owner = best(m.Score(t.owners(all, f.Title, key)))
	return f
}

// Likely keeps of the places scored those that the evidence of the file is
// looked at for, with the keys of their sounds. It reuses the slice.
func Likely(placed []Choice, key func(first, last int) string) []Choice {
	kept := placed[:0]
	for _, c := range placed {
		if loadBounds().placed(c.Score) {
			c.Key = key(c.First, c.Last)
			kept = append(kept, c)
		}
	}
	return kept
}

// Places returns what may be a maker's name, with its features: for training.
func Places(items []Item, list feature.List) []Choice { return newText(items, list).places() }

// Makers returns the same names with the features of the evidence of the file.
// placed has the scores of their places and the keys of their sounds.
func Makers(items []Item, list feature.List, placed []Choice) []Choice {
	return newText(items, list).makers(placed)
}

// Titles returns what may be the product's name, the last one being none.
func Titles(items []Item, list feature.List, makers []Choice) []Choice {
	return newText(items, list).titles(makers)
}

// Owners returns what may be the name of the product's maker, the last one being
// none.
func Owners(items []Item, list feature.List, makers []Choice, title Choice, key func(int, int) string) []Choice {
	return newText(items, list).owners(makers, title, key)
}

// take hands out the features put since the last time.
func (t *text) take(from int) []int32 { return t.Rows[from:len(t.Rows):len(t.Rows)] }

func (t *text) places() []Choice {
	var out []Choice
	for a := range t.items {
		for n := 1; n <= makerWords && a+n <= len(t.items) && t.items[a+n-1].Kind == Word; n++ {
			if !t.may(a, a+n) {
				continue
			}
			from := len(t.Rows)
			t.place(a, a+n)
			out = append(out, Choice{First: a, Last: a + n, Rows: t.take(from)})
		}
	}
	return out
}

// level names a range of log odds.
func level(score float64) string {
	return strconv.Itoa(int(max(-5, min(score, 6)) + 5.5))
}

// places of one sound: the best three.
type heardAs struct {
	best  [3]*Choice
	count int
}

func (t *text) makers(placed []Choice) []Choice {
	byKey := map[string]*heardAs{}
	for i := range placed {
		c := &placed[i]
		if c.Key == "" {
			continue
		}
		h := byKey[c.Key]
		if h == nil {
			h = &heardAs{}
			byKey[c.Key] = h
		}
		if c.Score > 0 {
			h.count++
		}
		in := c
		for k := range h.best {
			if h.best[k] == nil || in.Score > h.best[k].Score {
				in, h.best[k] = h.best[k], in
			}
			if in == nil {
				break
			}
		}
	}
	out := make([]Choice, 0, len(placed))
	for i := range placed {
		c := placed[i]
		from := len(t.Rows)
		t.evidence(&placed[i], byKey[c.Key], t.rivals(placed, i))
		c.Rows = t.take(from)
		out = append(out, c)
	}
	return out
}

// rivals returns the best score of a place that overlaps choice i; places are in
// the order of their first items, and none is longer than makerWords.
func (t *text) rivals(placed []Choice, i int) float64 {
	best := -9.0
	c := &placed[i]
	for k := i - 1; k >= 0 && placed[k].First > c.First-makerWords; k-- {
		if placed[k].Last > c.First {
			best = max(best, placed[k].Score)
		}
	}
	for k := i + 1; k < len(placed) && placed[k].First < c.Last; k++ {
		best = max(best, placed[k].Score)
	}
	return best
}

// evidence adds what the whole file says of a place.
func (t *text) evidence(c *Choice, h *heardAs, rival float64) {
	own, n := level(c.Score), strconv.Itoa(c.Last-c.First)
	t.Put("M")
	t.Put("M own:", own)
	t.Put("M own:", own, " ", n)
	t.Put("M own:", own, " ", t.cased)
	t.Put("M rival:", level(c.Score-rival))
	t.Put("M rival:", level(c.Score-rival), " ", own)
	t.Put("M case:", t.cased, " ", string(t.shape[c.First:c.Last]))
	t.Put("M rank:", string(t.rank[c.First:c.Last]))
	other, times := "none", 0
	if h != nil {
		times = min(h.count, manyTimes)
		for _, o := range h.best {
			if o != nil && (o.Last <= c.First || o.First >= c.Last) {
				other = level(o.Score)
				break
			}
		}
	}
	t.Put("M other:", other)
	t.Put("M other:", other, " ", own)
	t.Put("M times:", strconv.Itoa(times))
	t.Put("M times:", strconv.Itoa(times), " ", n)
	if len(c.Key) < 3 {
		t.Put("M short ", strconv.Itoa(len(c.Key)))
	}
}

// apart takes the names that are probable enough, the likeliest first, none
// over another.
func apart(all []Choice) []Choice {
	order := make([]int, 0, 64)
	last := 0
	for i := range all {
		if loadBounds().taken(all[i].Score) {
			order = append(order, i)
			last = max(last, all[i].Last)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(all[b].Score, all[a].Score) })
	taken := make([]bool, last)
	var out []Choice
	for _, i := range order {
		c := &all[i]
		if slices.Contains(taken[c.First:c.Last], true) {
			continue
		}
		for k := c.First; k < c.Last; k++ {
			taken[k] = true
		}
		out = append(out, *c)
	}
	slices.SortFunc(out, func(a, b Choice) int { return cmp.Compare(a.First, b.First) })
	return out
}

// best returns the choice of the highest score, the first where several have it.
func best(list []Choice) Choice {
	var b Choice
	for i := range list {
		if i == 0 || list[i].Score > b.Score {
			b = list[i]
		}
	}
	return b
}
