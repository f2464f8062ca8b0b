package api

import (
	_ "embed"

	"saywatt/schema"
)

//go:embed openapi.json
var document []byte

// OpenAPI returns the description of the API, OpenAPI 3.1. The caller may not
// change it.
func OpenAPI() []byte { return document }

func (a *api) openAPI(c *call) error { return c.sendBytes(document) }

// recordSchema serves the JSON Schema of a record, to which the description
// refers.
func (a *api) recordSchema(c *call) error { return c.sendBytes(schema.JSONSchema()) }
