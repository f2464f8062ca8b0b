package extract

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"saywatt/extract/transcript"
)

// placed prints what places found of a text, one line a mention, one a part:
//
//	heard words | section mode port protocol property(!) spot → kind
//
// with ! behind a property that words named, and "not WHY" for no quantity.
func placed(d *Document) string {
	var b strings.Builder
	for i := range d.Mentions {
		m := &d.Mentions[i]
		c := &m.Context
		fmt.Fprintf(&b, "%s | ", d.Words(m.First, m.Last))
		if m.Not != NotNothing {
			fmt.Fprintf(&b, "not %s\n", m.Not)
			continue
		}
		f := []string{c.Section.String()}
		for _, s := range []string{c.Mode, c.Port, c.Protocol} {
			if s != "" {
				f = append(f, s)
			}
		}
		if c.Property != "" {
			p := c.Property
			if c.Named {
				p += "!"
			}
			f = append(f, "="+p)
		}
		if c.Spot != "" {
			f = append(f, "@"+c.Spot)
		}
		if c.Subject >= 0 {
			f = append(f, fmt.Sprintf("→%s#%d", d.Subjects[c.Subject].Kind, c.Subject))
		}
		if m.Withdrawn {
			f = append(f, "withdrawn")
		}
		fmt.Fprintln(&b, strings.Join(f, " "))
	}
	return b.String()
}

func parts(d *Document) string {
	var b strings.Builder
	for i, s := range d.Subjects {
		fmt.Fprintf(&b, "#%d %s", i, s.Kind)
		for _, f := range []struct{ k, v string }{{"board", s.Board}, {"side", s.Side}, {"maker", s.Maker}, {"part", s.Part}, {"package", s.Package}, {"topology", s.Topology}} {
			if f.v != "" {
				fmt.Fprintf(&b, " %s=%s", f.k, f.v)
			}
		}
		if s.Count > 0 {
			fmt.Fprintf(&b, " x%d", s.Count)
		}
		if s.Series > 0 || s.Parallel > 0 {
			fmt.Fprintf(&b, " %ds%dp", s.Series, s.Parallel)
		}
		if s.Doubtful {
			b.WriteString(" ?")
		}
		b.WriteString("\n")
	}
	return b.String()
}

func find(t testing.TB, text string) *Document {
	t.Helper()
	tr, err := transcript.Parse("t.txt", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return Find(tr)
}

func TestDump(t *testing.T) {
	for _, f := range strings.Fields(os.Getenv("DUMP")) {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		tr, err := transcript.Parse(f, b)
		if err != nil {
			t.Fatal(err)
		}
		d := Find(tr)
		fmt.Printf("===== %s\n%sproduct %+v ports %+v materials %v\n%s", f, placed(d), d.Product, d.Ports, d.Materials, parts(d))
	}
}
