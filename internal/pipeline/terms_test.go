package pipeline

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/internal/glossary"
	"saywatt/schema"
)

const termScoresHead = `# How well names are read: go test ./internal/pipeline -run TestTermScores -update writes this file, and the same test
# fails where a change moves a number, so that the diff shows it. Truth: the "terms" of the files of README.md beside it, which
# do not list every mention. Makers of the product itself are in no truth and not counted. "with a glossary": read with one
# that holds the makers of all these files, and nothing else.
#
# said       names said
# right      % that stand (heard or repaired) as said; recall
# precision  % of those that stand, the extra ones among them, that are as said
# silent     stand as another name
# extra      makers, part numbers and packages that stand where the truth of the file has no such name at all
# open       put to a person
# hit        of the open ones, those with the name said among the readings
# missed     nothing was read
`

// spokenTerm is a name of the truth.
type spokenTerm struct {
	Heard string `json:"heard"`
	Meant string `json:"meant"`
	Type  string `json:"type"`

	span schema.Span
}

// class is the kind that the scores count it under: the truth calls part what
// is a part number and what is a word of a part's kind.
func (s *spokenTerm) class() string {
	switch {
	case s.Type != "part":
		return s.Type
	case strings.ContainsFunc(s.Meant, unicode.IsDigit) && strings.IndexFunc(s.Meant, unicode.IsDigit) < len(s.Meant)-1:
		return "part number"
	}
	return "kind of part" // GaN, X2, LiFePO4
}

// termClass is the class of a name read, "" for those that no truth lists.
func termClass(k schema.TermKind) string {
	switch k {
	case schema.TermPart:
		return "part number"
	case schema.TermComponent, schema.TermFeature:
		return "kind of part"
	}
	return k.String()
}

var termClasses = []string{"port", "protocol", "maker", "part number", "package", "kind of part"}

// termTally counts the outcomes of the names of one class.
type termTally struct{ said, right, silent, extra, open, hit, missed int }

func (t *termTally) add(u *termTally) {
	t.said += u.said
	t.right += u.right
	t.silent += u.silent
	t.extra += u.extra
	t.open += u.open
	t.hit += u.hit
	t.missed += u.missed
}

// TestTermScores scores the names of the committed narrations and captions and
// compares with the committed table.
func TestTermScores(t *testing.T) {
	const file = "../../testdata/term-scores.txt"
	var b strings.Builder
	b.WriteString(termScoresHead)
	book := makersBook(t)
	for _, set := range scoredSets {
		if !set.hasTerms() {
			continue
		}
		for _, with := range []*glossary.Book{nil, book} {
			sums := map[string]*termTally{}
			for _, name := range goldFiles(t, set) {
				for class, one := range scoreTerms(t, name, with) {
					if sums[class] == nil {
						sums[class] = &termTally{}
					}
					sums[class].add(one)
				}
			}
			head := set.name
			if with != nil {
				head += ", with a glossary"
			}
			fmt.Fprintf(&b, "\n%-28s %5s %6s %9s %6s %5s %5s %4s %6s\n", head, "said", "right", "precision", "silent",
				"extra", "open", "hit", "missed")
			for _, class := range termClasses {
				s := sums[class]
				fmt.Fprintf(&b, "%-28s %5d %6s %9s %6d %5d %5d %4d %6d\n", class, s.said, percent(s.right, s.said),
					percent(s.right, s.right+s.silent+s.extra),
					s.silent, s.extra, s.open, s.hit, s.missed)
			}
		}
	}
	got := b.String()
	committed(t, file, got)
}

// hasTerms reports whether the truth of a set has names.
func (s *scored) hasTerms() bool { return s.name == "narrations" || s.name == "stress" }

// termTruth is a NAME.gold.json, as far as names go.
type termTruth struct {
	File       string        `json:"file"`
	Terms      []*spokenTerm `json:"terms"`
	Components []struct{ Maker, Part, Package string }
}

func readTermTruth(t *testing.T, gold string) (*termTruth, []byte) {
	t.Helper()
	b, err := os.ReadFile(gold)
	if err != nil {
		t.Fatal(err)
	}
	truth := &termTruth{}
	if err := json.Unmarshal(b, truth); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(filepath.Join(filepath.Dir(gold), truth.File))
	if err != nil {
		t.Fatal(err)
	}
	return truth, raw
}

// has reports whether the truth has a name anywhere.
func (t *termTruth) has(meant string) bool {
	for _, s := range t.Terms {
		if s.means(meant) {
			return true
		}
	}
	for _, c := range t.Components {
		if slices.ContainsFunc([]string{c.Maker, c.Part, c.Package},
			func(n string) bool { return extract.SamePlain(n, meant) }) {
			return true
		}
	}
	return false
}

