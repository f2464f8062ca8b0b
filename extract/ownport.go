package extract

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"saywatt/extract/place"
	"saywatt/schema"
)

// Speakers name ports in words of their own as often as by standard names: "the left
// port", "Orange: 5 volts, 3 amps", "the nose gives 65 watts". Such a name is a word of
// tables/ownports.tsv, or any other word that stands where names of ports do ("the nose
// port", "Nose: 5 volts"). Whether it names a port is weighed by what stands around it
// and by how it is said in the rest of the review (place's tables/ownports.tsv, fitted
// by internal/placefit -own). The port is called as the speaker calls it. The names are
// for the question which port a level belongs to (portchoice.go).

// OwnName is a stretch of words that may name a port in the speaker's own words.
type OwnName struct {
	First, Last int32 // tokens, the word for a port behind it among them: "left port"
	Name        string
	Features    []PortFeature
}

type ownRole uint8

const (
	ownOther ownRole = iota
	ownPlace
	ownCompass
	ownColour
	ownSize
	ownTurn
	ownDevice
	ownLead
	ownHead
)

var ownRoles = [...]string{"other", "place", "compass", "colour", "size", "turn", "device", "lead", "head"}

func (r ownRole) String() string { return ownRoles[r] }

// loadOwnPorts reads ownports.tsv.
func (x *Lexicon) loadOwnPorts() error {
	t, err := schema.ReadTable(tables, "tables/ownports.tsv")
	if err != nil {
		return err
	}
	x.cue.ownPorts = map[string]ownRole{}
	for _, r := range t.Rows {
		role := slices.Index(ownRoles[:], r.Get("role"))
		if role <= 0 {
			return fmt.Errorf("ownports.tsv:%d: no such role: %q", r.Line, r.Get("role"))
		}
		x.cue.ownPorts[r.Get("word")] = ownRole(role)
	}
	return nil
}

// OwnStands reports whether words name a port whose score, the logarithm of the odds,
// is so.
func (x *Lexicon) OwnStands(score float64) bool {
	return x.bound.ownPortStands(1 / (1 + math.Exp(-score)))
}

// ownPortStands reports whether words that name a port as probably as this are taken
// for its name.
func (b *bounds) ownPortStands(p float64) bool { return p >= b.ownPort }

// AskOwnNames lists the words that may name ports as the speaker does, with named
// features, for training. class is the class of a mention.
func (d *Document) AskOwnNames(class func(mention int) place.Class) []OwnName {
	a := portAsker{d: d, named: true}
	a.number(class)
	return a.ownNames()
}

// ownReader reads the names of one review.
type ownReader struct {
	*portAsker
	termOf    []*Term // by token
	mentionOf []int32 // by token, -1 none
	strong    map[string]int
	times     map[string]int
	alike     [ownHead]int // of each role, how many words stand where names do
	standard  int          // ports named by standard names with a number
}

// ownNames lists what may name a port, in the order said.
func (a *portAsker) ownNames() []OwnName {
	r := ownReader{portAsker: a, strong: map[string]int{}, times: map[string]int{}}
	r.index()
	r.count()
	var out []OwnName
	for i := int32(0); int(i) < len(a.d.Tokens); i++ {
		if n, ok := r.nameAt(i); ok {
			a.seen = nil
			r.see(&n, i)
			n.Features = a.seen
			out = append(out, n)
			i = n.Last - 1
		}
	}
	return out
}

func (r *ownReader) index() {
	r.termOf = make([]*Term, len(r.d.Tokens))
	for k := range r.d.Terms {
		t := &r.d.Terms[k]
		for i := t.First; i < t.Last; i++ {
			r.termOf[i] = t
		}
	}
	r.mentionOf = make([]int32, len(r.d.Tokens))
	for i := range r.mentionOf {
		r.mentionOf[i] = -1
	}
	for k := range r.d.Mentions {
		for i := r.d.Mentions[k].First; i < r.d.Mentions[k].Last; i++ {
			r.mentionOf[i] = int32(k)
		}
	}
}

