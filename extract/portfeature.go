package extract

import (
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"saywatt/extract/feature"
	"saywatt/extract/place"
	"saywatt/extract/product"
	"saywatt/schema"
)

// lowVoltage is in volts, direct current, that no mains is below (IEC 61140, limit of
// extra-low voltage halved).
const lowVoltage = 60

// see makes a feature of the pieces of its name.
func (a *portAsker) see(pieces ...string) PortFeature {
	if a.named {
		return PortFeature{Name: strings.Join(pieces, "")}
	}
	return PortFeature{Hash: feature.Of(pieces...)}
}

// hash is that of a feature, named or not.
func (a *portAsker) hash(f PortFeature) feature.Hash {
	if a.named {
		return feature.Of(f.Name)
	}
	return f.Hash
}

// more adds a feature to one of the answers of a question.
func (a *portAsker) more(q *PortQuestion, i int, pieces ...string) {
	q.Features[i] = append(q.Features[i], a.see(pieces...))
}

// note adds a feature to what is entered next.
func (a *portAsker) note(pieces ...string) { a.seen = append(a.seen, a.see(pieces...)) }

// behind returns the first group of ports at token i or behind it.
func (a *portAsker) behind(i int32) int {
	return sort.Search(len(a.groups), func(g int) bool { return a.groups[g].first >= i })
}

// question lists what the mention's port may be.
func (a *portAsker) question(k int, c place.Class) *PortQuestion {
	q := a.blank(k)
	m := &a.d.Mentions[k]
	a.seen = a.seen[:0]
	a.note("none ", c.String())
	a.note("none ports:", strconv.Itoa(min(a.kinds, 4)))
	if m.HasUnit() && m.Unit.Unit.Kind() == schema.KindVoltage && m.High.Float() <= lowVoltage {
		a.note("none low voltage ", c.String())
	}
	if a.at >= 0 && a.port == noPort {
		a.note("none before too")
	}
	a.put(q, noPort, a.seen)
	n := 0
	next := a.behind(m.Last)
	if next < len(a.groups) {
		g := &a.groups[next]
		if behind := a.words[g.first] - a.words[m.Last]; behind <= a.parser.x.window.portBehind &&
			a.breath[g.first] == a.breath[m.First] {
			a.seen = a.seen[:0]
			a.note("behind:", strconv.Itoa(int(behind)/3))
			a.between(k, int(m.Last), int(g.first))
			a.enter(q, g, c)
		}
	}
	for i := next - 1; i >= 0 && n < int(a.parser.x.window.portsBefore); i-- {
		g := &a.groups[i]
		far := a.words[m.First] - a.words[g.last]
		if far > a.parser.x.window.portFade {
			break
		}
		a.seen = a.seen[:0]
		back := strconv.Itoa(n)
		a.note("before:", farName(int(far)))
		a.note("back:", back)
		if a.breath[g.first] == a.breath[m.First] {
			a.note("sentence")
			a.note("sentence back:", back)
		}
		a.between(k, int(g.last), int(m.First))
		a.enter(q, g, c)
		n++
	}
	if a.at >= 0 && a.port != noPort {
		a.put(q, a.port, nil, a.see("carried"))
	}
	said := strings.ReplaceAll(m.Context.Port, ",", "+")
	if said != noPort {
		a.put(q, said, nil)
	}
	if socket := product.Socket(a.d.Product.Kind); socket != "" && c.Info().Mode == "input" {
		a.put(q, socket, nil, a.see("of the product ", c.String()))
	}
	a.whole(q, c)
	for i, name := range q.Names {
		if name == said {
			a.more(q, i, "last named")
			a.more(q, i, "last named ", c.String())
		}
	}
	a.inTurn(q, k, c)
	says := a.severalWord(k)
	for i, name := range q.Names {
		a.more(q, i, "says:", says, " ", strconv.Itoa(min(3, strings.Count(name, "+"))))
	}
	for i, name := range q.Names {
		if i > 0 && name == a.port {
			a.same(q, i, k, c)
		}
	}
	return q
}

// blank returns a question without answers.
func (a *portAsker) blank(k int) *PortQuestion {
	if a.named { // kept by who trains on it
		return &PortQuestion{Mention: int32(k)}
	}
	q := &a.asked
	q.Mention, q.Names, q.Features = int32(k), q.Names[:0], q.Features[:0]
	return q
}

// inTurn adds whether a port's turn among those named together is the turn of
// the mention among those said in a row, and whether the mention is what those
// before it come to: "C1 and C2 together: 65 plus 30, so 95 watts".
func (a *portAsker) inTurn(q *PortQuestion, k int, c place.Class) {
	turn, sum := 0, 0.0
	for b := k; b > 0 && turn < int(a.parser.x.window.portsBefore); b-- {
		before := &a.d.Mentions[b-1]
		if a.classes[b-1] != c || a.breath[before.First] != a.breath[a.d.Mentions[b].First] ||
			!sameKind(before, &a.d.Mentions[k]) {
			break
		}
		turn++
		sum += before.High.Float()
	}
	total := turn > 1 && math.Abs(sum-a.d.Mentions[k].High.Float()) < 1e-9
	list := ""
	for _, name := range q.Names { // the first that names several
		if strings.Contains(name, "+") {
			list = name
			break
		}
	}
	turns := strconv.Itoa(min(turn, 4))
	for i, name := range q.Names {
		f := ""
		switch at := turnIn(list, name); {
		case i == 0:
			f = "turn none "
		case strings.Contains(name, "+"):
			f = "turn together "
		case at < 0:
			f = "turn other "
		case at == turn:
			f = "turn same "
		default:
			f = "turn not "
		}
		a.more(q, i, f, c.String())
		a.more(q, i, f, c.String(), " ", turns)
		if total {
			a.more(q, i, f, c.String(), " total")
		}
	}
}

