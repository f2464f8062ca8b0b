package extract

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"saywatt/extract/transcript"
	"saywatt/schema"
)

// seeds adds the phrases and negatives of testdata, and shapes that broke the
// scanner or could.
func seeds(f *testing.F) {
	f.Helper()
	names, err := filepath.Glob("testdata/phrases/*.tsv")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range append(names, "testdata/negatives.tsv", "testdata/written.tsv") {
		t, err := schema.ReadTable(os.DirFS("."), name)
		if err != nil {
			f.Fatal(err)
		}
		for i, r := range t.Rows {
			if i%7 == 0 {
				f.Add(r.Cells[0])
			}
		}
	}
	for _, s := range []string{"", ".", "5", "r 5", "x 5", "-", "- 5", "5-", "5 -", "±", "5 ±", "5 ± 5", "between",
		"between 5 and", "from 5 up to", "a", "an amp and", "plus or minus",
		"\xff\xfe5 V", "5\xc2", "µ", "\u2126", "5 \u2126\u2126", "1,000,000,000,000,000,000,000 V", ".5.5.5", "5..5", "1/2/3/4", "5\n\n5\nV", "20 (kg", "double", "point", "hundred", "thousand to", "minus minus minus 5 V"} {
		f.Add(s)
	}
}

// FuzzScan: tokens are in order, inside the text and not empty, everything
// outside them is blank, and the same text gives the same tokens.
func FuzzScan(f *testing.F) {
	seeds(f)
	x := Words()
	f.Fuzz(func(t *testing.T, s string) {
		text := []byte(s)
		tokens := x.Scan(nil, text)
		end, afterBreak := int32(0), false
		for i, k := range tokens {
			if k.Start < end || k.End <= k.Start || int(k.End) > len(text) || k.Kind == TokenNone ||
				int(k.Word) >= len(x.entries) {
				t.Fatalf("token %d is %+v behind %d of %q", i, k, end, s)
			}
			if isBreak := k.Kind == TokenBreak || k.Kind == TokenPara; !isBreak && !afterBreak &&
				k.Glued != (i > 0 && k.Start == end) || isBreak && k.Glued {
				t.Fatalf("token %d is %+v behind %d of %q: glued?", i, k, end, s)
			} else {
				afterBreak = isBreak
			}
			if gap := text[end:k.Start]; !allBlank(gap) {
				t.Fatalf("%q of %q is in no token", gap, s)
			}
			end = k.End
		}
		if gap := text[end:]; !allBlank(gap) {
			t.Fatalf("%q of %q is in no token", gap, s)
		}
		if again := x.Scan(nil, text); !reflect.DeepEqual(again, tokens) {
			t.Fatalf("%q scanned again gives other tokens", s)
		}
	})
}

// allBlank reports whether b is white space and blanks only.
func allBlank(b []byte) bool {
	for i := 0; i < len(b); {
		if classes[b[i]] == classSpace {
			i++
			continue
		}
		size := foreignSign(b, i)
		if size == 0 || !isBlank(b[i:i+size]) {
			return false
		}
		i += size
	}
	return true
}

// FuzzFind: mentions are in order and do not overlap, their parts are inside
// them, a range rises, groups point back, units are known, and the same text
// gives the same document.
func FuzzFind(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, s string) {
		if len(s) > 1<<16 {
			t.Skip("long")
		}
		tr, err := transcript.Parse("fuzz.txt", []byte(s))
		if err != nil {
			t.Skip(err)
		}
		d := Find(tr)
		last := int32(0)
		for i, m := range d.Mentions {
			if m.First < last || m.NumEnd <= m.First || m.Last < m.NumEnd || int(m.Last) > len(d.Tokens) {
				t.Fatalf("%q: mention %d is [%d,%d,%d) of %d tokens, behind %d", s, i, m.First, m.NumEnd, m.Last,
					len(d.Tokens), last)
			}
			last = m.Last
			if m.Range && m.Low.Decimal().Cmp(m.High.Decimal()) >= 0 || !m.Range && !m.Low.equal(m.High) {
				t.Fatalf("%q: mention %d is from %s to %s", s, i, m.Low.Decimal(), m.High.Decimal())
			}
			if int(m.Group) >= i && m.Group >= 0 && int(m.Group) != i {
				t.Fatalf("%q: mention %d is in group %d", s, i, m.Group)
			}
			if m.Unit.Unit != "" {
				if _, err := schema.ParseUnit(string(m.Unit.Unit)); err != nil {
					t.Fatalf("%q: mention %d has unit %q: %v", s, i, m.Unit.Unit, err)
				}
			}
			if (m.Unit.Unit != "") != (m.From != UnitNone) {
				t.Fatalf("%q: mention %d has unit %q from %d", s, i, m.Unit.Unit, m.From)
			}
			if m.Not == NotPronoun && m.Low.Coef != 1 {
				t.Fatalf("%q: mention %d is a pronoun", s, i)
			}
		}
		again := Find(tr)
		if !reflect.DeepEqual(again.Mentions, d.Mentions) || !reflect.DeepEqual(again.Subjects, d.Subjects) ||
			!reflect.DeepEqual(again.Ports, d.Ports) {
			t.Fatalf("%q: found again, it differs", s)
		}
	})
}
