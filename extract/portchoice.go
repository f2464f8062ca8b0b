package extract

import (
	"cmp"
	"slices"
	"strings"

	"saywatt/extract/feature"
	"saywatt/extract/place"
	"saywatt/schema"
)

// Which port a level or a power belongs to is an antecedent: one of the ports
// named before it, or right behind it in its sentence, or the port of the level
// before. Each is scored by the features of portfeature.go; their weights are in
// place's tables/ports.tsv, fitted by internal/placefit.

// noPort is the port of a level that is said of none, mainsPort that of a level
// of the mains.
const (
	noPort    = ""
	mainsPort = "AC"

	wirelessPort = "Qi"
	barrelPort   = "barrel"
)

// PortGroup is a run of ports named together: "C1 and C2".
type portGroup struct {
	names       []string
	together    string // the names as one
	first, last int32  // tokens
}

// PortQuestion asks which port a mention belongs to. Choice 0 is none.
type PortQuestion struct {
	Mention  int32 // index into Document.Mentions
	Names    []string
	Features [][]PortFeature
}

// PortFeature is something seen of a port that a mention may belong to. Its name is
// made where a model is trained, and known by its hash else.
type PortFeature struct {
	Hash feature.Hash
	Name string
}

// AskPorts asks, in order, for the port of every mention that class says to be
// of a level or power, and calls answer with the question, whose features have
// names; the answer is an index into the question's names.
func (d *Document) AskPorts(class func(mention int) place.Class, answer func(*PortQuestion) int) {
	a := portAsker{d: d, named: true}
	a.ask(class, answer, func(int, string) {})
}

// ask asks for the port of every mention of a level or power, and gives take which
// port each is of. A question is good until the next one, unless features have names.
func (a *portAsker) ask(class func(int) place.Class, answer func(*PortQuestion) int, take func(int, string)) {
	a.prepare(class)
	d := a.d
	for k := range d.Mentions {
		m := &d.Mentions[k]
		c := a.classes[k]
		if m.Not != NotNothing || !HasPort(c) {
			continue
		}
		if name, ok := a.ruledPort(k, c); ok {
			take(k, name)
			a.port, a.at, a.volts, a.of = name, k, m.High.Float(), c
			continue
		}
		if name, ok := a.mains(m); ok {
			take(k, name)
			a.port, a.at = name, k
			continue
		}
		if a.inherits(k, c) {
			take(k, a.port)
			m.Ports = a.d.Mentions[a.at].Ports
			a.at = k
			continue
		}
		q := a.question(k, c)
		name := q.Names[answer(q)]
		take(k, name)
		a.port, a.at, a.volts, a.of = name, k, m.High.Float(), c
	}
}

// HasPort reports whether quantities of the class have a port.
func HasPort(c place.Class) bool {
	switch c.String() {
	case "level.input", "level.output", "level.shared", "power.port", "power.shared":
		return true
	}
	return false
}

// PortOf is a port as a context of the class has it: of ports named together each
// has the level, but where they are in use together.
func PortOf(c place.Class, name string) string {
	if c := c.String(); c != "level.shared" && c != "power.shared" {
		return strings.ReplaceAll(name, "+", ",")
	}
	return name
}

type portAsker struct {
	d       *Document
	named   bool // features have names
	parser  *parser
	text    string
	classes []place.Class // of the mentions
	groups  []portGroup
	words   []int32
	breath  []int32
	spoken  []int32 // tokens that are words
	kinds   int     // different ports named
	product productPorts

	port  string // of the mention before
	at    int    // that mention
	volts float64
	of    place.Class

	asked PortQuestion  // written anew for every question
	seen  []PortFeature // of what is entered next
}

// productPorts are the ports of a product that a level may be of.
type productPorts struct {
	all, alike           []string // alike are those of the type that carries power by contract
	together, alikeAsOne string
}

