package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"

	"saywatt/internal/archive"
	"saywatt/schema"
)

const captions = "WEBVTT\n\n00:01.000 --> 00:04.000\nThe USB-C1 port gives 20 volts at 325 amps, 65 watts.\n"

// ask sends a request to a handler of small bounds.
func ask(t testing.TB, method, path, kind, body string) *httptest.ResponseRecorder {
	t.Helper()
	return askOf(t, Options{MaxBytes: 1 << 20}, method, path, kind, body)
}

func askOf(t testing.TB, o Options, method, path, kind, body string) *httptest.ResponseRecorder {
	t.Helper()
	q := httptest.NewRequest(method, Prefix+path, strings.NewReader(body))
	if kind != "" {
		q.Header.Set("Content-Type", kind)
	}
	w := httptest.NewRecorder()
	Handler(o).ServeHTTP(w, q)
	return w
}

func quoted(s string) string { b, _ := json.Marshal(s); return string(b) }

// Captions come as they are and in JSON, and both give the same record: 325
// amperes are 3.25 A at 20 V and 65 W.
func TestRead(t *testing.T) {
	plain := ask(t, "POST", "read?name=bench.vtt", "text/vtt", captions)
	if form := ask(t, "POST", "read?name=bench.vtt", "application/x-www-form-urlencoded", captions); form.Body.String() != plain.Body.String() {
		t.Errorf("as a form's type: %d %s", form.Code, form.Body)
	}
	inJSON := ask(t, "POST", "read", "application/json", `{"name":"bench.vtt","captions":`+quoted(captions)+`}`)
	if plain.Code != 200 || !bytes.Equal(plain.Body.Bytes(), inJSON.Body.Bytes()) {
		t.Fatalf("as text %d, in JSON %d; %d and %d bytes", plain.Code, inJSON.Code, plain.Body.Len(), inJSON.Body.Len())
	}
	rec, err := schema.ReadRecord(plain.Body)
	if err != nil {
		t.Fatal(err)
	}
	if len(rec.Levels) != 1 || rec.Levels[0].Current.Quantity.String() != "3.25 A" || rec.Source.File != "bench.vtt" {
		t.Errorf("levels %+v of %s", rec.Levels, rec.Source.File)
	}
}

// A person's decision stands; the span is that of the words in the captions.
func TestReadAnswers(t *testing.T) {
	at := strings.Index(captions, "325 amps")
	answers := fmt.Sprintf(`[{"span":[%d,%d],"quantity":{"value":3.2,"unit":"A"}}]`, at, at+len("325 amps"))
	w := ask(t, "POST", "read", "application/json", `{"captions":`+quoted(captions)+`,"answers":`+answers+`}`)
	rec, err := schema.ReadRecord(w.Body)
	if err != nil {
		t.Fatal(err)
	}
	if s := rec.Levels[0].Current; s.Quantity.String() != "3.2 A" || s.Status != schema.StatusSettled {
		t.Errorf("got %s, %s", s.Quantity, s.Status)
	}
}

