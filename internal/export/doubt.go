package export

import (
	"slices"

	"saywatt/schema"
)

// An Account says what of a record a person has to look at. Whatever prints such
// counts takes them from here, so that all print the same of a record.
type Account struct {
	Changed  int // quantities that were repaired
	Ear      int // what needs an ear: quantities, in a field or in none, and names
	Unplaced int // of these, quantities in no field
	Names    int // and names of parts and makers
	Check    int // names that stand as heard and may be misspelt: apart from Ear
}

// AccountOf counts them.
func AccountOf(r *schema.Record) Account {
	open := openQuantities(r)
	a := Account{Changed: r.Counts.Repaired, Names: len(openNames(r)), Check: len(r.NamesToCheck)}
	for _, q := range open {
		if q.Unplaced() {
			a.Unplaced++
		}
	}
	a.Ear = len(open) + a.Names
	return a
}

// openQuantities lists the quantities that wait for a person, in the order said.
func openQuantities(r *schema.Record) []*schema.Said {
	var open []*schema.Said
	for i := range r.Quantities {
		if r.Quantities[i].Status == schema.StatusOpen {
			open = append(open, &r.Quantities[i])
		}
	}
	return open
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
			read: joinNonEmpty([]string{c.Maker, c.Part, c.Package}, " ")})
	}
	return open
}

// termWords is a kind of term in words.
func termWords(k schema.TermKind) string {
	if k == schema.TermPart {
		return "part number"
	}
	return words(k.String())
}

// naming is how a name of a component stands, and the words heard for it.
type naming struct {
	status schema.Status
	heard  string
}

// namingOf says how the maker, part number and package of a component stand,
// by field: as the term that holds each best. named is false where no term
// speaks of any, and where the component is open for a cause of its own; then
// the whole name stands as the component does, unless a rating accounts for
// its status.
func namingOf(r *schema.Record, c *schema.Component) (fields map[string]naming, whole naming, named bool) {
	fields = map[string]naming{}
	least := schema.StatusSettled
	for i := range r.Terms {
		t := &r.Terms[i]
		if r.ComponentOf(t.Place) != c || t.Kind == schema.TermComponent {
			continue
		}
		_, field := schema.ComponentField(t.Place)
		if n, ok := fields[field]; !ok || sureness(t.Status) > sureness(n.status) {
			fields[field] = naming{t.Status, t.Heard}
		}
	}
	for _, n := range fields {
		if sureness(n.status) < sureness(least) {
			least = n.status
		}
	}
	whole = naming{c.Status, c.Heard}
	if slices.ContainsFunc(c.Ratings, func(r schema.Rating) bool { return r.Value.Status == c.Status }) {
		whole.status = schema.StatusHeard
	}
	if len(fields) == 0 || whole.status == schema.StatusOpen && least != schema.StatusOpen {
		return nil, whole, false
	}
	return fields, naming{status: least}, true
}

// namingStatus is the least sure of the names of a component.
func namingStatus(r *schema.Record, c *schema.Component) schema.Status {
	_, whole, _ := namingOf(r, c)
	return whole.status
}

// sureness orders statuses from the least sure.
func sureness(s schema.Status) int {
	return slices.Index([]schema.Status{schema.StatusOpen, schema.StatusRepaired, schema.StatusHeard,
		schema.StatusSettled}, s)
}
