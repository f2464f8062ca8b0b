package api

import (
	"bytes"
	"encoding/json"

	"saywatt/internal/export/report"
	"saywatt/validate"
)

// rules lists what records are checked by.
func (a *api) rules(c *call) error {
	var b bytes.Buffer
	if err := report.WriteRulesJSON(&b, validate.Families()); err != nil {
		return err
	}
	return c.send(struct {
		Rules json.RawMessage `json:"rules"`
	}{b.Bytes()})
}
