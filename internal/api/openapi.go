package api

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"maps"
	"slices"
	"sync"

	"saywatt/schema"
)

//go:embed openapi.json
var written []byte

// schemasBegin is where the document's own schemas begin.
var schemasBegin = []byte("\n    \"schemas\": {\n")

// document is the description of the API, OpenAPI 3.1, with the schema of a
// record among the components, as Record, and what it defines as Record.NAME: a
// copy that was saved is whole. The caller may not change it.
var document = sync.OnceValue(func() []byte {
	var record map[string]json.RawMessage
	mustUnmarshal(schema.JSONSchema(), &record)
	var defs map[string]json.RawMessage
	mustUnmarshal(record["$defs"], &defs)
	for _, name := range []string{"$defs", "$id", "$schema"} {
		delete(record, name)
	}
	all := map[string]any{"Record": record}
	for name, def := range defs {
		all["Record."+name] = def
	}
	var b bytes.Buffer
	before, after, ok := bytes.Cut(written, schemasBegin)
	if !ok {
		panic("openapi.json has no schemas") // it is embedded
	}
	b.Write(before)
	b.Write(schemasBegin)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		text, err := json.MarshalIndent(map[string]any{name: all[name]}, "    ", "  ")
		if err != nil {
			panic(err)
		}
		text = bytes.ReplaceAll(text, []byte(`"#/$defs/`), []byte(`"#/components/schemas/Record.`))
		b.Write(bytes.TrimSuffix(bytes.TrimPrefix(text, []byte("{\n")), []byte("\n    }")))
		b.WriteString(",\n")
	}
	b.Write(after)
	return b.Bytes()
})

// mustUnmarshal reads what is embedded.
func mustUnmarshal(text []byte, into any) {
	if err := json.Unmarshal(text, into); err != nil {
		panic(err)
	}
}

func (a *api) openAPI(c *call) error { return c.sendBytes(document()) }

// recordSchema serves the JSON Schema of a record by itself.
func (a *api) recordSchema(c *call) error { return c.sendBytes(schema.JSONSchema()) }
