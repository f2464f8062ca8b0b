package extract

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"saywatt/extract/feature"
	"saywatt/extract/place"
	"saywatt/schema"
)

// fades are the distances in words at which an event before a mention counts
// as a feature of its own. They are part of the names of features, so of the shape
// of what was learned; how far other features reach is a row of windows.tsv.
var fades = [...]struct {
	words int
	name  string
}{{4, "4"}, {12, "12"}, {30, "30"}, {80, "80"}, {200, "200"}, {400, "400"}}

// farName names a distance in words.
func farName(words int) string {
	for _, f := range fades {
		if words <= f.words {
			return f.name
		}
	}
	return "more"
}

// Chain is what the chain of package place is asked about: the mentions of a
// document that may be quantities.
type Chain struct {
	Mentions     []int32 // index into Document.Mentions
	Observations []place.Observation
}

// observer sees features of mentions.
type observer struct {
	*parser
	d *Document
	feature.List
	folded  string // the text in lower case, at the same offsets
	words   []int32
	breath  []int32 // number of the sentence, by token
	telling []int32 // words of sentences that say something, up to each token
	tells   []int32 // by sentence: such sentences up to it, negative where it says nothing
	events  []event
	in      []int32      // by token: 1 + index of the mention with a unit that it is in, 0 none
	kinds   []string     // by item
	values  []float64    // numbers by item as they were said, in whatever unit, without sign
	kindNo  []int32      // number of the kind, by item
	last    []int32      // of each name of an event, the one said last, from 1
	newest  int32        // the name of the event said last, -1 for none
	older   []int32      // by name of one that was said: that said last before it, -1 for none
	newer   []int32      // and the other way
	topics  []int32      // events met that change what is spoken of
	ways    []int32      // events met that say which way the power goes, or name a port
	turned  []int32      // of each of ways, the last up to it that says which way, -1 none
	begins  []int32      // first token of each sentence
	end     int32        // token behind the last that is no line break
	spoken  []spokenWord // all words
	around  []spokenWord // words of sentences that say something, and quantities by their kind
	paras   []paragraph  // that of the mention and those behind it
	at      int          // first of the spoken words that is not before the mention
	near    int          // first of the words around it that is not before the mention
	memo    *rowMemo
}

// event is something said at a token: a port named, a word for a test.
type event struct {
	token int32
	name  int32 // number among eventTable.names
}

// ObserveNames makes the chain with features that name gives rows to: for
// training.
func (d *Document) ObserveNames(name func(string) int32) *Chain {
	return d.observe(feature.List{Name: name}, &workroom{})
}

// observe makes the chain in the memory of the room.
func (d *Document) observe(list feature.List, in *workroom) *Chain {
	o := &observer{parser: &parser{x: d.Lexicon, text: d.Transcript.Text, tokens: d.Tokens}, d: d, List: list}
	o.memo = borrowMemo(list.Index)
	defer o.memo.giveBack()
	room := &o.memo.room
	o.begins, o.events, o.topics = room.begins[:0], room.events[:0], room.topics[:0]
	o.ways, o.turned = room.ways[:0], room.turned[:0]
	defer func() { room.keep(o) }()
	o.prepare()
	d.telling = o.telling
	c := &Chain{Mentions: in.asked[:0]}
	for i := range d.Mentions {
		if m := &d.Mentions[i]; m.Not == NotNothing || m.From == UnitOwn {
			c.Mentions = append(c.Mentions, int32(i))
		}
	}
	for _, i := range c.Mentions {
		kind := kindName(&d.Mentions[i])
		o.kinds, o.kindNo = append(o.kinds, kind), append(o.kindNo, o.memo.kind(kind))
		o.values = append(o.values, math.Abs(d.Mentions[i].Low.Float()))
	}
	c.Observations = slices.Grow(in.observations[:0], len(c.Mentions))[:len(c.Mentions)]
	clear(c.Observations)
	ends := make([]int, len(c.Mentions))
	o.Rows = slices.Grow(o.Rows, (o.memo.each+1)*len(c.Mentions))
	next := 0
	for i := range c.Mentions {
		for next < len(o.events) && o.events[next].token < d.Mentions[c.Mentions[i]].First {
			o.meet(int32(next))
			next++
		}
		o.observe(c, i, next)
		ends[i] = len(o.Rows)
	}
	if n := len(ends); n > 0 {
		o.memo.each = (len(o.Rows) + n - 1) / n
	}
	from := 0
	for i, end := range ends {
		c.Observations[i].Features = o.Rows[from:end:end]
		from = end
	}
	in.rows, in.observations, in.asked = o.Rows, c.Observations, c.Mentions
	return c
}

