package normalize

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"saywatt/extract"
	"saywatt/extract/product"
	"saywatt/internal/assemble"
	"saywatt/schema"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestReadNames(t *testing.T) {
	for _, c := range []struct {
		text string
		want extract.Naming
	}{
		{`{"names":"maker","heard":"tar nell","meant":"Tarnel"}`,
			extract.Naming{Of: "maker", Heard: "tar nell", Meant: "Tarnel"}},
		{`{"names":"part","heard":"TR 65","span":[12,17],"meant":"TR65R"}`,
			extract.Naming{Of: "part", Heard: "TR 65", Span: schema.Span{Start: 12, End: 17}, Meant: "TR65R"}},
		{`{"names":"port","span":[0,3],"meant":"USB-C2"}`,
			extract.Naming{Of: "port", Span: schema.Span{End: 3}, Meant: "USB-C2"}},
		{`{"names":"protocol","heard":"pp","nothing":true,"note":"a sound"}`, extract.Naming{Of: "protocol",
			Heard: "pp"}},
		{`{"names":"product.kind","meant":"power bank"}`, extract.Naming{Of: "product.kind", Meant: "power bank"}},
		{`{"names":"product.name","heard":"Jetty","meant":"Jetty 2"}`,
			extract.Naming{Of: "product.name", Heard: "Jetty", Meant: "Jetty 2"}},
		{`{"names":"product.model","nothing":true,"who":"ann","when":"2026-01-02T03:04:05Z","act":3,"how":"typed"}`,
			extract.Naming{Of: "product.model"}},
		{`{"names":"maker","heard":"Ö","meant":"Öre & Søn"}`, extract.Naming{Of: "maker", Heard: "Ö",
			Meant: "Öre & Søn"}},
	} {
		got, err := ReadAnswers(strings.NewReader(c.text), "a.jsonl")
		if err != nil || len(got) != 1 || got[0].Name == nil {
			t.Errorf("%s: %v, %v", c.text, got, err)
			continue
		}
		if d := cmp.Diff(c.want, *got[0].Name); d != "" {
			t.Errorf("%s:\n%s", c.text, d)
		}
	}
	for text := range map[string]bool{
		`{"names":"maker","heard":"x","unclear":true}`: true, `{"names":"product.kind","reopened":true}`: true,
	} {
		if got, err := ReadAnswers(strings.NewReader(text), "a.jsonl"); err != nil || len(got) > 0 {
			t.Errorf("%s: %v, %v", text, got, err)
		}
	}
}

