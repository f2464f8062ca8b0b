package api

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"
	"unicode/utf8"

	"saywatt/internal/demo"
	"saywatt/schema"
)

func TestRefused(t *testing.T) {
	h := Handler(Options{Archive: demoArchive(t)})
	deep := strings.Repeat("[", 1<<20)
	tests := []struct {
		name, target, body string
		media              string
		status             int
		kind               string // "" for about:blank
		place              place
	}{
		{"no words", "read?name=a.vtt", "WEBVTT\n\n00:01.000 --> 00:02.000\n \n", "text/vtt", 422, "captions", place{File: "a.vtt"}},
		{"another form", "read?name=a.sub", "{1}{2}5 volts", "text/plain", 422, "captions", place{File: "a.sub", Line: 1, Column: 1}},
		{"a record", "read?name=a.json", `{"feed":"saywatt/feed/1"}`, "application/octet-stream", 422, "captions", place{File: "a.json", Line: 1, Column: 1}},
		{"cut JSON", "read?name=a.json", "[{\"start\":1,\n\"text\":", "application/octet-stream", 422, "captions", place{File: "a.json", Line: 2, Column: 8}},
		{"bytes", "read?name=a.txt", "one\nvolt \xff\n", "text/plain", 422, "captions", place{File: "a.txt", Line: 2, Column: 6}},
		{"entities", "read", `<?xml version="1.0"?><!DOCTYPE tt [<!ENTITY a "b">]><tt/>`, "application/ttml+xml", 422, "captions", place{File: "captions.ttml", Line: 1, Column: 22}},
		{"threshold", "read?threshold=NaN", "5 volts", "text/plain", 400, "parameter", place{Parameter: "threshold"}},
		{"threshold 2", "read?threshold=2", "5 volts", "text/plain", 400, "parameter", place{Parameter: "threshold"}},
		{"name", "read?name=", "5 volts", "text/plain", 400, "parameter", place{Parameter: "name"}},
		{"long name", "read?name=" + strings.Repeat("a", maxName+1), "5 volts", "text/plain", 400, "parameter", place{Parameter: "name"}},
		{"two names", "read?name=a&name=b", "5 volts", "text/plain", 400, "parameter", place{Parameter: "name"}},
		{"both", "read?name=a", `{"captions":"5 volts"}`, typeJSON, 400, "parameter", place{Parameter: "name"}},

		{"not JSON", "read", "captions", typeJSON, 400, "body", place{Line: 1, Column: 1}},
		{"truncated", "read", "{\"captions\":\n \"5 vol", typeJSON, 400, "body", place{Line: 2, Column: 8}},
		{"trailing", "read", "{\"captions\":\"5 volts\"}\n{}", typeJSON, 400, "body", place{Line: 2, Column: 2}},
		{"array", "read", ` ["5 volts"]`, typeJSON, 400, "body", place{Line: 1, Column: 2}},
		{"missing", "read", `{"name":"a"}`, typeJSON, 400, "body", place{Line: 1, Column: 1, Member: "/captions"}},
		{"unknown", "read", "{\"captions\":\"5 volts\",\n\"Captions\":\"6 volts\"}", typeJSON, 400, "body", place{Line: 2, Column: 12, Member: "/Captions"}},
		{"twice", "read", `{"captions":"5 volts","captions":"6 volts"}`, typeJSON, 400, "body", place{Line: 1, Column: 32, Member: "/captions"}},
		{"twice within", "read", `{"captions":"5","answers":[{},{"span":[0,1],"sp~/an":1,"sp~/an":2}]}`, typeJSON, 400, "body", place{Line: 1, Column: 63, Member: "/answers/1/sp~0~1an"}},
		{"null", "read", `{"captions":null}`, typeJSON, 400, "body", place{Line: 1, Column: 13, Member: "/captions"}},
		{"number", "read", `{"captions": 1e999999999}`, typeJSON, 400, "body", place{Line: 1, Column: 14, Member: "/captions"}},
		{"deep", "read", deep, typeJSON, 400, "body", place{Line: 1, Column: maxDepth + 1}},
		{"deep record", "check", `{"a":` + deep, typeJSON, 400, "body", place{Line: 1, Column: len(`{"a":`) + maxDepth}},
		{"UTF-8", "read", "{\"captions\":\"\n\xc3\x28\"}", typeJSON, 400, "body", place{Line: 2, Column: 1}},
		{"surrogate", "read", `{"captions":"5 volts \ud800"}`, typeJSON, 400, "body", place{Line: 1, Column: 13, Member: "/captions"}},
		{"huge threshold", "read", `{"captions":"5","threshold":1e999}`, typeJSON, 400, "body", place{Line: 1, Column: 29, Member: "/threshold"}},
		{"threshold words", "read", `{"captions":"5","threshold":"0.5"}`, typeJSON, 400, "body", place{Line: 1, Column: 29, Member: "/threshold"}},
		{"answers", "read", `{"captions":"5","answers":{}}`, typeJSON, 400, "body", place{Line: 1, Column: 27, Member: "/answers"}},
		{"no decision", "read", `{"captions":"5 volts","answers":[{"span":[0,7],"nothing":true},{"span":[0,7]}]}`, typeJSON, 422, "answers", place{Member: "/answers/1"}},
		{"huge answer", "read", `{"captions":"5 volts","answers":[{"span":[0,7],"quantity":{"value":1e999999999,"unit":"V"}}]}`, typeJSON, 422, "answers", place{Member: "/answers/0"}},
		{"backward", "read", `{"captions":"5 volts","answers":[{"span":[7,0],"nothing":true}]}`, typeJSON, 422, "answers", place{Member: "/answers/0"}},
		{"stray", "read", `{"captions":"5 volts now","answers":[{"span":[0,7],"nothing":true},{"span":[8,11],"quantity":{"value":5,"unit":"V"}}]}`, typeJSON, 422, "answers", place{Member: "/answers/1"}},
		{"glossary", "read", `{"captions":"5","glossary":"kind,name\nmaker,Brannick\nbrand,Tolvane\n"}`, typeJSON, 422, "glossary", place{File: "glossary", Line: 3, Member: "/glossary"}},

		{"no record", "check", "WEBVTT", typeJSON, 400, "body", place{Line: 1, Column: 1}},
		{"cut record", "check", "{\"version\":\n", typeJSON, 400, "body", place{Line: 2, Column: 1}},

		{"calculator", "calc/perpetual", `{}`, typeJSON, 404, "", place{}},
		{"nothing given", "calc/level-power", `{}`, typeJSON, 422, "calculation", place{Member: "/inputs/voltage"}},
		{"input unknown", "calc/level-power", `{"inputs":{"volts":"5V"}}`, typeJSON, 422, "calculation", place{Member: "/inputs/volts"}},
		{"input bare", "calc/level-power", `{"inputs":{"voltage": 5}}`, typeJSON, 400, "body", place{Line: 1, Column: 23, Member: "/inputs/voltage"}},
		{"input spelled", "calc/level-power", `{"inputs":{"voltage":"5 lots"}}`, typeJSON, 422, "calculation", place{Member: "/inputs/voltage"}},
		{"input of another kind", "calc/level-power", `{"inputs":{"voltage":"5A","current":"3A"}}`, typeJSON, 422, "calculation", place{Member: "/inputs/voltage"}},
		{"input huge", "calc/level-power", `{"inputs":{"voltage":{"value":1e999999999,"unit":"V"}}}`, typeJSON, 400, "body", place{Line: 1, Column: 22, Member: "/inputs/voltage"}},
		{"inputs", "calc/level-power", "{\n\"inputs\":[]}", typeJSON, 400, "body", place{Line: 2, Column: 10, Member: "/inputs"}},
		{"record", "calc/level-power", `{"record":{"version":"saywatt/record/1"}}`, typeJSON, 422, "record", place{Member: "/record"}},
		{"record of nothing", "calc/level-power", `{"record":7}`, typeJSON, 422, "record", place{Member: "/record"}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			p := problem(t, ask(t, h, "POST", Base+test.target, test.body, "Content-Type: "+test.media))
			want := "about:blank"
			if test.kind != "" {
				want = problemTypes + test.kind
			}
			var place place
			if p.Place != nil {
				place = *p.Place
			}
			if p.Status != test.status || p.Type != want || place != test.place {
				t.Errorf("%+v at %+v, want %d %s at %+v", p, place, test.status, want, test.place)
			}
			if !utf8.ValidString(p.Detail) || len(p.Detail) > 1000 {
				t.Errorf("detail of %d bytes", len(p.Detail))
			}
		})
	}
	for target, place := range map[string]place{
		"search?q=power+%3E+9+lots": {Parameter: "q", Column: 11}, "search?sort=worst": {Parameter: "sort"}, "search?limit=0": {Parameter: "limit"},
		"search?limit=1e3": {Parameter: "limit"}, "search?offset=-1": {Parameter: "offset"}, "search?offset=99999999999999999999": {Parameter: "offset"}, "search?facets=7": {Parameter: "facets"},
	} {
		if p := problem(t, ask(t, h, "GET", Base+target, "")); p.Status != 400 || p.Place == nil || *p.Place != place {
			t.Errorf("%s: %+v at %+v", target, p, p.Place)
		}
	}
	for _, path := range []string{"/", "/api", "/api/v1", Base, Base + "read/", Base + "calc/", Base + "calc/fuse/x",
		Base + "calc/fuse%2Fx", Base + "../v1/read", "/api/v2/read", Base + "openapi.json/"} {
		if p := problem(t, ask(t, h, "GET", path, "")); p.Status != 404 {
			t.Errorf("%s: %+v", path, p)
		}
	}
	if p := problem(t, ask(t, Handler(Options{}), "GET", Base+"search", "")); p.Status != 404 ||
		p.Type != problemTypes+"no-archive" {
		t.Errorf("without an archive: %+v", p)
	}
}

