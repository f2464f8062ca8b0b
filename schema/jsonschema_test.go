package schema

import (
	"bytes"
	"encoding/json"
	"flag"
	"io"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v5"
)

var update = flag.Bool("update", false, "rewrite record.schema.json from the Go types")

// buildSchema makes the document from the type of a record.
func buildSchema() ([]byte, error) {
	s := schemaBuilder{defs: map[string]*node{}}
	root := s.object(reflect.TypeFor[Record]())
	root.Schema = "https://json-schema.org/draft/2020-12/schema"
	root.ID = SchemaID
	root.Title = "Record of a narrated product review"
	root.Description = "What was said of one product, and the same facts in their places. A record is not a " +
		"certification."
	for name := range s.defs {
		root.Defs = append(root.Defs, property{name, s.defs[name]})
	}
	slices.SortFunc(root.Defs, func(a, b property) int { return strings.Compare(a.name, b.name) })
	b, err := marshal(root)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := json.Indent(&out, b, "", "  "); err != nil {
		return nil, err
	}
	out.WriteByte('\n')
	return out.Bytes(), nil
}

// TestSchemaFile keeps the published document and the Go types in step.
func TestSchemaFile(t *testing.T) {
	want, err := buildSchema()
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile("record.schema.json", want, 0o666); err != nil {
			t.Fatal(err)
		}
		return
	}
	if !bytes.Equal(JSONSchema(), want) {
		t.Error("record.schema.json is not what the Go types say; run: go test ./schema -run TestSchemaFile -update")
	}
}

// structsOf lists the struct types that a record is made of, Record first.
func structsOf() []reflect.Type {
	var list []reflect.Type
	seen := map[reflect.Type]bool{}
	var walk func(t reflect.Type)
	walk = func(t reflect.Type) {
		switch {
		case t == reflect.TypeFor[Quantity]():
			walk(reflect.TypeFor[quantityJSON]())
		case t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice:
			walk(t.Elem())
		case t.Kind() == reflect.Struct && !seen[t] && t != reflect.TypeFor[Decimal]() && t != reflect.TypeFor[Span]():
			seen[t] = true
			list = append(list, t)
			for i := range t.NumField() {
				walk(t.Field(i).Type)
			}
		}
	}
	walk(reflect.TypeFor[Record]())
	return list
}

func TestEveryFieldIsDocumented(t *testing.T) {
	name := regexp.MustCompile(`^[a-z][a-z0-9_]*$`)
	fields := 0
	for _, s := range structsOf() {
		seen := map[string]bool{}
		for i := range s.NumField() {
			f := s.Field(i)
			fields++
			json, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			if !name.MatchString(json) || seen[json] {
				t.Errorf("%s.%s: JSON name %q", s.Name(), f.Name, json)
			}
			seen[json] = true
			if doc := f.Tag.Get("doc"); doc == "" || strings.HasSuffix(doc, ".") {
				t.Errorf("%s.%s: doc %q: want a phrase without a full stop", s.Name(), f.Name, doc)
			}
		}
	}
	if fields < 150 {
		t.Errorf("%d fields seen, the record has more", fields)
	}
}

func TestFieldLimitsNameFields(t *testing.T) {
	names := map[string]bool{}
	for _, s := range structsOf() {
		for _, f := range fieldsOf(s) {
			names[s.Name()+"."+f.name] = true
			if f.name == "confidence" && fieldLimits[s.Name()+".confidence"] == nil {
				t.Errorf("%s.confidence is not bounded", s.Name())
			}
		}
	}
	for name := range fieldLimits {
		if !names[name] {
			t.Errorf("limit for %s, which is no field", name)
		}
	}
}

func compileSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	c := jsonschema.NewCompiler()
	c.Draft = jsonschema.Draft2020
	c.LoadURL = func(s string) (io.ReadCloser, error) {
		t.Fatalf("the schema refers to %s", s)
		return nil, nil
	}
	if err := c.AddResource(SchemaID, bytes.NewReader(JSONSchema())); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(SchemaID)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// decodeAny decodes for the validator: numbers stay text.
func decodeAny(t *testing.T, b []byte) any {
	t.Helper()
	var v any
	d := json.NewDecoder(bytes.NewReader(b))
	d.UseNumber()
	if err := d.Decode(&v); err != nil {
		t.Fatal(err)
	}
	return v
}

func written(t *testing.T, r *Record) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := r.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestSchemaAccepts checks what is written against the published schema with
// a general-purpose JSON Schema validator.
func TestSchemaAccepts(t *testing.T) {
	s := compileSchema(t)
	for name, r := range map[string]*Record{
		"full":    sampleRecord(),
		"nothing": {Version: RecordVersion, Source: Source{SHA256: strings.Repeat("0", 64)}},
		"nil lists": sampleRecord(func(r *Record) {
			r.Quantities[0].Readings, r.Quantities[1].Why, r.Cautions = nil, nil, nil
		}),
		"compound unit": sampleRecord(func(r *Record) { r.Quantities[0].Quantity.Unit = "g-1.m-2.C2.s" }),
		"no unit":       sampleRecord(func(r *Record) { r.Quantities[0].Quantity.Unit = "" }),
	} {
		if err := s.Validate(decodeAny(t, written(t, r))); err != nil {
			t.Errorf("%s: %#v", name, err)
		}
	}
}

