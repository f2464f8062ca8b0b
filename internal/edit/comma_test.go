package edit

import (
	"path/filepath"
	"slices"
	"testing"

	"saywatt/extract/transcript"
	"saywatt/schema"
)

// TestDecimalCommaReadsBack: what is written with decimal commas reads as what
// is written with decimal points.
func TestDecimalCommaReadsBack(t *testing.T) {
	written := func(f file, style Style) ([]string, *transcript.Transcript) {
		changes, _, err := ForRecord(record(t, f.t), f.t, style)
		if err != nil {
			t.Fatal(err)
		}
		out, err := Apply(f.t.Source, changes)
		if err != nil {
			t.Fatal(err)
		}
		corrected, err := Reread(f.t, out)
		if err != nil {
			t.Fatal(err)
		}
		var said []string
		for _, q := range record(t, corrected).Quantities {
			heard := "as heard"
			// what is near the threshold may be repaired in one and open in the other
			if q.Status != schema.StatusHeard {
				heard = "not as heard"
			}
			said = append(said, q.Quantity.String()+" "+heard+" "+q.Place)
		}
		return said, corrected
	}
	commas := 0
	for _, f := range narrations(t) {
		for _, units := range []Units{UnitsOwn, UnitsSymbols} {
			points, a := written(f, Style{Units: units})
			reads, b := written(f, Style{Units: units, Decimal: DecimalComma})
			if a.Hash != b.Hash {
				commas++
			}
			if !slices.Equal(points, reads) {
				t.Errorf("%s: with points\n%q\nwith commas\n%q", filepath.Base(f.name), points, reads)
			}
		}
	}
	if commas < 20 {
		t.Errorf("only %d files with a decimal comma", commas)
	}
}
