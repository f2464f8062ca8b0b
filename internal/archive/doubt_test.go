package archive

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"

	"saywatt/schema"
)

// doubtful makes an archive of three reviews of one fuse each: where the current
// belongs is sure in the first, doubtful in the second, unlikely in the third. The
// third has another fuse of the same current, which is sure of its place, where
// twice is set.
func doubtful(t testing.TB, twice bool) *Archive {
	t.Helper()
	a := empty(t)
	w := begin(t, a)
	for i, share := range []float64{0, 0.8, 0.3} {
		q := schema.MustQuantity("2.5 A")
		at := schema.Seconds(4000)
		said := func(n int) schema.Said {
			return schema.Said{Number: n, At: &at, Span: schema.Span{Start: 10 * n, End: 10*n + 8}, Heard: "2.5 amps",
				Context: "the fuse is 2.5 amps", Kind: schema.KindCurrent, Quantity: q,
				Place: "components[0].ratings[0]", Status: schema.StatusHeard, Confidence: 0.98,
				Readings: []schema.Reading{{Quantity: q, Confidence: 0.98}}, Why: []string{}}
		}
		s := said(1)
		if share > 0 {
			s.Belongs = []schema.Belonging{{Place: schema.BelongsTo{To: "part", Part: "fuse"}, Words: "fuse",
				Confidence: share, Taken: true}, {Place: schema.BelongsTo{To: "none"}, Words: "nothing",
				Confidence: 1 - share}}
		}
		fuse := func(n int) schema.Component {
			return schema.Component{Kind: "fuse", Status: schema.StatusHeard, Ratings: []schema.Rating{{
				Property: "current", Value: schema.Value{Quantity: q, Status: schema.StatusHeard, Confidence: 0.98,
					Basis: schema.BasisClaimed, Said: []int{n}}}}}
		}
		name := "abc"[i : i+1]
		r := &schema.Record{Version: schema.RecordVersion, Cautions: []string{"-"},
			Product:    schema.Product{Kind: "charger", Name: "Tarn " + name},
			Source:     schema.Source{File: name + ".vtt", SHA256: strings.Repeat(name, 64), Format: "vtt"},
			Components: []schema.Component{fuse(1)}, Quantities: []schema.Said{s},
			Counts: schema.Counts{Said: 1, Heard: 1}}
		if twice && i == 2 {
			r.Components = append(r.Components, fuse(2))
			r.Quantities = append(r.Quantities, said(2))
			r.Counts = schema.Counts{Said: 2, Heard: 2}
		}
		if _, err := w.Add(name, r, "Ada", day, false); err != nil {
			t.Fatal(err)
		}
	}
	finish(t, w)
	return a
}

// A search shows where a value may belong elsewhere, in the marks and words of
// sheets, and says what the marks mean.
func TestSearchTellsOfPlaces(t *testing.T) {
	a := doubtful(t, false)
	r := search(t, a, Request{Query: "fuse 2.5A", Sort: "name"})
	var text, plain, page bytes.Buffer
	for w, l := range map[*bytes.Buffer]Look{&text: {}, &plain: {ASCII: true}} {
		if err := l.WriteResults(w, r); err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []string{"fuse current  2.5 A\n", "fuse current  2.5 A†\n", "fuse current  2.5 A‡\n",
		"\n† may belong elsewhere   ‡ probably belongs elsewhere\n"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("no %q in\n%s", want, text.String())
		}
		if want = strings.NewReplacer("†", "^", "‡", "^^").Replace(want); !strings.Contains(plain.String(), want) {
			t.Errorf("no %q in\n%s", want, plain.String())
		}
	}
	if err := (Look{}).WriteResultsJSON(&page, r); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Reviews []struct {
			Matches []struct {
				Doubt string `json:"place_doubt"`
			}
		}
	}
	if err := json.Unmarshal(page.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"", "may belong elsewhere", "probably belongs elsewhere"} {
		if m := got.Reviews[i].Matches; len(m) != 1 || m[0].Doubt != want {
			t.Errorf("review %d: %+v, want %q", i, m, want)
		}
	}

	// Nothing is explained that is not shown.
	text.Reset()
	if err := (Look{}).WriteResults(&text, search(t, a, Request{Query: "fuse 2.5A review:a"})); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(text.String(), "elsewhere") {
		t.Errorf("a mark is explained that no value has:\n%s", text.String())
	}
}

