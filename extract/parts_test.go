package extract

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"saywatt/extract/part"
	"saywatt/extract/transcript"
	"saywatt/internal/narration"
)

// partList prints the parts of a document: "kind xN maker=… part=… package=…:
// rating, rating".
func partList(d *Document) []string {
	var out []string
	for j := range d.Subjects {
		s := &d.Subjects[j]
		b := s.Kind
		if s.Count > 0 {
			b += fmt.Sprintf(" x%d", s.Count)
		}
		for _, f := range []struct{ k, v string }{{"maker", s.Maker}, {"part", s.Part}, {"package", s.Package}} {
			if f.v != "" {
				b += " " + f.k + "=" + f.v
			}
		}
		var ratings []string
		for i := range d.Mentions {
			if m := &d.Mentions[i]; m.Context.Subject == int32(j) && m.Not == NotNothing {
				ratings = append(ratings, d.Words(m.First, m.Last))
			}
		}
		if ratings == nil && slices.Contains([]string{"cell", "pack", "rated", "cable", "body"}, b) {
			continue // one that a number may be of
		}
		if ratings != nil {
			b += ": " + strings.Join(ratings, ", ")
		}
		out = append(out, b)
	}
	return out
}

// TestParts holds what is said of a teardown with the parts that it names.
func TestParts(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"noun first", "Varistor 470 volts. X capacitor 0.33 microfarads, 275 volts.",
			"varistor: 470 volts; X capacitor: 0.33 microfarads, 275 volts"},
		{"no sign between parts", "varistor 470 volts x capacitor 0.33 microfarads 275 volts y capacitor 1 nanofarad",
			"varistor: 470 volts; X capacitor: 0.33 microfarads, 275 volts; Y capacitor: 1 nanofarad"},
		{"noun behind its ratings", "Then a 470 volt varistor, a 0.33 microfarad 275 volt X capacitor and a 10 amp 800 volt bridge rectifier.",
			"varistor: 470 volt; X capacitor: 0.33 microfarad, 275 volt; bridge rectifier: 10 amp, 800 volt"},
		{"number, maker and package", "The bridge rectifier is from Wexmarsh, part number WS 408, 800 volts and 4 amps. The Y capacitor is 1 nanofarad.",
			"bridge rectifier maker=Wexmarsh part=WS408: 800 volts, 4 amps; Y capacitor: 1 nanofarad"},
		{"package behind, next noun behind the package", "GaN switch 650 volts, 150 milliohms, DFN 8 by 8, transformer 320 microhenries.",
			"GaN switch package=DFN8x8: 650 volts, 150 milliohms; transformer: 320 microhenries"},
		{"how many before", "Two solid capacitors, 25 volts, 680 microfarads each. Three Y capacitors, 1 nanofarad.",
			"solid capacitor x2: 25 volts, 680 microfarads; Y capacitor x3: 1 nanofarad"},
		{"how many behind", "Solid capacitors, 25 volts, 680 microfarads, two of them. The inductor is 10 microhenries.",
			"solid capacitor x2: 25 volts, 680 microfarads; inductor: 10 microhenries"},
		{"what several are together", "Two input capacitors, 400 volts, 27 microfarads each, in parallel 54 microfarads.",
			"bulk capacitor x2: 400 volts, 27 microfarads, 54 microfarads"},
		{"no noun", "Then 650 volts, 150 milliohms, in DFN 8 by 8.",
			"MOSFET package=DFN8x8: 650 volts, 150 milliohms"},
		{"said again", "The sync rectifier is 100 volts, 52 milliohms. The inductor is 10 microhenries. Again, the sync rectifier is 5.2 milliohms.",
			"sync rectifier MOSFET: 100 volts, 52 milliohms, 5.2 milliohms; inductor: 10 microhenries"},
		{"the shape of a core is no number", "The transformer, EE42, 320 microhenries.",
			"transformer package=EE42: 320 microhenries"},
		{"marking that begins with digits", "The varistor is a 14 D 471, 470 volts.",
			"varistor part=14D471: 470 volts"},
		// near misses
		{"two nouns in one breath are two parts", "The fuse is 3 amps and the thermistor 5 ohms.",
			"fuse: 3 amps; NTC thermistor: 5 ohms"},
		{"a measured value is no rating", "The X capacitor is 0.33 microfarads. I measured an efficiency of 92 percent.",
			"X capacitor: 0.33 microfarads"},
		{"screws are no parts", "The Y capacitor is 1 nanofarad. Four screws hold the lid.",
			"Y capacitor: 1 nanofarad"},
	} {
		d := find(t, opened+c.text)
		list := partList(d)
		if len(list) < 2 {
			t.Errorf("%s: %v", c.name, list)
			continue
		}
		if got := strings.Join(list[2:], "; "); got != c.want {
			t.Errorf("%s: %s\n got %s\nwant %s", c.name, c.text, got, c.want)
		}
	}
}

