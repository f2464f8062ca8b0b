package api

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

// TestMemory: captions that take more memory than there is are refused with the
// reason, and so are those of more numbers than any recording has; others are
// read however many come.
func TestMemory(t *testing.T) {
	h := Handler(Options{Memory: 1 << 20, MaxTime: 20 * time.Second})
	ask := func(body string) *httptest.ResponseRecorder {
		w := httptest.NewRecorder()
		r := httptest.NewRequest(http.MethodPost, Base+"read", strings.NewReader(body))
		r.Header.Set("Content-Type", "text/plain")
		h.ServeHTTP(w, r)
		return w
	}
	for _, c := range []struct {
		name, body string
		status     int
		says       string
	}{
		{"what fits", "it gives 5 volts", 200, "5 volts"},
		{"too much memory", strings.Repeat("5 plus ", 1000), 413, "MB of memory"},
		{"too many numbers", strings.Repeat("5 ", 200_000), 413, "more than 100000 numbers"},
		{"again what fits", "it gives 9 volts", 200, "9 volts"},
	} {
		if w := ask(c.body); w.Code != c.status || !strings.Contains(w.Body.String(), c.says) {
			t.Errorf("%s: %d %.200s, want %d and %q", c.name, w.Code, w.Body.String(), c.status, c.says)
		}
	}
}