// A record with numbers and texts that are only meant to harm gets findings,
// and soon.
func TestCheckHostile(t *testing.T) {
	h := Handler(Options{})
	var b bytes.Buffer
	demoRecord(t).WriteLine(&b)
	for _, change := range [][2]string{{`"confidence":`, `"confidence":1e999999999,"x":`}, {`"value":`, `"value":-1e-999999999,"x":`}, {`"version":`, `"\u0000<script>":1,"version":`}} {
		body := strings.Replace(b.String(), change[0], change[1], 1)
		got := decoded[checked](t, ask(t, h, "POST", Base+"check", body, asJSON))
		if len(got.Findings) == 0 || got.Findings[0].Rule != "record-form" || got.Findings[0].Positions[0].Line != 1 {
			t.Errorf("%s: %+v", change[1], got.Findings)
		}
	}
}

func TestTooLarge(t *testing.T) {
	s := httptest.NewServer(Handler(Options{MaxBytes: 100}))
	defer s.Close()
	for name, body := range map[string]io.Reader{"with a length": strings.NewReader(strings.Repeat("a", 101)),
		"chunked": io.MultiReader(strings.NewReader(strings.Repeat("a", 101)))} {
		r, err := http.Post(s.URL+Base+"read", "text/plain", body)
		if err != nil {
			t.Fatal(err)
		}
		text, _ := io.ReadAll(r.Body)
		r.Body.Close()
		if r.StatusCode != 413 || r.Header.Get("Content-Type") != typeProblem {
			t.Errorf("%s: %d %s", name, r.StatusCode, text)
		}
	}
	// A client that sends more than the connection holds is answered too.
	big := httptest.NewServer(Handler(Options{MaxBytes: 8 << 20}))
	defer big.Close()
	for name, body := range map[string]io.Reader{"with a length": bytes.NewReader(make([]byte, 24<<20)),
		"chunked": io.MultiReader(bytes.NewReader(make([]byte, 24<<20)))} {
		r, err := http.Post(big.URL+Base+"read", "text/plain", body)
		if err != nil {
			t.Fatal(name, err)
		}
		r.Body.Close()
		if r.StatusCode != 413 {
			t.Errorf("%s, 24 MB: %d", name, r.StatusCode)
		}
	}
	// As many bytes as may be are no more than may be.
	r, err := http.Post(s.URL+Base+"read", "text/plain", strings.NewReader("5 volts"+strings.Repeat(" ", 93)))
	if err != nil {
		t.Fatal(err)
	}
	r.Body.Close()
	if r.StatusCode != 200 {
		t.Errorf("%d", r.StatusCode)
	}
}

