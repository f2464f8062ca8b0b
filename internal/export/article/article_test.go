package article

import (
	"bytes"
	"encoding/xml"
	"io"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"
	"pgregory.net/rapid"

	"saywatt/internal/export/account"
	"saywatt/internal/export/testdata/full"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

func TestArticleGoldens(t *testing.T) {
	r, _ := full.Record(t)
	var b bytes.Buffer
	if err := (Options{Link: full.Link}).WriteMarkdown(&b, []*schema.Record{r}); err != nil {
		t.Fatal(err)
	}
	full.Golden(t, "full.sheet.md", b.Bytes())
	b.Reset()
	if err := (Options{Link: full.Link}).WriteHTML(&b, []*schema.Record{r}); err != nil {
		t.Fatal(err)
	}
	full.Golden(t, "full.sheet.html", b.Bytes())
}

// strictPage is an HTML file read strictly, as XML.
type strictPage struct {
	elements map[string]int
	text     string
	ids      map[string]bool
	links    []string
}

func readPage(t interface{ Fatalf(string, ...any) }, b []byte) strictPage {
	d := xml.NewDecoder(bytes.NewReader(b))
	p := strictPage{elements: map[string]int{}, ids: map[string]bool{}}
	var text strings.Builder
	for {
		tok, err := d.Token()
		if err == io.EOF {
			p.text = text.String()
			return p
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			p.elements[tok.Name.Local]++
			for _, a := range tok.Attr {
				switch {
				case a.Name.Local == "id":
					if p.ids[a.Value] {
						t.Fatalf("two elements have the id %q", a.Value)
					}
					p.ids[a.Value] = true
				case a.Name.Local == "href" || a.Name.Local == "src":
					p.links = append(p.links, a.Value)
				case strings.HasPrefix(a.Name.Local, "on"):
					t.Fatalf("a handler: %s=%q", a.Name.Local, a.Value)
				}
			}
		case xml.CharData:
			text.Write(tok)
		}
	}
}

// The HTML sheet is well-formed, is whole by itself, and says what it must.
func TestHTMLSheet(t *testing.T) {
	r, _ := full.Record(t)
	for _, link := range []string{"", full.Link} {
		var b bytes.Buffer
		if err := (Options{Link: link}).WriteHTML(&b, []*schema.Record{r, r}); err != nil {
			t.Fatal(err)
		}
		p := readPage(t, b.Bytes())
		if _, err := html.Parse(bytes.NewReader(b.Bytes())); err != nil {
			t.Fatal(err)
		}
		for _, e := range []string{"script", "img", "link", "iframe", "object", "embed"} {
			if p.elements[e] > 0 {
				t.Errorf("%d elements %s", p.elements[e], e)
			}
		}
		if p.elements["svg"] != 10 || p.elements["article"] != 2 || p.elements["table"] < 10 {
			t.Errorf("elements %v", p.elements)
		}
		if p.elements["main"] != 1 || regexp.MustCompile(`<th[^>]*></th>`).Match(b.Bytes()) { // for readers of screens
			t.Error("no main part, or a heading of nothing")
		}
		for _, l := range p.links {
			if link == "" || !strings.HasPrefix(l, "https://video.example/watch?v=jetty&t=") {
				t.Errorf("a link to %q", l)
			}
		}
		for _, s := range []string{"url(", "@import"} {
			if strings.Contains(b.String(), s) {
				t.Errorf("it has %s", s)
			}
		}
		for _, want := range []string{"Ostrale Quay Duo", "31.5", "Needs your ear", "“8 watts”", "0.08 W", "Take care",
			"Do not open, pierce, bend, short or heat lithium cells.",
			account.NotACertification, "20 V × 325 A = 6500 W is above the 65 W", "=HYPERLINK(\"x\")"} {
			if !strings.Contains(strings.ReplaceAll(p.text, word.NBSP, " "), want) {
				t.Errorf("it does not say %q", want)
			}
		}
	}
}

// HTML Tidy, where it is there, has nothing to say of the sheet.
func TestHTMLTidy(t *testing.T) {
	tidy, err := exec.LookPath("tidy")
	if err != nil {
		t.Skip("there is no HTML Tidy: the sheet is not held against it")
	}
	r, _ := full.Record(t)
	for _, records := range [][]*schema.Record{{r}, {r, r}, {{}}} {
		var b bytes.Buffer
		if err := (Options{Link: full.Link}).WriteHTML(&b, records); err != nil {
			t.Fatal(err)
		}
		c := exec.Command(tidy, "-quiet", "-errors", "-utf8")
		c.Stdin = &b
		if out, err := c.CombinedOutput(); err != nil || len(out) > 0 {
			t.Errorf("%d records: %v\n%s", len(records), err, out)
		}
	}
}

func TestHTMLOfNothing(t *testing.T) {
	for _, records := range [][]*schema.Record{nil, {{}}} {
		var b bytes.Buffer
		if err := (Options{}).WriteHTML(&b, records); err != nil {
			t.Fatal(err)
		}
		readPage(t, b.Bytes())
	}
}

// Whatever captions hold stays text, in HTML and in Markdown.
func TestArticlesHoldAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hostile := rapid.StringOf(rapid.OneOf(rapid.Rune(),
			rapid.RuneFrom([]rune("<>&\"'`*_[]()|#\\~!$\n\x00\x1b{}=-+ "))))
		name := hostile.Draw(t, "name")
		r := &schema.Record{
			Product: schema.Product{Name: name, Kind: hostile.Draw(t, "kind"), Maker: "<script>alert(1)</script>"},
			Source:  schema.Source{File: hostile.Draw(t, "file"), Problems: []string{hostile.Draw(t, "problem")}},
			Quantities: []schema.Said{{Number: 1, Heard: hostile.Draw(t, "heard"), Context: hostile.Draw(t, "context"),
				Status: schema.StatusOpen, Quantity: schema.MustQuantity("5 V"),
				Readings: []schema.Reading{{Quantity: schema.MustQuantity("5 V"),
					Terms: []schema.Term{{Name: hostile.Draw(t, "term"), Note: "<b onload=x>"}}}}}},
			Levels: []schema.Level{{Mode: hostile.Draw(t, "mode"), Port: hostile.Draw(t, "port"),
				Voltage: schema.Value{Quantity: schema.MustQuantity("5 V")}}},
			Components: []schema.Component{{Board: hostile.Draw(t, "board"), Kind: hostile.Draw(t, "part"),
				Status: schema.StatusOpen, Heard: hostile.Draw(t, "words")}},
			Findings: []schema.Finding{{Message: hostile.Draw(t, "message"), Rule: hostile.Draw(t, "rule"),
				Severity: schema.SeverityError}},
			Cautions: []string{hostile.Draw(t, "caution")},
		}
		var b bytes.Buffer
		if err := (Options{Link: "javascript:alert({s})"}).WriteHTML(&b, []*schema.Record{r}); err != nil {
			t.Fatal(err)
		}
		p := readPage(t, b.Bytes())
		if p.elements["script"] > 0 || p.elements["b"] > 0 {
			t.Fatalf("captions became elements: %v", p.elements)
		}
		for _, l := range p.links {
			if strings.HasPrefix(l, "javascript:") {
				t.Fatalf("a link to %q", l)
			}
		}
		b.Reset()
		if err := (Options{}).WriteMarkdown(&b, []*schema.Record{r}); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(b.String(), "\n") {
			if strings.HasPrefix(line, "|") &&
				unescapedBars(line) != len(strings.Split("| at | port | protocol | voltage | current | power |",
					"|"))-1 && unescapedBars(line) != 4 {
				t.Fatalf("a row of %d bars: %q", unescapedBars(line), line)
			}
			for i := range line {
				if line[i] == '<' && (i == 0 || line[i-1] != '\\') {
					t.Fatalf("markup: %q", line)
				}
			}
		}
	})
}

func unescapedBars(s string) int {
	n := 0
	for i := 0; i < len(s); i++ {
		switch s[i] {
		case '\\':
			i++
		case '|':
			n++
		}
	}
	return n
}

func TestEscapeMarkdown(t *testing.T) {
	for in, want := range map[string]string{
		"3.25 A*": `3.25 A\*`, "a|b": `a\|b`, "- item": `\- item`, "1. one": `1\. one`, "3.25": "3.25", "<b>": `\<b\>`, "a & b": `a \& b`, `a\b`: `a\\b`, "plain": "plain",
	} {
		if got := escapeMarkdown(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

func BenchmarkHTML(b *testing.B) {
	r, _ := full.Record(b)
	b.ReportAllocs()
	for b.Loop() {
		if err := (Options{}).WriteHTML(io.Discard, []*schema.Record{r}); err != nil {
			b.Fatal(err)
		}
	}
}
