package api

import (
	"bytes"
	"encoding/json"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"saywatt/internal/archive"
	"saywatt/schema"
)

type operation struct {
	RequestBody *struct {
		Content map[string]struct{ Example any }
	}
	Responses map[string]struct {
		Content map[string]json.RawMessage
	}
}

// The document and the handlers agree: every path answers with its method,
// refuses others, takes its examples, and what comes back fits its schema.
func TestOpenAPI(t *testing.T) {
	var doc struct {
		OpenAPI string
		Paths   map[string]map[string]operation
	}
	if err := json.Unmarshal(openAPI, &doc); err != nil {
		t.Fatal(err)
	}
	if doc.OpenAPI != "3.1.0" || len(doc.Paths) != 9 {
		t.Fatalf("OpenAPI %s with %d paths", doc.OpenAPI, len(doc.Paths))
	}
	const base = "http://desk/api/v1/"
	c := jsonschema.NewCompiler()
	c.Draft = jsonschema.Draft2020 // OpenAPI 3.1, 4.8.24
	for name, text := range map[string][]byte{"openapi.json": openAPI, "record.schema.json": schema.JSONSchema()} {
		if err := c.AddResource(base+name, bytes.NewReader(text)); err != nil {
			t.Fatal(err)
		}
	}
	a, err := archive.Create(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	o := Options{Archive: a}
	record := askOf(t, o, "POST", "read", "text/vtt", captions).Body.String()
	bodies := map[string]string{"/check": record}

	escape := strings.NewReplacer("~", "~0", "/", "~1")
	for path, methods := range doc.Paths {
		target := strings.Replace(strings.TrimPrefix(path, "/"), "{name}", "pack-energy", 1)
		for method, op := range methods {
			var requests []func() *httptest.ResponseRecorder
			send := func(kind, body string) {
				requests = append(requests, func() *httptest.ResponseRecorder { return askOf(t, o, strings.ToUpper(method), target, kind, body) })
			}
			if op.RequestBody == nil {
				send("", "")
			} else {
				for kind, content := range op.RequestBody.Content {
					switch example := content.Example.(type) {
					case nil:
						if body, ok := bodies[path]; ok {
							send(kind, body)
						}
					case string:
						send(kind, example)
					default:
						body, _ := json.Marshal(example)
						if s, err := c.Compile(base + "openapi.json#/paths/" + escape.Replace(path) + "/" + method + "/requestBody/content/" + escape.Replace(kind) + "/schema"); err != nil {
							t.Errorf("%s %s: %v", method, path, err)
						} else if err := s.Validate(example); err != nil {
							t.Errorf("%s %s: the example does not fit: %v", method, path, err)
						}
						send(kind, string(body))
					}
				}
			}
			if len(requests) == 0 {
				t.Errorf("%s %s: no example to send", method, path)
			}
			for _, request := range requests {
				w := request()
				kind, _, _ := strings.Cut(w.Header().Get("Content-Type"), ";")
				if _, told := op.Responses["200"].Content[kind]; w.Code != 200 || !told {
					t.Errorf("%s %s: %d as %q: %.200s", method, path, w.Code, kind, w.Body)
					continue
				}
				s, err := c.Compile(base + "openapi.json#/paths/" + escape.Replace(path) + "/" + method + "/responses/200/content/" + escape.Replace(kind) + "/schema")
				if err != nil {
					t.Errorf("%s %s: %v", method, path, err)
					continue
				}
				var v any
				if err := json.Unmarshal(w.Body.Bytes(), &v); err != nil {
					t.Errorf("%s %s: %v", method, path, err)
				} else if err := s.Validate(v); err != nil {
					t.Errorf("%s %s: %#v", method, path, err)
				}
			}
			if w := askOf(t, o, "PATCH", target, "", ""); w.Code != 405 || !strings.Contains(w.Header().Get("Allow"), strings.ToUpper(method)) {
				t.Errorf("PATCH %s: %d, Allow %q", path, w.Code, w.Header().Get("Allow"))
			}
		}
	}
	problem, err := c.Compile(base + "openapi.json#/components/schemas/Problem")
	if err != nil {
		t.Fatal(err)
	}
	for _, body := range []string{`{"captions":`, `{"captions":""}`} {
		var v any
		json.Unmarshal(ask(t, "POST", "read", "application/json", body).Body.Bytes(), &v)
		if err := problem.Validate(v); err != nil {
			t.Errorf("%s: the problem %v does not fit: %v", body, v, err)
		}
	}
}

// HEAD is answered where GET is.
func TestHead(t *testing.T) {
	for _, path := range []string{"rules", "calc", "openapi.json", "record.schema.json"} {
		if w := ask(t, "HEAD", path, "", ""); w.Code != 200 {
			t.Errorf("HEAD %s: %d", path, w.Code)
		}
	}
}
