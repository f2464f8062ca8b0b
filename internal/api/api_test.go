package api

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"saywatt/extract/transcript"
	"saywatt/internal/archive"
	"saywatt/internal/demo"
	"saywatt/internal/pipeline"
	"saywatt/schema"
)

// ask sends one request to a handler. fields are "Name: value".
func ask(t testing.TB, h http.Handler, method, target, body string, fields ...string) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest(method, target, strings.NewReader(body))
	for _, f := range fields {
		name, value, _ := strings.Cut(f, ": ")
		r.Header.Add(name, value)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

const asJSON = "Content-Type: application/json"

// decoded decodes an answer of status 200.
func decoded[T any](t testing.TB, w *httptest.ResponseRecorder) T {
	t.Helper()
	var v T
	if w.Code != http.StatusOK {
		t.Fatalf("status %d: %s", w.Code, w.Body)
	}
	if err := json.Unmarshal(w.Body.Bytes(), &v); err != nil {
		t.Fatalf("%v: %s", err, w.Body)
	}
	return v
}

// problem decodes an answer that is a problem.
func problem(t testing.TB, w *httptest.ResponseRecorder) Problem {
	t.Helper()
	var p Problem
	if got := w.Header().Get("Content-Type"); got != typeProblem {
		t.Fatalf("status %d, Content-Type %q: %s", w.Code, got, w.Body)
	}
	d := json.NewDecoder(w.Body)
	d.DisallowUnknownFields()
	if err := d.Decode(&p); err != nil {
		t.Fatal(err)
	}
	if p.Status != w.Code || p.Title == "" || p.Type == "" || p.Detail == "" {
		t.Errorf("status %d with problem %+v", w.Code, p)
	}
	return p
}

// demoRecord is what the engine makes of the demo captions.
func demoRecord(t testing.TB) *schema.Record {
	t.Helper()
	tr, err := transcript.Parse(demo.Name, []byte(demo.Captions()))
	if err != nil {
		t.Fatal(err)
	}
	r, err := pipeline.Run(tr, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func demoArchive(t testing.TB) *archive.Archive {
	t.Helper()
	a, err := archive.Create(filepath.Join(t.TempDir(), "reviews"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { a.Close() })
	w, err := a.Begin()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Add(demo.Name, demoRecord(t), "Ada", time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC),
		false); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return a
}

// The values of the demo narration, from demo.gold.json: what its reviewer
// really said.
func TestReadDemo(t *testing.T) {
	h := Handler(Options{})
	asText := ask(t, h, "POST", "/api/v1/read?name=demo.vtt", demo.Captions(), "Content-Type: text/vtt; charset=utf-8")
	rec, err := schema.ReadRecord(bytes.NewReader(asText.Body.Bytes()))
	if err != nil || asText.Code != http.StatusOK || asText.Header().Get("Content-Type") != typeJSON {
		t.Fatalf("%d, %v", asText.Code, err)
	}
	heard := map[string]string{}
	for _, q := range rec.Quantities {
		heard[q.Heard] = q.Quantity.String()
	}
	for words, want := range map[string]string{
		"325 amps": "3.25 A", "3.3 221 volts": "3.3–21 V", "5,000 million per hours": "5000 mAh",
		"68 Miller homes": "6.8 mΩ", "42 Miller volts": "42 mV", "230 volts": "230 V",
	} {
		if heard[words] != want {
			t.Errorf("%q was read as %q, want %q", words, heard[words], want)
		}
	}
	var want bytes.Buffer
	if err := demoRecord(t).Write(&want); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(asText.Body.Bytes(), want.Bytes()) {
		t.Error("not the bytes that the command writes")
	}
	body, _ := json.Marshal(map[string]any{"name": "demo.vtt", "captions": demo.Captions()})
	if got := ask(t, h, "POST", "/api/v1/read", string(body), asJSON); !bytes.Equal(got.Body.Bytes(), want.Bytes()) {
		t.Errorf("as JSON: status %d, other bytes", got.Code)
	}
}

func TestReadNames(t *testing.T) {
	h := Handler(Options{})
	for media, want := range map[string]string{"text/vtt": "captions.vtt",
		"text/plain; charset=US-ASCII": "captions.txt", "": "captions", "TEXT/SRT": "captions.srt"} {
		var fields []string
		if media != "" {
			fields = []string{"Content-Type: " + media}
		}
		if got := decoded[schema.Record](t,
			ask(t, h, "POST", "/api/v1/read", "The fuse is 3.15 amps.", fields...)).Source.File; got != want {
			t.Errorf("%q: named %q, want %q", media, got, want)
		}
	}
	// UTF-16 with a byte order mark (RFC 2781): "3.15 amps"
	utf16 := "\xff\xfe"
	for _, r := range "The fuse is 3.15 amps." {
		utf16 += string([]byte{byte(r), 0})
	}
	r := decoded[schema.Record](t, ask(t, h, "POST", "/api/v1/read", utf16, "Content-Type: text/plain; charset=utf-16"))
	if len(r.Quantities) != 1 || r.Quantities[0].Quantity.String() != "3.15 A" {
		t.Errorf("UTF-16 was read as %+v", r.Quantities)
	}
}

func TestReadWithAnswersAndGlossary(t *testing.T) {
	h := Handler(Options{})
	at := strings.Index(demo.Captions(), "325 amps")
	body, _ := json.Marshal(map[string]any{
		"captions": demo.Captions(), "threshold": 0.9,
		"answers":  []any{map[string]any{"span": []int{at, at + len("325 amps")}, "quantity": map[string]any{"value": json.Number("3.20"), "unit": "A"}}},
		"glossary": "kind,name,spoken\nmaker,Bexholm,bex home\n",
	})
	r := decoded[schema.Record](t, ask(t, h, "POST", "/api/v1/read", string(body), asJSON))
	for _, q := range r.Quantities {
		if q.Heard == "325 amps" && (q.Status != schema.StatusSettled || q.Quantity.String() != "3.20 A") {
			t.Errorf("an answer is not what stands: %v %v", q.Status, q.Quantity)
		}
	}
	found := false
	for _, term := range r.Terms {
		found = found || term.Heard == "Bex home" && term.Meant == "Bexholm" // as demo.gold.json has it
	}
	if !found {
		t.Errorf("the glossary's name was not read: %+v", r.Terms)
	}
	// A threshold that nothing reaches leaves open what was repaired.
	plain := decoded[schema.Record](t, ask(t, h, "POST", "/api/v1/read", demo.Captions()))
	strict := decoded[schema.Record](t, ask(t, h, "POST", "/api/v1/read?threshold=1", demo.Captions()))
	if a, b := open(&plain), open(&strict); b <= a {
		t.Errorf("%d are open, %d with threshold 1", a, b)
	}
}

func open(r *schema.Record) (n int) {
	for i := range r.Quantities {
		if r.Quantities[i].Status == schema.StatusOpen {
			n++
		}
	}
	return n
}

func TestCheck(t *testing.T) {
	h := Handler(Options{})
	rec := demoRecord(t)
	var b bytes.Buffer
	rec.Write(&b)
	got := decoded[checked](t, ask(t, h, "POST", "/api/v1/check", b.String(), asJSON))
	if diff := cmp.Diff(rec.Findings, got.Findings, decimals()); diff != "" {
		t.Error(diff)
	}
	if len(got.Findings) == 0 || got.Note != noProof {
		t.Errorf("%d findings, note %q", len(got.Findings), got.Note)
	}
	// 20 V at 3.25 A is 65 W (P = V × I); a label of 60 W contradicts it.
	bad := bytes.Replace(b.Bytes(), []byte(`"version": "saywatt/record/1"`), []byte(`"version": "saywatt/record/2"`), 1)
	got = decoded[checked](t, ask(t, h, "POST", "/api/v1/check", string(bad), asJSON))
	if len(got.Findings) != 1 || got.Findings[0].Rule != "record-form" ||
		got.Findings[0].Positions[0] != (schema.Position{Line: 2, Col: 14}) {
		t.Errorf("another version: %+v", got.Findings)
	}
}

// decimals compares exact numbers by their value.
func decimals() cmp.Option {
	return cmp.Comparer(func(a, b schema.Decimal) bool { return a.Equal(b) })
}

func TestCalc(t *testing.T) {
	h := Handler(Options{})
	tests := []struct {
		name, inputs, result, want string // a source for each
	}{
		{"level-power", `{"voltage":"20V","current":"3.25 A"}`, "power", "65 W"},                                              // P = V × I
		{"level-power", `{"voltage":{"low":3.3,"high":21,"unit":"V"},"current":{"value":3,"unit":"A"}}`, "power", "9.9–63 W"}, // handbook 2.5
		{"pdo-decode", `{"word":"0x00064145"}`, "current", "3.25 A"},                                                          // handbook 11.1, W19
		{"pack-energy", `{"capacity":"20000mAh","voltage":"3.7V"}`, "energy", "74 Wh"},                                        // handbook 11.2, W44
		{"pack-energy", `{"capacity":{"value":1650,"unit":"mA.h"},"voltage":"3.8V"}`, "energy", "6.27 Wh"},                    // W48
		{"air-travel", `{"energy":"230.4Wh"}`, "verdict", "one bank of 230.4 Wh: no, not for passengers"},                     // handbook 5.7
	}
	for _, test := range tests {
		a := decoded[answersJSON](t, ask(t, h, "POST", "/api/v1/calc/"+test.name, `{"inputs":`+test.inputs+`}`, asJSON))
		if len(a.Answers) != 1 || a.Answers[0].Formula == "" || a.Answers[0].Source == "" ||
			len(a.Answers[0].Cautions) == 0 {
			t.Errorf("%s: %+v", test.name, a)
			continue
		}
		if got := a.result(0, test.result); got != test.want {
			t.Errorf("%s %s: %s is %q, want %q", test.name, test.inputs, test.result, got, test.want)
		}
	}
	var b bytes.Buffer
	demoRecord(t).WriteLine(&b)
	a := decoded[answersJSON](t, ask(t, h, "POST", "/api/v1/calc/level-power", `{"record":`+b.String()+`}`, asJSON))
	found := false
	for i := range a.Answers {
		found = found || a.result(i, "power") == "65 W"
	}
	if !found || len(a.Answers) < 5 {
		t.Errorf("of the demo's levels there are %d answers, none of 65 W", len(a.Answers))
	}
}

type answersJSON struct {
	Answers []struct {
		Calculator, Label, Formula, Source string
		Cautions                           []string
		Results                            []struct {
			Name     string
			Text     string
			Quantity *schema.Quantity
		}
	}
	Refused []string
}

func (a *answersJSON) result(i int, name string) string {
	for _, r := range a.Answers[i].Results {
		if r.Name == name {
			if r.Quantity != nil {
				return r.Quantity.String()
			}
			return r.Text
		}
	}
	return "none"
}

func TestSearch(t *testing.T) {
	h := Handler(Options{Archive: demoArchive(t)})
	type results struct {
		Query   string
		Total   int
		Reviews []struct {
			Review, Product, By string
			Matches             []struct {
				Path, Value string
				At          float64
			}
		}
		Facets []struct{ Field string }
	}
	// "the fuse is 3.15 amps", in other units
	r := decoded[results](t, ask(t, h, "GET", "/api/v1/search?q=fuse+3150+mA&facets=true&limit=5", ""))
	if r.Total != 1 || len(r.Reviews) != 1 || r.Reviews[0].Review != "demo" || r.Reviews[0].By != "Ada" ||
		len(r.Facets) == 0 {
		t.Fatalf("%+v", r)
	}
	if m := r.Reviews[0].Matches[0]; m.Value != "3.15 A" || m.At < 66 || m.At > 67 {
		t.Errorf("%+v", m)
	}
	if r := decoded[results](t, ask(t, h, "GET", "/api/v1/search?q=power+%3E+9000+W", "")); r.Total != 0 ||
		r.Reviews == nil {
		t.Errorf("%+v", r)
	}
	if r := decoded[results](t, ask(t, h, "GET", "/api/v1/search?offset=7", "")); r.Total != 1 || len(r.Reviews) != 0 {
		t.Errorf("%+v", r)
	}
}

func TestHead(t *testing.T) {
	h := Handler(Options{Archive: demoArchive(t)})
	for _, path := range []string{"openapi.json", "record.schema.json", "rules", "calc", "calc/fuse", "search?q=fuse"} {
		get, head := ask(t, h, "GET", Base+path, ""), ask(t, h, "HEAD", Base+path, "")
		if get.Code != 200 || head.Code != 200 || head.Body.Len() != 0 ||
			head.Header().Get("Content-Length") != get.Header().Get("Content-Length") || get.Body.Len() == 0 {
			t.Errorf("%s: GET %d of %d bytes, HEAD %d of %d, %v", path, get.Code, get.Body.Len(), head.Code,
				head.Body.Len(), head.Header())
		}
	}
	if w := ask(t, h, "HEAD", Base+"nowhere", ""); w.Code != 404 || w.Body.Len() != 0 {
		t.Errorf("HEAD of nothing: %d, %s", w.Code, w.Body)
	}
}

func TestAccept(t *testing.T) {
	for _, test := range []struct {
		accept, media string
		want          float64
	}{
		// RFC 9110, 12.5.1: the most specific range decides
		{"text/*;q=0.3, text/plain;q=0.7, text/plain;format=flowed, text/plain;format=fixed;q=0.4, */*;q=0.5", "text/html", 0.3},
		{"text/*;q=0.3, */*;q=0.5", "image/jpeg", 0.5},
		{"application/json;q=0, */*", typeJSON, 0},
		{"APPLICATION/JSON ; q=0.25", typeJSON, 0.25},
		{"text/html", typeJSON, 0},
		{"*/*;q=nan", typeJSON, 0},
		{"", typeJSON, 0},
	} {
		if got := quality(test.accept, test.media); got != test.want {
			t.Errorf("%q wants %s %v, not %v", test.accept, test.media, got, test.want)
		}
	}
	if w := ask(t, Handler(Options{}), "GET", Base+"record.schema.json", "",
		"Accept: application/json"); w.Header().Get("Content-Type") != typeJSON {
		t.Errorf("%v", w.Header())
	}
}

func TestConcurrentReads(t *testing.T) {
	s := httptest.NewServer(Handler(Options{AtOnce: 2, Requests: 8}))
	defer s.Close()
	var want bytes.Buffer
	demoRecord(t).Write(&want)
	errs := make(chan error, 8)
	for range cap(errs) {
		go func() {
			r, err := http.Post(s.URL+Base+"read?name=demo.vtt", "text/vtt", strings.NewReader(demo.Captions()))
			if err != nil {
				errs <- err
				return
			}
			defer r.Body.Close()
			got, err := io.ReadAll(r.Body)
			if err == nil && !bytes.Equal(got, want.Bytes()) {
				err = os.ErrInvalid
			}
			errs <- err
		}()
	}
	for range cap(errs) {
		if err := <-errs; err != nil {
			t.Error(err)
		}
	}
}

func BenchmarkRead(b *testing.B) {
	h := Handler(Options{})
	b.SetBytes(int64(len(demo.Captions())))
	b.ReportAllocs()
	for b.Loop() {
		if w := ask(b, h, "POST", "/api/v1/read", demo.Captions(), "Content-Type: text/vtt"); w.Code != http.StatusOK {
			b.Fatal(w.Code)
		}
	}
}

func BenchmarkBatch(b *testing.B) {
	h := Handler(Options{})
	line, err := json.Marshal(map[string]string{"captions": demo.Captions()})
	if err != nil {
		b.Fatal(err)
	}
	const lines = 20
	body := strings.Repeat(string(line)+"\n", lines)
	b.SetBytes(lines * int64(len(demo.Captions())))
	b.ReportAllocs()
	for b.Loop() {
		w := ask(b, h, "POST", "/api/v1/batch", body, "Content-Type: application/jsonl")
		if n := bytes.Count(w.Body.Bytes(), []byte("\n")); n != lines {
			b.Fatal(n)
		}
	}
}
