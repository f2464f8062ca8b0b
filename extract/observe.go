package extract

import (
	"math"
	"strconv"
	"strings"

	"saywatt/extract/feature"
	"saywatt/extract/place"
	"saywatt/schema"
)

// Reaches of the features, in words (common practice, no source; which of the
// features count, and how much, is fitted).
const (
	wordsBefore   = 14  // words looked at before a mention
	wordsBehind   = 6   // and behind it
	eventsBehind  = 10  // how far behind it an event counts
	sentenceWords = 40  // how far a sentence reaches in captions without full stops
	eventsFade    = 400 // how far before it an event counts
	recent        = 80  // how far before it an event counts by the kind of quantity too
	headingWords  = 4   // words of a paragraph that head it
	nearWords     = 8   // a few words: LinkNear
	sentenceLink  = 30  // words to the next breath: LinkSentence
)

// fades are the distances in words at which an event before a mention counts
// as a feature of its own.
var fades = [...]struct {
	words int
	name  string
}{{4, "4"}, {12, "12"}, {30, "30"}, {80, "80"}, {200, "200"}, {eventsFade, "400"}}

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
	folded string // the text in lower case, at the same offsets
	words  []int32
	breath []int32 // number of the sentence, by token
	events []event
	kinds  []string // by item
	last   map[string]int
}

// event is something told at a token: a port named, a word for a test.
type event struct {
	token int32
	name  string
}

// Observe makes the chain of the document for a model.
func (d *Document) Observe(model *place.Model) *Chain {
	return d.observe(feature.List{Index: model.Index})
}

// ObserveNames makes the chain with features that name gives rows to: for
// training.
func (d *Document) ObserveNames(name func(string) int32) *Chain {
	return d.observe(feature.List{Name: name})
}

func (d *Document) observe(list feature.List) *Chain {
	o := &observer{parser: &parser{x: d.Lexicon, text: d.Transcript.Text, tokens: d.Tokens}, d: d, List: list}
	o.prepare()
	c := &Chain{}
	for i := range d.Mentions {
		if m := &d.Mentions[i]; m.Not == NotNothing || m.From == UnitOwn {
			c.Mentions = append(c.Mentions, int32(i))
		}
	}
	for _, i := range c.Mentions {
		o.kinds = append(o.kinds, kindName(&d.Mentions[i]))
	}
	c.Observations = make([]place.Observation, len(c.Mentions))
	ends := make([]int, len(c.Mentions))
	next := 0
	for i := range c.Mentions {
		for next < len(o.events) && o.events[next].token < d.Mentions[c.Mentions[i]].First {
			o.last[o.events[next].name] = next
			next++
		}
		o.observe(c, i, next)
		ends[i] = len(o.Rows)
	}
	from := 0
	for i, end := range ends {
		c.Observations[i].Features = o.Rows[from:end:end]
		from = end
	}
	return c
}

// prepare numbers words and sentences and finds the events.
func (o *observer) prepare() {
	folded := make([]byte, len(o.text))
	for i, b := range o.text {
		if b >= 'A' && b <= 'Z' {
			b |= 0x20
		}
		folded[i] = b
	}
	o.folded = string(folded)
	o.number()
	o.last = map[string]int{}
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
				for _, name := range o.x.cue.events[v] {
					o.events = append(o.events, event{int32(i), name})
				}
				until = i + n
				continue
			}
		}
		if o.looksLikeCode(t) {
			o.events = append(o.events, event{int32(i), "code"})
		}
	}
}