// prepare numbers words and sentences and finds the events.
func (o *observer) prepare() {
	var folded strings.Builder
	folded.Grow(len(o.text))
	for _, b := range o.text {
		if b >= 'A' && b <= 'Z' {
			b |= 0x20
		}
		folded.WriteByte(b)
	}
	o.folded = folded.String()
	o.words, o.breath = o.memo.room.words, o.memo.room.breath
	o.number()
	x := &o.x.cue.events
	o.last = zeros(o.memo.room.last, len(x.names))
	o.older, o.newer, o.newest = zeros(o.memo.room.older, len(x.names)), zeros(o.memo.room.newer, len(x.names)), -1
	o.in = zeros(o.memo.room.in, len(o.tokens))
	for k := range o.d.Mentions {
		if m := &o.d.Mentions[k]; m.From == UnitOwn && m.Not == NotNothing {
			for i := m.First; i < m.Last; i++ {
				o.in[i] = int32(k) + 1
			}
		}
	}
	next, until := 0, 0
	for i := range o.tokens {
		t := &o.tokens[i]
		for next < len(o.d.Mentions) && int(o.d.Mentions[next].Last) <= i {
			next++
		}
		if next < len(o.d.Mentions) && int(o.d.Mentions[next].First) <= i && o.d.Mentions[next].From == UnitOwn {
			continue // words of a quantity are no events
		}
		if i < until || t.Kind != TokenWord {
			continue
		}
		if t.Word != 0 {
			if v, n := o.x.cue.phrases.match(o.tokens, i); n > 0 {
				for _, name := range x.of[v] {
					o.events = append(o.events, event{int32(i), name})
				}
				until = i + n
				continue
			}
		}
		if o.looksLikeCode(t) {
			o.events = append(o.events, event{int32(i), x.code})
		}
	}
	o.count()
	o.speak()
}

// count counts the words of sentences that say something, by a mention or an
// event: how long ago something was said is counted in these, so that small talk
// between does not matter.
func (o *observer) count() {
	o.tells = zeros(o.memo.room.tells, int(o.breath[len(o.tokens)])+1)
	for i := range o.events {
		o.tells[o.breath[o.events[i].token]] = 1
	}
	for i := range o.d.Mentions {
		o.tells[o.breath[o.d.Mentions[i].First]] = 1
	}
	stepped := false
	for i := range o.tokens {
		switch breath := o.breath[i]; {
		case o.tokens[i].Kind == TokenPara && !stepped:
			o.tells[breath], stepped = 1, true // a new paragraph is a step of its own, one of small talk is none
		case o.tokens[i].Kind != TokenPara && o.tells[breath] > 0:
			stepped = false
		}
	}
	n := int32(0)
	for i := range o.tells {
		if o.tells[i] == 0 {
			o.tells[i] = -1
			continue
		}
		o.tells[i] = n
		n++
	}
	o.telling = make([]int32, len(o.tokens)+1)
	words := int32(0)
	for i := range o.tokens {
		o.telling[i] = words
		if o.tells[o.breath[i]] >= 0 {
			words += o.words[i+1] - o.words[i]
		}
	}
	o.telling[len(o.tokens)] = words
}

// number counts words and sentences up to each token.
func (o *observer) number() {
	o.words, o.breath = zeros(o.words, len(o.tokens)+1), zeros(o.breath, len(o.tokens)+1)
	words, breath := int32(0), int32(0)
	o.begins = append(o.begins, 0)
	for i := range o.tokens {
		if o.words[i], o.breath[i] = words, breath; int(breath) == len(o.begins) {
			o.begins = append(o.begins, int32(i))
		}
		if o.tokens[i].Kind != TokenBreak {
			o.end = int32(i) + 1
		}
		switch t := &o.tokens[i]; {
		case t.Kind == TokenPara:
			breath++
		case t.Kind == TokenWord, t.Kind == TokenNumber:
			words++
		case t.Word != 0 && !o.inside(i):
			if c := o.x.entries[t.Word].class; c == classStop || c == classColon {
				breath++
			}
		}
	}
	o.words[len(o.tokens)], o.breath[len(o.tokens)] = words, breath
}

// inside reports whether token i is a point inside a number that captions broke.
func (o *observer) inside(i int) bool {
	return i+1 < len(o.tokens) && o.tokens[i+1].Glued
}

