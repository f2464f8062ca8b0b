package picture

import (
	"strings"
	"testing"
	"time"

	"gonum.org/v1/plot/vg"

	"saywatt/schema"
)

// Text is cut where it no longer fits, and stays as it is where it does.
func TestFit(t *testing.T) {
	for _, c := range []struct {
		text string
		most float64
		want string
	}{
		{"", 10, ""},
		{"Jetty", 100, "Jetty"},
		{"Orrindale Jetty Duo", 60, "Orrindale Je…"},
		{"Orrindale Jetty Duo", 52, "Orrindale…"},
		{"Ω世Ω世Ω世Ω世Ω世", 30, "Ω世Ω…"},
		{"Jetty", 0, "…"},
	} {
		got := fit(c.text, sizeText, vg.Length(c.most))
		if got != c.want {
			t.Errorf("fit(%q, %v) = %q, want %q", c.text, c.most, got, c.want)
		}
		if w := width(got, sizeText); c.most > 20 && w > vg.Length(c.most) {
			t.Errorf("%q is %v wide, more than %v", got, w, c.most)
		}
	}
}

// A name of 20,000 letters is cut at once.
func TestLongNames(t *testing.T) {
	long := strings.Repeat("Orrindale ", 2000)
	r := jetty()
	r.Product.Name = long
	r.Levels[1].Port, r.Levels[2].Protocol = long, long
	r.Claims = append(r.Claims, schema.Claim{Property: "power", Port: long, Mode: long, Value: r.Levels[1].Voltage})
	s := doubtful()
	s.Heard, s.Context = long, long
	start := time.Now()
	draw := func(p *Picture, ok bool) {
		if ok && len(p.Inline()) > 2<<20 {
			t.Errorf("%s is %d bytes", p.Name, len(p.Inline()))
		}
	}
	draw(Levels(r))
	draw(Powers(r))
	draw(Evidence(s))
	if took := time.Since(start); took > 5*time.Second {
		t.Errorf("it took %v", took)
	}
}
