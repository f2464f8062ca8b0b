package sheet

import (
	"io"
	"strings"
	"testing"

	"saywatt/internal/export/line"
	"saywatt/internal/export/testdata/full"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

func TestPortsInUseTogether(t *testing.T) {
	const shared = "output-shared "
	for _, c := range []struct {
		name   string
		claims []string
		want   []string
	}{
		{"no port shares", []string{"output USB-C 65"}, nil},
		{"two and their total", []string{shared + "USB-C1+USB-C2 65", shared + "USB-C1+USB-C2 45", shared + "USB-C1+USB-C2 110"}, []string{"USB-C1 + C2  65 W + 45 W = 110 W"}},
		{"two without a total", []string{shared + "USB-C1+USB-A 100", shared + "USB-C1+USB-A 18?"}, []string{"USB-C1 + A  100 W + 18 W?"}},
		{"a total alone", []string{shared + "USB-C+Qi 63"}, []string{"USB-C + Qi  together 63 W"}},
		{"a total that does not add up is still the third of two", []string{shared + "USB-C+USB-A 45", shared + "USB-C+USB-A 18", shared + "USB-C+USB-A 65"}, []string{"USB-C + A  45 W + 18 W = 65 W"}},
		{"a third that is less than a share is no total", []string{shared + "USB-C1+USB-C2 45", shared + "USB-C1+USB-C2 30", shared + "USB-C1+USB-C2 18"}, []string{"USB-C1 + C2  45 W + 30 W + 18 W (3 powers stated for 2 ports)"}},
		{"a limit a little below the shares", []string{shared + "USB-C1+USB-C2 65", shared + "USB-C1+USB-C2 45",
			shared + "USB-C1+USB-C2 100"}, []string{"USB-C1 + C2  65 W + 45 W = 100 W"}},
		{"three shares, one of a port without a name", []string{shared + "USB-C1+USB-C2 20", shared + "USB-C1+USB-C2 15",
			shared + "USB-C1+USB-C2 20"}, []string{"USB-C1 + C2  20 W + 15 W + 20 W (3 powers stated for 2 ports)"}},
		{"and the last the most", []string{shared + "USB-C1+USB-C2 15", shared + "USB-C1+USB-C2 20",
			shared + "USB-C1+USB-C2 30"}, []string{"USB-C1 + C2  15 W + 20 W + 30 W (3 powers stated for 2 ports)"}},
		{"three powers for four ports: the last is the sum", []string{shared + "USB-C1+USB-C2+USB-C3+USB-A 65", shared + "USB-C1+USB-C2+USB-C3+USB-A 30", shared + "USB-C1+USB-C2+USB-C3+USB-A 15", shared + "USB-C1+USB-C2+USB-C3+USB-A 110"},
			[]string{"USB-C1 + C2 + C3 + A  65 W + 30 W + 15 W = 110 W (3 powers stated for 4 ports)"}},
		{"four for four, no sum", []string{shared + "A+B+C+D 10", shared + "A+B+C+D 20", shared + "A+B+C+D 30", shared + "A+B+C+D 40"}, []string{"A + B + C + D  10 W + 20 W + 30 W + 40 W"}},
		{"contacts, and modes", []string{"mains/output-shared USB-C+pins 20", "mains/output-shared USB-C+pins 15", "battery/output-shared USB-C+pins 12"},
			[]string{"mains mode", "USB-C + contacts  20 W + 15 W", "battery mode", "USB-C + contacts  together 12 W"}},
	} {
		var got []string
		for _, s := range sectionsOf(full.Claiming(c.claims...)) {
			for _, r := range s.Rows {
				line := r.Label
				if r.Body != nil {
					line += "  "
				}
				for _, b := range r.Body {
					line += b.Text
				}
				got = append(got, strings.ReplaceAll(line, word.NBSP, " "))
			}
		}
		if strings.Join(got, "\n") != strings.Join(c.want, "\n") {
			t.Errorf("%s: shown as\n%s\nwant\n%s", c.name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
}

func sectionsOf(r *schema.Record) []Section {
	var sections []Section
	p := &page{Writer: line.Look{Width: 1000}.Writer(io.Discard), record: r, gather: &sections}
	p.together()
	return sections
}

// The words heard stand behind the side that they were heard for.
func TestDimensionsKeepTheirWords(t *testing.T) {
	r := &schema.Record{}
	for _, d := range [][2]string{{"105 mm", "105"}, {"82.5 mm", "825"}, {"3.15 cm", "315 centimetres"}} {
		n := len(r.Quantities) + 1
		status := schema.StatusHeard
		if n > 1 {
			status = schema.StatusRepaired
		}
		q := schema.MustQuantity(d[0])
		r.Quantities = append(r.Quantities, schema.Said{Number: n, Heard: d[1], Quantity: q, Status: status})
		r.Body.Dimensions = append(r.Body.Dimensions,
			schema.Value{Quantity: q, Basis: schema.BasisClaimed, Status: status, Said: []int{n}})
	}
	p := &page{record: r}
	got := ""
	for _, b := range p.dimensions(r.Body.Dimensions) {
		got += b.Text
	}
	if want := "105 × 82.5 mm* “825” × 3.15 cm* “315 centimetres”"; strings.ReplaceAll(got, word.NBSP, " ") != want {
		t.Errorf("%q, want %q", got, want)
	}
}
