package validate

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"sort"
	"strconv"
	"strings"
	"sync"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"saywatt/schema"
)

// FormRule is the rule name of findings on the form of a record: what its
// JSON Schema objects to.
const FormRule = "record-form"

// formSource is the source of such findings.
const formSource = "JSON Schema of the record, \"saywatt schema\""

// A FormError says where a document stops being JSON.
type FormError struct {
	Line, Col int // from 1, Col in bytes
	Err       error
}

func (e *FormError) Error() string {
	return fmt.Sprintf("line %d, column %d: %v", e.Line, e.Col, e.Err)
}
func (e *FormError) Unwrap() error { return e.Err }

// compiled is the record's schema, ready to use.
var compiled = sync.OnceValue(func() *jsonschema.Schema {
	c := jsonschema.NewCompiler()
	c.Draft = jsonschema.Draft2020
	if err := c.AddResource(schema.SchemaID, bytes.NewReader(schema.JSONSchema())); err != nil {
		panic(err)
	}
	return c.MustCompile(schema.SchemaID)
})

// CheckDocument checks one JSON document: its form, and where that is right
// what the record says. The record comes with the findings, nil where the form
// is wrong or the record contradicts itself. What is no JSON at all is a
// *FormError.
func CheckDocument(document []byte) ([]schema.Finding, *schema.Record, error) {
	return CheckDocumentWith(Rules(), document)
}

// CheckDocumentWith is CheckDocument with other rules.
func CheckDocumentWith(rules []*Rule, document []byte) ([]schema.Finding, *schema.Record, error) {
	found, err := CheckForm(document)
	if err != nil || len(found) > 0 {
		return found, nil, err
	}
	r, err := schema.ReadRecord(bytes.NewReader(document))
	if err != nil {
		return nil, nil, err
	}
	places := placesOf(document)
	if senseless := senseOf(r, places); len(senseless) > 0 {
		found = formFindings(document, places, senseless)
		for i := range found {
			found[i].Rule, found[i].Source, found[i].Standing = SenseRule, senseSource, StandingComputed.String()
		}
		return found, nil, nil
	}
	return CheckWith(rules, r), r, nil
}

// CheckForm holds one JSON document against the schema of a record. Findings
// say in plain words what is wrong and where: the path of the field, and its
// line and column in the document. What is no JSON at all is a *FormError.
func CheckForm(document []byte) ([]schema.Finding, error) {
	d := json.NewDecoder(bytes.NewReader(document))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		return nil, formError(document, err)
	}
	if _, err := d.Token(); err != io.EOF {
		line, col := position(document, d.InputOffset())
		return nil, &FormError{line, col, schema.ErrTrailing}
	}
	if twice := (*schema.KeyError)(nil); errors.As(schema.CheckKeys(document), &twice) {
		line, col := position(document, twice.Offset)
		return nil, &FormError{line, col, twice}
	}
	places := placesOf(document)
	if found := hugeNumbers(v, "", nil); len(found) > 0 {
		return formFindings(document, places, found), nil
	}
	err := compiled().Validate(v)
	if err == nil {
		return nil, nil
	}
	var invalid *jsonschema.ValidationError
	if !errors.As(err, &invalid) {
		return nil, err
	}
	var found []formProblem
	for _, leaf := range leaves(invalid, nil) {
		found = append(found, formProblem{leaf.InstanceLocation, plainly(leaf, lookUp(v, leaf.InstanceLocation))})
	}
	return formFindings(document, places, found), nil
}

// formProblem is a sentence about the value at a JSON pointer.
type formProblem struct{ pointer, message string }

// formFindings gives problems their paths and positions, in document order.
func formFindings(document []byte, places map[string]int64, problems []formProblem) []schema.Finding {
	var found []schema.Finding
	starts := lineStarts(document)
	for _, p := range problems {
		f := schema.Finding{Rule: FormRule, Severity: schema.SeverityError, Message: p.message,
			Source: formSource, Standing: StandingVerified.String()}
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
		if n := comparePositions(a, b); n != 0 {
			return n
		}
		return compare(a, b)
	})
	return found
}