// makersBook is a glossary of the makers of all truths.
func makersBook(t *testing.T) *glossary.Book {
	t.Helper()
	var entries []glossary.Entry
	for _, set := range scoredSets {
		if !set.hasTerms() {
			continue
		}
		for _, name := range goldFiles(t, set) {
			truth, _ := readTermTruth(t, name)
			for _, s := range truth.Terms {
				if s.Type == "maker" && !slices.ContainsFunc(entries,
					func(e glossary.Entry) bool { return e.Name == s.Meant }) {
					entries = append(entries, glossary.Entry{Kind: glossary.KindMaker, Name: s.Meant})
				}
			}
		}
	}
	return glossary.New(entries)
}

// scoreTerms compares the names read of the captions beside a truth file with
// those said, by class. With -v it lists what is not right.
func scoreTerms(t *testing.T, gold string, book *glossary.Book) map[string]*termTally {
	t.Helper()
	truth, raw := readTermTruth(t, gold)
	tr, err := transcript.Parse(truth.File, raw)
	if err != nil {
		t.Fatal(err)
	}
	rec, err := Run(tr, Options{Glossary: book})
	if err != nil {
		t.Fatal(err)
	}
	placeTerms(t, truth.Terms, raw)
	out := map[string]*termTally{}
	for _, class := range termClasses {
		out[class] = &termTally{}
	}
	note := func(what string, s *spokenTerm, r *schema.SaidTerm) {
		if s == nil {
			s = &spokenTerm{}
		}
		if r == nil {
			r = &schema.SaidTerm{}
		}
		t.Logf("%s, book %v, %s: said %q as %q, read %q as %q %s", truth.File, book != nil, what, s.Heard, s.Meant,
			r.Heard, r.Meant, r.Status)
	}
	used := make([]bool, len(rec.Terms))
	for _, s := range truth.Terms {
		one := out[s.class()]
		one.said++
		best, most := -1, 0
		for i := range rec.Terms {
			r := &rec.Terms[i]
			if n := overTerm(r, s.span); n > 0 && termClass(r.Kind) == s.class() {
				used[i] = true
				if n > most {
					best, most = i, n
				}
			}
		}
		if best < 0 {
			one.missed++
			note("missed", s, nil)
			continue
		}
		r := &rec.Terms[best]
		right := s.means(r.Meant)
		switch {
		case r.Status == schema.StatusOpen:
			one.open++
			if slices.ContainsFunc(r.Readings, func(r schema.TermReading) bool { return s.means(r.Meant) }) {
				one.hit++
			} else {
				note("open", s, r)
			}
		case right:
			one.right++
		default:
			one.silent++
			note("silent", s, r)
		}
	}
	for i := range rec.Terms {
		r := &rec.Terms[i]
		if used[i] || r.Status == schema.StatusOpen || r.Place == "product.maker" || truth.has(r.Meant) {
			continue
		}
		switch r.Kind {
		case schema.TermMaker, schema.TermPart, schema.TermPackage: // truth lists all of these
			out[termClass(r.Kind)].extra++
			note("extra", nil, r)
		}
	}
	return out
}

// means reports whether a name read is the one said; of a kind of part, whether
// it says the word said.
func (s *spokenTerm) means(meant string) bool {
	if s.class() == "kind of part" {
		switch s.Meant {
		case "LiFePO4":
			return meant == "lithium iron phosphate"
		case "X2", "X1", "Y1", "Y2": // subclasses of IEC 60384-14
			return meant == s.Meant[:1]+" capacitor"
		}
		return strings.Contains(strings.ToLower(meant), strings.ToLower(s.Meant))
	}
	return extract.SamePlain(s.Meant, meant)
}

// overTerm is how many bytes the name read has in common with a span.
func overTerm(r *schema.SaidTerm, span schema.Span) int {
	n := shared(r.Span, span)
	for _, p := range r.Spans {
		n = max(n, shared(p, span))
	}
	return n
}

// placeTerms gives every name said its bytes: the words heard, in order.
func placeTerms(t *testing.T, terms []*spokenTerm, raw []byte) {
	t.Helper()
	words, pos := fileWords(raw), 0
	for _, s := range terms {
		for from := pos; s.span.Empty() && from < len(raw); from += 400 {
			s.span = find(words, raw, []byte(s.Heard), from, min(len(raw), from+900))
		}
		if s.span.Empty() {
			t.Fatalf("%q is not behind byte %d", s.Heard, pos)
		}
		pos = s.span.End
	}
}