// A distribution says how many of its values may belong elsewhere; a value that a
// review tells twice is as sure as the surest.
func TestStatsTellOfPlaces(t *testing.T) {
	for _, x := range []struct {
		twice  bool
		within string
		values int
		may    int
		likely int
		text   string
	}{
		{false, "", 3, 1, 1, "\n† may belong elsewhere: 1 of 3\n‡ probably belongs elsewhere: 1 of 3\n"},
		{true, "", 3, 1, 0, "\n† may belong elsewhere: 1 of 3\n"},
		{false, "review:c", 1, 0, 1, "\n‡ probably belongs elsewhere: 1 of 1\n"},
		{false, "review:a", 1, 0, 0, ""},
	} {
		a := doubtful(t, x.twice)
		for _, subject := range []string{"fuse current", "part current"} {
			d, err := a.Stats(subject, x.within)
			if err != nil {
				t.Fatal(err)
			}
			if d.Values != x.values || d.Places[schema.PlaceUncertain] != x.may ||
				d.Places[schema.PlaceUnlikely] != x.likely {
				t.Errorf("%s, %+v: %d values, places %v", subject, x, d.Values, d.Places)
			}
			var text, page, picture bytes.Buffer
			if err := (Look{}).WriteDistribution(&text, d); err != nil {
				t.Fatal(err)
			}
			if err := (Look{}).WriteDistributionJSON(&page, d); err != nil {
				t.Fatal(err)
			}
			if err := WriteDistributionSVG(&picture, d); err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(text.String(), x.text) ||
				(x.text == "") == strings.Contains(text.String(), "elsewhere") {
				t.Errorf("%+v:\n%s", x, text.String())
			}
			if (x.text == "") == strings.Contains(page.String(), `"place_doubts"`) {
				t.Errorf("%+v:\n%s", x, page.String())
			}
			if (x.text == "") == strings.Contains(picture.String(), "elsewhere") {
				t.Errorf("%+v:\n%s", x, picture.String())
			}
		}
	}
}

// A comparison has the marks of places in every form. They make no difference:
// what is said is the same.
func TestCompareTellsOfPlaces(t *testing.T) {
	a := doubtful(t, false)
	c, err := a.Compare("a", "b", "c")
	if err != nil {
		t.Fatal(err)
	}
	var fuse *Row
	for i := range c.Rows {
		if c.Rows[i].Label == "fuse" {
			fuse = &c.Rows[i]
		}
	}
	if fuse == nil || fuse.Differs {
		t.Fatalf("the row of the fuse: %+v", fuse)
	}
	for i, want := range []string{"2.5 A", "2.5 A†", "2.5 A‡"} {
		if got := fuse.Cells[i].Text + fuse.Cells[i].Mark(); got != want {
			t.Errorf("cell %d: %q, want %q", i, got, want)
		}
	}
	var text, table, page, data bytes.Buffer
	for _, err := range []error{(Look{}).WriteComparison(&text, c), WriteComparisonCSV(&table, c),
		WriteComparisonHTML(&page, c), WriteComparisonJSON(&data, c)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	const legend = "† may belong elsewhere   ‡ probably belongs elsewhere"
	if !strings.Contains(text.String(), legend) || !strings.Contains(page.String(), legend) {
		t.Errorf("the marks are not explained:\n%s\n%s", text.String(), page.String())
	}
	lines, err := csv.NewReader(&table).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range lines {
		if l[1] == "fuse" && (l[7] != "" || l[12] != "may belong elsewhere" || l[17] != "probably belongs elsewhere") {
			t.Errorf("CSV: %q", l)
		}
	}
	if n := strings.Count(data.String(), `"place_doubt": "probably belongs elsewhere"`); n != 1 {
		t.Errorf("JSON says %d times that a value probably belongs elsewhere", n)
	}
}
