package name

import (
	"strconv"

	"saywatt/extract/feature"
)

// Bounds of the features (common practice, no source; which features count, and
// how much, is fitted). They are in the names of features, so part of the shape of what
// was learned.
const (
	makerWords = 4  // words of a maker's name at most
	farAway    = 40 // items to the next part number or noun that are looked at
	manyTimes  = 4  // a name that stands as often stands often
)

// text is the items of a narration with what is worked out once of each.
type text struct {
	items  []Item
	rank   []byte  // how common a word is: '1', '2', '3' by the list that has it, 'x' none, 'n' no word
	shape  []byte  // of a word: 'l' small, 'U' capital, 'S' capital that opens a sentence, 'A' all capitals
	before []int32 // items since the last part number or noun of a part
	behind []int32 // and to the next
	word   []int32 // number of what the item is in small letters: equal for equal ones
	small  []bool  // words that stand in small letters somewhere, by number
	counts []int32 // how often a word stands in the text, by number
	cased  string  // "cased" where the text has capitals
	pairs  map[[2]int32]int
	column []string // word that heads the column of a table, "" outside
	memo   *memo
	no     []int32 // number of what the item is in the memo
	feature.List
}

func newText(items []Item, list feature.List) *text {
	t := &text{items: items, List: list}
	n := len(items)
	t.word, t.no = make([]int32, n), make([]int32, n)
	t.memo = borrowMemo(list.Index)
	t.rank, t.shape = make([]byte, n), make([]byte, n)
	t.before, t.behind = make([]int32, n), make([]int32, n)
	capitals, words := 0, 0
	start := true
	for i := range items {
		it := &items[i]
		no := t.memo.number(it.Fold)
		t.no[i], t.word[i] = no, t.memo.inText(no)
		t.rank[i], t.shape[i] = 'n', 'n'
		if it.Kind == Word {
			t.rank[i] = t.memo.rank(no, it.Fold)
			t.shape[i] = shapeOf(it.Text, start)
			words++
			if t.shape[i] == 'U' {
				capitals++
			}
		}
		start = it.ends() || start && it.Kind == Sign
	}
	t.small, t.counts = make([]bool, t.memo.next), make([]int32, t.memo.next)
	for i := range items {
		if items[i].Kind == Word {
			t.counts[t.word[i]]++
			t.small[t.word[i]] = t.small[t.word[i]] || t.shape[i] == 'l'
		}
	}
	if t.cased = "plain"; capitals*200 > words {
		t.cased = "cased"
	}
	t.columns()
	far := int32(farAway)
	for i := range items {
		t.before[i] = far
		if far++; items[i].ofPart() {
			far = 1
		}
	}
	far = farAway
	for i := n - 1; i >= 0; i-- {
		t.behind[i] = far
		if far++; items[i].ofPart() {
			far = 1
		}
	}
	return t
}

// ofPart reports whether the item is of a part: its noun, package or number.
func (t *Item) ofPart() bool { return t.Kind == Code || t.Class == "part" || t.Class == "package" }

func rankOf(word string) byte {
	switch Common(word) {
	case 10:
		return '1'
	case 20:
		return '2'
	case 35:
		return '3'
	}
	return 'x'
}

func shapeOf(w string, start bool) byte {
	if w[0] < 'A' || w[0] > 'Z' {
		return 'l'
	}
	if len(w) > 1 && w[1] >= 'A' && w[1] <= 'Z' {
		return 'A'
	}
	if start {
		return 'S'
	}
	return 'U'
}

// side returns the name of the item at i for features, and its class.
func (t *text) side(i int) (string, string) {
	if i < 0 || i >= len(t.items) {
		return "#end", "#end"
	}
	if t.rank[i] == 'x' && t.items[i].Class == "" {
		return "#unknown", "#unknown"
	}
	return t.items[i].neighbour(), t.items[i].coarse()
}

// distance names a number of items.
func distance(n int32) string {
	switch {
	case n <= 3:
		return strconv.Itoa(int(n))
	case n <= 6:
		return "6"
	case n <= 12:
		return "12"
	case n < farAway:
		return "39"
	}
	return "far"
}

// may reports whether items [a, b) may be a maker's name: words, one of which
// is not among the commonest or has a capital that no sentence gives it.
func (t *text) may(a, b int) bool {
	ok := false
	for i := a; i < b; i++ {
		it := &t.items[i]
		if it.Kind != Word || len(it.Fold) < 2 && b-a == 1 || it.foreign() {
			return false
		}
		ok = ok || t.rank[i] != '1' || t.shape[i] == 'U'
	}
	return ok
}

