package desk

import (
	"context"
	"net"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"
)

func TestGuard(t *testing.T) {
	v := visit(t, Config{})
	ask := func(method, path string, change func(*http.Request)) *http.Response {
		t.Helper()
		q, err := http.NewRequest(method, v.server.URL+path,
			strings.NewReader("version=0&at="+resistance+"&act=unclear"))
		if err != nil {
			t.Fatal(err)
		}
		q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		change(q)
		r, err := http.DefaultTransport.RoundTrip(q)
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		return r
	}
	for _, tt := range []struct {
		name, method, path string
		change             func(*http.Request)
		want               int
	}{
		{"the address itself", "GET", "/", func(*http.Request) {}, 200},
		{"a name that was made to point here", "GET", "/", func(q *http.Request) { q.Host = "rebound.example" }, http.StatusMisdirectedRequest},
		{"its own name", "GET", "/", func(q *http.Request) { q.Host = "localhost:80" }, 200},
		{"IPv6", "GET", "/", func(q *http.Request) { q.Host = "[::1]:80" }, 200},
		{"no host", "GET", "/", func(q *http.Request) { q.Host = "." }, http.StatusMisdirectedRequest},
		{"another site's form", "POST", "/r/demo/decide", func(q *http.Request) { q.Header.Set("Origin", "http://other.example") }, 403},
		{"another site's script", "POST", "/r/demo/decide", func(q *http.Request) { q.Header.Set("Sec-Fetch-Site", "cross-site") }, 403},
		{"a page of another port", "POST", "/add", func(q *http.Request) { q.Header.Set("Origin", "http://127.0.0.1:1") }, 403},
		{"a wrong method", "POST", "/", func(*http.Request) {}, 404},
		{"no such API", "GET", "/api/v1/read", func(*http.Request) {}, 404},
		{"a path upwards", "GET", "/static/..%2f..%2fdesk.go", func(*http.Request) {}, 404},
		{"a folder of no one's", "GET", "/static/../../../../etc/passwd", func(*http.Request) {}, 404},
	} {
		r := ask(tt.method, tt.path, tt.change)
		if r.StatusCode != tt.want && (r.StatusCode < 300 || r.StatusCode >= 400) {
			t.Errorf("%s: status %d, want %d", tt.name, r.StatusCode, tt.want)
		}
		csp := r.Header.Get("Content-Security-Policy")
		if !strings.Contains(csp, "default-src 'none'") || strings.Contains(csp, "unsafe") {
			t.Errorf("%s: policy %q", tt.name, csp)
		}
		if strings.HasPrefix(tt.path, "/api/") && r.Header.Get("Content-Type") != "application/problem+json" {
			t.Errorf("%s: %s", tt.name, r.Header.Get("Content-Type"))
		}
	}
	if n := v.desk.find("demo").state().version(); n != 0 {
		t.Errorf("%d decisions came from elsewhere", n)
	}
	v.post("/r/demo/decide", "version", "0", "note", strings.Repeat("n", bodyLimit)).sees(413,
		"That is more than this page takes")
}

func TestToken(t *testing.T) {
	now := someday
	v := visit(t, Config{Token: "a token of some length", Now: func() time.Time { return now }})
	v.get("/r/demo/sheet").sees(401, "Token of this desk").lacks("Orrindale", "2.9 mΩ")
	v.get("/api/v1/x").sees(401, "A token is asked for")
	v.get("/static/desk.css").sees(200)
	v.post("/enter", "token", "a token of some lengtj").sees(401, "That is not the token").lacks("Orrindale")
	// A wrong one delays no right one, and a scheme has no case.
	v.post("/enter", "token", "a token of some length").sees(200, "Orrindale Jetty Duo")
	v.get("/r/demo/sheet").sees(200, "Levels")
	now = now.Add(keyLasts + time.Second)
	v.get("/r/demo/sheet").sees(401)
	// An address with the key lets a browser in, to the page it names.
	w := comer(t, v.desk)
	w.get("/r/demo/sheet?key=wrong").sees(401, "That is not the token")
	w.get("/r/demo/sheet?key=a+token+of+some+length").sees(200, "Levels")
	if strings.Contains(w.at.String(), "key=") {
		t.Errorf("the key stays in the address %s", w.at)
	}
	for _, scheme := range []string{"Bearer", "bearer", "BEARER"} {
		q, err := http.NewRequest(http.MethodGet, v.server.URL+"/r/demo/sheet", nil)
		if err != nil {
			t.Fatal(err)
		}
		q.Header.Set("Authorization", scheme+" a token of some length")
		comer(t, v.desk).do(q)
		if v.do(q); v.status != 200 {
			t.Errorf("%s: %d", scheme, v.status)
		}
	}
	if _, err := New(Config{Token: "short"}); err == nil {
		t.Error("a token of five bytes is taken")
	}
}

