package schema

import (
	"encoding/json"
	"fmt"
	"testing"
)

// typeOf is the type that a keyword speaks of: strict validators want it
// beside the keyword.
var typeOf = map[string]string{
	"properties": "object", "required": "object", "additionalProperties": "object",
	"items": "array", "prefixItems": "array", "minItems": "array", "maxItems": "array",
	"pattern": "string", "maxLength": "string",
}

// The JSON Schema passes what strict validators ask beyond the standard: the
// type stands beside each keyword that speaks of it, what is required is among
// the properties, a tuple has its length, and a bound is of a number.
func TestSchemaIsStrict(t *testing.T) {
	var root any
	if err := json.Unmarshal(JSONSchema(), &root); err != nil {
		t.Fatal(err)
	}
	var walk func(path string, v any, names bool)
	walk = func(path string, v any, names bool) {
		switch v := v.(type) {
		case map[string]any:
			if !names {
				strict(t, path, v)
			}
			for k, one := range v {
				walk(path+"/"+k, one, !names && (k == "properties" || k == "$defs"))
			}
		case []any:
			for i, one := range v {
				walk(fmt.Sprint(path, "/", i), one, false)
			}
		}
	}
	walk("#", root, false)
}

func strict(t *testing.T, path string, n map[string]any) {
	t.Helper()
	for keyword, want := range typeOf {
		if _, ok := n[keyword]; ok && n["type"] != want {
			t.Errorf("%s: %s beside the type %v", path, keyword, n["type"])
		}
	}
	for _, keyword := range []string{"minimum", "maximum"} {
		if _, ok := n[keyword]; ok && n["type"] != "number" && n["type"] != "integer" {
			t.Errorf("%s: %s beside the type %v", path, keyword, n["type"])
		}
	}
	if (n["enum"] != nil || n["const"] != nil) && n["type"] == nil {
		t.Errorf("%s: values without a type", path)
	}
	properties, _ := n["properties"].(map[string]any)
	required, _ := n["required"].([]any)
	for _, name := range required {
		if properties[name.(string)] == nil {
			t.Errorf("%s: %v is required and no property", path, name)
		}
	}
	if tuple, ok := n["prefixItems"].([]any); ok && (n["minItems"] != float64(len(tuple)) || n["items"] != false) {
		t.Errorf("%s: a tuple without its length", path)
	}
}
