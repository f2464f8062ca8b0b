package desk

import (
	"bytes"
	"context"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"saywatt/internal/archive"
	"saywatt/internal/demo"
	"saywatt/internal/export/word"
	"saywatt/validate/calc"
)

// A visitor goes through the pages of a desk as a browser without script does.
type visitor struct {
	*testing.T
	desk   *Desk
	server *httptest.Server
	client *http.Client
	body   string // of the page seen last
	at     *url.URL
	status int
}

// someday is when everything in tests happens.
var someday = time.Date(2026, 3, 1, 14, 30, 0, 0, time.UTC)

// captions is the demonstration with some spots said more plainly and one less, of the
// same length, so that two values are left to ask: an on-resistance and a power. (The
// minutes were 60, which may have been 16.)
func captions() string {
	return strings.NewReplacer("ferret", "farads", "reads 19 .86", "read 19.86 V", "After 60", "After 45",
		"20, sorry", "20V,sorry", "really ten", "really yes", "68 Miller", "29 Miller").Replace(demo.Captions())
}

// visit opens a desk with the demonstration on it.
func visit(t *testing.T, c Config) *visitor {
	t.Helper()
	if c.Now == nil {
		c.Now = func() time.Time { return someday }
	}
	c.Log = func(err error) { t.Log(err) }
	d, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	d.patience = time.Hour // readings behind the pages have tests of their own
	t.Cleanup(func() {
		if err := d.Close(); err != nil {
			t.Error(err)
		}
	})
	if _, err := d.Open(context.Background(), demo.Name, strings.NewReader(captions())); err != nil {
		t.Fatal(err)
	}
	return comer(t, d)
}

// comer is one more visitor of a desk.
func comer(t *testing.T, d *Desk) *visitor {
	t.Helper()
	s := httptest.NewServer(d.handler())
	t.Cleanup(s.Close)
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &visitor{T: t, desk: d, server: s, client: &http.Client{Jar: jar}}
}

// settlePlaces answers every question on what a value belongs to by the first
// candidate, and ends on the page that says that no question is left.
func (v *visitor) settlePlaces(id string) *visitor {
	v.Helper()
	for r := v.desk.find(id); len(r.placeDoubts(r.state())) > 0; {
		s := r.state()
		q := r.placeDoubts(s)[0]
		v.post("/r/"+id+"/decide", "version", strconv.Itoa(s.version()), "at", addressOf(s.record, q), "back", "places",
			"place", placeJSON(q.Belongs[0].Place)).sees(200, "Noted.")
	}
	return v
}

func (v *visitor) do(q *http.Request) {
	v.Helper()
	r, err := v.client.Do(q)
	if err != nil {
		v.Fatal(err)
	}
	defer r.Body.Close()
	b, err := io.ReadAll(r.Body)
	if err != nil {
		v.Fatal(err)
	}
	v.body, v.at, v.status = string(b), r.Request.URL, r.StatusCode
}

// get sees a page.
func (v *visitor) get(path string) *visitor {
	v.Helper()
	q, err := http.NewRequest(http.MethodGet, v.server.URL+path, nil)
	if err != nil {
		v.Fatal(err)
	}
	v.do(q)
	return v
}

// post sends a form: pairs of names and values.
func (v *visitor) post(path string, pairs ...string) *visitor {
	v.Helper()
	form := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Add(pairs[i], pairs[i+1])
	}
	q, err := http.NewRequest(http.MethodPost, v.server.URL+path, strings.NewReader(form.Encode()))
	if err != nil {
		v.Fatal(err)
	}
	q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	v.do(q)
	return v
}

// send sends files.
func (v *visitor) send(files map[string]string, fields map[string]string) *visitor {
	v.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for name, text := range files {
		w, err := m.CreateFormFile("files", name)
		if err != nil {
			v.Fatal(err)
		}
		io.WriteString(w, text)
	}
	for name, text := range fields {
		m.WriteField(name, text)
	}
	m.Close()
	q, err := http.NewRequest(http.MethodPost, v.server.URL+"/add", &b)
	if err != nil {
		v.Fatal(err)
	}
	q.Header.Set("Content-Type", m.FormDataContentType())
	v.do(q)
	return v
}