// The file given is served in ranges, and no other.
func TestMedia(t *testing.T) {
	path := tone(t, 3)
	v := visit(t, Config{Media: []string{path}})
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		ask  string
		want int
		n    int
	}{{"", 200, len(whole)}, {"bytes=0-99", 206, 100}, {"bytes=100-", 206, len(whole) - 100}, {"bytes=-8", 206, 8},
		{"bytes=99999999-", 416, -1}} {
		q, _ := http.NewRequest("GET", v.server.URL+"/r/demo/media", nil)
		if tt.ask != "" {
			q.Header.Set("Range", tt.ask)
		}
		v.do(q)
		if v.status != tt.want || tt.n >= 0 && len(v.body) != tt.n {
			t.Errorf("%s: %d, %d bytes; want %d, %d", tt.ask, v.status, len(v.body), tt.want, tt.n)
		}
		if tt.ask == "bytes=0-99" && v.body != string(whole[:100]) {
			t.Error("other bytes")
		}
	}
	v.get("/r/demo/question/"+resistance).sees(200, "p Hear it")
	if !strings.Contains(v.body, `src="/r/demo/media#t=81.429,84.946"`) {
		t.Error("without script the moment cannot be heard")
	}
	for _, name := range []string{"missing.wav", "desk.go", "."} {
		if _, err := New(Config{Media: []string{name}}); err == nil {
			t.Errorf("%s is taken as sound", name)
		}
	}
	silent := visit(t, Config{})
	silent.get("/r/demo/media").sees(404, "There is nothing to hear")
}

// A server ends by its context, streams of events too.
func TestServe(t *testing.T) {
	v := visit(t, Config{})
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- v.desk.Serve(ctx, l) }()
	r, err := http.Get("http://" + l.Addr().String() + "/events")
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	b := make([]byte, 100)
	n, err := r.Body.Read(b)
	if err != nil || string(b[:n]) != "event: versions\ndata: {\"demo\":1}\n\n" {
		t.Errorf("%q, %v", b[:n], err)
	}
	cancel()
	select {
	case err := <-ended:
		if err != nil && err != http.ErrServerClosed {
			t.Error(err)
		}
	case <-time.After(time.Minute):
		t.Error("the server did not end")
	}
}

// Captions are hostile: nothing of them becomes markup, turns the direction of
// a page, or makes it long.
func TestHostile(t *testing.T) {
	v := visit(t, Config{})
	size := 1 << 20
	if testing.Short() {
		size = 1 << 16 // with the race detector reading takes ten times as long
	}
	long := strings.Repeat("five volts <b>bold</b> ", size/23)
	v.send(map[string]string{
		"<script>alert(1)</script>.vtt": "WEBVTT\n\n00:01.000 --> 00:04.000\n&lt;script&gt;alert(1)&lt;/script&gt; The \"><img src=x onerror=alert(1)> charger. Output 20 volts 325 amps \u202eslov\u2066 65 watts \x07.\n",
		"long.vtt":                      "WEBVTT\n\n00:01.000 --> 00:09.000\n" + long + "\n",
		"notes.txt":                     "javascript:alert(1) The Tern \u202e<svg onload=alert(1)> is a charger. Output 12 volts 225 amps.\n",
	}, nil).sees(200)
	v.desk.jobs.wait.Wait()
	if len(v.desk.all()) != 4 {
		t.Fatalf("%d reviews are open", len(v.desk.all()))
	}
	for _, r := range v.desk.all() {
		pages := []string{"/", "/r/" + r.id + "/question", "/r/" + r.id + "/sheet", "/r/" + r.id + "/transcript",
			"/r/" + r.id + "/transcript?status=heard", "/r/" + r.id + "/decisions",
			"/r/" + r.id + "/replace?find=volts&with=%3Cscript%3E", "/r/" + r.id + "/transcript?find=%22%3E%3Cscript%3E", "/r/" + r.id + "/picture"}
		s := r.state()
		if len(s.record.Quantities) > 0 {
			at := addressOf(s.record, &s.record.Quantities[0])
			pages = append(pages, "/r/"+r.id+"/question/"+at, "/r/"+r.id+"/sheet?edit="+at)
		}
		for _, p := range pages {
			v.get(p)
			if v.status != 200 {
				t.Errorf("%s: status %d", p, v.status)
			}
			if n := len(v.body); n > 4<<20 {
				t.Errorf("%s: %d bytes", p, n)
			}
			for _, bad := range []string{"<script>", "<img src=x", "<svg onload", "<b>", "\u202e", "\u2066", "\x07", `href="javascript:`} {
				if strings.Contains(v.body, bad) {
					t.Errorf("%s: %q is in the page", p, bad)
				}
			}
		}
	}
	v.send(map[string]string{"a": "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\xff\xfe\xfd", "empty.vtt": "",
		"silent.vtt": "WEBVTT\n\n00:01.000 --> 00:02.000\n \n"}, nil)
	v.desk.jobs.wait.Wait()
	v.get("/jobs/2").sees(200, "0 of 3 read, 3 could not be; finished", "a picture (PNG)", "the file is empty")
}

// Two desks of one token on one machine let a browser into both: cookies know no
// ports.
func TestTwoDesksOfOneToken(t *testing.T) {
	token := NewToken()
	first := visit(t, Config{Token: token})
	second := visit(t, Config{Token: token})
	second.client = first.client // one browser
	for _, v := range []*visitor{first, second, first, second} {
		if v.get("/").status == http.StatusUnauthorized {
			v.get("/?"+tokenParameter+"="+token).sees(200, "Reviews")
		}
	}
	first.get("/").sees(200, "Reviews")
	second.get("/").sees(200, "Reviews")
}
