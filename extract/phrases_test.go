package extract

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saywatt/schema"
)

// The phrases in testdata/phrases are one construct a file. Each row gives a
// phrase as captions may show it ("|" is a line break), the literal reading
// that a person of the trade gives it, and where that expectation is from. A
// reading is written
//
//	[qualifier] low[..high] [unit] [± tolerance unit] [!reason] [withdrawn] [~]
//
// with UCUM units; several are parted by semicolons. "!" gives the reason why
// a number is no quantity, "~" marks a unit or number that another word
// stands for.

// reading writes what the grammar made of a text in that notation.
func reading(text string) string {
	p := parser{x: Words(), text: []byte(text)}
	p.tokens = p.x.Scan(nil, p.text)
	var b strings.Builder
	for _, m := range p.mentions(nil) {
		if m.Not == NotPronoun { // kept for the reading engine only
			continue
		}
		if b.Len() > 0 {
			b.WriteString("; ")
		}
		writeReading(&b, &m)
	}
	return b.String()
}

func writeReading(b *strings.Builder, m *Mention) {
	q := m.Quantity()
	if m.Qualifier != schema.QualifierNone {
		b.WriteString(m.Qualifier.String() + " ")
	}
	b.WriteString(q.Low.String())
	if q.Range {
		b.WriteString(".." + q.High.String())
	}
	if m.HasUnit() {
		b.WriteString(" " + string(q.Unit))
	}
	if q.Tolerance != nil {
		b.WriteString(" ± " + q.Tolerance.Value.String() + " " + string(q.Tolerance.Unit))
	}
	if m.Not != NotNothing {
		b.WriteString(" !" + m.Not.String())
	}
	if m.Withdrawn {
		b.WriteString(" withdrawn")
	}
	if m.Unit.Manner == MannerHeard || m.Style == StyleSound || m.Style == StyleHeard {
		b.WriteString(" ~")
	}
}

func TestPhrases(t *testing.T) {
	names, err := filepath.Glob("testdata/phrases/*.tsv")
	if err != nil || len(names) == 0 {
		t.Fatal("no phrases", err)
	}
	rows := 0
	for _, name := range names {
		table, err := schema.ReadTable(os.DirFS("."), name)
		if err != nil {
			t.Fatal(err)
		}
		t.Run(strings.TrimSuffix(filepath.Base(name), ".tsv"), func(t *testing.T) {
			seen := map[string]bool{}
			for _, r := range table.Rows {
				phrase := r.Get("phrase")
				if seen[phrase] || r.Get("source") == "" {
					t.Errorf("%s:%d: %q twice, or without source", name, r.Line, phrase)
				}
				seen[phrase] = true
				if got := reading(strings.ReplaceAll(phrase, "|", "\n")); got != r.Get("want") {
					t.Errorf("%s:%d: %s\n got %s\nwant %s", name, r.Line, phrase, got, r.Get("want"))
				}
				rows++
			}
		})
	}
	if rows < 300 {
		t.Errorf("%d phrases, want at least 300", rows)
	}
}

// TestDocExamples reads the worked examples of the package documentation: its
// indented lines with an equals sign.
func TestDocExamples(t *testing.T) {
	b, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for line := range strings.Lines(string(b)) {
		example, ok := strings.CutPrefix(strings.TrimSuffix(line, "\n"), "//\t")
		words, want, found := strings.Cut(example, " = ")
		if !ok || !found || words == "unit" { // the rule of units
			continue
		}
		n++
		if got := reading(words); got != want {
			t.Errorf("doc.go says %s = %s, got %s", words, want, got)
		}
	}
	if n < 40 {
		t.Errorf("%d examples in doc.go, want 40 or more", n)
	}
}