// TestRatingsKept holds that no rating of a marked narration is lost: what the
// grouping does not give to a part stays a mention without a subject.
func TestRatingsKept(t *testing.T) {
	for _, n := range marked(t) {
		d := find(t, n.Text)
		p := d.PartElements()
		at := 0
		for i, e := range p.Elements {
			if e.Type != part.Rating {
				continue
			}
			for at < len(d.Mentions) && d.Mentions[at].First < p.Spans[i][0] {
				at++
			}
			if at == len(d.Mentions) || d.Mentions[at].First != p.Spans[i][0] {
				t.Errorf("%s: rating %q is no mention", n.Name, d.Words(p.Spans[i][0], p.Spans[i][1]))
			}
		}
		for i := range d.Mentions {
			if s := d.Mentions[i].Context.Subject; int(s) >= len(d.Subjects) {
				t.Errorf("%s: subject %d of %d", n.Name, s, len(d.Subjects))
			}
		}
	}
}

// marked are the narrations of testdata/tuning.
func marked(t testing.TB) []*narration.Narration {
	files, err := filepath.Glob("../testdata/tuning/*.mark")
	if err != nil || len(files) == 0 {
		t.Fatal("no narrations", err)
	}
	var out []*narration.Narration
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		n, err := narration.Parse(filepath.Base(f), string(b))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, n)
	}
	return out
}

// TestPartsUnmoved holds that what must not matter moves few parts: other line
// widths, and sentences of no matter between the parts.
func TestPartsUnmoved(t *testing.T) {
	named, narrow, filled := 0, 0, 0
	for _, n := range marked(t) {
		want := partList(find(t, n.Text))
		named += len(want)
		narrow += moved(t, n.Name+", narrow", want, partList(find(t, rewrap(n.Text, 4))))
		filled += moved(t, n.Name+", filled", want, partList(find(t, fill(n))))
	}
	t.Logf("of %d parts %d moved by line widths, %d by sentences between", named, narrow, filled)
	if most := named / 200; narrow > most {
		t.Errorf("other line widths move %d of %d parts, want at most %d", narrow, named, most)
	}
	if most := named / 20; filled > most {
		t.Errorf("sentences between move %d of %d parts, want at most %d", filled, named, most)
	}
}

// moved counts the parts that are not the same any more.
func moved(t *testing.T, name string, want, got []string) int {
	n := 0
	got = slices.Clone(got)
	for _, p := range want {
		if i := slices.Index(got, p); i >= 0 {
			got = slices.Delete(got, i, i+1)
			continue
		}
		n++
		t.Logf("%s: %s", name, p)
	}
	return n
}

// rewrap sets every paragraph in lines of so many words.
func rewrap(text string, words int) string {
	var b strings.Builder
	for p := range strings.SplitSeq(text, "\n\n") {
		for l := range strings.SplitSeq(p, "\n") {
			for i, w := range strings.Fields(l) {
				switch {
				case i > 0 && i%words == 0 && !strings.HasPrefix(w, "-") && !strings.HasPrefix(w, "#"):
					b.WriteByte('\n')
				case i > 0:
					b.WriteByte(' ')
				}
				b.WriteString(w)
			}
			b.WriteByte('\n')
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// fill puts a sentence of no matter between sentences that end before a new
// part: where the mark before speaks of another part than the mark behind.
func fill(n *narration.Narration) string {
	var b strings.Builder
	from, last := 0, ""
	for i := range n.Marks {
		m := &n.Marks[i]
		if m.Kind != narration.MarkQuantity {
			continue
		}
		if row := m.Table(); last != "" && row != last && n.PartOf(row) != nil && n.PartOf(last) != nil {
			if k := strings.LastIndex(n.Text[from:m.Start], ". "); k >= 0 &&
				!strings.Contains(n.Text[from+k:m.Start], "\n") {
				b.WriteString(n.Text[from : from+k+2])
				b.WriteString("Have a look at that. ")
				from += k + 2
			}
		}
		last = m.Table()
	}
	b.WriteString(n.Text[from:])
	return b.String()
}

// TestPartsAgain holds that the same input gives the same groups.
func TestPartsAgain(t *testing.T) {
	for _, n := range marked(t) {
		tr, err := transcript.Parse("t.txt", []byte(n.Text))
		if err != nil {
			t.Fatal(err)
		}
		if a, b := partList(Find(tr)), partList(Find(tr)); !slices.Equal(a, b) {
			t.Errorf("%s: %v, then %v", n.Name, a, b)
		}
	}
}