// prepare numbers words and sentences and groups the ports named.
func (a *portAsker) prepare(class func(int) place.Class) {
	a.number(class)
	seen := map[string]bool{}
	for _, p := range a.portsSaid() {
		seen[p.name] = true
		if n := len(a.groups); n > 0 {
			g := &a.groups[n-1]
			near := a.breath[g.last] == a.breath[p.first] && p.first-g.last <= a.parser.x.window.portList
			if last := len(g.names) - 1; near && g.names[last] == barrelPort && strings.HasPrefix(p.name, "DC") {
				g.names[last], g.last = p.name, p.last // "the barrel jacks, DC 55 21": its size
				continue
			}
			if near && g.names[len(g.names)-1] != p.name {
				g.names, g.last = append(g.names, p.name), p.last
				continue
			}
		}
		a.groups = append(a.groups, portGroup{names: []string{p.name}, first: p.first, last: p.last})
	}
	for i := range a.groups {
		a.groups[i].together = strings.Join(a.groups[i].names, "+")
	}
	a.kinds = len(seen)
	a.at = -1
	p := &a.product
	for i := range a.d.Ports {
		name := a.d.Ports[i].Name
		if name == "AC" || name == "DC" {
			continue
		}
		p.all = append(p.all, name)
		if strings.HasPrefix(name, "USB-C") {
			p.alike = append(p.alike, name)
		}
	}
	p.together, p.alikeAsOne = strings.Join(p.all, "+"), strings.Join(p.alike, "+")
}

// number numbers words and sentences, and notes the classes of the mentions.
func (a *portAsker) number(class func(int) place.Class) {
	a.text = string(a.d.Transcript.Text)
	a.classes = make([]place.Class, len(a.d.Mentions))
	for k := range a.classes {
		a.classes[k] = class(k)
	}
	o := observer{parser: &parser{x: a.d.Lexicon, text: a.d.Transcript.Text, tokens: a.d.Tokens}, d: a.d}
	o.number()
	a.parser, a.words, a.breath = o.parser, o.words, o.breath
	for i := range a.d.Tokens {
		if a.d.Tokens[i].Kind == TokenWord {
			a.spoken = append(a.spoken, int32(i))
		}
	}
}

// mains reports whether the mention is a voltage of the mains, which has no
// port of its own: one that mains have, or one with the sign of alternating
// voltage.
func (a *portAsker) mains(m *Mention) (string, bool) {
	if m.Unit.Unit != "V" {
		return "", false
	}
	if a.parser.alternating(int(m.Last)) {
		return mainsPort, true
	}
	for _, v := range [...]Num{m.Low, m.High} {
		if !slices.Contains(a.d.Lexicon.cue.mains, v.Float()) {
			return "", false
		}
	}
	return mainsPort, true
}

// portNamed returns the port that a term names, false for other terms.
func portNamed(t *Term) (string, bool) {
	switch {
	case t.Kind == schema.TermPort:
		return t.Meant, true
	case t.Kind == schema.TermProtocol && strings.HasPrefix(t.Meant, wirelessPort):
		return wirelessPort, true // the standard stands for the pad
	}
	return "", false
}

// inherits reports whether the mention belongs to the same level as the one
// before: a current behind its voltage, a power behind both.
func (a *portAsker) inherits(k int, c place.Class) bool {
	return a.at >= 0 && a.beside(k, a.at) && c == a.classes[a.at] && a.follows(k, a.at)
}

// beside reports whether mention of stands right before mention k, or with the
// frequency of the mains alone between: "100 to 240 volts, 50/60 hertz, 1.5 amps". A
// frequency may be cut in two: "50 60 hertz".
func (a *portAsker) beside(k, of int) bool {
	if of >= k || k-of > 1+cutFrequency {
		return false
	}
	for i := of + 1; i < k; i++ {
		if !a.frequency(i) && (a.d.Mentions[i].HasUnit() || i+1 == k || !a.frequency(i+1)) {
			return false
		}
	}
	return true
}

// cutFrequency is how many numbers captions make of a frequency: "50 60 hertz" is two.
const cutFrequency = 2

func (a *portAsker) frequency(k int) bool { return a.classes[k].Info().Property == "frequency" }

// follows reports whether mention k is said in one breath with mention of, right
// before it, as a quantity of the same level.
func (a *portAsker) follows(k, of int) bool {
	m, b := &a.d.Mentions[k], &a.d.Mentions[of]
	last := min(int(a.d.Mentions[k-1].Last), len(a.words)-1)
	if a.words[m.First]-a.words[last] > a.parser.x.window.levelWords ||
		a.breath[m.First] != a.breath[b.First] && m.Joint == JointNone {
		return false
	}
	if g := a.behind(b.Last); g < len(a.groups) && a.groups[g].first < m.First {
		return false
	}
	kind := func(m *Mention) schema.Kind {
		if m.HasUnit() {
			return m.Unit.Unit.Kind()
		}
		return schema.KindUnknown
	}
	switch kind(m) {
	case schema.KindCurrent, schema.KindUnknown:
		return kind(b) == schema.KindVoltage
	case schema.KindPower:
		return kind(b) == schema.KindCurrent
	}
	return false
}

