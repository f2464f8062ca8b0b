package extract

import (
	"os"
	"strings"
	"testing"

	"saywatt/extract/place"
	"saywatt/extract/product"
	"saywatt/schema"
)

// cueTables are the tables that loadCues reads, with their columns.
var cueTables = map[string]string{
	"cues": "phrase effect value source", "propertywords": "phrase property where source", "properties": "property kinds within flags source",
	"kinds": "form kind strength manner n source", "kindratings": "kind ratings board bare chip source",
	"chipsizes": "code metric source", "ports": "form port number manner n source",
	"protocolwords": "form protocol version manner n source", "packagewords": "form family shape joint values manner n source",
	"companions": "after general words kind source", "shapes": "kinds kind alone source", "letters": "word letter manner source",
	"stopwords": "word source", "calendar": "word source", "counted": "word source", "guards": "guard word source",
	"either":          "low high unit source",
	"sectiondefaults": "section kind property source", "kindvalues": "general when values kind source",
}

// TestCueTables walks every row: sources named, phrases as the scanner cuts
// them (no capitals, no bare digits), no phrase twice with the same effect,
// and closed sets kept.
func TestCueTables(t *testing.T) {
	closed := map[string]map[string]string{
		"kinds":         {"strength": "strong weak does", "manner": "said heard"},
		"ports":         {"manner": "said heard"},
		"protocolwords": {"version": "yes only no", "manner": "said heard"},
		"packagewords":  {"shape": "none pins size either name", "joint": "- none", "manner": "said heard"},
		"propertywords": {"where": "before after both"},
		"properties":    {"within": "test -"},
		"letters":       {"manner": "name word"},
		"kindratings":   {"bare": "yes -", "chip": "yes -"},
		"companions":    {"words": "same between any"},
		"kindvalues":    {"when": "- wireless"},
	}
	for name, columns := range cueTables {
		table, err := schema.ReadTable(tables, "tables/"+name+".tsv")
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(table.Columns, " "); got != columns {
			t.Errorf("%s.tsv: columns %q, want %q", name, got, columns)
		}
		seen := map[string]int{}
		for _, r := range table.Rows {
			if r.Get("source") == "" {
				t.Errorf("%s.tsv:%d: no source", name, r.Line)
			}
			key := strings.Join(r.Cells[:len(r.Cells)-1], "|")
			if name == "cues" || name == "propertywords" {
				key = r.Cells[0] + "|" + r.Cells[1]
				if name == "propertywords" {
					key = r.Cells[0] + "|" + r.Cells[2] + "|" + r.Cells[1]
				}
			}
			if n, twice := seen[key]; twice {
				t.Errorf("%s.tsv:%d: %q stands in line %d too", name, r.Line, key, n)
			}
			seen[key] = r.Line
			if name == "cues" && r.Get("effect") == "product" {
				if _, ok := product.Named(r.Get("value")); !ok {
					t.Errorf("cues.tsv:%d: %q is no kind of extract/product/tables/kinds.tsv", r.Line, r.Get("value"))
				}
			}
			first := r.Cells[0]
			switch name {
			case "cues", "propertywords", "ports", "protocolwords", "packagewords":
				for _, w := range strings.Fields(first) {
					if strings.Trim(w, "0123456789.") == "" && w != "." {
						t.Errorf("%s.tsv:%d: the scanner has no word for the digits %q", name, r.Line, w)
					}
				}
				fallthrough
			case "letters", "stopwords", "counted", "calendar":
				if first != strings.ToLower(first) {
					t.Errorf("%s.tsv:%d: %q is not folded", name, r.Line, first)
				}
			}
			for column, set := range closed[name] {
				if !contains(strings.Fields(set), r.Get(column)) {
					t.Errorf("%s.tsv:%d: %s %q, want one of %s", name, r.Line, column, r.Get(column), set)
				}
			}
		}
	}
}

// TestKindsAreNamed: each kind of product is named by a phrase, or was learned.
func TestKindsAreNamed(t *testing.T) {
	known := map[string]bool{}
	for _, r := range schema.MustReadTable(tables, "tables/cues.tsv").Rows {
		if kind, ok := product.Named(r.Get("value")); ok && r.Get("effect") == "product" {
			known[product.Kinds()[kind]] = true
		}
	}
	weights, err := os.ReadFile("product/tables/weights.tsv")
	if err != nil {
		t.Fatal(err)
	}
	for _, kind := range product.Kinds() {
		learned := strings.Contains(string(weights), strings.ReplaceAll(kind, " ", "_")+":")
		if !known[kind] && !learned {
			t.Errorf("kind %q: no phrase of tables/cues.tsv has the effect product for it, and no narration was "+
				"learned from", kind)
		}
	}
}