// looksLikeCode reports whether a word has both letters and digits, or capitals
// alone, as part numbers do.
func (o *observer) looksLikeCode(t *Token) bool {
	letters, digits, capitals := 0, 0, 0
	for _, b := range o.text[t.Start:t.End] {
		switch {
		case b >= '0' && b <= '9':
			digits++
		case b >= 'A' && b <= 'Z':
			capitals++
			letters++
		default:
			letters++
		}
	}
	return digits > 0 && letters > 0 && t.Word == 0 || capitals >= 2 && capitals == letters && t.Word == 0
}

// kindMarks are what stands for a quantity of each kind among words: its name
// behind a sign that no word has.
var kindMarks = sync.OnceValue(func() map[string]string {
	marks := map[string]string{}
	for _, name := range []string{"millivolts", "milliamperes", "milliwatts", "milliohms", "size"} {
		marks[name] = "#" + name
	}
	for k := range schema.KindOther + 1 {
		marks[k.String()] = "#" + k.String()
	}
	return marks
})

// kindName names the kind of quantity as the trade distinguishes them: millivolts
// are a ripple where volts are none.
func kindName(m *Mention) string {
	if !m.HasUnit() {
		return "bare"
	}
	switch m.Unit.Unit {
	case "mV", "uV":
		return "millivolts"
	case "mA", "uA":
		return "milliamperes"
	case "mW", "uW":
		return "milliwatts"
	case "mOhm":
		return "milliohms"
	case "mm", "cm", "[in_i]":
		return "size"
	}
	return m.Unit.Unit.Kind().String()
}

// item is mention k of the chain, nil beyond its ends.
func (o *observer) item(c *Chain, k int) *Mention {
	if k < 0 || k >= len(c.Mentions) {
		return nil
	}
	return &o.d.Mentions[c.Mentions[k]]
}

// gap names how far apart two neighbouring mentions are.
func (o *observer) link(a, b *Mention) place.Link {
	between := o.telling[b.First] - o.telling[min(int(a.Last), len(o.tokens))]
	sentences := o.tells[o.breath[b.First]] - o.tells[o.breath[a.First]]
	same := sentences == 0
	switch {
	case same && between <= 2 && (b.Joint != JointNone || between <= 1):
		return place.LinkTight
	case same && between <= o.x.window.nearWords:
		return place.LinkNear
	case between <= o.x.window.sentenceLink && sentences <= 1:
		return place.LinkSentence
	}
	return place.LinkFar
}

func (o *observer) observe(c *Chain, i, seen int) {
	m := o.item(c, i)
	ob := &c.Observations[i]
	if m.HasUnit() {
		ob.Kind = m.Unit.Unit.Kind()
	}
	ob.Link = place.LinkFar
	if b := o.item(c, i-1); b != nil {
		ob.Link = o.link(b, m)
	}
	kind := o.kinds[i]
	o.putKind(seenBias, 0, 0, "bias")
	o.putKind(seenKind, o.kindNo[i], 0, "k:", kind)
	o.value(m, kind, o.kindNo[i])
	o.neighbours(c, i, kind)
	o.alike(i, kind)
	o.reach(m)
	o.addBefore(m, kind, o.kindNo[i])
	o.addBehind(m, kind, o.kindNo[i])
	o.heading(m)
	o.eventsAround(m, kind, o.kindNo[i], seen)
	at := i * 10 / len(c.Mentions)
	o.putKind(seenPosition, o.kindNo[i], at, "pos:", strconv.Itoa(at), " ", kind)
}

// value adds what the number itself shows.
func (o *observer) value(m *Mention, kind string, no int32) {
	q := m.Quantity()
	if m.Range {
		o.Put("range ", kind)
	}
	if m.Group >= 0 {
		o.Put("group")
	}
	if m.Qualifier != schema.QualifierNone {
		o.Put("q:", m.Qualifier.String())
	}
	switch m.From {
	case UnitList:
		o.Put("listed ", kind)
	case UnitGroup:
		o.Put("grouped ", kind)
	}
	if m.Not != NotNothing {
		o.Put("not:", m.Not.String())
	}
	plain := o.d.SaysUnit(m)
	if word := o.unitWord(m); word != "" && !plain {
		o.Put("u:", word)
	}
	if !m.HasUnit() {
		o.putKind(seenStyle, 0, int(m.Style), "style:", strconv.Itoa(int(m.Style)))
		o.putSize(kind, no, math.Abs(m.Low.Float()))
		o.Put("v:", q.Low.String(), "..", q.High.String(), " bare")
		o.putDecimals(m, kind, no)
		return
	}
	if m.From == UnitOwn && !plain {
		o.Put("manner:", strconv.Itoa(int(m.Unit.Manner)), " ", kind)
	}
	o.putSize(kind, no, math.Abs(q.SI()))
	o.Put("v:", q.Low.String(), "..", q.High.String(), " ", string(m.Unit.Unit))
	o.putDecimals(m, kind, no)
}

