package archive

import (
	"saywatt/internal/archive/facts"
	"saywatt/internal/archive/index"
	"saywatt/internal/archive/match"
	"saywatt/internal/archive/terms"
	"saywatt/schema"
)

// What a search shows of a review is for package match to say.
type (
	Match = match.Match // a fact that a query asked for
	Fact  = facts.Fact  // one thing that a record says
)

// newSubject is a review as queries see it.
func newSubject(rv *Review, r *schema.Record) *match.Subject {
	return match.New(match.Review{Name: rv.Name, Title: rv.Given, Product: rv.Product, Added: rv.Added}, r)
}

// newDocument makes the document of a review, with what is shown without its record.
func newDocument(rv *Review, r *schema.Record) *index.Document {
	d := terms.Document(newSubject(rv, r))
	d.Keep(index.FieldStored, rv.stored())
	if open := storedOpen(r); open != nil {
		d.Keep(index.FieldOpen, open)
	}
	return d
}