func TestReadNamesRefused(t *testing.T) {
	long := strings.Repeat("ab", 10_000)
	for _, c := range []struct {
		name, text string
		cause      error
		says       string
	}{
		{"no words", `{"names":"maker","meant":"Tarnel"}`, ErrNaming, ""},
		{"nothing said", `{"names":"maker","heard":"x"}`, ErrNaming, ""},
		{"two things said", `{"names":"maker","heard":"x","meant":"y","nothing":true}`, ErrNaming, ""},
		{"of nothing", `{"heard":"x","meant":"y"}`, ErrNaming, ""},
		{"a misspelt sort", `{"names":"makr","heard":"x","meant":"y"}`, ErrNameOf, `did you mean "maker"?`},
		{"an endless sort", `{"names":"` + long + `","heard":"x","meant":"y"}`, ErrNameOf, "there is product.name"},
		{"a part's kind", `{"names":"component","heard":"x","meant":"y"}`, ErrNameOf, ""},
		{"a quantity beside it", `{"names":"maker","heard":"x","meant":"y","quantity":{"value":1,"unit":"A"}}`,
			ErrNotOfNames, ""},
		{"a place beside it", `{"names":"maker","heard":"x","meant":"y","place":{"to":"power"}}`, ErrNotOfNames, ""},
		{"words beside it", `{"names":"maker","heard":"x","meant":"y","words":"z"}`, ErrNotOfNames, ""},
		{"a place of the product", `{"names":"product.name","span":[1,2],"meant":"y"}`, ErrNameSpan, ""},
		{"empty", `{"names":"maker","heard":"x","meant":""}`, ErrNoText, `"meant"`},
		{"blank", `{"names":"maker","heard":"x","meant":" \t"}`, ErrNoText, ""},
		{"a line's end", `{"names":"maker","heard":"x","meant":"a\nb"}`, ErrUnprinted, ""},
		{"a control character", `{"names":"maker","heard":"x","meant":"a\u0007b"}`, ErrUnprinted, ""},
		{"a mark of direction", `{"names":"maker","heard":"x","meant":"a\u202eb"}`, ErrUnprinted, ""},
		{"20,000 letters", `{"names":"maker","heard":"x","meant":"` + long + `"}`, ErrTooLong, ""},
		{"20,000 letters heard", `{"names":"maker","heard":"` + long + `","meant":"x"}`, ErrTooLong, `"heard"`},
		{"signs alone", `{"names":"maker","heard":"x","meant":"--"}`, ErrNoLetter, ""},
		{"a blank behind", `{"names":"maker","heard":"x","meant":"Tarnel "}`, ErrBlanks, ""},
		{"no kind of product", `{"names":"product.kind","meant":"powerbank"}`, ErrKindOf,
			`did you mean "power bank"?`},
		{"no kind, nothing near", `{"names":"product.kind","meant":"toaster"}`, ErrKindOf,
			"; there is charger, power bank"},
		{"no port", `{"names":"port","heard":"x","meant":"USB-C9"}`, ErrPortName, "did you mean"},
	} {
		_, err := ReadAnswers(strings.NewReader("\n"+c.text+"\n"), "a.jsonl")
		var at *AnswerError
		if !errors.As(err, &at) || at.Line != 2 || at.File != "a.jsonl" || !errors.Is(err, c.cause) ||
			!strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.name, err)
		}
		if err != nil && len(err.Error()) > 1000 {
			t.Errorf("%s: a message of %d bytes", c.name, len(err.Error()))
		}
	}
}

// The last line on the same thing stands; lines on quantities and words leave it.
func TestNamesStand(t *testing.T) {
	const maker, other = `{"names":"maker","heard":"tar nell","meant":"Tarnel"}`,
		`{"names":"maker","heard":"Tar  Nell","meant":"Tarnell"}`
	for _, c := range []struct {
		name  string
		lines []string
		want  []string // what stands
		words int
	}{
		{"the last", []string{maker, other}, []string{"Tarnell"}, 0},
		{"taken back", []string{maker, `{"names":"maker","heard":"TAR NELL","reopened":true}`}, nil, 0},
		{"other words taken back", []string{maker, `{"names":"maker","heard":"tar","reopened":true}`},
			[]string{"Tarnel"}, 0},
		{"of one place and of all", []string{maker,
			`{"names":"maker","heard":"tar nell","span":[3,9],"meant":"Ter"}`},
			[]string{"Tarnel", "Ter"}, 0},
		{"of another sort", []string{maker, `{"names":"part","heard":"tar nell","meant":"T1"}`}, []string{"Tarnel",
			"T1"}, 0},
		{"the product, whatever was heard", []string{`{"names":"product.name","heard":"a","meant":"A"}`,
			`{"names":"product.name","heard":"b","meant":"B"}`}, []string{"B"}, 0},
		{"unclear takes the place", []string{maker, `{"names":"maker","heard":"tar nell","unclear":true}`}, nil, 0},
		{"a quantity reopened there", []string{`{"names":"maker","heard":"x","span":[3,9],"meant":"X"}`,
			`{"span":[3,9],"reopened":true}`}, []string{"X"}, 0},
		{"reworded there", []string{`{"names":"maker","heard":"x","span":[3,9],"meant":"X"}`,
			`{"span":[3,9],"words":"Xs"}`}, []string{"X"}, 1},
		{"a wording taken back", []string{`{"names":"maker","heard":"x","span":[3,9],"meant":"X"}`,
			`{"span":[3,9],"words":"Xs"}`, `{"span":[3,9],"reopened":true,"note":"wording"}`}, []string{"X"}, 0},
		{"a name with the note of a wording", []string{`{"span":[3,9],"words":"Xs"}`, maker,
			`{"names":"maker","heard":"tar nell","reopened":true,"note":"wording"}`}, nil, 1},
	} {
		decisions, err := ReadDecisions(strings.NewReader(strings.Join(c.lines, "\n")), "a.jsonl")
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		answers, words := Standing(decisions)
		var got []string
		for _, n := range Names(answers) {
			got = append(got, n.Meant)
		}
		if d := cmp.Diff(c.want, got); d != "" || len(words) != c.words {
			t.Errorf("%s: %d wordings, names\n%s", c.name, len(words), d)
		}
	}
}

