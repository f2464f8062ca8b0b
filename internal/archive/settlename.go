package archive

import (
	"slices"
	"strconv"
	"strings"

	"saywatt/extract"
	"saywatt/schema"
)

// settleNames replays decisions on names over a record: the last of each stands. One
// taken back is as it was read; where the version was read with it, as it was heard.
// What hangs on a name besides is for a new version to tell, read with the decision.
func settleNames(r *schema.Record, all []*Decision) {
	var standing []*Decision
	for _, d := range all {
		standing = slices.DeleteFunc(standing, func(o *Decision) bool { return sameName(o, d) })
		if d.Source == r.Source.SHA256 && d.Act != ActUnclear {
			standing = append(standing, d)
		}
	}
	for _, d := range standing {
		if field, ok := schema.ProductField(d.Names); ok {
			settleProduct(r, field, d)
			continue
		}
		own := false
		for i := range r.Terms {
			t := &r.Terms[i]
			if t.Kind.String() != d.Names || !isNamed(t, d) {
				continue
			}
			own = own || t.Place == schema.NameOfMaker
			settleTerm(r, t, d)
		}
		if own {
			settleProduct(r, "maker", d)
		}
	}
	r.Terms = slices.DeleteFunc(r.Terms, func(t schema.SaidTerm) bool { return t.Meant == "" })
}

// sameName reports whether two decisions are on one name.
func sameName(a, b *Decision) bool {
	if _, ok := schema.ProductField(a.Names); ok || a.Names != b.Names {
		return a.Names == b.Names
	}
	return spanOf(a) == spanOf(b) && extract.SameName(a.Heard, b.Heard)
}

func spanOf(d *Decision) schema.Span {
	if d.Span == nil {
		return schema.Span{}
	}
	return *d.Span
}

// isNamed reports whether a decision is on a term: on its words, or on what they were
// read as.
func isNamed(t *schema.SaidTerm, d *Decision) bool {
	if d.Heard != "" && !extract.SameName(t.Heard, d.Heard) && !extract.SameName(t.Read(), d.Heard) {
		return false
	}
	return d.Span == nil || d.Span.Overlaps(t.Span)
}

// settleProduct gives a field of the product its name, or takes that back. A name that
// begins with the maker follows the maker.
func settleProduct(r *schema.Record, field string, d *Decision) {
	p := &r.Product
	if d.Act == ActTakenBack {
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
func settleTerm(r *schema.Record, t *schema.SaidTerm, d *Decision) {
	read := t.Read()
	meant, status, confidence := d.Meant, schema.StatusSettled, 1.0
	if d.Act == ActTakenBack {
		if t.Status != schema.StatusSettled {
			return
		}
		meant, status, confidence = read, schema.StatusOpen, 0.5
	}
	for i := range r.Components {
		place, c := "components["+strconv.Itoa(i)+"].", &r.Components[i]
		switch t.Place {
		case place + "maker":
			c.Maker = meant
		case place + "part":
			c.Part = meant
		case place + "package":
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
