package api

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"saywatt/extract"
	"saywatt/internal/pipeline"
)

// Of two heavy requests at once, for which there is not memory together, one is
// served and the other sent away with the reason and when to come again; then it is
// served too. Requests that happen to miss each other are sent again.
func TestHeavy(t *testing.T) {
	heavy := strings.Repeat("it gives 5 volts at 3 amps, and 9 volts at 2 amps. ", 1000)
	gate := pipeline.NewGate(extract.Cost([]byte(heavy))*3/2, time.Millisecond)
	s := httptest.NewServer(Handler(Options{AtOnce: 2, Pipeline: pipeline.Options{Gate: gate}}))
	t.Cleanup(s.Close)
	type answer struct {
		status  int
		again   string // Retry-After
		problem Problem
	}
	post := func() (a answer) {
		r, err := http.Post(s.URL+Base+"read", "text/plain", strings.NewReader(heavy))
		if err != nil {
			t.Error(err)
			return a
		}
		defer r.Body.Close()
		a.status, a.again = r.StatusCode, r.Header.Get("Retry-After")
		if a.status != http.StatusOK {
			if err := json.NewDecoder(r.Body).Decode(&a.problem); err != nil {
				t.Error(err)
			}
		}
		return a
	}
	var served, refused answer
	for range 20 {
		first := make(chan answer)
		go func() { first <- post() }()
		served = post()
		if refused = <-first; refused.status == http.StatusOK {
			served, refused = refused, served
		}
		if refused.status != http.StatusOK {
			break
		}
	}
	if served.status != http.StatusOK {
		t.Errorf("of two at once, one is answered %d: %q", served.status, served.problem.Detail)
	}
	if refused.status != http.StatusServiceUnavailable || refused.again == "" ||
		!strings.Contains(refused.problem.Detail, "other texts take all the memory") {
		t.Errorf("of two at once, the other is answered %+v", refused)
	}
	if a := post(); a.status != http.StatusOK {
		t.Errorf("alone: %+v", a)
	}
}
