package name

import (
	"math"
	"strconv"
)

// titleKinds are letters for the kinds of items in a title.
const titleKinds = "wnqc-p"

// titles returns the stretches near the beginning that may be the product's
// name, and none.
func (t *text) titles(makers []Choice) []Choice {
	first := map[int]*Choice{} // the likeliest maker that begins at an item
	for i := range makers {
		if c := first[makers[i].First]; c == nil || makers[i].Score > c.Score {
			first[makers[i].First] = &makers[i]
		}
	}
	t.countPairs()
	var out []Choice
	bound := loadBounds()
	for a := range bound.titleFrom(len(t.items)) {
		if k := t.items[a].Kind; k != Word && k != Code {
			continue
		}
		telling := false
		for b := a + 1; b <= bound.titleEnd(a, len(t.items)); b++ {
			it := &t.items[b-1]
			if it.endsTitle() {
				break
			}
			telling = telling || it.Kind != Sign && it.Kind != Word || t.rank[b-1] != '1' || t.shape[b-1] == 'U'
			if !telling || it.Kind == Sign {
				continue
			}
			from := len(t.Rows)
			t.title(a, b, first[a])
			out = append(out, Choice{First: a, Last: b, Rows: t.take(from)})
		}
	}
	from := len(t.Rows)
	t.Put("T none")
	t.Put("T none ", t.cased)
	return append(out, Choice{Rows: t.take(from)})
}

// countPairs counts the pairs of neighbouring items, in any case of letters.
func (t *text) countPairs() {
	t.pairs = make(map[[2]int32]int, len(t.items))
	for i := 1; i < len(t.items); i++ {
		if t.items[i-1].Kind < Sign && t.items[i].Kind < Sign {
			t.pairs[[2]int32{t.word[i-1], t.word[i]}]++
		}
	}
}

// pair is how often item i and the one before it stand together in the text.
func (t *text) pair(i int) int {
	if i <= 0 || i >= len(t.items) {
		return 0
	}
	return min(t.pairs[[2]int32{t.word[i-1], t.word[i]}], manyTimes)
}

// title adds the features of items [a, b) as the product's name.
func (t *text) title(a, b int, maker *Choice) {
	n := b - a
	kind, rank, shape := make([]byte, n), make([]byte, n), make([]byte, n)
	for i := a; i < b; i++ {
		kind[i-a] = titleKinds[t.items[i].Kind]
		rank[i-a], shape[i-a] = t.rank[i], t.shape[i]
	}
	kinds, ranks, shapes := string(kind[:n]), string(rank[:n]), string(shape[:n])
	l1, cl := t.side(a - 1)
	l2, cl2 := t.side(a - 2)
	r1, cr := t.side(b)
	_, cr2 := t.side(b + 1)
	t.Put("T kinds:", kinds)
	t.Put("T kinds:", kinds, " ", t.cased, " ", shapes)
	t.Put("T case:", t.cased, " ", shapes)
	t.Put("T rank:", ranks)
	t.Put("T L:", l1)
	t.Put("T L:", l2, " ", l1)
	t.Put("T R:", r1)
	t.Put("T cL:", cl)
	t.Put("T cL:", cl2, " ", cl)
	t.Put("T cR:", cr)
	t.Put("T cR:", cr, " ", cr2)
	t.Put("T cR:", cr, " ", kinds[n-1:])
	if b < len(t.items) {
		t.Put("T R:", t.cased, " ", string(t.shape[b:b+1]), string(t.rank[b:b+1]), kindNames[t.items[b].Kind])
	}
	if a > 0 {
		t.Put("T L:", t.cased, " ", string(t.shape[a-1:a]), string(t.rank[a-1:a]), kindNames[t.items[a-1].Kind])
	}
	position := strconv.Itoa(int(math.Log2(float64(a/8 + 1))))
	t.Put("T at:", position)
	t.Put("T first:", ranks[:1], shapes[:1], " ", t.cased)
	t.Put("T last:", ranks[n-1:], shapes[n-1:], kinds[n-1:], " ", t.cased)
	t.known("T f:", a)
	t.known("T l:", b-1)
	for i := a; i < b; i++ {
		if t.items[i].Kind == Word {
			t.known("T w:", i)
			if c := t.items[i].Class; c != "" {
				t.Put("T class:", c)
			}
		}
	}
	t.Put("T again:", strconv.Itoa(min(int(t.counts[t.word[a]]), manyTimes)), ranks[:1])
	t.Put("T far:", distance(t.before[a]))
	in := manyTimes
	for i := a + 1; i < b; i++ {
		in = min(in, t.pair(i))
	}
	if n == 1 {
		in = 0
	}
	left, right := t.pair(a), t.pair(b)
	t.Put("T in:", strconv.Itoa(in))
	t.Put("T in:", strconv.Itoa(in), " ", kinds)
	t.Put("T left:", strconv.Itoa(left), " ", strconv.Itoa(in))
	t.Put("T right:", strconv.Itoa(right), " ", strconv.Itoa(in))
	if maker == nil {
		t.Put("T maker none")
		return
	}
	within := "within"
	switch {
	case maker.Last == b:
		within = "whole"
	case maker.Last > b:
		within = "over"
	}
	t.Put("T maker ", within, " ", level(maker.Score))
}