// choosePorts gives every level and power the port that is likeliest.
func (d *Document) choosePorts(p *plan) {
	class := func(k int) place.Class {
		if i, ok := p.byToken[d.Mentions[k].First]; ok {
			return p.classes[i]
		}
		return place.None
	}
	d.listPorts()
	model := place.Ports()
	var scores []float64
	ports := make([]portTaken, 0, len(d.Mentions))
	a := portAsker{d: d}
	a.ask(class, func(q *PortQuestion) int {
		best := 0
		scores = append(scores[:0], make([]float64, len(q.Names))...)
		for i := range q.Names {
			for _, f := range q.Features[i] {
				scores[i] += model.Weight(f.Hash)
			}
			if scores[i] > scores[best] {
				best = i
			}
		}
		d.Mentions[q.Mention].Ports = d.Lexicon.bound.oddsOf(q.Names, scores)
		return best
	}, func(k int, name string) { ports = append(ports, portTaken{k, name}) })
	for i := range a.groups {
		for _, name := range a.groups[i].names {
			if !slices.Contains(d.portsNamed, name) {
				d.portsNamed = append(d.portsNamed, name)
			}
		}
	}
	for _, p := range ports {
		c := a.classes[p.mention]
		d.Mentions[p.mention].setPort(c, PortOf(c, p.port))
	}
}

// portTaken is the port that a mention was found to be of.
type portTaken struct {
	mention int
	port    string
}

// listPorts notes the ports spoken of before anything is chosen among them.
func (d *Document) listPorts() {
	add := func(name string) {
		if name != "" && !slices.Contains(d.portsNamed, name) {
			d.portsNamed = append(d.portsNamed, name)
		}
	}
	for _, p := range d.Ports {
		add(p.Name)
	}
	for i := range d.Terms {
		if name, ok := portNamed(&d.Terms[i]); ok {
			add(name)
		}
	}
	for i := range d.Mentions {
		for name := range strings.FieldsFuncSeq(d.Mentions[i].Context.Port,
			func(r rune) bool { return r == '+' || r == ',' }) {
			add(name)
		}
	}
	for _, name := range slices.Clone(d.portsNamed) {
		add(portType(name)) // one of them, which was not said
	}
	add(mainsPort)
}

// PortsNamed lists the ports spoken of, by name or by what is said of them, and the
// mains.
func (d *Document) PortsNamed() []string { return d.portsNamed }

// IsPort reports whether a person can name the port: one spoken of, or any kind of
// port there is, which captions may have lost.
func (d *Document) IsPort(name string) bool {
	return slices.Contains(d.portsNamed, name) || slices.Contains(d.Lexicon.cue.portNames, name)
}

// StandardPort reports whether a port is called so by its type, with or without a
// number, or as a part of several.
func (x *Lexicon) StandardPort(name string) bool {
	for part := range strings.FieldsFuncSeq(name, func(r rune) bool { return r == '+' || r == ',' || r == '/' }) {
		if !slices.Contains(x.cue.portNames, part) && !slices.Contains(x.cue.portNames, portType(part)) {
			return false
		}
	}
	return true
}

// setPort gives a level or power its port; where it is of none named, what the
// words before it given stays.
func (m *Mention) setPort(class place.Class, name string) {
	switch c := &m.Context; {
	case m.Ruling != nil && m.Ruling.Port == schema.NoPort:
		c.Port = ""
		return
	case class.String() == "power.shared" && strings.Contains(c.Port, "+"):
		m.Ports = nil
		return // a split is said of the ports together
	case name == "":
		m.Ports = slices.Clone(m.Ports)
		for i := range m.Ports {
			if m.Ports[i].Port == noPort {
				m.Ports[i].Port = c.Port
			}
		}
		return
	}
	m.Context.Port = name
	if name == wirelessPort && m.Context.Section == SectionOutput {
		m.Context.Section = SectionWireless
	}
	if len(m.Places) > 0 {
		m.Places[0].Context = m.Context
	}
}

// oddsOf turns scores into probabilities, likeliest first; the least are left
// out.
func (b *bounds) oddsOf(names []string, scores []float64) []PortOdds {
	out := make([]PortOdds, 0, 4)
	for i, p := range feature.Softmax(scores) {
		if p >= b.leastPort {
			out = append(out, PortOdds{names[i], p})
		}
	}
	slices.SortStableFunc(out, func(a, b PortOdds) int { return cmp.Compare(b.P, a.P) })
	return out
}