func contains(list []string, s string) bool {
	for _, l := range list {
		if l == s {
			return true
		}
	}
	return false
}

// TestCuePhrases checks that every phrase is found again in its own words, as
// the scanner cuts them.
func TestCuePhrases(t *testing.T) {
	x := Words()
	for _, name := range []string{"cues", "propertywords", "kinds", "ports", "protocolwords", "packagewords"} {
		table, err := schema.ReadTable(tables, "tables/"+name+".tsv")
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range table.Rows {
			form := r.Cells[0]
			tokens := x.Scan(nil, []byte(form))
			_, n := x.cue.phrases.match(tokens, 0)
			if n != len(tokens) {
				t.Errorf("%s.tsv:%d: %q is found over %d of %d tokens", name, r.Line, form, n, len(tokens))
			}
		}
	}
}

// TestKindsHaveRatings: every property that a kind's ratings name is one that
// words can name or a place of its own in the record.
func TestKindsHaveRatings(t *testing.T) {
	c := &Words().cue
	for i := range c.kinds {
		k := &c.kinds[i]
		for kind, p := range k.ratings {
			if p == "" {
				continue
			}
			if id := c.propertyID(p); id >= 0 && !c.properties[id].fits(schema.Kind(kind)) {
				t.Errorf("%s: a %s cannot be its %s", k.name, schema.Kind(kind), p)
			}
		}
	}
}

// FuzzPlaces: any text is placed without a panic, every context keeps inside
// the document, and the same text gives the same places.
func FuzzPlaces(f *testing.F) {
	for _, s := range []string{
		"Port see one. 5 volts, 3 amps. 20 volts at 3.25 amps. 65 watts max.",
		"usb c one five volts three amps and usb c two twenty seven watts",
		"open it up the gan switch is by tellbrook t v sixty five are one fifty six hundred and fifty volts",
		"Main board. Three bulk caps, Meldrake, 400 volts, 27 microfarads each.\nAgain, rectifier is 5.2 milliohms.",
		"Tests. 9 volts 3 amps, 88.9%, ripple 31 millivolts, 8.94",
		"the cells are thirty two seven hundred size twelve of them in series and three across",
		"See one and see two together 65 and 45 watts with see three",
		"A\nA A1 C C1 C 1 c 1 see see see one one\n\nQFN QFN5x so SOT-23-6",
		"D D D 1 2 3 oh oh oh W V A in a to to 220",
		"",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p := parser{x: Words(), text: []byte(text)}
		p.tokens = p.x.Scan(nil, p.text)
		place := func() *Document {
			d := &Document{Transcript: plainTranscript(p.text), Lexicon: p.x, Tokens: p.tokens,
				Mentions: p.mentions(nil)}
			p.places(d, place.Default())
			return d
		}
		d := place()
		last := int32(0)
		for i := range d.Mentions {
			m := &d.Mentions[i]
			if m.First < last || m.Last <= m.First || int(m.Last) > len(d.Tokens) {
				t.Fatalf("mention %d over tokens [%d, %d) behind %d of %d", i, m.First, m.Last, last, len(d.Tokens))
			}
			last = m.First + 1
			if s := m.Context.Subject; s < -1 || int(s) >= len(d.Subjects) {
				t.Fatalf("mention %d: subject %d of %d", i, s, len(d.Subjects))
			}
			if m.Group >= 0 && (int(m.Group) > i || d.Mentions[m.Group].First > m.First) {
				t.Fatalf("mention %d: group %d", i, m.Group)
			}
		}
		for i, s := range d.Subjects {
			if s.Kind == "" || s.First < 0 || s.First > s.Last || int(s.Last) > len(d.Tokens) {
				t.Fatalf("subject %d: %+v", i, s)
			}
		}
		again := place()
		if contexts(d) != contexts(again) || parts(d) != parts(again) {
			t.Fatal("the same text gave other places")
		}
	})
}