// TestSchemaRefuses mutates one good document. The reader refuses too, but
// for what only the schema says.
func TestSchemaRefuses(t *testing.T) {
	const byReader, bySchema = 1, 2
	tests := []struct {
		name     string
		old, new string // first occurrence in the written sample
		refused  int
	}{
		{"unknown field", `"product": {`, `"product": { "colour": "red",`, byReader | bySchema},
		{"unknown field deep down", `"said": [`, `"seen": true, "said": [`, byReader | bySchema},
		{"field in another case", `"maker": `, `"Maker": `, bySchema},
		{"bad enum: basis", `"basis": "measured"`, `"basis": "guessed"`, byReader | bySchema},
		{"bad enum: empty kind", `"kind": "current"`, `"kind": ""`, byReader | bySchema},
		{"bad enum: status", `"status": "open"`, `"status": "Open"`, byReader | bySchema},
		{"bad enum: severity", `"severity": "error"`, `"severity": "fatal"`, byReader | bySchema},
		{"bad enum: qualifier", `"qualifier": "about"`, `"qualifier": "roughly"`, byReader | bySchema},
		{"missing unit", `"value": 104.5,` + "\n          " + `"unit": "mm"`, `"value": 104.5`, byReader | bySchema},
		{"unit outside UCUM", `"unit": "W.h"`, `"unit": "Wh"`, byReader | bySchema},
		{"unit in words", `"unit": "mm"`, `"unit": "millimetre"`, byReader | bySchema},
		{"missing value", `"value": 104.5,`, ``, byReader | bySchema},
		{"value and range", `"value": 104.5,`, `"value": 104.5, "low": 1, "high": 2,`, byReader | bySchema},
		{"half a range", `"low": 3.3,`, ``, byReader | bySchema},
		{"value as text", `"value": 104.5`, `"value": "104.5"`, byReader | bySchema},
		{"missing version", `"version": "saywatt/record/1",`, ``, byReader | bySchema},
		{"another version", `saywatt/record/1`, `saywatt/record/2`, byReader | bySchema},
		{"missing counts", `"withdrawn": 1` + "\n  }", `"unplaced": 1` + "\n  }", byReader | bySchema},
		{"confidence above 1", `"confidence": 0.98`, `"confidence": 1.01`, bySchema},
		{"negative confidence", `"confidence": 0.98`, `"confidence": -0.1`, bySchema},
		{"null for a list", `"problems": [`, `"marks": null, "problems": [`, byReader | bySchema},
		{"reversed span", "1402,\n        1421", "1421,\n        1402", byReader}, // JSON Schema cannot compare two numbers
		{"negative span", "1402,\n        1421", "-2,\n        1421", byReader | bySchema},
		{"span of three", "1402,\n        1421", "1402, 1410, 1421", byReader | bySchema},
		{"span of fractions", "1402,\n        1421", "1402.5, 1421", byReader | bySchema},
		{"time as text", `"at": 62.205`, `"at": "62.205"`, byReader | bySchema},
		{"time finer than a millisecond", `"at": 62.205`, `"at": 62.2051`, byReader}, // see JSONSchema
		{"hash cut short", `"sha256": "9f`, `"sha256": "`, bySchema},
		{"quantity number 0", `"number": 1`, `"number": 0`, byReader | bySchema},
		{"numbers out of order", `"number": 1`, `"number": 2`, byReader},
		{"line 0", `"line": 40`, `"line": 0`, bySchema},
		{"negative count", `"heard": 0`, `"heard": -1`, bySchema},
	}
	s := compileSchema(t)
	good := string(written(t, sampleRecord()))
	for _, tt := range tests {
		if !strings.Contains(good, tt.old) {
			t.Errorf("%s: the sample has no %q", tt.name, tt.old)
			continue
		}
		bad := strings.Replace(good, tt.old, tt.new, 1)
		got := 0
		if _, err := ReadRecord(strings.NewReader(bad)); err != nil {
			got |= byReader
		}
		if err := s.Validate(decodeAny(t, []byte(bad))); err != nil {
			got |= bySchema
		}
		if got != tt.refused {
			t.Errorf("%s: refused by %b, want %b (1 reader, 10 schema)", tt.name, got, tt.refused)
		}
	}
}

// TestUnitPattern: the schema's pattern and ParseUnit draw the same line.
func TestUnitPattern(t *testing.T) {
	pattern := regexp.MustCompile(unitPattern())
	for _, u := range Units() {
		if !pattern.MatchString(string(u.Unit)) {
			t.Errorf("%s is in the table and does not match", u.Unit)
		}
	}
	for _, tt := range unitCodes {
		if got := pattern.MatchString(tt.code); got != tt.ok {
			t.Errorf("%q: matches %v, want %v", tt.code, got, tt.ok)
		}
	}
}