// turnIn is which of the ports of a list a port is, from 0; -1 where it is none.
func turnIn(list, name string) int {
	at := 0
	for port := range strings.SplitSeq(list, "+") {
		if port == name {
			return at
		}
		at++
	}
	return -1
}

// sameKind reports whether two mentions are of one kind of quantity, units left
// out not looked at.
func sameKind(a, b *Mention) bool {
	return !a.HasUnit() || !b.HasUnit() || a.Unit.Unit.Kind() == b.Unit.Unit.Kind()
}

// whole adds the ports of the product together, and each that was named
// anywhere.
func (a *portAsker) whole(q *PortQuestion, c place.Class) {
	p := &a.product
	size := strconv.Itoa(min(len(p.all), 4))
	if len(p.all) > 1 {
		a.put(q, p.together, nil, a.see("whole ", c.String()), a.see("whole:", size))
	}
	if len(p.alike) > 1 && len(p.alike) < len(p.all) {
		a.put(q, p.alikeAsOne, nil, a.see("whole of a type ", c.String()))
	}
	for _, name := range p.all {
		a.put(q, name, nil, a.see("known:", size, " ", c.String()), a.see("type:", portType(name), " ", c.String()))
	}
}

// severalWord returns the word of several or one that stands last before the
// mention in its sentence, "" for none.
func (a *portAsker) severalWord(k int) string {
	m := &a.d.Mentions[k]
	at, _ := slices.BinarySearch(a.spoken, m.First)
	for n := 1; n <= int(a.parser.x.window.portNumber) && n <= at; n++ {
		i := a.spoken[at-n]
		if a.breath[i] != a.breath[m.First] {
			break
		}
		switch w := a.wordAt(i); w {
		case "both", "all", "each", "every", "together", "either", "simultaneously", "share", "shared", "alone",
			"single", "only":
			return w
		}
	}
	return ""
}

// same adds what speaks for and against the port of the mention before, which answer
// i is.
func (a *portAsker) same(q *PortQuestion, i, k int, c place.Class) {
	m, b := &a.d.Mentions[k], &a.d.Mentions[a.at]
	since := ""
	if g := a.behind(b.Last); g < len(a.groups) && a.groups[g].first < m.First &&
		!slices.Contains(a.groups[g].names, a.port) { // "…, and USB-A is 9 volts"
		since = ", another since"
	}
	a.more(q, i, "same", since)
	a.more(q, i, "same gap:", farName(int(a.words[m.First]-a.words[b.Last])), since)
	if c == a.of {
		a.more(q, i, "same class", since)
	}
	if m.HasUnit() && m.Unit.Unit.Kind() == schema.KindVoltage && !m.Range {
		if m.High.Float() <= a.volts {
			a.more(q, i, "same restarts", since)
		} else {
			a.more(q, i, "same rises", since)
		}
	}
	if a.breath[m.First] == a.breath[b.First] {
		a.more(q, i, "same sentence", since)
	}
}

// between notes how many voltages and ports stand between a port and the
// mention.
func (a *portAsker) between(k, from, to int) {
	volts, step := 0, 1
	if int(a.d.Mentions[k].First) >= to {
		step = -1
	}
	for i := k + step; i >= 0 && i < len(a.d.Mentions); i += step {
		b := &a.d.Mentions[i]
		if int(b.First) < from || int(b.Last) > to {
			break
		}
		if b.HasUnit() && b.Unit.Unit.Kind() == schema.KindVoltage {
			volts++
		}
	}
	a.note("volts between:", strconv.Itoa(min(volts, 3)))
}

// enter adds the ports of a group with what was noted: together, and the last of
// them alone.
func (a *portAsker) enter(q *PortQuestion, g *portGroup, c place.Class) {
	if behind := a.wordAt(g.last); behind != "" {
		a.note("then:", behind)
	}
	if before := a.wordAt(g.first - 1); before != "" {
		a.note("after:", before)
	}
	size := strconv.Itoa(min(len(g.names), 3))
	if len(g.names) > 1 {
		a.put(q, g.together, a.seen, a.see("group:", size, " ", c.String()))
	}
	for i := len(g.names) - 1; i >= 0; i-- {
		at := " last"
		if i < len(g.names)-1 {
			at = " inner"
		}
		a.put(q, g.names[i], a.seen, a.see("one of:", size, " ", c.String(), at),
			a.see("type:", portType(g.names[i]), " ", c.String()))
	}
}

// has reports whether a port is among those asked about, or is never asked about.
func (q *PortQuestion) has(name string) bool {
	return name == mainsPort || slices.Contains(q.Names, name)
}

// put adds a name with its features, its own before the others; of one named twice
// the nearest counts.
func (a *portAsker) put(q *PortQuestion, name string, others []PortFeature, own ...PortFeature) {
	if q.has(name) {
		return
	}
	n := len(q.Names)
	q.Names = append(q.Names, name)
	if n < cap(q.Features) {
		q.Features = q.Features[:n+1]
	} else {
		q.Features = append(q.Features, nil)
	}
	q.Features[n] = append(append(q.Features[n][:0], own...), others...)
}

// wordAt returns the word at token i, breaks stepped over.
func (a *portAsker) wordAt(i int32) string {
	if i < 0 || int(i) >= len(a.d.Tokens) || a.d.Tokens[i].Kind != TokenWord {
		return ""
	}
	t := a.d.Tokens[i]
	if t.Apart > 0 { // heard again
		return a.d.Lexicon.entries[t.Word].text
	}
	return strings.ToLower(a.text[t.Start:t.End])
}

// portType is the name of a port without its number.
func portType(name string) string { return strings.TrimRight(name, "0123456789") }