// initials says how the letters that open the part number behind the name
// agree with it: both are its, or the first.
func (t *text) initials(a, b int) string {
	k := b
	if k < len(t.items) && t.items[k].Kind == Sign && t.items[k].Fold == "," {
		k++
	}
	if k >= len(t.items) || t.items[k].Kind != Code {
		return "none"
	}
	code := t.items[k].Fold
	if len(code) < 2 || code[0] != t.items[a].Fold[0] {
		return "other"
	}
	for i := a; i < b; i++ {
		w := t.items[i].Fold
		from := 0
		if i == a {
			from = 1
		}
		for j := from; j < len(w); j++ {
			if w[j] == code[1] {
				return "both"
			}
		}
	}
	return "first"
}

// some sums up the words of a name: whether one of them is no English word, and
// whether one has a capital that no sentence gives it.
func (t *text) some(a, b int) string {
	unknown, capital := "common", "small"
	for i := a; i < b; i++ {
		if t.rank[i] == 'x' {
			unknown = "unknown"
		}
		if t.shape[i] == 'U' {
			capital = "capital"
		}
	}
	if t.cased == "plain" {
		capital = "plain"
	}
	return unknown + " " + capital
}

// known adds a word by itself where it is an English one: others may be names.
func (t *text) known(what string, i int) {
	if t.rank[i] != 'x' && t.rank[i] != 'n' {
		t.Put(what, t.items[i].Fold)
	}
}

// place adds the features of items [a, b) as a maker's name in its place.
func (t *text) place(a, b int) {
	n := b - a
	rank, shape := string(t.rank[a:b]), string(t.shape[a:b])
	l1, cl := t.side(a - 1)
	l2, cl2 := t.side(a - 2)
	r1, cr := t.side(b)
	r2, cr2 := t.side(b + 1)
	length := strconv.Itoa(n)
	t.Put("place")
	t.Put("n:", length)
	t.Put("rank:", rank)
	t.Put("case:", t.cased, " ", shape)
	t.Put("case:", t.cased, " ", shape, " ", rank)
	t.Put("L:", l1)
	t.Put("L:", l1, " ", length)
	t.Put("L:", l2, " ", l1)
	t.Put("L-:", l2)
	t.Put("R:", r1)
	t.Put("R:", r1, " ", length)
	t.Put("R:", r1, " ", r2)
	t.Put("cL:", cl)
	t.Put("cL:", cl2, " ", cl)
	t.Put("cR:", cr)
	t.Put("cR:", cr, " ", cr2)
	t.Put("cLR:", cl, " _ ", cr)
	t.Put("cLR:", cl, " _ ", cr, " ", rank)
	t.Put("L:", l1, " ", rank)
	some := t.some(a, b)
	t.Put("some:", some)
	t.Put("some:", some, " L:", l1)
	t.Put("some:", some, " cL:", cl)
	t.Put("some:", some, " cR:", cr)
	t.Put("some:", some, " cLR:", cl, " _ ", cr)
	t.Put("some:", some, " near:", distance(t.before[a]), " ", distance(t.behind[b-1]))
	t.Put("cR:", cr, " ", rank)
	t.Put("cR:", cr, " ", t.cased, " ", shape)
	t.Put("cL:", cl, " ", t.cased, " ", shape)
	t.Put("far:", distance(t.before[a]))
	t.Put("next:", distance(t.behind[b-1]))
	t.Put("near:", distance(t.before[a]), " ", distance(t.behind[b-1]))
	if t.column[a] != "" {
		t.Put("column:", t.column[a])
	}
	t.Put("initials:", t.initials(a, b))
	letters, least, lower := 0, 99, true
	for i := a; i < b; i++ {
		it := &t.items[i]
		t.known("w:", i)
		if it.Class != "" {
			t.Put("class:", it.Class)
		}
		letters += len(it.Fold)
		least = min(least, len(it.Fold))
		lower = lower && t.small[t.word[i]]
	}
	t.known("first:", a)
	t.Put("first:", string(t.rank[a:a+1]), " ", length)
	t.known("last:", b-1)
	t.Put("last:", string(t.rank[b-1:b]), " ", length)
	t.Put("letters:", strconv.Itoa(min(letters, 14)/2), " ", length)
	t.Put("least:", strconv.Itoa(min(least, 4)), " ", length)
	if lower {
		t.Put("small too ", t.cased, " ", shape)
	}
}