// maker of a product: names of one sound.
type owner struct {
	c     Choice
	at    []int // where they begin, up to manyTimes
	ends  []int
	count int
	best  float64
}

// owners returns the names that may be of the product's maker, one of each
// sound, and none. The words that open the title may be.
func (t *text) owners(makers []Choice, title Choice, key func(int, int) string) []Choice {
	byKey := map[string]int{}
	var list []owner
	note := func(c Choice) {
		k, ok := byKey[c.Key]
		if !ok {
			k = len(list)
			byKey[c.Key] = k
			list = append(list, owner{c: c, best: c.Score})
		}
		o := &list[k]
		o.count++
		o.best = max(o.best, c.Score)
		if len(o.at) < manyTimes {
			o.at, o.ends = append(o.at, c.First), append(o.ends, c.Last)
		}
	}
	for _, c := range makers {
		if c.Key != "" && loadBounds().owns(c.Score) {
			note(c)
		}
	}
	opens := map[string]int{} // key of the words that open the title
	for k := title.First + 1; k <= title.Last && k <= title.First+makerWords && t.items[k-1].Kind == Word; k++ {
		c := Choice{First: title.First, Last: k, Score: -9}
		if c.Key = key(c.First, c.Last); c.Key == "" {
			continue
		}
		if _, ok := opens[c.Key]; !ok {
			opens[c.Key] = k
		}
		if _, ok := byKey[c.Key]; !ok {
			note(c)
		}
	}
	out := make([]Choice, 0, len(list)+1)
	for i := range list {
		from := len(t.Rows)
		t.owner(&list[i], title, opens[list[i].c.Key])
		c := list[i].c
		c.Rows = t.take(from)
		out = append(out, c)
	}
	from := len(t.Rows)
	t.Put("O none")
	if title.Last == 0 {
		t.Put("O none, no title")
	}
	return append(out, Choice{Rows: t.take(from)})
}

// owner adds the features of a name as the product's maker. opens is the item
// behind the words of the title that sound as it does, 0 where none do.
func (t *text) owner(o *owner, title Choice, opens int) {
	t.Put("O best:", level(o.best))
	t.Put("O times:", strconv.Itoa(min(o.count, manyTimes)))
	t.Put("O at:", strconv.Itoa(int(math.Log2(float64(o.at[0]/8+1)))))
	t.Put("O rank:", string(t.rank[o.c.First:o.c.Last]))
	t.Put("O case:", t.cased, " ", string(t.shape[o.c.First:o.c.Last]))
	if opens > 0 {
		n, rest := strconv.Itoa(opens-title.First), strconv.Itoa(min(title.Last-opens, 3))
		t.Put("O opens ", n)
		t.Put("O opens ", n, " of ", rest)
		t.Put("O opens ", string(t.rank[title.First:opens]))
		t.Put("O opens ", t.cased, " ", string(t.shape[title.First:opens]))
		t.Put("O opens ", level(o.best), " of ", rest)
		if opens < len(t.items) {
			t.Put("O opens ", string(t.rank[title.First:opens]), " ", string(t.rank[opens:opens+1]),
				kindNames[t.items[opens].Kind])
		}
	} else {
		t.Put("O elsewhere")
		t.Put("O elsewhere ", level(o.best))
	}
	code := false
	for k, a := range o.at {
		b := o.ends[k]
		l1, cl := t.side(a - 1)
		l2, _ := t.side(a - 2)
		_, cr := t.side(b)
		t.Put("O L:", l1)
		t.Put("O L:", l2, " ", l1)
		t.Put("O cL:", cl)
		t.Put("O cR:", cr)
		code = code || cr == kindNames[Code]
		if k == 0 {
			t.Put("O far:", distance(t.before[a]))
			t.Put("O next:", distance(t.behind[b-1]))
			switch gap := a - title.Last; {
			case title.Last == 0:
			case a >= title.First && b <= title.Last:
			case gap >= 0 && gap <= 6:
				t.Put("O behind title")
			case title.First-b >= 0 && title.First-b <= 6:
				t.Put("O before title")
			}
		}
	}
	if code {
		t.Put("O code")
	}
}
