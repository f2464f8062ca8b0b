package extract

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"saywatt/extract/transcript"
)

// contextOf prints a context in short: "section mode port protocol =property
// @spot >kind", leaving out what is not there; "!WHY" where the number is no
// quantity. A "*" behind the property says that words named it.
func contextOf(d *Document, m *Mention) string {
	if m.Not != NotNothing {
		return "!" + m.Not.String()
	}
	c := &m.Context
	f := []string{c.Section.String()}
	for _, s := range []string{c.Mode, c.Port, c.Protocol} {
		if s != "" {
			f = append(f, s)
		}
	}
	if c.Property != "" {
		p := "=" + c.Property
		if c.Named {
			p += "*"
		}
		f = append(f, p)
	}
	if c.Spot != "" {
		f = append(f, "@"+c.Spot)
	}
	if c.Subject >= 0 {
		f = append(f, ">"+d.Subjects[c.Subject].Kind)
	}
	return strings.Join(f, " ")
}

// contexts prints the contexts of all mentions; equal ones in a row are
// printed once, with how many they are: "output USB-C1 x4".
func contexts(d *Document) string {
	var out []string
	n := 0
	for i := range d.Mentions {
		s := contextOf(d, &d.Mentions[i])
		if len(out) > 0 && out[len(out)-1] == s {
			n++
			continue
		}
		if n > 1 {
			out[len(out)-1] += fmt.Sprintf(" x%d", n)
		}
		out = append(out, s)
		n = 1
	}
	if n > 1 {
		out[len(out)-1] += fmt.Sprintf(" x%d", n)
	}
	return strings.Join(out, "; ")
}

// parts prints the parts: "kind x2 maker=… part=… package=… board=…", "?"
// where doubtful.
func parts(d *Document) string {
	var out []string
	for i := range d.Subjects {
		s := &d.Subjects[i]
		b := s.Kind
		if s.Count > 0 {
			b += fmt.Sprintf(" x%d", s.Count)
		}
		for _, f := range []struct{ k, v string }{{"maker", s.Maker}, {"part", s.Part}, {"package", s.Package}, {"board", s.Board}, {"side", s.Side}, {"topology", s.Topology}, {"function", s.Function}} {
			if f.v != "" {
				b += " " + f.k + "=" + f.v
			}
		}
		if s.Series > 0 || s.Parallel > 0 {
			b += fmt.Sprintf(" %ds%dp", s.Series, s.Parallel)
		}
		if s.Doubtful {
			b += " ?"
		}
		out = append(out, b)
	}
	return strings.Join(out, "; ")
}

func find(t testing.TB, text string) *Document {
	t.Helper()
	tr, err := transcript.Parse("t.txt", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return Find(tr)
}

// TestDump prints what is found in the files named in DUMP; for work on the
// tables.
func TestDump(t *testing.T) {
	files := strings.Fields(os.Getenv("DUMP"))
	if len(files) == 0 {
		t.Skip("DUMP names no file")
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		tr, err := transcript.Parse(f, b)
		if err != nil {
			t.Fatal(err)
		}
		d := Find(tr)
		fmt.Printf("===== %s\n", f)
		for i := range d.Mentions {
			m := &d.Mentions[i]
			fmt.Printf("%s | %s | clause %d\n", d.Words(m.First, m.Last), contextOf(d, m), m.Context.Clause)
		}
		fmt.Printf("product %+v\nports %+v\nmaterials %v\n%s\n", d.Product, d.Ports, d.Materials, strings.ReplaceAll(parts(d), "; ", "\n"))
	}
}

// plainTranscript is a transcript of nothing but words.
func plainTranscript(text []byte) *transcript.Transcript {
	return &transcript.Transcript{Text: text, Source: text}
}