// dial opens a connection and sends the head of a request and part of its body.
func dial(t *testing.T, s *httptest.Server, head, part string) net.Conn {
	t.Helper()
	c, err := net.Dial("tcp", s.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	c.SetDeadline(time.Now().Add(20 * time.Second))
	fmt.Fprintf(c, "POST %s%s\r\n\r\n%s", Base, strings.ReplaceAll(head, "\n", "\r\n"), part)
	return c
}

func TestSlowAndTruncatedBodies(t *testing.T) {
	s := httptest.NewServer(Handler(Options{MaxTime: 200 * time.Millisecond}))
	defer s.Close()
	const head = "read HTTP/1.1\nHost: desk\nContent-Type: text/plain\nContent-Length: 1000"
	c := dial(t, s, head, "5 volts")
	r, err := http.ReadResponse(bufio.NewReader(c), nil)
	if err != nil || r.StatusCode != http.StatusRequestTimeout {
		t.Fatalf("slow: %v, %v", r, err)
	}
	c = dial(t, s, head, "5 volts")
	c.(*net.TCPConn).CloseWrite()
	r, err = http.ReadResponse(bufio.NewReader(c), nil)
	if err != nil || r.StatusCode != http.StatusBadRequest {
		t.Fatalf("truncated: %v, %v", r, err)
	}
	// A batch whose next line does not come ends with a problem, behind what came.
	c = dial(t, s, "batch HTTP/1.1\nHost: desk\nContent-Type: application/jsonl\nContent-Length: 1000",
		"{\"captions\":\"5 volts\"}\n{\"capt")
	r, err = http.ReadResponse(bufio.NewReader(c), nil)
	if err != nil {
		t.Fatal(err)
	}
	lines := readLines(t, r.Body)
	if len(lines) != 2 || lines[0].Record == nil || lines[1].Problem == nil ||
		lines[1].Problem.Status != http.StatusRequestTimeout {
		t.Errorf("%+v", lines)
	}
}

type lineJSON struct {
	Line    int
	Record  *schema.Record
	Problem *Problem
}

func readLines(t testing.TB, r io.Reader) []lineJSON {
	t.Helper()
	var all []lineJSON
	d := json.NewDecoder(r)
	for {
		var l lineJSON
		err := d.Decode(&l)
		if err == io.EOF {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, l)
	}
}

// Too many at once are sent away, and those that are in are served. The first
// one asks to be called when its body is wanted, which is when it is in.
func TestBusy(t *testing.T) {
	s := httptest.NewServer(Handler(Options{Requests: 1, Batches: 1}))
	t.Cleanup(s.Close)
	for _, path := range []string{"read", "batch"} {
		media, body := "text/plain", "5 volts"
		if path == "batch" {
			media, body = "application/jsonl", `{"captions":"5 volts"}`
		}
		first := dial(t, s, fmt.Sprintf("%s HTTP/1.1\nHost: desk\nContent-Type: %s\nContent-Length: %d\nExpect: "+
			"100-continue",
			path, media, len(body)), "")
		answers := bufio.NewReader(first)
		got, err := http.ReadResponse(answers, nil) // a batch begins its answer with its head
		if err != nil || got.StatusCode != http.StatusContinue && got.StatusCode != http.StatusOK {
			t.Fatalf("%s: %v, %v", path, got, err)
		}
		r, err := http.Post(s.URL+Base+path, media, strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		if r.StatusCode != http.StatusServiceUnavailable || r.Header.Get("Retry-After") == "" {
			t.Errorf("%s: %d", path, r.StatusCode)
		}
		io.WriteString(first, body)
		if got.StatusCode == http.StatusContinue {
			got, err = http.ReadResponse(answers, nil)
		}
		if err != nil || got.StatusCode != http.StatusOK {
			t.Errorf("%s: %v, %v", path, got, err)
		}
	}
}

// Work that takes too long is given up, keeps its place till its end, and a
// fault in it ends nothing.
func TestWork(t *testing.T) {
	var mu sync.Mutex
	var logged []error
	a := Handler(Options{AtOnce: 1, MaxTime: 50 * time.Millisecond, Log: func(err error) {
		mu.Lock()
		defer mu.Unlock()
		logged = append(logged, err)
	}}).(*api)
	end := make(chan struct{})
	_, err := work(t.Context(), a, func() (int, error) { <-end; return 1, nil })
	if p := a.problemOf(err); p.Status != 503 {
		t.Errorf("%+v", p)
	}
	if _, err = work(t.Context(), a, func() (int, error) { return 2, nil }); a.problemOf(err).Status != 503 {
		t.Errorf("its place was given away: %v", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err = work(ctx, a, func() (int, error) { return 3, nil }); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	close(end)
	if n, err := work(t.Context(), a, func() (int, error) { return 4, nil }); n != 4 || err != nil {
		t.Errorf("%d, %v", n, err)
	}
	_, err = work(t.Context(), a, func() (int, error) { panic("a fault") })
	if p := a.problemOf(err); p.Status != 500 || strings.Contains(p.Detail, "fault") {
		t.Errorf("%+v", p)
	}
	if len(logged) != 1 || !strings.Contains(logged[0].Error(), "a fault") {
		t.Errorf("%v", logged)
	}
}

func TestBatch(t *testing.T) {
	h := Handler(Options{MaxBytes: 20_000, AtOnce: 3})
	one, _ := json.Marshal(map[string]string{"name": "demo.vtt", "captions": demo.Captions()})
	body := string(one) + "\n\n" + // 1; 2 is empty
		`{"captions":"5 volts 3 amps"}` + "\r\n" + // 3
		`{"captions":"5 volts"` + "\n" + // 4
		`{"captions":"` + strings.Repeat("volts ", 4000) + `"}` + "\n" + // 5 is too long
		`{"name":"x.vtt","captions":"WEBVTT\n\n00:01.000 --> 00:02.000\n\n"}` + "\n" + // 6
		string(one) // 7, without an end
	w := ask(t, h, "POST", Base+"batch", body, "Content-Type: application/x-ndjson",
		"Accept: application/x-ndjson;q=0.5, application/jsonl;q=0.4")
	if got := w.Header().Get("Content-Type"); w.Code != 200 || got != "application/x-ndjson" {
		t.Fatalf("%d %s", w.Code, got)
	}
	var want bytes.Buffer
	demoRecord(t).WriteLine(&want)
	first, _, _ := strings.Cut(w.Body.String(), "\n")
	if first != `{"line":1,"record":`+strings.TrimSuffix(want.String(), "\n")+`}` {
		t.Error("the record is not that of read")
	}
	lines := readLines(t, w.Body)
	var got []string
	for _, l := range lines {
		s := fmt.Sprint(l.Line)
		if l.Problem != nil {
			s += fmt.Sprintf(" %d %s", l.Problem.Status, strings.TrimPrefix(l.Problem.Type, problemTypes))
			if at := l.Problem.Place; at != nil {
				s += fmt.Sprintf(" %s:%d", at.File, at.Line)
				if at.File == "" && !strings.HasPrefix(l.Problem.Detail, fmt.Sprintf("line %d, column ", at.Line)) {
					t.Errorf("line %d: the detail is of another one: %s", at.Line, l.Problem.Detail)
				}
			}
		} else {
			s += fmt.Sprintf(" %d", len(l.Record.Quantities))
		}
		got = append(got, s)
	}
	n := len(demoRecord(t).Quantities)
	if want := fmt.Sprintf("1 %d|3 2|4 400 body :4|5 413 about:blank|6 422 captions x.vtt:0|7 %d", n,
		n); strings.Join(got, "|") != want {
		t.Errorf("got  %s\nwant %s", strings.Join(got, "|"), want)
	}
}

// Who writes a member or a parameter where there is none gets an answer with those there are.
func TestWhatThereIsIsListed(t *testing.T) {
	h := Handler(Options{})
	for _, c := range []struct{ target, body, want string }{
		{"calc/level-power", `{"voltage":"20V"}`,
			`line 1, column 12: /voltage: inputs are members of "inputs": {"inputs":{"voltage":…}}`},
		{"calc/level-power", `{"volts":"20V"}`,
			`line 1, column 10: /volts: there is no member of this name here; there are "inputs", "record"`},
		{"calc/level-power?voltage=20V", `{}`, "voltage: there is no parameter of this name here; this address takes none"},
		{"read?nam=x", `{}`, "nam: there is no parameter of this name here; there are name, threshold"},
		{"read", `{"text":"x"}`, `line 1, column 9: /text: there is no member of this name here; there are "name", ` +
			`"captions", "threshold", "answers", "glossary"`},
	} {
		if got := problem(t, ask(t, h, "POST", Base+c.target, c.body, asJSON)).Detail; got != c.want {
			t.Errorf("%s %s: %s\nwant %s", c.target, c.body, got, c.want)
		}
	}
}

// Answers come while lines are still sent, and a batch much longer than what
// is kept in memory goes through.
func TestBatchStreams(t *testing.T) {
	s := httptest.NewServer(Handler(Options{}))
	defer s.Close()
	in, out := io.Pipe()
	r, err := http.NewRequest("POST", s.URL+Base+"batch", in)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/jsonl")
	go func() { io.WriteString(out, "{\"captions\":\"0 volts\"}\n") }()
	got, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer got.Body.Close()
	d := json.NewDecoder(got.Body)
	const lines = 200
	for n := range lines {
		var l lineJSON
		if err := d.Decode(&l); err != nil {
			t.Fatal(err)
		}
		if l.Line != n+1 || l.Record == nil || l.Record.Quantities[0].Heard != fmt.Sprintf("%d volts", n) {
			t.Fatalf("answer %d: %+v", n, l)
		}
		if n+1 < lines {
			fmt.Fprintf(out, "{\"captions\":\"%d volts\"}\n", n+1)
		}
	}
	out.Close()
	if err := d.Decode(new(lineJSON)); err != io.EOF {
		t.Error(err)
	}
}

// When the client goes away, reading and work end, and the place is free.
func TestBatchClientGoesAway(t *testing.T) {
	served := make(chan struct{})
	h := Handler(Options{Batches: 1, AtOnce: 1})
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer close(served)
		h.ServeHTTP(w, r)
	}))
	defer s.Close()
	line, _ := json.Marshal(map[string]string{"captions": demo.Captions()})
	c := dial(t, s, "batch HTTP/1.1\nHost: desk\nContent-Type: application/jsonl\nContent-Length: 1000000000", "")
	sent := make(chan int)
	go func() {
		n := 0
		for {
			if _, err := c.Write(append(line, '\n')); err != nil {
				sent <- n
				return
			}
			n++
		}
	}()
	if _, err := bufio.NewReader(c).ReadString('\n'); err != nil { // the status
		t.Fatal(err)
	}
	time.Sleep(100 * time.Millisecond)
	c.Close()
	n := <-sent
	select {
	case <-served:
	case <-time.After(10 * time.Second):
		t.Fatal("it is still being served")
	}
	// What was sent is bounded by the buffers of the connection, not by the batch.
	if most := 64 << 20 / len(line); n > most {
		t.Errorf("%d lines were taken from a client that reads nothing", n)
	}
	a := h.(*api)
	if !a.batches.TryAcquire(1) {
		t.Error("the place is not free")
	}
}

// FuzzDecode: whatever the body, there is a request or a refusal whose place
// is within the body; what is taken can be said again in the form of the
// document, and is taken as the same.
func FuzzDecode(f *testing.F) {
	for _, s := range []string{
		`{"captions":"5 volts"}`, `{"name":"a","captions":"5 volts","threshold":0.5,"answers":[{"span":[0,7],"nothing":true}],"glossary":"kind,name\nmaker,Brannick\n"}`,
		`{"captions":"\ud83d\ude00 \ufffd"}`, `{"captions":"\ud800"}`, "{\"captions\":\"a\xff\"}", `{"a":{"b":[1,{"c":null,"c":1}]}}`, `[[[[`, `{"captions":1e999}`, ` {"captions" : "x" , "threshold" : 1 } `, "{\n\"captions\":\n}",
	} {
		f.Add([]byte(s))
	}
	a := Handler(Options{}).(*api)
	f.Fuzz(func(t *testing.T, body []byte) {
		if len(body) == 0 {
			return // refused before
		}
		in, err := a.decode(body)
		if err != nil {
			p := a.problemOf(err)
			if p.Status != 400 && p.Status != 422 || p.Detail == "" || p.Place == nil {
				t.Fatalf("%+v", p)
			}
			lines := bytes.Split(body, []byte("\n"))
			if at := p.Place; at.File == "" && at.Line > 0 &&
				(at.Line > len(lines) || at.Column < 1 || at.Column > len(lines[at.Line-1])+1) {
				t.Fatalf("%q: %+v", body, at)
			}
			return
		}
		if !json.Valid(body) || !utf8.Valid(body) {
			t.Fatalf("%q was taken", body)
		}
		again, err := json.Marshal(map[string]any{"name": in.name, "captions": string(in.text),
			"threshold": in.options.Threshold})
		if err != nil {
			t.Fatal(err)
		}
		same, err := a.decode(again)
		if err != nil || same.name != in.name || !bytes.Equal(same.text, in.text) ||
			same.options.Threshold != in.options.Threshold {
			t.Fatalf("%q and %q differ: %v", body, again, err)
		}
	})
}

// A record beyond all that somebody says is not checked.
func TestCheckBound(t *testing.T) {
	q := httptest.NewRequest("POST", "/api/v1/check", strings.NewReader("["+strings.Repeat("0,", maxRecord/2)+"0]"))
	q.Header.Set("Content-Type", "application/json")
	w := httptest.NewRecorder()
	Handler(Options{}).ServeHTTP(w, q)
	if w.Code != http.StatusRequestEntityTooLarge || !strings.Contains(w.Body.String(), "4194304") {
		t.Errorf("%d: %s", w.Code, w.Body)
	}
}

// Lines without a media type are taken for what they can only be.
func TestBatchWithoutType(t *testing.T) {
	w := ask(t, Handler(Options{}), "POST", Base+"batch", `{"captions":"5 volts 3 amps"}`+"\n")
	if w.Code != 200 || w.Header().Get("Content-Type") != "application/jsonl" ||
		strings.Contains(w.Body.String(), "problem") {
		t.Errorf("%d %s %.200s", w.Code, w.Header().Get("Content-Type"), w.Body)
	}
}

// A copy of the document that somebody saved leads nowhere else: all it refers to
// is in it. Every operation says what comes without the token.
func TestDocumentStandsAlone(t *testing.T) {
	var doc struct {
		Paths map[string]map[string]json.RawMessage `json:"paths"`
	}
	text := ask(t, Handler(Options{}), "GET", Base+"openapi.json", "").Body.Bytes()
	if err := json.Unmarshal(text, &doc); err != nil {
		t.Fatal(err)
	}
	var all any
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	refs := 0
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			if ref, ok := v["$ref"].(string); ok {
				at := all
				for _, step := range strings.Split(strings.TrimPrefix(ref, "#/"), "/") {
					m, _ := at.(map[string]any)
					at = m[step]
				}
				if refs++; !strings.HasPrefix(ref, "#/") || at == nil {
					t.Errorf("%s is not in the document", ref)
				}
			}
			for _, o := range v {
				walk(o)
			}
		case []any:
			for _, o := range v {
				walk(o)
			}
		}
	}
	walk(all)
	if refs == 0 {
		t.Error("the document refers to nothing")
	}
	for path, methods := range doc.Paths {
		for method, op := range methods {
			if !strings.Contains(string(op), `"401"`) && method != "parameters" {
				t.Errorf("%s %s does not say 401", method, path)
			}
		}
	}
}
