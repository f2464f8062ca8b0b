package overview

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"

	"saywatt/internal/archive"
)

// doubtful is an archive of three reviews of one fuse each: where the current
// belongs is sure in the first, doubtful in the second, unlikely in the third. The
// third has another fuse of the same current, which is sure of its place, where
// twice is set.
func doubtful(t *testing.T, twice bool) *archive.Archive {
	t.Helper()
	third := "doubtful/c"
	if twice {
		third = "doubtful/c-twice"
	}
	return stored(t, "doubtful/a", "doubtful/b", third)
}

// A search shows where a value may belong elsewhere, in the marks and words of
// sheets, and says what the marks mean.
func TestSearchTellsOfPlaces(t *testing.T) {
	a := doubtful(t, false)
	find := func(query string) *archive.Results {
		t.Helper()
		r, err := a.Search(archive.Request{Query: query, Sort: "name"})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	r := find("fuse 2.5A")
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
	if err := (Look{}).WriteResults(&text, find("fuse 2.5A review:a")); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(text.String(), "elsewhere") {
		t.Errorf("a mark is explained that no value has:\n%s", text.String())
	}
}

// A distribution says how many of its values may belong elsewhere; a value that a
// review says twice is as sure as the surest.
func TestStatsTellOfPlaces(t *testing.T) {
	for _, x := range []struct {
		twice  bool
		within string
		text   string
		counts string
	}{
		{false, "", "\n† may belong elsewhere: 1 of 3\n‡ probably belongs elsewhere: 1 of 3\n",
			`{"may_belong_elsewhere":1,"probably_belongs_elsewhere":1}`},
		{true, "", "\n† may belong elsewhere: 1 of 3\n",
			`{"may_belong_elsewhere":1,"probably_belongs_elsewhere":0}`},
		{false, "review:c", "\n‡ probably belongs elsewhere: 1 of 1\n",
			`{"may_belong_elsewhere":0,"probably_belongs_elsewhere":1}`},
		{false, "review:a", "", ""},
	} {
		a := doubtful(t, x.twice)
		for _, subject := range []string{"fuse current", "part current"} {
			d, err := a.Stats(subject, x.within)
			if err != nil {
				t.Fatal(err)
			}
			var text, page, drawn bytes.Buffer
			if err := (Look{}).WriteDistribution(&text, d); err != nil {
				t.Fatal(err)
			}
			if err := (Look{}).WriteDistributionJSON(&page, d); err != nil {
				t.Fatal(err)
			}
			if err := Histogram(d).WriteSVG(&drawn); err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(text.String(), x.text) ||
				(x.text == "") == strings.Contains(text.String(), "elsewhere") {
				t.Errorf("%+v:\n%s", x, text.String())
			}
			var got struct {
				Doubts json.RawMessage `json:"place_doubts"`
			}
			if err := json.Unmarshal(page.Bytes(), &got); err != nil {
				t.Fatal(err)
			}
			var counts bytes.Buffer
			if len(got.Doubts) > 0 {
				if err := json.Compact(&counts, got.Doubts); err != nil {
					t.Fatal(err)
				}
			}
			if counts.String() != x.counts {
				t.Errorf("%+v:\n%s", x, page.String())
			}
			remark := strings.ReplaceAll(strings.TrimSpace(x.text), "\n", "; ")
			if !strings.Contains(drawn.String(), remark) ||
				(x.text == "") == strings.Contains(drawn.String(), "elsewhere") {
				t.Errorf("%+v:\n%s", x, drawn.String())
			}
		}
	}
}

// A comparison has the marks of places in every form.
func TestCompareTellsOfPlaces(t *testing.T) {
	a := doubtful(t, false)
	c, err := a.Compare("a", "b", "c")
	if err != nil {
		t.Fatal(err)
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