// Kinds of product and ports that records have can all be given.
func TestNamesKnown(t *testing.T) {
	for _, k := range product.Kinds() {
		if err := CheckName(schema.NameOfKind, k); err != nil {
			t.Error(err)
		}
	}
	for _, p := range extract.PortNames() {
		if err := CheckName("port", p); err != nil {
			t.Error(err)
		}
	}
	for _, p := range []string{"USB-C", "USB-C4", "USB-A1", "AC", "Qi"} {
		if !slices.Contains(extract.PortNames(), p) {
			t.Errorf("%s is no port", p)
		}
	}
}

// Whatever line is written of a name is read back as it was, or refused with its
// place; what is taken can be written into captions.
func TestNamesRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		meant, heard := rapid.String().Draw(t, "meant"), rapid.String().Draw(t, "heard")
		of := rapid.SampledFrom(schema.Nameables()).Draw(t, "of")
		line, err := json.Marshal(map[string]string{"names": of, "heard": heard, "meant": meant})
		if err != nil {
			t.Fatal(err)
		}
		got, err := ReadAnswers(strings.NewReader(string(line)), "a.jsonl")
		if err != nil {
			if !strings.HasPrefix(err.Error(), "a.jsonl:1: ") {
				t.Fatalf("%s: %v", line, err)
			}
			return
		}
		n := got[0].Name
		if n.Of != of || n.Meant != meant || n.Heard != heard {
			t.Fatalf("%s is read as %+v", line, n)
		}
		if strings.ContainsAny(meant, "\n\r\t\x00") || strings.TrimSpace(meant) == "" ||
			utf8.RuneCountInString(meant) > maxName {
			t.Fatalf("%q is taken", meant)
		}
	})
}

func FuzzReadNames(f *testing.F) {
	for _, s := range []string{`{"names":"maker","heard":"Bran nick","meant":"Brannick"}`,
		`{"names":"product.name","meant":"Jetty"}`, `{"names":"part","span":[1,9],"nothing":true}`,
		`{"names":"port","heard":"USB see","meant":"USB-C1"}`, `{"names":"protocol","heard":"pps","meant":"AVS"}`,
		`{"names":"product.kind","meant":"cable"}`, `{"names":"","meant":"x"}`,
		"{\"names\":\"maker\",\"heard\":\"\\ud800\",\"meant\":\"x\"}"} {
		f.Add([]byte(s))
	}
	const text = "The Brannick Jetty is a charger. The USB see port gives 5 volts 3 amps, with PPS 3.3 to 11 volts. " +
		"Open it. The bulk caps are from Bran nick, 400 volts. The controller is a Castrivel CZ 4412."
	plain := read(f, text)
	f.Fuzz(func(t *testing.T, b []byte) {
		answers, err := ReadAnswers(strings.NewReader(string(b)), "fuzz.jsonl")
		if err != nil {
			if !strings.HasPrefix(err.Error(), "fuzz.jsonl:") {
				t.Fatalf("the error names no place: %v", err)
			}
			return
		}
		doc := extract.FindGiven(plain.Transcript,
			extract.Given{Conditions: Conditions(answers), Names: Names(answers)})
		r := Ranker{Answers: answers}
		said, placed, err := r.Decide(doc)
		if err != nil {
			var stray StrayAnswers
			if !errors.As(err, &stray) {
				t.Fatal(err)
			}
			return
		}
		rec := &schema.Record{Version: schema.RecordVersion, Quantities: said}
		assemble.Fill(rec, doc, placed)
		for i := range rec.Terms {
			if rec.Terms[i].Meant == "" || rec.Terms[i].Heard == "" {
				t.Fatalf("a term without words: %+v", rec.Terms[i])
			}
		}
	})
}
