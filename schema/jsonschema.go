package schema

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"
)

// SchemaID is the $id of the JSON Schema of a record.
const SchemaID = "urn:saywatt:record:1"

//go:embed record.schema.json
var recordSchema string

// JSONSchema returns the JSON Schema of a record, draft 2020-12, as one
// indented document. It is made from the Go types and their tags; a test
// keeps the committed file and the types in step. The caller owns the bytes.
//
// Two rules of the reader are beyond what JSON Schema can say portably: a
// span must not end before it starts, and times are whole milliseconds
// (multipleOf 0.001 fails on binary floats in many validators). ReadRecord
// checks both.
func JSONSchema() []byte { return []byte(recordSchema) }

// node is one (sub)schema, its keywords in the order they are written.
type node struct {
	Schema      string     `json:"$schema,omitempty"`
	ID          string     `json:"$id,omitempty"`
	Title       string     `json:"title,omitempty"`
	Description string     `json:"description,omitempty"`
	Ref         string     `json:"$ref,omitempty"`
	Type        string     `json:"type,omitempty"`
	Const       string     `json:"const,omitempty"`
	Enum        []string   `json:"enum,omitempty"`
	Pattern     string     `json:"pattern,omitempty"`
	MaxLength   int        `json:"maxLength,omitempty"`
	Minimum     *int       `json:"minimum,omitempty"`
	Maximum     *int       `json:"maximum,omitempty"`
	Properties  properties `json:"properties,omitempty"`
	Required    []string   `json:"required,omitempty"`
	Additional  *bool      `json:"additionalProperties,omitempty"`
	PrefixItems []*node    `json:"prefixItems,omitempty"`
	Items       any        `json:"items,omitempty"` // *node, or false
	MinItems    int        `json:"minItems,omitempty"`
	MaxItems    int        `json:"maxItems,omitempty"`
	OneOf       []*node    `json:"oneOf,omitempty"`
	AnyOf       []*node    `json:"anyOf,omitempty"`
	Defs        properties `json:"$defs,omitempty"`
}

// properties is a JSON object that keeps the order of its members.
type properties []property

type property struct {
	name string
	node *node
}

// MarshalJSON writes the members in their order.
func (p properties) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	for i, m := range p {
		b.WriteByte("{,"[min(i, 1)])
		v, err := marshal(m.node)
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(&b, "%q:%s", m.name, v)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

type schemaBuilder struct {
	defs map[string]*node // by Go type name; nil while being built
}

// field is one field of a struct of the record, as its tags say.
type field struct {
	name     string // JSON name
	doc      string
	required bool
	typ      reflect.Type
}

// fieldsOf lists the fields of a struct that appear in JSON.
func fieldsOf(t reflect.Type) []field {
	var fs []field
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "" || name == "-" {
			continue
		}
		fs = append(fs, field{name, f.Tag.Get("doc"), !strings.Contains(options, "omitempty"), f.Type})
	}
	return fs
}

func (s *schemaBuilder) object(t reflect.Type) *node {
	n := &node{Type: "object", Additional: new(bool)}
	for _, f := range fieldsOf(t) {
		m := s.value(f)
		m.Description = f.doc
		if limit, ok := fieldLimits[t.Name()+"."+f.name]; ok {
			limit(m)
		}
		n.Properties = append(n.Properties, property{f.name, m})
		if f.required {
			n.Required = append(n.Required, f.name)
		}
	}
	return n
}

// value gives the schema of a field. A pointer that is written even when nil
// may be null.
func (s *schemaBuilder) value(f field) *node {
	if f.typ.Kind() == reflect.Pointer {
		n := s.of(f.typ.Elem())
		if f.required {
			return &node{AnyOf: []*node{n, {Type: "null"}}}
		}
		return n
	}
	return s.of(f.typ)
}

func (s *schemaBuilder) of(t reflect.Type) *node {
	if form := s.ownForm(t); form != nil {
		return s.def(t.Name(), form)
	}
	switch t.Kind() {
	case reflect.String:
		return &node{Type: "string"}
	case reflect.Bool:
		return &node{Type: "boolean"}
	case reflect.Int:
		return &node{Type: "integer"}
	case reflect.Float64:
		return &node{Type: "number"}
	case reflect.Slice:
		return &node{Type: "array", Items: s.of(t.Elem())}
	case reflect.Struct:
		return s.def(t.Name(), func() *node { return s.object(t) })
	}
	panic("schema: no JSON form for " + t.String()) // a type new to the record; the tests meet it first
}

// def refers to a named definition, made on first use.
func (s *schemaBuilder) def(name string, build func() *node) *node {
	if _, ok := s.defs[name]; !ok {
		s.defs[name] = nil
		s.defs[name] = build()
	}
	return &node{Ref: "#/$defs/" + name}
}

