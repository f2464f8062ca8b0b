package glossary

import (
	"bytes"
	"errors"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"saywatt/schema"
)

// sample is a glossary with every column used; all names are invented.
const sample = `# names we know
kind,name,aliases,spoken,maker,ratings,package,note
maker,Brannick,Brannick Power,bran nick; brand neck,,,,half of our banks have them
part,BN40R14,BN40R14-T,,Brannick,40 V; 1.4 mOhm; 2.5..4.5 V,DFN5x6,
package,DFN5x6,,def n five by six,,,,
`

func TestRead(t *testing.T) {
	got, err := Read(strings.NewReader(sample), "g.csv")
	if err != nil {
		t.Fatal(err)
	}
	q := func(s string) schema.Quantity { return schema.MustQuantity(s) }
	want := []Entry{
		{Kind: KindMaker, Name: "Brannick", Aliases: []string{"Brannick Power"}, Spoken: []string{"bran nick", "brand neck"}, Note: "half of our banks have them", File: "g.csv", Line: 3},
		{Kind: KindPart, Name: "BN40R14", Aliases: []string{"BN40R14-T"}, Maker: "Brannick", Ratings: []schema.Quantity{q("40 V"), q("1.4 mOhm"), q("2.5..4.5 V")}, Package: "DFN5x6", File: "g.csv", Line: 4},
		{Kind: KindPackage, Name: "DFN5x6", Spoken: []string{"def n five by six"}, File: "g.csv", Line: 5},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// TestReadErrors walks what is refused: file, line, cause.
func TestReadErrors(t *testing.T) {
	const head = "kind,name,aliases,spoken,maker,ratings,package,note\n"
	for _, c := range []struct {
		text, want string
		cause      error
	}{
		{"kind,title\n", `g.csv:1: unknown column "title"`, errColumn},
		{"kind," + strings.Repeat("x", 5000) + "\n", `g.csv:1: unknown column "` + strings.Repeat("x", 59) + `…"`, errColumn},
		{"kind,note\n", `g.csv:1: column "name": missing`, errMissing},
		{"kind,name,name\n", `g.csv:1: column "name": given twice`, errTwice},
		{head + "brand,Tolvane,,,,,,\n", `g.csv:2: kind: unknown kind "brand"`, errKind},
		{head + "maker,,,,,,,\n", "g.csv:2: name: missing", errMissing},
		{head + "maker,--,,,,,,\n", `g.csv:2: name "--": no letter or digit`, errName},
		{head + "maker,Tolvane,.,,,,,\n", `g.csv:2: name ".": no letter or digit`, errName},
		{head + "maker,Tolvane,,,,5 V,,\n", "g.csv:2: ratings: only a part has it", errOnly},
		{head + "maker,Tolvane,,,Tolvane,,,\n", "g.csv:2: maker: only a part has it", errOnly},
		{head + "package,QFN32,,,,,QFN32,\n", "g.csv:2: package: only a part has it", errOnly},
		{head + "part,TV1,,,,5 volts,,\n", "g.csv:2: ratings: ", nil},
		{head + "# a comment\n\npart,TV1,,,,,,\npart,tv-1,,,,,,\n", "g.csv:5: name: part tv-1: given twice, first on line 4", errTwice},
		{head + "maker,Tolvane\n", "g.csv:2: wrong number of fields", nil},
		{head + "maker,\"Tol\"vane,,,,,,\n", "g.csv:2: ", nil},
	} {
		_, err := Read(strings.NewReader(c.text), "g.csv")
		var p *ParseError
		if !errors.As(err, &p) || !strings.HasPrefix(err.Error(), c.want) ||
			c.cause != nil && !errors.Is(err, c.cause) {
			t.Errorf("%q: %v, want %s", c.text, err, c.want)
		}
	}
	if all, err := Read(strings.NewReader(""), "g.csv"); err != nil || all != nil {
		t.Errorf("empty file: %v, %v", all, err)
	}
	if all, err := Read(strings.NewReader("\uFEFFname,kind\r\nTolvane,maker\r\n"), "g.csv"); err != nil ||
		len(all) != 1 || all[0].Name != "Tolvane" {
		t.Errorf("other order, byte order mark, CRLF: %v, %v", all, err)
	}
}

// TestLaterWins: of two with the same kind and name the later stands as a
// whole, in the earlier one's place.
func TestLaterWins(t *testing.T) {
	personal := []Entry{{Kind: KindPart, Name: "TV10052", Maker: "Tolvan", Note: "old"},
		{Kind: KindMaker, Name: "Tolvane"}}
	project := []Entry{{Kind: KindPart, Name: "tv 10052", Maker: "Tolvane"}, {Kind: KindPackage, Name: "Tolvane"}}
	want := []Entry{project[0], personal[1], project[1]}
	if diff := cmp.Diff(want, Merge(personal, project)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// TestWriteRead: what is written is read as the same.
func TestWriteRead(t *testing.T) {
	word := rapid.StringMatching(`[A-Za-z][A-Za-z0-9 ,"'-]{0,8}[a-z0-9]`)
	rapid.Check(t, func(t *rapid.T) {
		var all []Entry
		for i, name := range rapid.SliceOfNDistinct(word, 0, 6, plain).Draw(t, "names") {
			e := Entry{Kind: Kind(rapid.IntRange(1, 3).Draw(t, "kind")), Name: name,
				Aliases: list(strings.Join(rapid.SliceOfN(word, 0, 2).Draw(t, "aliases"), ";"))}
			if e.Kind == KindPart {
				e.Maker = rapid.SampledFrom([]string{"", "Tolvane"}).Draw(t, "maker")
				e.Ratings, _ = ParseRatings(rapid.SampledFrom([]string{"", "5 V", "5.00 V; 1..2 mOhm",
					"10 kOhm ± 1 %"}).Draw(t, "ratings"))
			}
			e.File, e.Line = "g.csv", i+2
			all = append(all, e)
		}
		var b bytes.Buffer
		if err := Write(&b, all); err != nil {
			t.Fatal(err)
		}
		got, err := Read(&b, "g.csv")
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(all, got); diff != "" {
			t.Fatalf("(-want +got):\n%s", diff)
		}
	})
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(sample))
	f.Add([]byte("kind,name\npart,\"a\nb\"\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		all, err := Read(bytes.NewReader(b), "g.csv")
		if err != nil {
			return
		}
		var out bytes.Buffer
		if err := Write(&out, all); err != nil {
			t.Fatal(err)
		}
		again, err := Read(&out, "g.csv")
		if err != nil {
			t.Fatalf("written and read: %v", err)
		}
		for i := range all {
			all[i].Line, again[i].Line = 0, 0 // comments and blank lines are not kept
		}
		if diff := cmp.Diff(all, again); diff != "" {
			t.Fatalf("(-read +read again):\n%s", diff)
		}
	})
}

const components = `board,kind,count,maker,part,package,ratings,status,at
main,GaN switch,,Tolvane,TV65165D,DFN8x8,650 V; 165 mOhm,repaired,612
main,bridge rectifier,,Wex more,WS408,,800 V; 4 A,open,600
main,fuse,,,,,3.15 A; 250 V,heard,590
upright,GaN switch,2,Tolvane,TV65165D,,650 V; 20 A,heard,700
`

func TestFromComponents(t *testing.T) {
	got, open, err := FromComponents(strings.NewReader(components), "c.csv")
	if err != nil {
		t.Fatal(err)
	}
	ratings, _ := ParseRatings("650 V; 165 mOhm; 20 A")
	want := []Entry{
		{Kind: KindMaker, Name: "Tolvane", File: "c.csv", Line: 2},
		{Kind: KindPart, Name: "TV65165D", Maker: "Tolvane", Package: "DFN8x8", Ratings: ratings, File: "c.csv", Line: 2},
	}
	if diff := cmp.Diff(want, got); diff != "" || open != 1 {
		t.Errorf("%d open, want 1 (-want +got):\n%s", open, diff)
	}
	for text, cause := range map[string]error{
		"": errMissing, "kind,maker\n": errMissing,
		components + "main,GaN switch,,Corvessa,TV65165D,,,heard,1\n":     errConflict,
		components + "main,GaN switch,,Tolvane,TV65165D,QFN32,,heard,1\n": errConflict,
	} {
		if _, _, err := FromComponents(strings.NewReader(text), "c.csv"); !errors.Is(err, cause) {
			t.Errorf("%q: %v, want %v", text, err, cause)
		}
	}
}

// TestSampleOfProject keeps the glossary of our demo data readable.
func TestSampleOfProject(t *testing.T) {
	f, err := os.Open("testdata/makers.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if all, err := Read(f, "testdata/makers.csv"); err != nil || len(all) < 20 {
		t.Errorf("%d entries, %v", len(all), err)
	}
}
