package form

import (
	"bytes"
	"encoding/json"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"saywatt/schema"
)

// leaves lists the errors that name a cause. Where one of several forms
// should have matched, the choice itself is the cause.
func leaves(e *jsonschema.ValidationError, to []*jsonschema.ValidationError) []*jsonschema.ValidationError {
	if k := keyword(e); len(e.Causes) == 0 || k == "oneOf" || k == "anyOf" {
		if u := unknownUnit(e); u != nil {
			return append(to, u)
		}
		return append(to, e)
	}
	for _, c := range e.Causes {
		to = leaves(c, to)
	}
	return to
}

// unknownUnit is the cause below e that a unit is none, which fails every form of a
// quantity; nil where there is no such cause.
func unknownUnit(e *jsonschema.ValidationError) *jsonschema.ValidationError {
	if keyword(e) == "pattern" && strings.HasSuffix(e.InstanceLocation, "/unit") {
		return e
	}
	for _, c := range e.Causes {
		if u := unknownUnit(c); u != nil {
			return u
		}
	}
	return nil
}

// keyword is the word of JSON Schema that an error is about.
func keyword(e *jsonschema.ValidationError) string {
	return e.KeywordLocation[strings.LastIndexByte(e.KeywordLocation, '/')+1:]
}

// schemaText is the record's schema as JSON.
var schemaText = sync.OnceValue(func() any {
	d := json.NewDecoder(bytes.NewReader(schema.JSONSchema()))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		panic(err) // it is embedded and tested
	}
	return v
})

// asked returns the schema that has the keyword of an error, and what it asks for
// there.
func asked(e *jsonschema.ValidationError) (of map[string]any, wants any) {
	_, pointer, _ := strings.Cut(e.AbsoluteKeywordLocation, "#")
	of, _ = lookUp(schemaText(), pointer[:max(0, strings.LastIndexByte(pointer, '/'))]).(map[string]any)
	return of, of[keyword(e)]
}

// plainly says what a keyword means to someone who wrote the record. What is
// wanted is looked up in the schema, so that nothing hangs on the wording of the
// library that checks.
func plainly(e *jsonschema.ValidationError, value any) string {
	of, wants := asked(e)
	switch k := keyword(e); k {
	case "required":
		names := missing(wants, value)
		if len(names) > 1 {
			return "must have " + strings.Join(names, ", ") + ", which are missing"
		}
		return "must have " + strings.Join(names, ", ") + ", which is missing"
	case "additionalProperties":
		return "has a field that a record does not know: " + strings.Join(unknown(of, value), ", ")
	case "type":
		return "must be " + article(strings.Join(texts(wants), " or ")) + ", and is " + article(typeOf(value))
	case "enum":
		if list := shown(wants); len(list) > 1 {
			return show(value) + " is not allowed; it must be one of " + strings.Join(list, ", ")
		}
		fallthrough
	case "const":
		return show(value) + " is not allowed; it must be " + strings.Join(shown(wants), ", ")
	case "pattern":
		if unknownUnit(e) != nil {
			return show(value) + " is no unit that a record can hold"
		}
		return show(value) + " is not written as it must be"
	case "oneOf", "anyOf":
		return "must have either a value, or low and high"
	case "minimum", "exclusiveMinimum", "maximum", "exclusiveMaximum":
		return show(value) + " is out of bounds: it must be " + boundSigns[k] + " " + show(wants)
	case "minItems":
		return show(value) + " is out of bounds: it must have at least " + show(wants)
	case "maxItems":
		return show(value) + " is out of bounds: it must have at most " + show(wants)
	case "maxLength":
		return show(value) + " is out of bounds: it must have at most " + show(wants) + " characters"
	}
	return e.Message
}

// boundSigns are the bounds of numbers in signs.
var boundSigns = map[string]string{"minimum": ">=", "exclusiveMinimum": ">", "maximum": "<=", "exclusiveMaximum": "<"}

// missing are the fields wanted that an object does not have.
func missing(wants, object any) []string {
	has, _ := object.(map[string]any)
	return slices.DeleteFunc(texts(wants), func(name string) bool { _, ok := has[name]; return ok })
}

// unknown are the fields of an object that its schema does not name, in order.
func unknown(of map[string]any, object any) []string {
	known, _ := of["properties"].(map[string]any)
	has, _ := object.(map[string]any)
	var names []string
	for _, name := range slices.Sorted(maps.Keys(has)) {
		if _, ok := known[name]; !ok {
			names = append(names, name)
		}
	}
	return names
}

// elements are those of a list, or what stands alone.
func elements(v any) []any {
	if list, ok := v.([]any); ok {
		return list
	}
	return []any{v}
}

// texts are the texts of a list, or the one that stands alone.
func texts(v any) []string {
	var all []string
	for _, e := range elements(v) {
		if s, ok := e.(string); ok {
			all = append(all, s)
		}
	}
	return all
}

// shown are the values of a list as they are quoted, or the one that stands alone.
func shown(v any) []string {
	var all []string
	for _, e := range elements(v) {
		all = append(all, show(e))
	}
	return all
}

// typeOf is the type of a value, as JSON Schema names it.
func typeOf(v any) string {
	switch v.(type) {
	case nil:
		return "null"
	case bool:
		return "boolean"
	case json.Number:
		return "number"
	case string:
		return "string"
	case []any:
		return "array"
	}
	return "object"
}

// article writes a JSON type as English.
func article(kind string) string {
	switch kind {
	case "null":
		return "null"
	case "array":
		return "a list"
	case "object", "integer":
		return "an " + kind
	case "string":
		return "a text"
	}
	return "a " + kind
}

// maxShown bounds what is quoted of a record, in bytes.
const maxShown = 60

// show quotes a scalar, or names a list or object.
func show(v any) string {
	switch v := v.(type) {
	case map[string]any:
		return "an object"
	case []any:
		return "a list of " + strconv.Itoa(len(v))
	}
	b, err := json.Marshal(v)
	if err != nil {
		return "this"
	}
	if len(b) > maxShown {
		return strings.ToValidUTF8(string(b[:maxShown]), "") + "…"
	}
	return string(b)
}
