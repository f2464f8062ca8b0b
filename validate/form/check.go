package form

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"sort"
	"strconv"
	"sync"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"saywatt/schema"
	"saywatt/validate/standard"
)

// Rule is the rule name of findings on the form of a record: what its
// JSON Schema objects to.
const Rule = "record-form"

// source is the source of such findings.
const source = "JSON Schema of the record, \"saywatt schema\""

// Error says where a document stops being JSON.
type Error struct {
	Line, Col int // from 1, Col in bytes
	Err       error
}

func (e *Error) Error() string {
	return fmt.Sprintf("line %d, column %d: %v", e.Line, e.Col, e.Err)
}
func (e *Error) Unwrap() error { return e.Err }

// compiled is the record's schema, ready to use.
var compiled = sync.OnceValue(func() *jsonschema.Schema {
	c := jsonschema.NewCompiler()
	c.Draft = jsonschema.Draft2020
	if err := c.AddResource(schema.SchemaID, bytes.NewReader(schema.JSONSchema())); err != nil {
		panic(err)
	}
	return c.MustCompile(schema.SchemaID)
})

// Read reads a record from one JSON document. Where its form is wrong, or it
// contradicts itself, there are findings and no record. What is no JSON at all is a
// *Error.
func Read(document []byte) (*schema.Record, []schema.Finding, error) {
	found, err := Check(document)
	if err != nil || len(found) > 0 {
		return nil, found, err
	}
	r, err := schema.ReadRecord(bytes.NewReader(document))
	if err != nil {
		return nil, nil, err
	}
	places := placesOf(document)
	if senseless := senseOf(r, places); len(senseless) > 0 {
		found = findings(document, places, senseless)
		for i := range found {
			found[i].Rule, found[i].Source, found[i].Standing = SenseRule, senseSource, standard.Computed.String()
		}
		return nil, found, nil
	}
	return r, nil, nil
}

// Check holds one JSON document against the schema of a record. Findings
// say in plain words what is wrong and where: the path of the field, and its
// line and column in the document. What is no JSON at all is a *Error.
func Check(document []byte) ([]schema.Finding, error) {
	d := json.NewDecoder(bytes.NewReader(document))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		return nil, errorOf(document, err)
	}
	if _, err := d.Token(); err != io.EOF {
		line, col := position(document, d.InputOffset())
		return nil, &Error{line, col, schema.ErrTrailing}
	}
	if twice := (*schema.KeyError)(nil); errors.As(schema.CheckKeys(document), &twice) {
		line, col := position(document, twice.Offset)
		return nil, &Error{line, col, twice}
	}
	places := placesOf(document)
	if found := hugeNumbers(v, "", nil); len(found) > 0 {
		return findings(document, places, found), nil
	}
	err := compiled().Validate(v)
	if err == nil {
		return nil, nil
	}
	var invalid *jsonschema.ValidationError
	if !errors.As(err, &invalid) {
		return nil, err
	}
	var found []problem
	for _, leaf := range leaves(invalid, nil) {
		found = append(found, problem{leaf.InstanceLocation, plainly(leaf, lookUp(v, leaf.InstanceLocation))})
	}
	return findings(document, places, found), nil
}

// problem is a sentence about the value at a JSON pointer.
type problem struct{ pointer, message string }

// findings gives problems their paths and positions, in document order.
func findings(document []byte, places map[string]int64, problems []problem) []schema.Finding {
	var found []schema.Finding
	starts := lineStarts(document)
	for _, p := range problems {
		f := schema.Finding{Rule: Rule, Severity: schema.SeverityError, Message: p.message,
			Source: source, Standing: standard.Verified.String()}
		if path := pathOf(p.pointer); path != "" {
			f.Paths = []string{path}
		}
		if offset, ok := places[p.pointer]; ok {
			line := sort.SearchInts(starts, int(offset)+1) // starts before or at it
			col := int(offset) - starts[line-1] + 1
			f.Positions = []schema.Position{{Line: line, Col: col}}
		}
		found = append(found, f)
	}
	slices.SortStableFunc(found, func(a, b schema.Finding) int {
		return cmp.Or(comparePositions(a, b), slices.Compare(a.Paths, b.Paths), cmp.Compare(a.Message, b.Message))
	})
	return found
}

// hugeNumbers finds numbers that no quantity has. They go first, because the
// schema's bounds are checked exactly, and writing out a hostile 1e999999999
// would never end.
func hugeNumbers(v any, pointer string, to []problem) []problem {
	switch v := v.(type) {
	case json.Number:
		if _, err := schema.ParseDecimal(string(v)); err != nil {
			to = append(to, problem{pointer, show(v) + " is no number that a record can hold"})
		}
	case []any:
		for i, e := range v {
			to = hugeNumbers(e, pointer+"/"+strconv.Itoa(i), to)
		}
	case map[string]any:
		for _, k := range slices.Sorted(maps.Keys(v)) {
			to = hugeNumbers(v[k], pointer+"/"+escapePointer(k), to)
		}
	}
	return to
}

// errorOf finds the place of an error of package json.
func errorOf(document []byte, err error) error {
	offset := int64(len(document))
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		offset = syntax.Offset - 1
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		err = errors.New("the JSON ends too early")
	}
	line, col := position(document, offset)
	return &Error{line, col, err}
}
