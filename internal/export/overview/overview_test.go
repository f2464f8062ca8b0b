package overview

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"saywatt/internal/archive"
	"saywatt/internal/archive/spread"
	"saywatt/internal/export/testdata/full"
	"saywatt/schema"
)

// pair is an archive of two small invented chargers, said in other units.
func pair(t *testing.T) *archive.Archive {
	t.Helper()
	return stored(t, "pair/tarn", "pair/esk")
}

// stored is an archive of records that the tests of internal/archive read too.
func stored(t *testing.T, names ...string) *archive.Archive {
	t.Helper()
	a, err := archive.Create(filepath.Join(t.TempDir(), "archive"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { a.Close() })
	w, err := a.Begin()
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		b, err := os.ReadFile(filepath.Join("..", "..", "archive", "testdata", name+".json"))
		if err != nil {
			t.Fatal(err)
		}
		r, err := schema.ReadRecord(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Add(r.Source.File, r, "Ada", time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC), false); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return a
}

func TestComparison(t *testing.T) {
	c, err := pair(t).Compare("tarn", "esk")
	if err != nil {
		t.Fatal(err)
	}
	var text, table, page bytes.Buffer
	if err := (Look{}).WriteComparison(&text, c); err != nil {
		t.Fatal(err)
	}
	if err := WriteComparisonCSV(&table, c); err != nil {
		t.Fatal(err)
	}
	if err := WriteComparisonHTML(&page, c); err != nil {
		t.Fatal(err)
	}
	full.Golden(t, "compare.txt", text.Bytes())
	full.Golden(t, "compare.csv", table.Bytes())
	full.Golden(t, "compare.html", page.Bytes())
	lines, err := csv.NewReader(&table).ReadAll()
	if err != nil || len(lines) != len(c.Rows)+1 || len(lines[0]) != 13 {
		t.Errorf("CSV: %d lines, %v", len(lines), err)
	}
	for _, l := range lines {
		for _, cell := range l {
			if strings.HasPrefix(cell, "=") {
				t.Errorf("a cell is a formula: %q", cell)
			}
		}
	}
}

func TestResults(t *testing.T) {
	r, err := pair(t).Search(archive.Request{Query: `level:"20 V" or fuse 2A or protocol:pps`, Facets: true})
	if err != nil {
		t.Fatal(err)
	}
	for name, look := range map[string]Look{"results.txt": {}, "results.ascii.txt": {ASCII: true},
		"results.color.txt": {Color: true, Link: "https://example.org/{file}?t={s}"}} {
		var b bytes.Buffer
		if err := look.WriteResults(&b, r); err != nil {
			t.Fatal(err)
		}
		full.Golden(t, name, b.Bytes())
		if look.ASCII && strings.ContainsFunc(b.String(), func(r rune) bool { return r > 0x7e }) {
			t.Errorf("%s: beyond ASCII", name)
		}
	}
	var b bytes.Buffer
	if err := (Look{}).WriteResultsJSON(&b, r); err != nil {
		t.Fatal(err)
	}
	full.Golden(t, "results.json", b.Bytes())
	var again any
	if err := json.Unmarshal(b.Bytes(), &again); err != nil {
		t.Error(err)
	}
}

func TestWaiting(t *testing.T) {
	list, total, _, err := pair(t).Waiting("", 0)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := (Look{}).WriteWaiting(&b, list, total); err != nil {
		t.Fatal(err)
	}
	full.Golden(t, "waiting.txt", b.Bytes())
	b.Reset()
	if err := (Look{}).WriteWaitingJSON(&b, list); err != nil {
		t.Fatal(err)
	}
	full.Golden(t, "waiting.jsonl", b.Bytes())
}

// Ten masses from 101 g to 109 g and one far off: median 105 g, median deviation
// 2 g, so a spread of 2 × 1.4826 = 2.9652 and a z-score of 45/2.9652 = 15.18.
func TestDistribution(t *testing.T) {
	mass, at := schema.MustQuantity("150 g"), schema.Seconds(9200)
	d := &archive.Distribution{Subject: "body mass", Unit: "g", Reviews: 11,
		Sample: spread.Sample{Values: 11, Least: 101, Median: 105, Most: 150, Spread: 2.9652,
			Bins: []spread.Bin{{Low: 100, High: 110, N: 10}, {Low: 110, High: 120}, {Low: 120, High: 130},
				{Low: 130, High: 140}, {Low: 140, High: 150, N: 1}}},
		Outliers: []archive.Outlier{{
			Review: archive.Review{Name: "review-000009", File: "review-000009.vtt", Product: "Wickgate Sluice 297"},
			Value:  mass, Z: 45 / 2.9652,
			Match: archive.Match{
				Fact: archive.Fact{Path: "body.mass", Label: "mass", Property: "mass", Quantity: &mass, Heard: "1181 g",
					Context: "and here it weighs 1181 g as we can see", Said: 4, At: &at, Media: "#t=9.2,11.2",
					Status: schema.StatusHeard},
				Text: "and here it weighs 1181 g as we can see", Marks: []schema.Span{{Start: 19, End: 25}}}}}}
	var text, pic, js bytes.Buffer
	if err := (Look{}).WriteDistribution(&text, d); err != nil {
		t.Fatal(err)
	}
	if err := Histogram(d).WriteSVG(&pic); err != nil {
		t.Fatal(err)
	}
	if err := (Look{}).WriteDistributionJSON(&js, d); err != nil {
		t.Fatal(err)
	}
	full.Golden(t, "stats.txt", text.Bytes())
	full.Golden(t, "stats.svg", pic.Bytes())
	full.Golden(t, "stats.json", js.Bytes())
	for x := xml.NewDecoder(&pic); ; {
		if _, err := x.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatalf("SVG: %v", err)
		}
	}
}

// A moment is linked where the user's address has it, else as a media fragment.
func TestLink(t *testing.T) {
	at := schema.Seconds(2500)
	of := &archive.Review{Name: "x", File: "x.vtt"}
	for _, c := range []struct {
		link string
		r    *archive.Review
		at   *schema.Seconds
		want string
	}{
		{"https://example.org/{file}?t={s}", of, &at, "https://example.org/x.vtt?t=2.5"},
		{"", of, &at, "x.vtt#t=2.5"},
		{"", &archive.Review{Name: "x"}, &at, "x#t=2.5"},
		{"https://example.org/{file}?t={s}", of, nil, ""},
	} {
		if got := (Look{Link: c.link}).link(c.r, c.at, "#t=2.5"); got != c.want {
			t.Errorf("link %q, want %q", got, c.want)
		}
	}
}

// A name that no line holds is broken where it is joined.
func TestFill(t *testing.T) {
	for _, c := range []struct {
		text string
		n    int
		want []string
	}{
		{"clean-digits-02-gan-65w-chat", 18, []string{"clean-digits-02-", "gan-65w-chat"}},
		{"a/veryverylongname", 8, []string{"a/veryve", "rylongna", "me"}},
		{"short enough", 12, []string{"short enough"}},
	} {
		if got := fill(c.text, c.n); !slices.Equal(got, c.want) {
			t.Errorf("%q in %d: %q, want %q", c.text, c.n, got, c.want)
		}
	}
}
