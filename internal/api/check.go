package api

import (
	"errors"
	"net/http"
	"strconv"

	"saywatt/schema"
	"saywatt/validate"
	"saywatt/validate/form"
)

// noProof goes with findings, few or many.
const noProof = "Findings are hints for a person. Nothing found is no proof that a product is safe or complies with " +
	"anything; local codes and licensed practice decide."

// checked is the answer of check.
type checked struct {
	Findings []schema.Finding `json:"findings"`
	Note     string           `json:"note"`
}

// maxRecord bounds a record to be checked, in bytes. The record of a review of
// two hours has about a million; one of nothing but faults takes some 150 times
// its size in memory.
const maxRecord = 4 << 20

// check says what the rules say of a record, and its schema of its form.
func (a *api) check(c *call) error {
	if len(c.body) > maxRecord {
		return &refusal{status: http.StatusRequestEntityTooLarge, detail: "a record of more than " +
			strconv.Itoa(maxRecord) + " bytes"}
	}
	if err := checkJSON(c.body); err != nil {
		return err
	}
	found, err := work(c.r.Context(), a, func() ([]schema.Finding, error) {
		found, _, err := checkDocument(c.body)
		return found, err
	})
	if err != nil {
		return err
	}
	if found == nil {
		found = []schema.Finding{}
	}
	return c.send(checked{found, noProof})
}

// checkDocument checks a record; what its reader refuses though the schema
// does not is the request's fault.
func checkDocument(document []byte) ([]schema.Finding, *schema.Record, error) {
	found, r, err := validate.CheckDocument(document)
	var form *form.Error
	if err != nil && !errors.As(err, &form) {
		err = &refusal{status: http.StatusUnprocessableEntity, kind: kindRecord, detail: err.Error()}
	}
	return found, r, err
}