// ownForm gives the schema of the types that write their own JSON, nil for
// the others.
func (s *schemaBuilder) ownForm(t reflect.Type) func() *node {
	switch t {
	case reflect.TypeFor[Decimal]():
		return func() *node {
			return &node{Type: "number", Description: "exact decimal, digits as said; readers keep it as text, not " +
				"as a binary float"}
		}
	case reflect.TypeFor[Seconds]():
		return func() *node {
			return &node{Type: "number", Description: "seconds with up to three decimals"}
		}
	case reflect.TypeFor[Span]():
		return func() *node {
			offset := &node{Type: "integer", Minimum: new(int)}
			return &node{Type: "array", Description: "[start, end) in bytes, end not before start",
				PrefixItems: []*node{offset, offset},
				Items:       false, MinItems: 2, MaxItems: 2}
		}
	case reflect.TypeFor[Unit]():
		return func() *node {
			return &node{Type: "string", Description: "UCUM code, case-sensitive (The Unified Code for Units of " +
				"Measure 2.2); empty where none was said",
				Pattern: unitPattern(), MaxLength: maxUnitCode}
		}
	case reflect.TypeFor[Quantity]():
		return s.quantity
	case reflect.TypeFor[Kind]():
		return func() *node { return enum(kindNames[:], "physical kind of a quantity") }
	case reflect.TypeFor[Status]():
		return func() *node { return enum(statusNames[:], "where a reading stands") }
	case reflect.TypeFor[Basis]():
		return func() *node { return enum(basisNames[:], "on what ground a value stands") }
	case reflect.TypeFor[Qualifier]():
		return func() *node { return enum(qualifierNames[:], "hedge or comparator put on a quantity") }
	case reflect.TypeFor[Aside]():
		return func() *node { return enum(asideNames[:], "why a quantity is of nothing of the product") }
	case reflect.TypeFor[TermKind]():
		return func() *node { return enum(termKindNames[:], "what a term names") }
	case reflect.TypeFor[Severity]():
		return func() *node { return enum(severityNames[:], "how grave a finding is") }
	}
	return nil
}

// quantity is either a value or a range: two objects that are whole by
// themselves, so that a validator in strict mode finds every property that is
// required where it is required.
func (s *schemaBuilder) quantity() *node {
	form := func(doc string, required, without []string) *node {
		n := s.object(reflect.TypeFor[quantityJSON]())
		n.Description, n.Required = doc, append(required, n.Required...)
		n.Properties = slices.DeleteFunc(n.Properties,
			func(p property) bool { return slices.Contains(without, p.name) })
		return n
	}
	return &node{Description: "exact value, or range of values, with unit", OneOf: []*node{
		form("a value", []string{"value"}, []string{"low", "high"}),
		form("a range", []string{"low", "high"}, []string{"value"}),
	}}
}

// enum is a closed set by its name table, without the unusable zero.
func enum(names []string, doc string) *node {
	return &node{Type: "string", Description: doc, Enum: names[1:]}
}

// unitPattern is the grammar of ParseUnit as a regular expression that ECMA
// 262 and RE2 read alike, made from the atoms and prefixes of the tables.
func unitPattern() string {
	t := loadUnits()
	var metric, plain, prefixes []string
	for code, a := range t.atoms {
		if code == "1" {
			continue // takes no exponent
		} else if a.metric {
			metric = append(metric, regexp.QuoteMeta(code))
		} else {
			plain = append(plain, regexp.QuoteMeta(code))
		}
	}
	for p := range t.prefixes {
		prefixes = append(prefixes, p)
	}
	for _, list := range [][]string{metric, plain, prefixes} {
		slices.Sort(list)
	}
	atom := "(?:(?:" + strings.Join(prefixes, "|") + ")?(?:" + strings.Join(metric, "|") + ")|" +
		strings.Join(plain, "|") + ")"
	annotation := `\{[!-z|~]+\}`
	component := "(?:(?:" + atom + "(?:-?[1-9])?|1)(?:" + annotation + ")?|" + annotation + ")"
	return "^(?:/?" + component + "(?:[./]" + component + ")*)?$"
}

// fieldLimits are the bounds of single fields, by Go type and JSON name.
var fieldLimits = map[string]func(*node){
	"Record.version":         func(n *node) { n.Const = RecordVersion },
	"Source.sha256":          func(n *node) { n.Pattern = "^[0-9a-f]{64}$" },
	"Value.confidence":       probability,
	"Said.confidence":        probability,
	"Said.nothing":           probability,
	"Reading.confidence":     probability,
	"SaidTerm.confidence":    probability,
	"TermReading.confidence": probability,
	"Belonging.confidence":   probability,
	"Said.number":            atLeastOne,
	"Said.media":             func(n *node) { n.Pattern = "^#t=[0-9.:,]+$" },
	"Value.said":             eachAtLeastOne,
	"Record.unplaced":        eachAtLeastOne,
	"Record.withdrawn":       eachAtLeastOne,
	"Finding.said":           eachAtLeastOne,
	"Position.line":          atLeastOne,
	"Position.col":           atLeastOne,
	"Cell.count":             atLeastOne,
	"Cell.series":            atLeastOne,
	"Cell.parallel":          atLeastOne,
	"Component.count":        atLeastOne,
	"Counts.said":            atLeastZero,
	"Counts.heard":           atLeastZero,
	"Counts.repaired":        atLeastZero,
	"Counts.open":            atLeastZero,
	"Counts.settled":         atLeastZero,
	"Counts.unplaced":        atLeastZero,
	"Counts.withdrawn":       atLeastZero,
}

func probability(n *node)    { n.Minimum, n.Maximum = new(int), new(1) }
func atLeastZero(n *node)    { n.Minimum = new(int) }
func atLeastOne(n *node)     { n.Minimum = new(1) }
func eachAtLeastOne(n *node) { atLeastOne(n.Items.(*node)) }

// marshal is json.Marshal without the escapes for HTML.
func marshal(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimRight(b.Bytes(), "\n"), nil
}