// sees checks the status of the page and what stands in it, markup left out
// and white space folded.
func (v *visitor) sees(status int, words ...string) *visitor {
	v.Helper()
	if v.status != status {
		v.Errorf("%s: status %d, want %d\n%s", v.at, v.status, status, plain(v.body))
	}
	text := plain(v.body)
	for _, w := range words {
		if !strings.Contains(text, w) {
			v.Errorf("%s: %q is not in\n%s", v.at, w, text)
		}
	}
	return v
}

// lacks checks what may not stand in the page.
func (v *visitor) lacks(words ...string) *visitor {
	v.Helper()
	text := plain(v.body)
	for _, w := range words {
		if strings.Contains(text, w) {
			v.Errorf("%s: %q is in\n%s", v.at, w, text)
		}
	}
	return v
}

var (
	tags   = regexp.MustCompile(`<[^>]*>`)
	blocks = regexp.MustCompile(`</?(li|h[1-6]|p|div|dl|dt|dd|td|th|tr|ul|ol|section|summary|br|button|label)\b[^>]*>`)
)

// plain is the text of a page.
func plain(html string) string {
	text := tags.ReplaceAllString(blocks.ReplaceAllString(html, " "), "")
	text = strings.NewReplacer("&#34;", `"`, "&#39;", "'", "&#43;", "+", "&lt;", "<", "&gt;", ">", "&amp;", "&", "\u00a0", " ").Replace(text)
	return strings.Join(strings.Fields(text), " ")
}

// field is the value of a hidden field of the page.
func (v *visitor) field(name string) string {
	v.Helper()
	m := regexp.MustCompile(`name="` + name + `" value="([^"]*)"`).FindStringSubmatch(v.body)
	if m == nil {
		v.Fatalf("%s: no field %s", v.at, name)
	}
	return strings.ReplaceAll(m[1], "&#34;", `"`)
}

// Two places of the demonstration that wait for a person: the resistance of the
// rectifier, 2.9 or 29 mΩ, and the power without load.
const (
	resistance = "1738-1753"
	noLoad     = "2106-2113"
)

// chance is the probability of reading k of a place, as pages print it: it changes with
// every fit of the weights, and what a page makes of it does not.
func (v *visitor) chance(id, at string, k int) string {
	v.Helper()
	q := quantityAt(v.desk.find(id).state().record, at)
	if k >= len(q.Readings) {
		v.Fatalf("%s: “%s” has %d readings", at, q.Heard, len(q.Readings))
	}
	return plain(word.Percent(q.Readings[k].Confidence))
}

// first is the path of the first question on a review.
func (v *visitor) first(id string) string {
	r := v.desk.find(id)
	s := r.state()
	a := r.agenda(s).order[0]
	kind := "/question/"
	if a.place {
		kind = "/place/"
	}
	return "/r/" + id + kind + addressOf(s.record, a.said)
}

func newArchive(t *testing.T) *archive.Archive {
	t.Helper()
	a, err := archive.Create(filepath.Join(t.TempDir(), "archive"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { a.Close() })
	return a
}

// What cannot be opened by its path is said in words, not as the call that failed.
func TestPathThatIsNotThere(t *testing.T) {
	v := visit(t, Config{Local: true})
	v.send(nil, map[string]string{"path": "/nowhere/nothing.vtt"}).sees(422,
		"/nowhere/nothing.vtt: there is no such file or folder").lacks("stat /nowhere")
}

// The foot of a page names cautions that there are.
func TestFootCautions(t *testing.T) {
	for _, id := range footCautions {
		if calc.Caution(id) == "" {
			t.Errorf("footCautions in desk.go: cautions.tsv has no caution %s for pages that are of no one record", id)
		}
	}
}
