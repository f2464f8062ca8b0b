package validate

import (
	"saywatt/schema"
	"saywatt/validate/form"
)

// CheckDocument checks one JSON document: its form, and where that is right
// what the record says. The record comes with the findings, nil where the form
// is wrong or the record contradicts itself. What is no JSON at all is a
// *Error.
func CheckDocument(document []byte) ([]schema.Finding, *schema.Record, error) {
	return CheckDocumentWith(Rules(), document)
}

// CheckDocumentWith is CheckDocument with other rules.
func CheckDocumentWith(rules []*Rule, document []byte) ([]schema.Finding, *schema.Record, error) {
	r, found, err := form.Read(document)
	if r == nil {
		return found, nil, err
	}
	return CheckWith(rules, r), r, nil
}