// role is what the word at token i says of a port, false where it is no plain word.
func (r *ownReader) role(i int32) (ownRole, string) {
	if i < 0 || int(i) >= len(r.d.Tokens) {
		return ownOther, ""
	}
	w := r.wordAt(i)
	return r.d.Lexicon.cue.ownPorts[w], w
}

// free reports whether token i is a word of no other name and of no quantity.
func (r *ownReader) free(i int32) bool {
	if i < 0 || int(i) >= len(r.d.Tokens) || r.d.Tokens[i].Kind != TokenWord || r.termOf[i] != nil {
		return false
	}
	k := r.mentionOf[i]
	return k < 0 || !r.d.Mentions[k].HasUnit() && i >= r.d.Mentions[k].NumEnd
}

// next is the first token behind token i that is no line break, back the one before.
func (r *ownReader) next(i int32) int32 { return int32(r.parser.skipBreak(int(i) + 1)) }
func (r *ownReader) back(i int32) int32 { return int32(r.parser.backOne(int(i))) }

// leastOwn is how long a word is that is none of the table, and names a port.
const leastOwn = 3

// count notes how often each word is said, and where names of ports stand.
func (r *ownReader) count() {
	for i := range r.d.Tokens {
		at := int32(i)
		if !r.free(at) {
			continue
		}
		role, w := r.role(at)
		if role == ownHead || role == ownOther && (len(w) < leastOwn || r.d.Lexicon.Function(r.d.Tokens[i])) {
			continue
		}
		r.times[w]++
		if r.strongAt(at) {
			if r.strong[w]++; r.strong[w] == 1 {
				r.alike[role]++
			}
		}
	}
	seen := map[string]bool{}
	for i := range r.d.Terms {
		if t := &r.d.Terms[i]; t.Kind == schema.TermPort && portType(t.Meant) != t.Meant && !seen[t.Meant] {
			seen[t.Meant] = true
			r.standard++
		}
	}
}

// strongAt reports whether the word at token i stands where names of ports do: before
// a word for a port, or first in a sentence before a pause or a number, with an
// electrical quantity soon behind.
func (r *ownReader) strongAt(i int32) bool {
	n := r.next(i)
	if role, w := r.role(n); role == ownHead && len(w) > 1 && w != "one" {
		return true
	}
	b := r.back(i)
	if b >= 0 && r.d.Tokens[b].Kind == TokenWord && r.breath[b] == r.breath[i] {
		return false
	}
	look := r.look(n)
	if !strings.HasPrefix(look, "#") && look != ":" && look != "," {
		return false
	}
	k, far := r.quantity(i)
	return k >= 0 && far <= 4 && electricalClass(r.classes[k])
}

func electricalClass(c place.Class) bool {
	s := c.String()
	if strings.HasPrefix(s, "level.") || strings.HasPrefix(s, "power.") {
		return true
	}
	switch s {
	case "cond.voltage", "cond.current", "meas.voltage", "meas.power":
		return true
	}
	return false
}

// quantity is the first mention behind token i that has a class, and how many words it
// is away; -1 where there is none.
func (r *ownReader) quantity(i int32) (int, int32) {
	k, _ := slices.BinarySearchFunc(r.d.Mentions, i, func(m Mention, i int32) int { return int(m.First - i) })
	for ; k < len(r.d.Mentions); k++ {
		if r.classes[k] != place.None && r.d.Mentions[k].Not == NotNothing {
			return k, r.words[r.d.Mentions[k].First] - r.words[i]
		}
	}
	return -1, 0
}

// ownWords is how many words of the table make one name at the most: "top left".
const ownWords = 2

// nameAt reads what may name a port at token i.
func (r *ownReader) nameAt(i int32) (OwnName, bool) {
	if !r.free(i) {
		return OwnName{}, false
	}
	role, w := r.role(i)
	if role == ownHead || role == ownOther && r.strong[w] == 0 {
		return OwnName{}, false
	}
	n := OwnName{First: i, Last: i + 1, Name: w}
	at := i
	for k := 1; k < ownWords && (role == ownPlace || role == ownSize); k++ {
		next := r.next(at)
		if !r.free(next) {
			break
		}
		more, word := r.role(next)
		if more != ownPlace && more != ownCompass {
			break
		}
		n.Name += " " + word
		at = next
		n.Last = at + 1
	}
	next := r.next(at)
	if int(next) < len(r.d.Tokens) {
		if head, _ := r.role(next); head == ownHead && r.free(next) {
			n.Last = next + 1
		} else if t := r.termOf[next]; t != nil && t.Kind == schema.TermPort {
			n.Last = t.Last
		}
	}
	return n, true
}

