package normalize

import (
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/normalize/testdata/tabletest"
	"saywatt/schema"
)

// variantCase is words as heard, and readings of their number that must
// (or, behind "!", must not) be among the candidates, each with the
// distortions that made it.
type variantCase struct {
	heard string
	want  string
	from  string // the pattern: shared garbles table row, or what it is
}

// garbles are the cases of numbers as package channel reads them, whatever their units.
func garbles(t *testing.T) []schema.Row {
	t.Helper()
	return tabletest.Rows(t, "channel/testdata", "variants.tsv")
}

// Every row of distortions.tsv is made by some case here or of package channel; stray is
// a cost, and no reading.
func TestEveryDistortionIsMade(t *testing.T) {
	made := map[string]bool{channel.Stray.String(): true}
	note := func(want string) {
		for _, reading := range strings.Split(want, "; ") {
			if reading == "" || reading == "-" || reading[0] == '!' {
				continue
			}
			_, by, _ := strings.Cut(reading, " ")
			for _, d := range strings.Split(by, "+") {
				made[d] = true
			}
		}
	}
	for _, r := range garbles(t) {
		note(r.Get("want"))
	}
	for _, c := range unitCases {
		note(c.want)
	}
	for _, c := range bareCases {
		note(c.want)
	}
	made[channel.Code.String()] = len(codeCases) > 0
	made[channel.MergedNumbers.String()] = len(splitCases) > 0
	for d := range channel.End {
		if !made[d.String()] {
			t.Errorf("no case makes %s", d)
		}
	}
}

// Every row of the shared garbles table has a case here: what captions do to
// quantities, with counts.
func TestEveryGarbleHasACase(t *testing.T) {
	const rows = 24
	have := map[int]bool{}
	note := func(from string) {
		_, list, ok := strings.Cut(from, "row ")
		if !ok {
			return
		}
		for _, s := range strings.Split(list, ", ") {
			n := 0
			for _, c := range s {
				if c < '0' || c > '9' {
					break
				}
				n = n*10 + int(c-'0')
			}
			have[n] = true
		}
	}
	for _, r := range garbles(t) {
		note(r.Get("from"))
	}
	for _, c := range unitCases {
		note(c.from)
	}
	for _, c := range splitCases {
		note(c.from)
	}
	for n := 1; n <= rows; n++ {
		if !have[n] {
			t.Errorf("row %d of the garbles table has no case", n)
		}
	}
}

// What was heard is always among the readings, at no more than the cost of
// hearing it right.
func TestLiteralIsAmongVariants(t *testing.T) {
	for _, c := range garbles(t) {
		if c.Get("of") == "two" {
			continue
		}
		heard := c.Get("heard")
		e := engineOf(t, heard)
		e.build()
		for i := range e.nodes {
			n := &e.nodes[i]
			if n.last-n.first > 1 || n.share > 0 {
				continue
			}
			m := e.mention(n.first)
			literal := false
			for k := n.from; k < n.to; k++ {
				if x := &e.cands[k]; x.literal {
					literal = true
					if shown(x.lo, x.hi, x.isRange) != shown(m.Low, m.High, m.Range) || x.unit != m.Unit.Unit {
						t.Errorf("%q: the literal reading is %s %s", heard, shown(x.lo, x.hi, x.isRange), x.unit)
					}
				}
			}
			if !literal && m.HasUnit() && m.Style != extract.StyleSound {
				t.Errorf("%q: mention %d has no literal reading", heard, n.first)
			}
		}
	}
}
