package api

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v5"

	"saywatt/schema"
)

// The parts of an OpenAPI document (OpenAPI Specification 3.1.0, 4.8) that
// this API uses.
type (
	openAPI struct {
		OpenAPI string
		Servers []struct{ URL string }
		Paths   map[string]pathItem
	}
	pathItem struct {
		Parameters []parameter
		Get, Post  *operation
	}
	operation struct {
		OperationID string
		Parameters  []parameter
		RequestBody *struct{ Content map[string]mediaType }
		Responses   map[string]response
	}
	parameter struct {
		Name, In string
		Example  any
	}
	response struct {
		Ref     string `json:"$ref"`
		Content map[string]mediaType
	}
	mediaType struct {
		Schema   json.RawMessage
		Examples map[string]struct{ Value json.RawMessage }
	}
)

// A walk is the document with what it takes to check answers by it.
type walk struct {
	openAPI
	compiler *jsonschema.Compiler
	schemas  map[string]*jsonschema.Schema // by pointer into the document
}

const address = "http://desk.example" + Base

func newWalk(t *testing.T) *walk {
	w := &walk{compiler: jsonschema.NewCompiler(), schemas: map[string]*jsonschema.Schema{}}
	d := json.NewDecoder(bytes.NewReader(document()))
	if err := d.Decode(&w.openAPI); err != nil {
		t.Fatal(err)
	}
	w.compiler.Draft = jsonschema.Draft2020
	w.compiler.AssertFormat = true
	for name, text := range map[string][]byte{"openapi.json": document(), "record.schema.json": schema.JSONSchema()} {
		if err := w.compiler.AddResource(address+name, bytes.NewReader(text)); err != nil {
			t.Fatal(err)
		}
	}
	return w
}

// at compiles the schema at a JSON pointer.
func (w *walk) at(t *testing.T, pointer string) *jsonschema.Schema {
	t.Helper()
	if s := w.schemas[pointer]; s != nil {
		return s
	}
	s, err := w.compiler.Compile(address + "openapi.json#" + pointer)
	if err != nil {
		t.Fatalf("%s: %v", pointer, err)
	}
	w.schemas[pointer] = s
	return s
}

// pointerOf makes a JSON pointer.
func pointerOf(steps ...string) string {
	var b strings.Builder
	for _, s := range steps {
		b.WriteString("/" + escapeStep.Replace(s))
	}
	return (&url.URL{Path: b.String()}).EscapedPath()
}

// holds checks a JSON text by the schema of a media type.
func (w *walk) holds(t *testing.T, text []byte, content ...string) {
	t.Helper()
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		t.Errorf("%v: %v", content, err)
		return
	}
	if err := w.at(t, pointerOf(append(content, "schema")...)).Validate(v); err != nil {
		t.Errorf("%v: %#v\n%.2000s", content, err, text)
	}
}

// follow is the place of a response, behind its reference, and the response.
func (w *walk) follow(t *testing.T, r response, at ...string) ([]string, response) {
	name, ok := strings.CutPrefix(r.Ref, "#/components/responses/")
	if !ok {
		return at, r
	}
	var doc struct {
		Components struct{ Responses map[string]response }
	}
	if err := json.Unmarshal(document(), &doc); err != nil {
		t.Fatal(err)
	}
	r, ok = doc.Components.Responses[name]
	if !ok {
		t.Fatalf("%v: %s leads nowhere", at, name)
	}
	return []string{"components", "responses", name}, r
}

// answered checks an answer by the document, whatever its status.
func (w *walk) answered(t *testing.T, op *operation, got *httptest.ResponseRecorder, at ...string) {
	t.Helper()
	status := strconv.Itoa(got.Code)
	r, ok := op.Responses[status]
	if !ok {
		t.Errorf("%v: status %s is not described: %s", at, status, got.Body)
		return
	}
	place, r := w.follow(t, r, append(slices.Clone(at), "responses", status)...)
	media := got.Header().Get("Content-Type")
	if _, ok := r.Content[media]; !ok {
		t.Errorf("%v: %s with %s is not described", at, status, media)
		return
	}
	place = append(slices.Clone(place), "content", media)
	if !slices.Contains(lineTypes, media) {
		w.holds(t, got.Body.Bytes(), place...)
		return
	}
	for line := range bytes.Lines(got.Body.Bytes()) {
		w.holds(t, line, place...)
	}
}

// target is the address of an operation with the examples of its parameters.
func target(path string, all []parameter) string {
	query := url.Values{}
	for _, p := range all {
		switch {
		case p.In == "path":
			path = strings.ReplaceAll(path, "{"+p.Name+"}", fmt.Sprint(p.Example))
		case p.Example != nil:
			query.Set(p.Name, fmt.Sprint(p.Example))
		}
	}
	return strings.TrimSuffix(Base, "/") + path + "?" + query.Encode()
}