// see notes what is seen of a name whose first word is at token i.
func (r *ownReader) see(n *OwnName, i int32) {
	role, w := r.role(i)
	of := role.String()
	if strings.Contains(n.Name, " ") {
		of = "two"
	}
	b := r.back(n.First)
	before, behind := r.look(b), r.look(r.next(n.Last-1))
	head := ""
	if last := r.next(i); last < n.Last {
		_, head = r.role(n.Last - 1)
		if r.termOf[n.Last-1] != nil {
			head = "<port>"
		}
	}
	note := func(pieces ...string) {
		r.note(pieces...)
		r.note(append([]string{of, " "}, pieces...)...)
	}
	r.note(of)
	if role != ownOther {
		r.note("word ", w)
	}
	note("head ", head)
	note("before ", before)
	note("behind ", behind)
	note("around ", before, " ", behind)
	note("before2 ", r.look(r.back(b)), " ", before)
	note("behind2 ", behind, " ", r.look(r.next(r.next(n.Last-1))))
	note("strong ", bucket(r.strong[w]))
	note("times ", bucket(r.times[w]))
	if role < ownHead {
		note("alike ", bucket(r.alike[role]))
	}
	note("standard ", bucket(r.standard))
	note("strong and standard ", bucket(r.strong[w]), " ", bucket(r.standard))
	if k, far := r.quantity(n.Last - 1); k >= 0 {
		name, _, _ := strings.Cut(r.classes[k].String(), ".")
		note("then ", name, " ", farName(int(far)))
		r.note("then ", r.classes[k].String())
	}
}

// bucket names a count: 0, 1, 2, 3 to 5, more.
func bucket(n int) string {
	switch {
	case n <= 2:
		return strconv.Itoa(n)
	case n <= 5:
		return "3"
	}
	return "6"
}

// look names what token i is: a word, a sign, a pause, a name, or a quantity by its
// kind.
func (r *ownReader) look(i int32) string {
	if i < 0 || int(i) >= len(r.d.Tokens) || r.d.Tokens[i].Kind == TokenPara {
		return "^"
	}
	if k := r.mentionOf[i]; k >= 0 {
		if m := &r.d.Mentions[k]; m.HasUnit() {
			return "#" + m.Unit.Unit.Kind().String()
		}
		return "#"
	}
	if t := r.termOf[i]; t != nil {
		return "<" + t.Kind.String() + ">"
	}
	if w := r.wordAt(i); w != "" {
		return w
	}
	t := r.d.Tokens[i]
	return r.text[t.Start:t.End]
}

// portSaid is a port named over tokens [first, last).
type portSaid struct {
	name        string
	first, last int32
}

// portsSaid lists the ports named, by standard names and in the speaker's own words, in
// the order said. An own name takes the standard name in it: "the left C".
func (a *portAsker) portsSaid() []portSaid {
	var own []portSaid
	model := place.OwnPorts()
	for _, n := range a.ownNames() {
		score := 0.0
		for _, f := range n.Features {
			score += model.Weight(a.hash(f))
		}
		if a.d.Lexicon.OwnStands(score) {
			own = append(own, portSaid{n.Name, n.First, n.Last})
		}
	}
	var out []portSaid
	for i := range a.d.Terms {
		t := &a.d.Terms[i]
		name, ok := portNamed(t)
		if !ok || slices.ContainsFunc(own, func(p portSaid) bool { return p.first <= t.First && t.Last <= p.last }) {
			continue
		}
		out = append(out, portSaid{name, t.First, t.Last})
	}
	out = append(out, own...)
	slices.SortStableFunc(out, func(a, b portSaid) int { return cmp.Compare(a.first, b.first) })
	return out
}
