package assemble

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/schema"
)

var update = flag.Bool("update", false, "write the golden parts of testdata/fill")

// literally makes the quantities and places of a document as if every number
// with a unit had been said and heard right: what Fill gets when nothing is
// garbled.
func literally(d *extract.Document) ([]schema.Said, []Placed) {
	var said []schema.Said
	var placed []Placed
	for i := range d.Mentions {
		m := &d.Mentions[i]
		if m.Not != extract.NotNothing || !m.HasUnit() {
			continue
		}
		q := m.Quantity()
		p := m.Context.Property
		if q.Unit == "deg" && (strings.HasPrefix(p, "temperature") || p == "ambient") {
			q.Unit = "Cel" // as the engine has it, where temperatures are spoken of
		}
		role := roleOf(d, &m.Context, q.Unit.Kind())
		said = append(said, schema.Said{Number: len(said) + 1, Heard: d.Words(m.First, m.Last), Kind: q.Unit.Kind(),
			Quantity: q, Status: schema.StatusHeard,
			Confidence: 0.9, Qualifier: m.Qualifier, Withdrawn: m.Withdrawn, Role: role, Readings: []schema.Reading{},
			Why: []string{}})
		placed = append(placed, Placed{Mention: int32(i), Context: m.Context, Role: role})
	}
	return said, placed
}

