package replay

import (
	"slices"
	"strings"

	"saywatt/extract"
	"saywatt/internal/archive/store"
	"saywatt/schema"
)

// settleNames replays decisions on names over a record: the last of each stands. One
// taken back is as it was read; where the version was read with it, as it was heard.
// Findings follow; how likely other values are with the name is for a new version to
// say, read with the decision.
func settleNames(r *schema.Record, all []*store.Decision) {
	var standing []*store.Decision
	for _, d := range all {
		n := namingOf(d)
		standing = slices.DeleteFunc(standing, func(o *store.Decision) bool { return namingOf(o).Same(n) })
		if d.Source == r.Source.SHA256 && d.Act != store.ActUnclear {
			standing = append(standing, d)
		}
	}
	for _, d := range standing {
		if field, ok := schema.ProductField(d.Names); ok {
			settleProduct(r, field, d)
			continue
		}
		var ports []renamed
		own, n := false, namingOf(d)
		for i := range r.Terms {
			t := &r.Terms[i]
			if t.Kind.String() != n.Of || !n.Fits(t.Heard, t.Read(), t.Span) {
				continue
			}
			own = own || t.Place == schema.NameOfMaker
			was := t.Meant
			settleTerm(r, t, d)
			ports = renames(ports, t.Kind, i, was, t.Meant)
		}
		for i := range ports {
			ports[i].replay(r)
		}
		if len(ports) > 0 {
			placeTerms(r)
		}
		if own {
			settleProduct(r, "maker", d)
		}
	}
	r.Terms = slices.DeleteFunc(r.Terms, func(t schema.SaidTerm) bool { return t.Meant == "" })
}

// namingOf is what a decision says of a name.
func namingOf(d *store.Decision) *extract.Naming {
	n := &extract.Naming{Of: d.Names, Heard: d.Heard, Meant: d.Meant}
	if d.Span != nil {
		n.Span = *d.Span
	}
	return n
}

// settleProduct gives a field of the product its name, or takes that back. A name that
// begins with the maker follows the maker.
func settleProduct(r *schema.Record, field string, d *store.Decision) {
	p := &r.Product
	if d.Act == store.ActTakenBack {
		p.Unsettle(field)
		return
	}
	was := p.Field(field)
	p.Settle(schema.SettledName{Field: field, Heard: was, Meant: d.Meant})
	rest, ok := strings.CutPrefix(p.Name, was+" ")
	if field == "maker" && was != "" && d.Meant != "" && ok && p.SettledOf("name") == nil {
		p.Settle(schema.SettledName{Field: "name", Heard: p.Name, Meant: d.Meant + " " + rest})
	}
	if field == "name" {
		r.NamesToCheck = slices.DeleteFunc(r.NamesToCheck,
			func(n schema.NameToCheck) bool { return n.Kind == "product" })
	}
}

// settleTerm gives a term, and the part that it names, what a person said, or takes
// that back.
func settleTerm(r *schema.Record, t *schema.SaidTerm, d *store.Decision) {
	read := t.Read()
	meant, status, confidence := d.Meant, schema.StatusSettled, 1.0
	if d.Act == store.ActTakenBack {
		if t.Status != schema.StatusSettled {
			return
		}
		meant, status, confidence = read, schema.StatusOpen, 0.5
	}
	if c := r.ComponentOf(t.Place); c != nil {
		switch _, field := schema.ComponentField(t.Place); field {
		case "maker":
			c.Maker = meant
		case "part":
			c.Part = meant
		case "package":
			c.Package = meant
		}
	}
	t.Meant, t.Status, t.Confidence = meant, status, confidence
	t.Readings = []schema.TermReading{{Meant: meant, Confidence: confidence}}
	if meant != read {
		t.Readings = append(t.Readings, schema.TermReading{Meant: read})
	}
	r.NamesToCheck = slices.DeleteFunc(r.NamesToCheck, func(n schema.NameToCheck) bool {
		return n.Kind == t.Kind.String() && n.Name == read
	})
}
