package account

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

// Otherwise lists the names of the product that a person put right, and then the
// ports, protocols, kinds of part and features that were read from other words than
// their own, in the order said.
func Otherwise(r *schema.Record) []OtherName {
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

// An OpenName is a name that waits for a person.
type OpenName struct {
	At       *schema.Seconds
	Heard    string
	What     string // "the maker of the fuse"
	Kind     string // "maker", or the kind of a part
	Read     string // what it is read as
	Readings []schema.TermReading
}

// OpenNames lists the names that wait for a person, each once: the open terms,
// and of records without such the components that are open though none of
// their ratings is, for then it is the maker, part number or package that waits.
func OpenNames(r *schema.Record) []OpenName {
	var open []OpenName
	for i := range r.Terms {
		t := &r.Terms[i]
		if t.Status != schema.StatusOpen || slices.ContainsFunc(r.Terms[:i], func(o schema.SaidTerm) bool {
			return o.Status == t.Status && o.Kind == t.Kind && o.Heard == t.Heard && o.Meant == t.Meant
		}) {
			continue
		}
		n := OpenName{At: t.At, Heard: t.Heard, What: "the " + termWords(t.Kind), Kind: t.Kind.String(), Read: t.Meant,
			Readings: t.Readings}
		if c := r.ComponentOf(t.Place); c != nil {
			n.What += " of the " + c.Kind
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
		open = append(open, OpenName{At: c.At, Heard: c.Heard, What: "the " + c.Kind, Kind: c.Kind,
			Read: word.Join([]string{c.Maker, c.Part, c.Package}, " ")})
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

// Standing is how a name of a component stands, and the words heard for it.
type Standing struct {
	Status schema.Status
	Heard  string
}

// StandingOf says how the maker, part number and package of a component stand,
// by field: as the term that holds each best. named is false where no term
// speaks of any, and where the component is open for a cause of its own; then
// the whole name stands as the component does, unless a rating accounts for
// its status.
func StandingOf(r *schema.Record, c *schema.Component) (fields map[string]Standing, whole Standing, named bool) {
	fields = map[string]Standing{}
	least := schema.StatusSettled
	for i := range r.Terms {
		t := &r.Terms[i]
		if r.ComponentOf(t.Place) != c || t.Kind == schema.TermComponent {
			continue
		}
		_, field := schema.ComponentField(t.Place)
		if n, ok := fields[field]; !ok || sureness(t.Status) > sureness(n.Status) {
			fields[field] = Standing{t.Status, t.Heard}
		}
	}
	for _, n := range fields {
		if sureness(n.Status) < sureness(least) {
			least = n.Status
		}
	}
	whole = Standing{c.Status, c.Heard}
	if slices.ContainsFunc(c.Ratings, func(r schema.Rating) bool { return r.Value.Status == c.Status }) {
		whole.Status = schema.StatusHeard
	}
	if len(fields) == 0 || whole.Status == schema.StatusOpen && least != schema.StatusOpen {
		return nil, whole, false
	}
	return fields, Standing{Status: least}, true
}

// namingStatus is the least sure of the names of a component.
func namingStatus(r *schema.Record, c *schema.Component) schema.Status {
	_, whole, _ := StandingOf(r, c)
	return whole.Status
}

// sureness orders statuses from the least sure.
func sureness(s schema.Status) int {
	return slices.Index([]schema.Status{schema.StatusOpen, schema.StatusRepaired, schema.StatusHeard,
		schema.StatusSettled}, s)
}