// filled is a record of a text that is taken literally.
func filled(t interface{ Fatal(...any) }, name, text string) *schema.Record {
	tr, err := transcript.Parse(name, []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	d := extract.Find(tr)
	rec := &schema.Record{Version: schema.RecordVersion}
	var placed []Placed
	rec.Quantities, placed = literally(d)
	Fill(rec, d, placed)
	return rec
}

// fragment prints the places of a record, a line a fact; numbers in brackets
// are those of the quantities a value rests on.
func fragment(r *schema.Record) string {
	var b strings.Builder
	line := func(f string, a ...any) { fmt.Fprintf(&b, f+"\n", a...) }
	if r.Product.Kind != "" || r.Product.Name != "" {
		line("product %s, %s, maker %s, marks %v", orDash(r.Product.Kind), orDash(r.Product.Name),
			orDash(r.Product.Maker), r.Product.Marks)
	}
	for i := range r.Body.Dimensions {
		line("body.dimensions %s", valueWords(&r.Body.Dimensions[i]))
	}
	for _, f := range r.Body.Fields() {
		if *f.Value != nil {
			line("body.%s %s", f.Name, valueWords(*f.Value))
		}
	}
	for i := range r.Body.Other {
		line("body.other %s %s", r.Body.Other[i].Property, valueWords(&r.Body.Other[i].Value))
	}
	for i := range r.Claims {
		c := &r.Claims[i]
		line("claim %s, %s, %s, %s: %s", c.Property, orDash(c.Mode), orDash(c.Port), orDash(c.Protocol),
			valueWords(&c.Value))
	}
	for _, p := range r.Ports {
		line("port %s %v", p.Name, p.Protocols)
	}
	for i := range r.Levels {
		l := &r.Levels[i]
		line("level %s, %s, %s: %s, %s, %s", orDash(l.Mode), orDash(l.Port), orDash(l.Protocol), valueWords(&l.Voltage),
			valueWords(l.Current), valueWords(l.Power))
	}
	if c := r.Battery; c != nil {
		batteryLines(c, line)
	}
	if c := r.Cable; c != nil {
		cableLines(c, line)
	}
	for i := range r.Components {
		c := &r.Components[i]
		line("%s; %s", componentWords(c), c.Status)
	}
	for i := range r.Measurements {
		line("%s", measurementWords(&r.Measurements[i]))
	}
	for i := range r.Quantities {
		q := &r.Quantities[i]
		if q.Place == "" && !q.Withdrawn {
			line("no place %d %q %s", q.Number, q.Heard, q.Role)
		}
	}
	if len(r.Withdrawn) > 0 {
		line("withdrawn %v", r.Withdrawn)
	}
	line("counts %d said, %d heard, %d unplaced, %d withdrawn", r.Counts.Said, r.Counts.Heard, r.Counts.Unplaced,
		r.Counts.Withdrawn)
	return b.String()
}

// valueWords are a value and what it rests on, - for none.
func valueWords(v *schema.Value) string {
	if v == nil {
		return "-"
	}
	s := v.Quantity.Low.String()
	if v.Quantity.Range {
		s += ".." + v.Quantity.High.String()
	}
	return fmt.Sprintf("%s %s %v", s, v.Quantity.Unit, v.Said)
}

// orDash is a text, - for none.
func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

// batteryLines writes a line for each thing that a record says of a battery.
func batteryLines(c *schema.Battery, line func(string, ...any)) {
	if n := c.Cell.Count; n > 0 {
		line("battery.cell x%d %ds%dp %s", n, c.Cell.Series, c.Cell.Parallel, orDash(c.Cell.Format))
	}
	for _, f := range c.Cell.Fields() {
		if *f.Value != nil {
			line("battery.cell.%s %s", f.Name, valueWords(*f.Value))
		}
	}
	for _, f := range c.Pack.Fields() {
		if *f.Value != nil {
			line("battery.pack.%s %s", f.Name, valueWords(*f.Value))
		}
	}
	for _, f := range c.Rated.Fields() {
		if *f.Value != nil {
			line("battery.rated.%s %s", f.Name, valueWords(*f.Value))
		}
	}
	for i := range c.Other {
		line("battery.other %s", valueWords(&c.Other[i]))
	}
}

// cableLines writes a line for each thing that a record says of a cable.
func cableLines(c *schema.Cable, line func(string, ...any)) {
	for _, f := range c.Fields() {
		if *f.Value != nil {
			line("cable.%s %s", f.Name, valueWords(*f.Value))
		}
	}
}

// componentWords are a part of a record.
func componentWords(c *schema.Component) string {
	s := fmt.Sprintf("component %s, %s", orDash(c.Board), c.Kind)
	if c.Count > 0 {
		s += fmt.Sprintf(" x%d", c.Count)
	}
	s += fmt.Sprintf(", %s, %s, %s", orDash(c.Maker), orDash(c.Part), orDash(c.Package))
	for k := range c.Ratings {
		s += fmt.Sprintf("; %s %s", c.Ratings[k].Property, valueWords(&c.Ratings[k].Value))
	}
	return s
}

// measurementWords are a measurement of a record, with its condition.
func measurementWords(m *schema.Measurement) string {
	s := fmt.Sprintf("measurement %s %s", m.Property, valueWords(&m.Value))
	if m.Subject != "" {
		s += " at " + m.Subject
	}
	if c := m.Condition; c != nil {
		for _, w := range []string{c.Mode, c.Port, c.Protocol} {
			if w != "" {
				s += ", " + w
			}
		}
		for _, f := range c.Fields() {
			if *f.Value != nil {
				s += fmt.Sprintf(", %s %s", f.Name, valueWords(*f.Value))
			}
		}
	}
	return s
}

// TestFill runs every small review of testdata/fill: text and the fragment of
// its record, which someone read. -update writes the fragments.
func TestFill(t *testing.T) {
	files, err := filepath.Glob("testdata/fill/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatal("no cases", err)
	}
	for _, f := range files {
		t.Run(strings.TrimSuffix(filepath.Base(f), ".txtar"), func(t *testing.T) {
			a, err := txtar.ParseFile(f)
			if err != nil {
				t.Fatal(err)
			}
			if len(a.Files) == 1 && *update {
				a.Files = append(a.Files, txtar.File{Name: "record"})
			}
			if len(a.Files) != 2 {
				t.Fatalf("%d parts, want the review and the record", len(a.Files))
			}
			rec := filled(t, a.Files[0].Name, string(a.Files[0].Data))
			got := fragment(rec)
			if *update {
				a.Files[1].Data = []byte(got)
				if err := os.WriteFile(f, txtar.Format(a), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if want := string(a.Files[1].Data); got != want {
				t.Errorf("got\n%swant\n%s", got, want)
			}
			checkPlaces(t, rec)
		})
	}
}

// checkPlaces checks the promises of Fill: every quantity is placed, unplaced
// or withdrawn, once; every path leads to a value that rests on it.
func checkPlaces(t *testing.T, r *schema.Record) {
	t.Helper()
	for i := range r.Quantities {
		q := &r.Quantities[i]
		n := 0
		if q.Place != "" {
			n++
		}
		if slices.Contains(r.Unplaced, q.Number) {
			n++
		}
		if slices.Contains(r.Withdrawn, q.Number) {
			n++
		}
		if n != 1 {
			t.Errorf("quantity %d %q: place %q, unplaced %v, withdrawn %v", q.Number, q.Heard, q.Place, r.Unplaced,
				r.Withdrawn)
		}
	}
	if c := r.Counts; c.Said != c.Heard+c.Repaired+c.Open+c.Settled+c.Unplaced || c.Unplaced != len(r.Unplaced) ||
		c.Withdrawn != len(r.Withdrawn) {
		t.Errorf("counts %+v", c)
	}
}

// TestNameIsNoPart: a model number that the product goes by is no part of it; the number
// of a chip is.
func TestNameIsNoPart(t *testing.T) {
	for text, want := range map[string]int{
		"This is the Nimbrel NB65T3. Sample number 14 of 20. 4.8 stars on the shop page, " +
			"20% off with the code, 2 year warranty.": 0,
		"The Nimbrel NB65T3 wall charger. It weighs 100 grams. Open it. The bridge rectifier is 4 amps. " +
			"The controller chip is a Tovane TV6513 in SOIC-8.": 2,
	} {
		if rec := filled(t, "review.txt", text); len(rec.Components) != want {
			t.Errorf("%s: parts %v, want %d", text, rec.Components, want)
		}
	}
}
