package pipeline

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/internal/edit"
	"saywatt/internal/glossary"
	"saywatt/normalize"
	"saywatt/schema"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

const jetty = "This is the Bran nick Jetty, a charger. The USB see port gives 5 volts 3 amps, and with PPS " +
	"3.3 to 11 volts 3 amps. Open it. The bulk caps are from Bex home, 400 volts 47 microfarads. " +
	"The port chip is a Castrivel CZ 4412 in cue FN 24."

func naming(of, heard, meant string) normalize.Answer {
	return normalize.Answer{Name: &extract.Naming{Of: of, Heard: heard, Meant: meant}}
}

func jettyRead(t testing.TB, o Options) (*schema.Record, *transcript.Transcript) {
	t.Helper()
	tr, err := transcript.Parse("jetty.txt", []byte(jetty))
	if err != nil {
		t.Fatal(err)
	}
	rec, err := Run(tr, o)
	if err != nil {
		t.Fatal(err)
	}
	return rec, tr
}

// What a person says of a name stands in the record, beside what was heard.
func TestNamesSettled(t *testing.T) {
	for _, c := range []struct {
		name    string
		answers []normalize.Answer
		is      func(r *schema.Record) []string
		want    []string
	}{
		{"a maker wherever it was heard", []normalize.Answer{naming("maker", "BRAN NICK", "Brannick")},
			func(r *schema.Record) []string { return []string{r.Product.Maker, r.Product.Name} },
			[]string{"Brannick", "Brannick Jetty"}},
		{"the last of two", []normalize.Answer{naming("maker", "Bex home", "Bexhome"), naming("maker", "bex home",
			"Bexholm")},
			func(r *schema.Record) []string { return []string{r.Components[0].Maker} }, []string{"Bexholm"}},
		{"the product's maker leaves others", []normalize.Answer{naming(schema.NameOfMaker, "", "Bexholm")},
			func(r *schema.Record) []string { return []string{r.Product.Maker, r.Components[0].Maker} },
			[]string{"Bexholm", "Bex home"}},
		{"name and maker apart", []normalize.Answer{naming(schema.NameOfProduct, "", "Jetty 2"),
			naming(schema.NameOfMaker, "", "Brannick")},
			func(r *schema.Record) []string { return []string{r.Product.Maker, r.Product.Name} },
			[]string{"Brannick", "Jetty 2"}},
		{"no maker", []normalize.Answer{naming(schema.NameOfMaker, "", "")},
			func(r *schema.Record) []string { return []string{r.Product.Maker, r.Product.Name} }, []string{"",
				"Bran nick Jetty"}},
		{"a protocol of levels", []normalize.Answer{naming("protocol", "pps", "AVS")},
			func(r *schema.Record) []string { return []string{r.Levels[1].Protocol, r.Ports[0].Protocols[0]} },
			[]string{"AVS", "AVS"}},
		{"no protocol", []normalize.Answer{naming("protocol", "pps", "")},
			func(r *schema.Record) []string {
				return append([]string{r.Levels[1].Protocol}, r.Ports[0].Protocols...)
			}, []string{""}},
		{"a port of levels", []normalize.Answer{naming("port", "USB see", "USB-C2")},
			func(r *schema.Record) []string { return []string{r.Ports[0].Name, r.Levels[0].Port} },
			[]string{"USB-C2", "USB-C2"}},
		{"a part number and a package", []normalize.Answer{naming("part", "CZ4412", "CZ4412B"), naming("package",
			"qfn24", "QFN32")},
			func(r *schema.Record) []string { return []string{r.Components[1].Part, r.Components[1].Package} },
			[]string{"CZ4412B", "QFN32"}},
		{"a model that was not heard", []normalize.Answer{naming(schema.NameOfModel, "", "BJ-1")},
			func(r *schema.Record) []string { return []string{r.Product.Model} }, []string{"BJ-1"}},
		{"as it is", []normalize.Answer{naming("maker", "Bex home", "Bex home")},
			func(r *schema.Record) []string {
				at := slices.IndexFunc(r.Terms, func(t schema.SaidTerm) bool { return t.Meant == "Bex home" })
				return []string{r.Components[0].Maker, r.Terms[at].Status.String(),
					r.NamesToCheck[len(r.NamesToCheck)-1].Name}
			}, []string{"Bex home", "settled", "Bran nick"}},
	} {
		rec, _ := jettyRead(t, Options{Answers: c.answers})
		if d := cmp.Diff(c.want, c.is(rec)); d != "" {
			t.Errorf("%s: %s", c.name, d)
		}
	}
}

