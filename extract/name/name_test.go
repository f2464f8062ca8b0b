package name

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"saywatt/extract/feature"
)

func TestCommon(t *testing.T) {
	for word, want := range map[string]int{"the": 10, "vendor": 20, "zinc": 35, "water": 10, "zorrin": 0, "": 0, "a": 0,
		"zzz": 0} {
		if got := Common(word); got != want {
			t.Errorf("%q is in list %d, want %d", word, got, want)
		}
	}
}

// TestEnglishIsSorted holds the table to what the look-up by halves needs.
func TestEnglishIsSorted(t *testing.T) {
	last, n := "", 0
	for line := range strings.Lines(english()) {
		word, size, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "\t")
		if !ok || word <= last || size != "10" && size != "20" && size != "35" {
			t.Fatalf("line %d: %q behind %q", n+1, line, last)
		}
		if Common(word) == 0 {
			t.Errorf("%q is not found", word)
		}
		last, n = word, n+1
	}
	if n < 40_000 {
		t.Errorf("%d words", n)
	}
}

// TestPriors holds the rows of priors.tsv to features that the code puts.
func TestPriors(t *testing.T) {
	for f := range Priors() {
		if !slices.Contains(Default().Names(), f) {
			t.Errorf("no weight of %q", f)
		}
	}
}

// items are the words, numbers and signs of a text divided by blanks, a "/"
// being the end of a line; what has letters and digits is a part number.
func items(text string) []Item {
	var out []Item
	for w := range strings.FieldsSeq(text) {
		it := Item{Text: w, Fold: strings.ToLower(w)}
		digits := strings.ContainsAny(w, "0123456789")
		switch {
		case w == "/":
			it.Kind, it.Fold = Para, "#para"
		case strings.ContainsAny(w, ".,|-:"):
			it.Kind = Sign
		case digits && strings.ContainsAny(it.Fold, "abcdefghijklmnopqrstuvwxyz"):
			it.Kind = Code
		case digits:
			it.Kind = Number
		case it.Fold == "controller" || it.Fold == "capacitor" || it.Fold == "fuse":
			it.Class = "part"
		case it.Fold == "charger":
			it.Class = "product"
		}
		out = append(out, it)
	}
	return out
}

func words(all []Item, c Choice) string {
	var out []string
	for _, it := range all[c.First:c.Last] {
		out = append(out, it.Text)
	}
	return strings.Join(out, " ")
}

func TestFind(t *testing.T) {
	for _, c := range []struct{ name, text, title, owner, makers string }{
		{"a maker before a number and again behind from",
			"Today we look at the Velmora Ridge 65 , a charger . / The controller is a Tarquell TQ3605 . A capacitor is from Tarquell too .",
			"Velmora Ridge 65", "Velmora", "Velmora; Tarquell; Tarquell"},
		{"a greeting is no name",
			"Hello and welcome back . This is the Ostrake Perle 30 , a small charger by Ostrake . / The fuse is 250 . The capacitor is made by Brundel .",
			"Ostrake Perle 30", "Ostrake", "Ostrake; Ostrake; Brundel"},
		{"without capitals and signs",
			"okay so this is the velmora ridge 65 which is a charger and the controller is made by tarquell tq3605 and the fuse is from brundel and it is fine",
			"velmora ridge 65", "velmora", "velmora; tarquell; brundel"},
		{"a column of makers",
			"This is the Velmora Ridge 65 , a charger . / Part | Maker | Number / fuse | Brundel | 250 / controller | Tarquell | TQ3605",
			"Velmora Ridge 65", "Velmora", "Velmora; Brundel; Tarquell"},
		{"letters that are not read", "This is the شاحن فيلرايت , a charger by فيلرايت . / We had tea .", "", "", ""},
		{"no names", "we measured the noise and then it rained . / the fuse was fine and we had tea .", "", "", ""},
	} {
		all := items(c.text)
		found := Default().Find(all, func(a,
			b int) string {
			return strings.ToLower(words(all, Choice{First: a, Last: b}))
		})
		var makers []string
		for _, m := range found.Makers {
			makers = append(makers, words(all, m))
		}
		if got := words(all, found.Title); got != c.title {
			t.Errorf("%s: title %q, want %q", c.name, got, c.title)
		}
		if got := words(all, found.Owner); got != c.owner {
			t.Errorf("%s: owner %q, want %q", c.name, got, c.owner)
		}
		if got := strings.Join(makers, "; "); got != c.makers {
			t.Errorf("%s: makers %q, want %q", c.name, got, c.makers)
		}
	}
}