// hugeNumbers finds numbers that no quantity has. They go first, because the
// schema's bounds are checked exactly, and writing out a hostile 1e999999999
// would never end.
func hugeNumbers(v any, pointer string, to []formProblem) []formProblem {
	switch v := v.(type) {
	case json.Number:
		if _, err := schema.ParseDecimal(string(v)); err != nil {
			to = append(to, formProblem{pointer, show(v) + " is no number that a record can hold"})
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

func comparePositions(a, b schema.Finding) int {
	if len(a.Positions) == 0 || len(b.Positions) == 0 {
		return len(a.Positions) - len(b.Positions)
	}
	p, q := a.Positions[0], b.Positions[0]
	if p.Line != q.Line {
		return p.Line - q.Line
	}
	return p.Col - q.Col
}

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

// lookUp follows a JSON pointer (RFC 6901).
func lookUp(v any, pointer string) any {
	for _, part := range pointerParts(pointer) {
		switch in := v.(type) {
		case map[string]any:
			v = in[part]
		case []any:
			i, err := strconv.Atoi(part)
			if err != nil || i < 0 || i >= len(in) {
				return nil
			}
			v = in[i]
		default:
			return nil
		}
	}
	return v
}

var pointerEscapes = strings.NewReplacer("~1", "/", "~0", "~")

func pointerParts(pointer string) []string {
	if pointer == "" {
		return nil
	}
	parts := strings.Split(pointer[1:], "/")
	for i, p := range parts {
		parts[i] = pointerEscapes.Replace(p)
	}
	return parts
}

// pathOf turns a JSON pointer into the path that findings have.
func pathOf(pointer string) string {
	var b strings.Builder
	for _, part := range pointerParts(pointer) {
		if _, err := strconv.Atoi(part); err == nil {
			b.WriteString("[" + part + "]")
			continue
		}
		if b.Len() > 0 {
			b.WriteByte('.')
		}
		b.WriteString(part)
	}
	return b.String()
}

// placesOf gives the offset of every value in a JSON document by its JSON
// pointer. The document must be valid.
func placesOf(document []byte) map[string]int64 {
	places := map[string]int64{}
	d := json.NewDecoder(bytes.NewReader(document))
	d.UseNumber()
	var walk func(pointer string) error
	walk = func(pointer string) error {
		from := d.InputOffset()
		t, err := d.Token()
		if err != nil {
			return err
		}
		for int(from) < len(document) && strings.IndexByte(" \t\r\n:,", document[from]) >= 0 {
			from++
		}
		places[pointer] = from
		switch t {
		case json.Delim('{'):
			for d.More() {
				key, err := d.Token()
				if err != nil {
					return err
				}
				if err := walk(pointer + "/" + escapePointer(key.(string))); err != nil {
					return err
				}
			}
			_, err = d.Token()
		case json.Delim('['):
			for i := 0; d.More(); i++ {
				if err := walk(pointer + "/" + strconv.Itoa(i)); err != nil {
					return err
				}
			}
			_, err = d.Token()
		}
		return err
	}
	if walk("") != nil {
		return nil
	}
	return places
}

func escapePointer(s string) string {
	return strings.ReplaceAll(strings.ReplaceAll(s, "~", "~0"), "/", "~1")
}

// position counts line and column from 1.
func position(document []byte, offset int64) (line, col int) {
	before := document[:min(max(offset, 0), int64(len(document)))]
	return bytes.Count(before, []byte("\n")) + 1, len(before) - (bytes.LastIndexByte(before, '\n') + 1) + 1
}

// lineStarts lists the offsets at which lines begin: positions of many problems
// are looked up there, each counted from the top would take their product.
func lineStarts(document []byte) []int {
	starts := []int{0}
	for i, b := range document {
		if b == '\n' {
			starts = append(starts, i+1)
		}
	}
	return starts
}

// formError finds the place of an error of package json.
func formError(document []byte, err error) error {
	offset := int64(len(document))
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		offset = syntax.Offset - 1
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		err = errors.New("the JSON ends too early")
	}
	line, col := position(document, offset)
	return &FormError{line, col, err}
}