// The user's glossary does not overrule a person, and what it knows of a part that a
// person named counts.
func TestNamesBeforeGlossary(t *testing.T) {
	entries, err := glossary.Read(strings.NewReader("kind,name,spoken,maker,package\nmaker,Bexhome,bex home,,\n"+
		"part,CZ4490,,Castrivel,DFN8\nmaker,Brannick,bran nick,,\n"), "g.csv")
	if err != nil {
		t.Fatal(err)
	}
	book := glossary.New(entries)
	rec, _ := jettyRead(t, Options{Glossary: book, Answers: []normalize.Answer{naming("maker", "Bex home", "Bexholm"),
		naming("part", "CZ 4412", "CZ4490"), naming(schema.NameOfMaker, "", "Brandt")}})
	if c := rec.Components; c[0].Maker != "Bexholm" || c[1].Part != "CZ4490" || rec.Product.Maker != "Brandt" {
		t.Errorf("%s, %s, %s", c[0].Maker, c[1].Part, rec.Product.Maker)
	}
	// A name can be called as the glossary has it.
	rec, _ = jettyRead(t, Options{Glossary: book, Answers: []normalize.Answer{naming("maker", "Bexhome", "Bexholm"),
		naming(schema.NameOfProduct, "Brannick Jetty", "Jetty")}})
	if rec.Components[0].Maker != "Bexholm" || rec.Product.Name != "Jetty" {
		t.Errorf("%s, %s", rec.Components[0].Maker, rec.Product.Name)
	}
	if rec.Product.SettledOf("name").Heard == "" {
		t.Error("what was heard is lost")
	}
}

// A name that was never heard is refused, whatever else is answered.
func TestNamesStray(t *testing.T) {
	tr, err := transcript.Parse("jetty.txt", []byte(jetty))
	if err != nil {
		t.Fatal(err)
	}
	_, err = Run(tr, Options{Answers: []normalize.Answer{naming("maker", "Bex home", "Bexholm"), naming("maker",
		"Bexhome", "x"),
		naming(schema.NameOfProduct, "Skerry", "x"), naming("protocol", "UFCS", "x")}})
	var stray normalize.StrayAnswers
	if !errors.As(err, &stray) || len(stray) != 3 || !errors.Is(err, normalize.ErrNoName) || !errors.Is(err,
		normalize.ErrOtherName) {
		t.Fatal(err)
	}
	for i, says := range []string{`there is "Bex home"`, `there is "Bran nick Jetty"`, `there is "PPS"`} {
		if !strings.Contains(stray[i].Error(), says) {
			t.Errorf("%v does not say %s", stray[i], says)
		}
	}
}

// Whatever is said of names: nothing of the quantities is lost, a reader that keeps what
// it found gives the same record as one that does not, each name said stands settled
// with what was heard, and captions corrected by it hold it.
func TestNamesProperty(t *testing.T) {
	plain, tr := jettyRead(t, Options{})
	reader := NewReader(tr, nil)
	word := rapid.StringMatching(`[A-Z][a-z]{2,7}`)
	rapid.Check(t, func(t *rapid.T) {
		var answers []normalize.Answer
		meant := map[string]string{}
		for _, n := range [][2]string{{"maker", "Bex home"}, {"maker", "Castrivel"}, {"part", "CZ 4412"},
			{"package", "cue FN 24"},
			{schema.NameOfMaker, "Bran nick"}, {schema.NameOfProduct, ""}} {
			if rapid.Bool().Draw(t, n[1]) {
				meant[n[0]+n[1]] = word.Draw(t, "meant")
				answers = append(answers, naming(n[0], n[1], meant[n[0]+n[1]]))
			}
		}
		rec, err := Run(tr, Options{Answers: answers})
		if err != nil {
			t.Fatal(err)
		}
		kept, err := reader.Run(Options{Answers: answers})
		if err != nil {
			t.Fatal(err)
		}
		var a, b strings.Builder
		if rec.Write(&a) != nil || kept.Write(&b) != nil || a.String() != b.String() {
			t.Fatal("a reader that keeps what it found reads otherwise")
		}
		if len(rec.Quantities) != len(plain.Quantities) || len(rec.Terms) != len(plain.Terms) {
			t.Fatalf("%d quantities and %d names", len(rec.Quantities), len(rec.Terms))
		}
		for i := range rec.Terms {
			term := &rec.Terms[i]
			want, ok := meant[term.Kind.String()+term.Heard]
			if ok && (term.Status != schema.StatusSettled || term.Meant != want) ||
				term.Heard != plain.Terms[i].Heard {
				t.Fatalf("%+v, want %s", term, want)
			}
		}
		changes, _, err := edit.ForRecord(rec, tr, edit.Style{})
		if err != nil {
			t.Fatal(err)
		}
		text, err := edit.Apply(tr.Source, changes)
		if err != nil {
			t.Fatal(err)
		}
		for key, name := range meant {
			if key == schema.NameOfMaker+"Bran nick" && meant[schema.NameOfProduct] != "" {
				continue // the name of the product is written over it
			}
			if !strings.Contains(string(text), name) {
				t.Fatalf("%s is not in %s", name, text)
			}
		}
	})
}