// putSize adds how large a value is, in thirds of a decade: in SI units, or as it was
// said without a unit.
func (o *observer) putSize(kind string, no int32, v float64) {
	if v > 0 {
		size := int(math.Floor(3*math.Log10(v) + 1e-9))
		o.putKind(seenSize, no, size, "m:", kind, ":", strconv.Itoa(size))
	}
}

// putDecimals adds how many digits stand behind the point.
func (o *observer) putDecimals(m *Mention, kind string, no int32) {
	decimals := min(3, max(0, int(-m.Low.Exp)))
	o.putKind(seenDecimals, no, decimals, "d:", strconv.Itoa(decimals), " ", kind)
}

// unitWord is the last word of the quantity: that of its unit, or "million" of a
// number in which captions hid one. One that is plainly a unit says nothing: amps,
// amperes and A are the same.
func (o *observer) unitWord(m *Mention) string {
	t := &o.tokens[m.Last-1]
	if t.Kind != TokenWord || t.Apart > 0 {
		return ""
	}
	return o.folded[t.Start:t.End]
}

// said is the word of a token in small letters: the one heard again, not that shown.
func (o *observer) said(t *Token) string {
	if t.Apart > 0 {
		return o.d.Lexicon.entries[t.Word].text
	}
	return o.folded[t.Start:t.End]
}

// neighbours adds the kinds of the mentions around and how they hang together.
func (o *observer) neighbours(c *Chain, i int, kind string) {
	m := o.item(c, i)
	before, behind := "-", "-"
	linkBefore, linkBehind := place.LinkFar, place.LinkFar
	key := rowKey(0).kind(o.kindNo[i])
	if b := o.item(c, i-1); b != nil {
		before, linkBefore = o.kinds[i-1], o.link(b, m)
		one := rowKey(0).kind(o.kindNo[i]).link(linkBefore).kind(o.kindNo[i-1])
		o.putKey(seenBefore, one, "k-1:", before, "/", linkBefore.String(), " ", kind)
		if bb := o.item(c, i-2); bb != nil {
			link := o.link(bb, b)
			o.putKey(seenBefore2, one.link(link).kind(o.kindNo[i-2]), "k-2:", o.kinds[i-2], "/", link.String(), " ",
				before, "/", linkBefore.String(), " ", kind)
		}
		key = key.link(linkBefore).kind(o.kindNo[i-1])
	} else {
		o.putKind(seenFirst, 0, 0, "first")
		key = key.none()
	}
	if a := o.item(c, i+1); a != nil {
		behind, linkBehind = o.kinds[i+1], o.link(m, a)
		one := rowKey(0).kind(o.kindNo[i]).link(linkBehind).kind(o.kindNo[i+1])
		o.putKey(seenBehind, one, "k+1:", behind, "/", linkBehind.String(), " ", kind)
		if aa := o.item(c, i+2); aa != nil {
			link := o.link(a, aa)
			o.putKey(seenBehind2, one.link(link).kind(o.kindNo[i+2]), "k+2:", o.kinds[i+2], "/", link.String(), " ",
				behind, "/", linkBehind.String(), " ", kind)
		}
		key = key.link(linkBehind).kind(o.kindNo[i+1])
	} else {
		key = key.none()
	}
	o.putKey(seenAround, key, "k:", before, "/", linkBefore.String(), " ", kind, " ", behind, "/", linkBehind.String())
	o.pairs(c, i, kind)
}

// pairs adds how many pairs of voltage and current stand in a row around.
func (o *observer) pairs(c *Chain, i int, kind string) {
	if kind != "voltage" && kind != "current" && kind != "bare" {
		return
	}
	count := 0
	from := i
	for from > 0 && i-from < int(o.x.window.pairs) && o.link(o.item(c, from-1), o.item(c, from)) <= place.LinkNear {
		from--
	}
	for k := from; k+1 < len(c.Mentions) && k-i < int(o.x.window.pairs); k++ {
		l := o.link(o.item(c, k), o.item(c, k+1))
		if l > place.LinkNear {
			break
		}
		if o.kinds[k] == "voltage" && o.kinds[k+1] == "current" && l == place.LinkTight {
			count++
		}
	}
	count = min(count, 4)
	o.putKind(seenPairs, o.kindNo[i], count, "pairs:", strconv.Itoa(count), " ", kind)
}