// Each wrong request has its problem: status, and what the detail says.
func TestProblems(t *testing.T) {
	deep := strings.Repeat(`[`, 20_000)
	for _, tt := range []struct {
		method, path, kind, body string
		status                   int
		detail                   string
	}{
		{"GET", "read", "", "", 405, "POST"},
		{"DELETE", "rules", "", "", 405, "GET"},
		{"GET", "nothing", "", "", 404, "openapi.json"},
		{"POST", "read", "image/png", "x", 415, "image/png"},
		{"POST", "read", "te;xt/", "x", 415, "media type"},
		{"POST", "read", "text/plain", "", 422, "empty"},
		{"POST", "read", "text/plain", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", 422, "not text"},
		{"POST", "read?threshold=2", "text/plain", captions, 400, "probability"},
		{"POST", "read?threshold=x", "text/plain", captions, 400, "not a number"},
		{"POST", "read", "text/plain", strings.Repeat("volts ", 1<<18), 413, "1048576"},
		{"POST", "read", "application/json", `{"captions":`, 400, "EOF"},
		{"POST", "read", "application/json", `{"words":"x"}`, 400, "words"},
		{"POST", "read", "application/json", `{"name":"x"}`, 400, "captions"},
		{"POST", "read", "application/json", `{"captions":"5 volts"} {}`, 400, "follows"},
		{"POST", "read", "application/json", deep, 400, "JSON"},
		{"POST", "read", "application/json", `{"captions":"It gives 5 volts.","answers":[{"span":[0,2],"nothing":true}]}`, 422, "no quantity"},
		{"POST", "read", "application/json", `{"captions":"5 volts","answers":[{"spin":1}]}`, 400, "answers"},
		{"POST", "check", "application/json", "{", 400, ""},
		{"POST", "check", "text/plain", "{}", 415, "application/json"},
		{"POST", "calc/none", "application/json", "{}", 404, "none"},
		{"POST", "calc/level-power", "application/json", `{"inputs":{"voltage":"20 V"}}`, 422, "current"},
		{"POST", "calc/level-power", "application/json", `{"inputs":{"colour":"20 V"}}`, 422, "colour"},
		{"POST", "calc/level-power", "application/json", `{"inputs":{"voltage":"lots"}}`, 422, "voltage"},
		{"POST", "calc/level-power", "application/json", `{"inputs":{"voltage":"1e999999999 V","current":"1 A"}}`, 422, "voltage"},
		{"GET", "search?q=x", "", "", 404, "no archive"},
		{"POST", "batch", "text/plain", captions, 415, "application/json"},
	} {
		w := ask(t, tt.method, tt.path, tt.kind, tt.body)
		var p Problem
		if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil {
			t.Errorf("%s %s: %v in %q", tt.method, tt.path, err, w.Body)
			continue
		}
		if w.Code != tt.status || p.Status != tt.status || p.Title != http.StatusText(tt.status) || !strings.Contains(p.Detail, tt.detail) {
			t.Errorf("%s %s %.40q: got %d, %+v; want %d %q", tt.method, tt.path, tt.body, w.Code, p, tt.status, tt.detail)
		}
		if kind := w.Header().Get("Content-Type"); kind != "application/problem+json" {
			t.Errorf("%s %s: a problem as %s", tt.method, tt.path, kind)
		}
		if tt.status == 405 && w.Header().Get("Allow") == "" {
			t.Errorf("%s %s: Allow is missing", tt.method, tt.path)
		}
	}
}

// Where a place is known it is told: line 1 of a TTML document that ends
// early, and line 2 of a record.
func TestPlaces(t *testing.T) {
	var p Problem
	w := ask(t, "POST", "read?name=x.ttml", "application/ttml+xml", `<tt xmlns="http://www.w3.org/ns/ttml"><body><!DOCTYPE a></body></tt>`)
	json.Unmarshal(w.Body.Bytes(), &p)
	if w.Code == 200 || p.File != "x.ttml" {
		t.Errorf("got %d %+v", w.Code, p)
	}
	p = Problem{}
	w = ask(t, "POST", "check", "application/json", "{\n  nonsense\n}")
	json.Unmarshal(w.Body.Bytes(), &p)
	if p.Line != 2 {
		t.Errorf("got %+v, want line 2", p)
	}
}

// A level of 20 V and 6 A breaks the limit of 5 A (USB PD R3.x, 10.2).
func TestCheck(t *testing.T) {
	read := ask(t, "POST", "read", "text/plain", "Output. USB-C: 20 volts 6 amps, 120 watts.")
	w := ask(t, "POST", "check?name=a.json", "application/json", read.Body.String())
	var all []struct {
		File     string
		Findings []schema.Finding
	}
	if err := json.Unmarshal(w.Body.Bytes(), &all); err != nil || len(all) != 1 || all[0].File != "a.json" {
		t.Fatalf("%v: %s", err, w.Body)
	}
	found := false
	for _, f := range all[0].Findings {
		found = found || strings.Contains(f.Rule, "current") && strings.Contains(f.Message, "5 A")
	}
	if !found {
		t.Errorf("no word of 5 A in %s", w.Body)
	}
	w = ask(t, "POST", "check", "application/json", `{"version":"saywatt/record/1"}`)
	if !strings.Contains(w.Body.String(), "record-form") {
		t.Errorf("a record without its fields passes: %s", w.Body)
	}
}

// 10 000 mAh at 3.7 V are 37 Wh (E = Q × U).
func TestCalc(t *testing.T) {
	w := ask(t, "POST", "calc/pack-energy", "application/json", `{"inputs":{"capacity":"10000 mAh","voltage":"3.7 V"}}`)
	if w.Code != 200 || !strings.Contains(w.Body.String(), `"value": 37,`) {
		t.Errorf("got %d %s", w.Code, w.Body)
	}
	read := ask(t, "POST", "read", "text/vtt", captions)
	w = ask(t, "POST", "calc/level-power", "application/json", `{"record":`+read.Body.String()+`}`)
	if w.Code != 200 || !strings.Contains(w.Body.String(), `"value": 65,`) {
		t.Errorf("got %d %s", w.Code, w.Body)
	}
}

// A batch is answered line by line, in order, whatever a line holds.
func TestBatch(t *testing.T) {
	var b strings.Builder
	for n := range 20 {
		fmt.Fprintf(&b, `{"name":"%d","captions":"USB-C gives %d volts at 3 amps."}`+"\n", n, 5+n)
	}
	b.WriteString("\n{\"captions\":\n")
	b.WriteString(`{"name":"last","captions":"It weighs 80 grams."}`) // no line end
	w := ask(t, "POST", "batch", "application/x-ndjson", b.String())
	lines := strings.Split(strings.TrimSuffix(w.Body.String(), "\n"), "\n")
	if len(lines) != 23 {
		t.Fatalf("%d lines: %s", len(lines), w.Body)
	}
	for n := range 20 {
		rec, err := schema.ReadRecord(strings.NewReader(lines[n]))
		if err != nil || rec.Source.File != fmt.Sprint(n) {
			t.Errorf("line %d: %v, of %q", n+1, err, lines[n])
		}
	}
	var p struct{ Problem Problem }
	if json.Unmarshal([]byte(lines[21]), &p); lines[20] != "" || p.Problem.Status != 400 || p.Problem.Line != 22 {
		t.Errorf("line 21 %q, line 22 %q", lines[20], lines[21])
	}
	if !strings.Contains(lines[22], `"last"`) {
		t.Errorf("line 23 %q", lines[22])
	}
}

// A line beyond the bound ends a batch, with a problem.
func TestBatchLine(t *testing.T) {
	w := askOf(t, Options{MaxBytes: 100}, "POST", "batch", "", `{"captions":"5 volts"}`+"\n"+`{"captions":"`+strings.Repeat("x", 5000)+`"}`)
	lines := strings.Split(strings.TrimSpace(w.Body.String()), "\n")
	if len(lines) != 2 || !strings.Contains(lines[1], "413") {
		t.Errorf("got %q", lines)
	}
}

// A batch ends where its client goes away, though its body never ends.
func TestBatchStops(t *testing.T) {
	server := httptest.NewServer(Handler(Options{}))
	defer server.Close()
	body, feed := io.Pipe()
	ctx, stop := context.WithCancel(t.Context())
	q, err := http.NewRequestWithContext(ctx, "POST", server.URL+Prefix+"batch", body)
	if err != nil {
		t.Fatal(err)
	}
	go func() {
		for {
			if _, err := io.WriteString(feed, `{"captions":"It gives 5 volts."}`+"\n"); err != nil {
				return
			}
		}
	}()
	answer, err := http.DefaultClient.Do(q)
	if err != nil {
		t.Fatal(err)
	}
	one := make([]byte, 100)
	if _, err := io.ReadFull(answer.Body, one); err != nil {
		t.Fatal(err)
	}
	stop()
	if _, err := io.Copy(io.Discard, answer.Body); !errors.Is(err, context.Canceled) {
		t.Errorf("reading on gives %v", err)
	}
	feed.CloseWithError(context.Canceled)
}

func TestSearch(t *testing.T) {
	a, err := archive.Create(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	w := askOf(t, Options{Archive: a}, "GET", "search?q=power%3A%3E30W&limit=5&facets=true", "", "")
	var found struct{ Total int }
	if err := json.Unmarshal(w.Body.Bytes(), &found); err != nil || w.Code != 200 || found.Total != 0 {
		t.Errorf("%v: %d %s", err, w.Code, w.Body)
	}
	if w := askOf(t, Options{Archive: a}, "GET", "search?limit=1000", "", ""); w.Code != 400 {
		t.Errorf("a page of 1000 gives %d", w.Code)
	}
	if w := askOf(t, Options{Archive: a}, "GET", "search?q=%28", "", ""); w.Code != 400 {
		t.Errorf("a query that cannot be read gives %d %s", w.Code, w.Body)
	}
}

func FuzzDecode(f *testing.F) {
	f.Add(`{"name":"x","captions":"5 volts","threshold":0.9,"answers":[{"span":[0,7],"nothing":true}]}`)
	f.Add(`{"captions":null}`)
	f.Add(`[{}]`)
	f.Fuzz(func(t *testing.T, text string) {
		task, err := decode(strings.NewReader(text))
		if err == nil && task.Captions == nil {
			t.Error("no captions and no error")
		}
		if w := askOf(t, Options{MaxBytes: 1 << 12}, "POST", "read", "application/json", text); w.Code >= 500 {
			t.Errorf("%d: %s", w.Code, w.Body)
		}
	})
}

func BenchmarkRead(b *testing.B) {
	source, err := os.ReadFile("../demo/narrations/demo.vtt")
	if err != nil {
		b.Fatal(err)
	}
	h := Handler(Options{})
	b.SetBytes(int64(len(source)))
	for b.Loop() {
		q := httptest.NewRequest("POST", Prefix+"read", bytes.NewReader(source))
		w := httptest.NewRecorder()
		if h.ServeHTTP(w, q); w.Code != 200 {
			b.Fatal(w.Body)
		}
	}
}
