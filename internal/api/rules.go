package api

import (
	"bytes"
	"encoding/json"

	"saywatt/internal/export"
	"saywatt/validate"
)

// rules lists what records are checked by.
func (a *api) rules(c *call) error {
	var b bytes.Buffer
	if err := export.WriteRulesJSON(&b, validate.Families()); err != nil {
		return err
	}
	return c.send(struct {
		Rules json.RawMessage `json:"rules"`
	}{b.Bytes()})
}
