package export

import (
	"cmp"
	"slices"
	"strings"

	"saywatt/internal/export/word"
	"saywatt/schema"
)

// An OtherName is a name that was read from other words than its own.
type OtherName struct {
	At     *schema.Seconds // when it first was
	Meant  string          // "" where a person said that there is none
	Heard  []string        // each once, in the order heard
	Times  int
	Status schema.Status
	Of     string // what it is a name of, as a line of an answer file says it
	Read   string // what it was read as without a person
}

// NamesOtherwise lists the names of the product that a person put right, and then the
// ports, protocols, kinds of part and features that were read from other words than
// their own, in the order said.
func NamesOtherwise(r *schema.Record) []OtherName {
	var all []OtherName
	for i := range r.Product.Settled {
		if s := &r.Product.Settled[i]; s.Heard != s.Meant {
			n := OtherName{At: s.At, Meant: s.Meant, Times: 1, Status: schema.StatusSettled,
				Of: schema.NameOfField(s.Field), Read: s.Heard}
			n.Heard = []string{cmp.Or(s.Heard, "nothing")}
			all = append(all, n)
		}
	}
	for i := range r.Terms {
		t := &r.Terms[i]
		settled := t.Status == schema.StatusSettled && t.Heard != t.Meant && t.Place != schema.NameOfMaker
		if t.Status != schema.StatusRepaired && !settled ||
			r.ComponentOf(t.Place) != nil && t.Kind != schema.TermComponent {
			continue
		}
		n := slices.IndexFunc(all, func(n OtherName) bool { return n.Meant == t.Meant && n.Status == t.Status })
		if n < 0 {
			n = len(all)
			all = append(all, OtherName{At: t.At, Meant: t.Meant, Status: t.Status, Of: t.Kind.String(),
				Read: t.Read()})
		}
		all[n].Times++
		if h := strings.ToLower(t.Heard); !slices.Contains(all[n].Heard, h) {
			all[n].Heard = append(all[n].Heard, h)
		}
	}
	return all
}

// An openName is a name that waits for a person.
type openName struct {
	at       *schema.Seconds
	heard    string
	what     string // "the maker of the fuse"
	kind     string // "maker", or the kind of a part
	read     string // what it is read as
	readings []schema.TermReading
}

// openNames lists the names that wait for a person, each once: the open terms,
// and of records without such the components that are open though none of
// their ratings is, for then it is the maker, part number or package that waits.
func openNames(r *schema.Record) []openName {
	var open []openName
	for i := range r.Terms {
		t := &r.Terms[i]
		if t.Status != schema.StatusOpen || slices.ContainsFunc(r.Terms[:i], func(o schema.SaidTerm) bool {
			return o.Status == t.Status && o.Kind == t.Kind && o.Heard == t.Heard && o.Meant == t.Meant
		}) {
			continue
		}
		n := openName{at: t.At, heard: t.Heard, what: "the " + termWords(t.Kind), kind: t.Kind.String(), read: t.Meant,
			readings: t.Readings}
		if c := r.ComponentOf(t.Place); c != nil {
			n.what += " of the " + c.Kind
		}
		open = append(open, n)
	}
	for i := range r.Components {
		c := &r.Components[i]
		if c.Status != schema.StatusOpen || namingStatus(r, c) != schema.StatusOpen ||
			slices.ContainsFunc(r.Terms, func(t schema.SaidTerm) bool {
				return t.Status == schema.StatusOpen && r.ComponentOf(t.Place) == c
			}) {
			continue
		}
		open = append(open, openName{at: c.At, heard: c.Heard, what: "the " + c.Kind, kind: c.Kind,
			read: word.Join([]string{c.Maker, c.Part, c.Package}, " ")})
	}
	return open
}

// termWords is a kind of term in words.
func termWords(k schema.TermKind) string {
	if k == schema.TermPart {
		return "part number"
	}
	return word.Words(k.String())
}

// standing is how a name of a component stands, and the words heard for it.
type standing struct {
	status schema.Status
	heard  string
}

// standingOf says how the maker, part number and package of a component stand,
// by field: as the term that holds each best. named is false where no term
// speaks of any, and where the component is open for a cause of its own; then
// the whole name stands as the component does, unless a rating accounts for
// its status.
func standingOf(r *schema.Record, c *schema.Component) (fields map[string]standing, whole standing, named bool) {
	fields = map[string]standing{}
	least := schema.StatusSettled
	for i := range r.Terms {
		t := &r.Terms[i]
		if r.ComponentOf(t.Place) != c || t.Kind == schema.TermComponent {
			continue
		}
		_, field := schema.ComponentField(t.Place)
		if n, ok := fields[field]; !ok || sureness(t.Status) > sureness(n.status) {
			fields[field] = standing{t.Status, t.Heard}
		}
	}
	for _, n := range fields {
		if sureness(n.status) < sureness(least) {
			least = n.status
		}
	}
	whole = standing{c.Status, c.Heard}
	if slices.ContainsFunc(c.Ratings, func(r schema.Rating) bool { return r.Value.Status == c.Status }) {
		whole.status = schema.StatusHeard
	}
	if len(fields) == 0 || whole.status == schema.StatusOpen && least != schema.StatusOpen {
		return nil, whole, false
	}
	return fields, standing{status: least}, true
}

// namingStatus is the least sure of the names of a component.
func namingStatus(r *schema.Record, c *schema.Component) schema.Status {
	_, whole, _ := standingOf(r, c)
	return whole.status
}

// sureness orders statuses from the least sure.
func sureness(s schema.Status) int {
	return slices.Index([]schema.Status{schema.StatusOpen, schema.StatusRepaired, schema.StatusHeard,
		schema.StatusSettled}, s)
}