// TestOpenAPI walks the document: every path and method against the routes,
// every example of a request against its schema and the handler, every answer
// against the schema of its status, and every way to be refused.
func TestOpenAPI(t *testing.T) {
	w := newWalk(t)
	h := Handler(Options{Archive: demoArchive(t), MaxBytes: 1 << 20})
	if w.OpenAPI != "3.1.0" || len(w.Servers) != 1 || w.Servers[0].URL+"/" != Base {
		t.Errorf("%s %+v", w.OpenAPI, w.Servers)
	}
	var routes, described []string
	for _, r := range (&api{}).table() {
		routes = append(routes, "/"+r.path+" "+r.methods())
	}
	ids := map[string]bool{}
	for path, item := range w.Paths {
		var methods []string
		for _, m := range []struct {
			name string
			op   *operation
		}{{"get", item.Get}, {"post", item.Post}} {
			if m.op == nil {
				continue
			}
			methods = append(methods, strings.ToUpper(m.name))
			if m.name == "get" {
				methods = append(methods, "HEAD")
			}
			if ids[m.op.OperationID] || m.op.OperationID == "" {
				t.Errorf("%s: operationId %q", path, m.op.OperationID)
			}
			ids[m.op.OperationID] = true
			t.Run(m.op.OperationID, func(t *testing.T) {
				w.operation(t, h, path, m.name, m.op, slices.Concat(item.Parameters, m.op.Parameters))
			})
		}
		described = append(described, path+" "+strings.Join(methods, ", "))
		// RFC 9110, 15.5.6: with 405 goes Allow
		for _, method := range []string{"PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "QUERY"} {
			got := ask(t, h, method, target(path, item.Parameters), "")
			if p := problem(t, got); p.Status != 405 || got.Header().Get("Allow") != strings.Join(methods, ", ") {
				t.Errorf("%s %s: %+v, Allow %q", method, path, p, got.Header().Get("Allow"))
			}
		}
	}
	slices.Sort(routes)
	slices.Sort(described)
	if diff := cmp.Diff(routes, described); diff != "" {
		t.Errorf("served, but not described (-), described, but not served (+):\n%s", diff)
	}
}

func (w *walk) operation(t *testing.T, h http.Handler, path, method string, op *operation, parameters []parameter) {
	at := []string{"paths", path, method}
	verb, good := strings.ToUpper(method), target(path, parameters)
	var names []string
	for _, p := range parameters {
		if p.In == "query" {
			names = append(names, p.Name)
		}
	}
	for _, r := range (&api{}).table() {
		if e := map[string]*endpoint{"get": r.get, "post": r.post}[method]; "/"+r.path == path {
			if diff := cmp.Diff(e.query, names); diff != "" {
				t.Errorf("parameters: %s", diff)
			}
			var gives []string
			for m := range op.Responses["200"].Content {
				gives = append(gives, m)
			}
			if diff := cmp.Diff(slices.Sorted(slices.Values(e.gives)),
				slices.Sorted(slices.Values(gives))); diff != "" {
				t.Errorf("media types of the answer: %s", diff)
			}
			if op.RequestBody != nil {
				if diff := cmp.Diff(slices.Sorted(slices.Values(e.takes)),
					slices.Sorted(maps.Keys(op.RequestBody.Content))); diff != "" {
					t.Errorf("media types of the body: %s", diff)
				}
			}
		}
	}
	// Every schema can be compiled, and every example of an answer keeps its own.
	for status, r := range op.Responses {
		place, r := w.follow(t, r, append(slices.Clone(at), "responses", status)...)
		for media, m := range r.Content {
			place := append(slices.Clone(place), "content", media)
			w.at(t, pointerOf(append(slices.Clone(place), "schema")...))
			for _, e := range m.Examples {
				w.holds(t, e.Value, place...)
			}
		}
	}
	bodies := map[string]string{"": ""} // by media type
	if op.RequestBody != nil {
		bodies = map[string]string{}
		for media, m := range op.RequestBody.Content {
			for name, e := range m.Examples {
				body := string(e.Value)
				place := append(slices.Clone(at), "requestBody", "content", media)
				if media != typeJSON {
					if err := json.Unmarshal(e.Value, &body); err != nil {
						t.Fatal(err)
					}
				}
				if slices.Contains(lineTypes, media) {
					first, _, _ := strings.Cut(body, "\n") // the others show what is wrong
					w.holds(t, []byte(first), place...)
				} else {
					w.holds(t, e.Value, place...)
				}
				bodies[media] = body
				got := ask(t, h, verb, good, body, "Content-Type: "+media)
				if got.Code != http.StatusOK {
					t.Errorf("example %s: %d, %s", name, got.Code, got.Body)
				}
				w.answered(t, op, got, at...)
			}
		}
	} else {
		got := ask(t, h, verb, good, "")
		if got.Code != http.StatusOK {
			t.Errorf("%d, %s", got.Code, got.Body)
		}
		w.answered(t, op, got, at...)
	}
	refused := func(want int, target, body string, fields ...string) {
		t.Helper()
		got := ask(t, h, verb, target, body, fields...)
		if got.Code != want {
			t.Errorf("status %d, want %d: %s", got.Code, want, got.Body)
		}
		w.answered(t, op, got, at...)
		problem(t, got)
	}
	refused(400, good+"&nam=x", "", asJSON)
	refused(400, good+"&%zz", "", asJSON)
	refused(406, good, "", "Accept: image/png")
	if method == "post" {
		refused(415, good, "a=b", "Content-Type: image/png")
		for media, body := range bodies {
			refused(415, good, body, "Content-Type: "+media, "Content-Encoding: gzip")
			refused(415, good, body, "Content-Type: "+media+"; charset=ebcdic-cp-us")
			if _, ok := op.Responses["413"]; ok {
				refused(413, good, strings.Repeat(" ", 1<<20)+body, "Content-Type: "+media)
				refused(400, good, "", "Content-Type: "+media)
			}
		}
	}
}

// The types of problems in the document are those that there are.
func TestProblemTypes(t *testing.T) {
	var doc struct {
		Components struct {
			Schemas struct {
				Problem struct {
					Properties struct{ Type struct{ Enum []string } }
				}
			}
		}
	}
	if err := json.Unmarshal(document(), &doc); err != nil {
		t.Fatal(err)
	}
	want := []string{"about:blank"}
	for k := range titles {
		want = append(want, problemTypes+string(k))
	}
	slices.Sort(want)
	got := doc.Components.Schemas.Problem.Properties.Type.Enum
	slices.Sort(got)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}