// number counts words and sentences up to each token.
func (o *observer) number() {
	o.words, o.breath = make([]int32, len(o.tokens)+1), make([]int32, len(o.tokens)+1)
	words, breath := int32(0), int32(0)
	for i := range o.tokens {
		o.words[i], o.breath[i] = words, breath
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

// kindName names the kind of quantity as the trade tells them apart: millivolts
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
	between := o.words[b.First] - o.words[min(int(a.Last), len(o.tokens))]
	same := o.breath[b.First] == o.breath[a.First]
	switch {
	case same && between <= 2 && (b.Joint != JointNone || between <= 1):
		return place.LinkTight
	case same && between <= nearWords:
		return place.LinkNear
	case between <= sentenceLink && o.breath[b.First]-o.breath[a.First] <= 1:
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
	o.Put("bias")
	o.Put("k:", kind)
	o.value(m, kind)
	o.neighbours(c, i, kind)
	o.wordsAround(m, kind)
	o.eventsAround(m, kind, seen)
	n := len(o.d.Tokens)
	o.Put("pos:", strconv.Itoa(int(m.First)*10/max(n, 1)), " ", kind)
}

// value adds what the number itself shows.
func (o *observer) value(m *Mention, kind string) {
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
	if word := o.unitWord(m); word != "" {
		o.Put("u:", word)
	}
	if !m.HasUnit() {
		o.Put("style:", strconv.Itoa(int(m.Style)))
		return
	}
	if m.From == UnitOwn {
		o.Put("manner:", strconv.Itoa(int(m.Unit.Manner)), " ", kind)
	}
	si := math.Abs(q.SI())
	if si > 0 {
		o.Put("m:", kind, ":", strconv.Itoa(int(math.Floor(3*math.Log10(si)+1e-9))))
	}
	o.Put("v:", q.Low.String(), "..", q.High.String(), " ", string(m.Unit.Unit))
	o.Put("d:", strconv.Itoa(min(3, max(0, int(-m.Low.Exp)))), " ", kind)
}

// unitWord is the last word of the quantity: that of its unit, or "million" of a
// number in which captions hid one.
func (o *observer) unitWord(m *Mention) string {
	t := &o.tokens[m.Last-1]
	if t.Kind != TokenWord {
		return ""
	}
	return o.folded[t.Start:t.End]
}

// neighbours adds the kinds of the mentions around and how they hang together.
func (o *observer) neighbours(c *Chain, i int, kind string) {
	m := o.item(c, i)
	before, behind := "-", "-"
	linkBefore, linkBehind := place.LinkFar, place.LinkFar
	if b := o.item(c, i-1); b != nil {
		before, linkBefore = o.kinds[i-1], o.link(b, m)
		o.Put("k-1:", before, "/", linkBefore.String(), " ", kind)
		if bb := o.item(c, i-2); bb != nil {
			o.Put("k-2:", o.kinds[i-2], "/", o.link(bb, b).String(), " ", before, "/", linkBefore.String(), " ", kind)
		}
	} else {
		o.Put("first")
	}
	if a := o.item(c, i+1); a != nil {
		behind, linkBehind = o.kinds[i+1], o.link(m, a)
		o.Put("k+1:", behind, "/", linkBehind.String(), " ", kind)
		if aa := o.item(c, i+2); aa != nil {
			o.Put("k+2:", o.kinds[i+2], "/", o.link(a, aa).String(), " ", behind, "/", linkBehind.String(), " ", kind)
		}
	}
	o.Put("k:", before, "/", linkBefore.String(), " ", kind, " ", behind, "/", linkBehind.String())
	o.pairs(c, i, kind)
}

// pairs adds how many pairs of voltage and current stand in a row around.
func (o *observer) pairs(c *Chain, i int, kind string) {
	if kind != "voltage" && kind != "current" && kind != "bare" {
		return
	}
	count := 0
	from := i
	for from > 0 && i-from < 12 && o.link(o.item(c, from-1), o.item(c, from)) <= place.LinkNear {
		from--
	}
	for k := from; k+1 < len(c.Mentions) && k-i < 12; k++ {
		l := o.link(o.item(c, k), o.item(c, k+1))
		if l > place.LinkNear {
			break
		}
		if o.kinds[k] == "voltage" && o.kinds[k+1] == "current" && l == place.LinkTight {
			count++
		}
	}
	o.Put("pairs:", strconv.Itoa(min(count, 4)), " ", kind)
}

// wordsAround adds the words before and behind, a mention among them by its
// kind.
func (o *observer) wordsAround(m *Mention, kind string) {
	n := 0
	sentence := true
	for i := int(m.First) - 1; i >= 0 && n < wordsBefore; i-- {
		t := &o.tokens[i]
		if t.Kind == TokenBreak {
			continue
		}
		if sentence && o.breath[i] != o.breath[m.First] {
			sentence = false
			if n == 0 {
				o.Put("starts ", kind)
			}
		}
		if t.Kind == TokenPara {
			break
		}
		if t.Kind != TokenWord {
			continue
		}
		n++
		w := o.folded[t.Start:t.End]
		if n <= 2 {
			o.Put("b", strconv.Itoa(n), ":", w)
			if n == 1 && sentence {
				o.Put("b1:", w, " ", kind)
			}
		}
		if sentence {
			o.Put("s:", w)
		} else {
			o.Put("t:", w)
		}
		if n <= 6 {
			o.Put("c:", w, " ", kind)
		}
	}
	n = 0
	for i := int(m.Last); i < len(o.tokens) && n < wordsBehind; i++ {
		t := &o.tokens[i]
		if t.Kind == TokenBreak {
			continue
		}
		if o.breath[i] != o.breath[m.First] {
			if n == 0 {
				o.Put("ends ", kind)
			}
			break
		}
		if t.Kind != TokenWord {
			continue
		}
		n++
		w := o.folded[t.Start:t.End]
		if n <= 2 {
			o.Put("a", strconv.Itoa(n), ":", w)
			if n == 1 {
				o.Put("a1:", w, " ", kind)
			}
		}
		o.Put("a:", w)
	}
	o.heading(m)
}

// heading adds the words that the paragraph begins with.
func (o *observer) heading(m *Mention) {
	i := int(m.First)
	for i > 0 && o.tokens[i-1].Kind != TokenPara && o.words[m.First]-o.words[i-1] < 250 {
		i--
	}
	if i > 0 && o.tokens[i-1].Kind != TokenPara {
		return
	}
	for n := 0; n < headingWords && i < int(m.First); i++ {
		if t := &o.tokens[i]; t.Kind == TokenWord {
			o.Put("h:", o.folded[t.Start:t.End])
			n++
		}
	}
}

// eventsAround adds what was told before the mention, by how long ago, and
// right behind it. Events before seen stand before it.
func (o *observer) eventsAround(m *Mention, kind string, seen int) {
	here := o.words[m.First]
	for k := seen - 1; k >= 0; k-- {
		e := &o.events[k]
		far := here - o.words[e.token]
		if far > eventsFade {
			break
		}
		if o.last[e.name] != k {
			continue // told again since
		}
		o.Put("e", farName(int(far)), ":", e.name)
		if int(far) <= recent {
			o.Put("ek:", e.name, " ", kind)
		}
		if o.breath[e.token] == o.breath[m.First] && far <= sentenceWords {
			o.Put("es:", e.name)
		}
	}
	o.direction(kind, here, seen)
	topic := 0
	for k := seen - 1; k >= 0 && topic < 3; k-- {
		if e := &o.events[k]; isTopic(e.name) {
			topic++
			o.Put("top", strconv.Itoa(topic), ":", e.name, " ", kind)
		}
	}
	for k := seen; k < len(o.events); k++ {
		e := &o.events[k]
		if e.token < m.Last {
			continue
		}
		if o.words[e.token]-o.words[min(int(m.Last), len(o.tokens))] > eventsBehind || o.breath[e.token] != o.breath[m.First] {
			break
		}
		o.Put("eb:", e.name)
		o.Put("ebk:", e.name, " ", kind)
	}
}

// direction adds which way the power went when the speaker last said so, and how
// long ago.
func (o *observer) direction(kind string, here int32, seen int) {
	for k := seen - 1; k >= 0; k-- {
		e := &o.events[k]
		if !strings.HasPrefix(e.name, "mode=") && e.name != "shared" && e.name != "single" && e.name != "port" {
			continue
		}
		if far := int(here - o.words[e.token]); far <= eventsFade {
			o.Put("way", farName(far), ":", e.name, " ", kind)
		}
		if e.name != "port" {
			o.Put("way:", e.name, " ", kind)
			return
		}
	}
}

// isTopic reports whether an event changes what is told of.
func isTopic(name string) bool {
	return len(name) > 4 && (name[:4] == "sec=" || name[:4] == "ent=" || name[:5] == "mode=" || name[:5] == "part=")
}

// eventNames names what a cue phrase does, for the features.
func (c *cueTable) eventNames(effects []effect) []string {
	var out []string
	for _, e := range effects {
		name := ""
		switch e.kind {
		case effectSection:
			name = "sec=" + Section(e.n).String()
		case effectEnter:
			name = "ent=" + Section(e.n).String()
		case effectMode:
			name = "mode=" + e.value
		case effectSubject:
			name = "subject=" + c.kinds[e.n].name
		case effectPort:
			name = "port"
		case effectProtocol:
			name = "protocol=" + c.protocols[e.n].protocol
		case effectPackage:
			name = "package"
		case effectPart:
			name = "part=" + familyOf(c.kinds[c.parts[e.n].kind].name)
		case effectBefore:
			name = "prop=" + c.properties[e.n].name
		case effectAfter:
			name = "behind=" + c.properties[e.n].name
		case effectShared:
			name = "shared"
		case effectProduct:
			name = "product=" + e.value
		default:
			name = effectNames[e.kind]
		}
		out = append(out, name)
	}
	return out
}