// Words in other letters than Latin ones are foreign.
func TestForeign(t *testing.T) {
	for word, want := range map[string]bool{"volt": false, "élan": false, "ﬁne": false, "5": false, "": false,
		"цепь": true, "日本": true, "شاحن": true} {
		if got := (&Item{Text: word}).foreign(); got != want {
			t.Errorf("%q: foreign is %v", word, got)
		}
	}
}

func TestColumns(t *testing.T) {
	all := items("Part | Maker / fuse | Brundel / / then a line / Number | Brand / TQ3605 | Tarquell")
	x := newText(all, feature.List{Name: func(string) int32 { return -1 }})
	got := map[string]string{}
	for i := range all {
		if x.column[i] != "" {
			got[all[i].Text] = x.column[i]
		}
	}
	for word, want := range map[string]string{"fuse": "part", "Brundel": "maker", "Tarquell": "brand", "line": ""} {
		if got[word] != want {
			t.Errorf("%s stands under %q, want %q", word, got[word], want)
		}
	}
}

func TestInitials(t *testing.T) {
	for text, want := range map[string]string{
		"Tarquell TQ3605": "both", "Tarquell , TQ3605": "both", "Tarquell TV10": "first", "Tarquell BX10": "other", "Tarquell said": "none",
	} {
		x := newText(items(text), feature.List{Name: func(string) int32 { return -1 }})
		if got := x.initials(0, 1); got != want {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
}

// TestApart takes the likelier of two names that overlap.
func TestApart(t *testing.T) {
	got := apart([]Choice{{First: 0, Last: 2, Score: 1}, {First: 1, Last: 2, Score: 2}, {First: 3, Last: 4, Score: -1},
		{First: 5, Last: 6, Score: 0.1}})
	if len(got) != 2 || got[0].First != 1 || got[1].First != 5 {
		t.Errorf("%+v", got)
	}
}

// TestReadModel reads what Write writes, and gives the line of what is wrong.
func TestReadModel(t *testing.T) {
	var b bytes.Buffer
	if err := Default().Write(&b, nil); err != nil {
		t.Fatal(err)
	}
	m, err := readModel(b.String())
	if err != nil || !slices.Equal(m.weights, Default().weights) || !slices.Equal(m.Names(), Default().Names()) {
		t.Errorf("read again: %v", err)
	}
	for _, bad := range []string{"a\t1\n", "a\t1\tx\n", "a\t1\t1\na\t1\t2\n"} {
		if _, err := readModel(bad); err == nil {
			t.Errorf("%q is read", bad)
		}
	}
}

// TestLinear: names take time in proportion to the text, also where one name
// fills it.
func TestLinear(t *testing.T) {
	time1 := func(n int) time.Duration {
		all := items(strings.Repeat("from Tarquell TQ3605 and ", n))
		best := time.Hour
		for range 3 {
			start := time.Now()
			Default().Find(all, func(a, b int) string { return strings.ToLower(words(all, Choice{First: a, Last: b})) })
			best = min(best, time.Since(start))
		}
		return best
	}
	small, large := time1(1000), time1(8000)
	if large > 40*small {
		t.Errorf("eight times the text takes %v, %v the small one", large, small)
	}
}

func FuzzReadModel(f *testing.F) {
	f.Add("feature\tn\tweight\nplace\t3\t0.5\n")
	f.Add("# note\n\n")
	f.Add("a\t1\tNaN\n")
	f.Fuzz(func(t *testing.T, text string) {
		m, err := readModel(text)
		if err == nil && len(m.weights) != len(m.Names()) {
			t.Errorf("%d weights of %d features", len(m.weights), len(m.Names()))
		}
	})
}

func FuzzFind(f *testing.F) {
	f.Add("from Tarquell TQ3605 / | - . 65 charger")
	f.Fuzz(func(t *testing.T, text string) {
		all := items(text)
		found := Default().Find(all, func(a, b int) string { return words(all, Choice{First: a, Last: b}) })
		last := 0
		for _, m := range found.Makers {
			if m.First < last || m.Last <= m.First || m.Last > len(all) {
				t.Fatalf("names overlap: %+v", found.Makers)
			}
			last = m.Last
		}
	})
}
