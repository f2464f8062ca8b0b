package edit

import (
	"slices"
	"strings"
	"testing"

	"saywatt/extract/transcript"
	"saywatt/schema"
)

// What a correction does to the words, of all kinds; "" where a number that was
// heard would be lost, or one that was not come in.
func TestKindsOf(t *testing.T) {
	for _, c := range []struct{ heard, readings, want string }{
		{"15 bolts", "15 V", "unit"},
		{"36 what hours", "36 W.h", "unit"},
		{"100 micro Fred", "100 uF", "unit_sound"},
		{"132 volts", "132 W", "unit_swap"},
		{"150 million", "150 mOhm", "unit_prefix"},
		{"ten kay", "10 kOhm", "unit_sound"},
		{"325 amps", "3.25 A", "point"},
		{"25 amps", "2.5 A", "point_short"},
		{"05 amps", "0.5 A", "point_zero"},
		{"1200 watts", "120.0 W", "point_zero"},
		{"52 Miller homes", "5.2 mOhm", "point_short unit"},
		{"1194", "11.94 V", "bare"},
		{"13", "30 W", "bare"},
		{"2025", "20..25 V", "bare"},
		{"thirty three amps", "3.3 A", "words"},
		{"sixteen watts", "60 W", "teen"},
		{"50 watts", "15 W", "teen"},
		{"3.3 to 60 volts", "3.3..16 V", "teen"},
		{"25 amps", "20 V, 5 A", "apart"},
		{"153 amps", "15 V, 3 A", "apart"},
		{"86 pouring 4 percent", "86.4 %", "heard"},
		{"two hundred and seventy six by five watt hours", "276.5 W.h", "heard"},
		{"27 6 millimetres", "27.6 mm", "split"},
		{"3. 62 volts", "3.62 V", "split"},
		{"2 .4 lamps", "2.4 A", "split unit"},
		{"8 point 94", "8.94 V", "split"},
		{"8 point 9 6", "8.96 V", "split"},
		{"3.3 221 volts", "3.3..21 V", "to"},
		{"5060 hertz", "50..60 Hz", "to"},
		{"3.3 16 bolts", "3.3..16 V", "to unit"},
		{"to amps", "2 A", "sound"},
		{"thirteen point for watts", "13.4 W", "sound"},
		{"twenty for volts", "24 V", "sound"},
		{"for point to milliohms", "4.2 mOhm", "sound"},
		// Words would be lost.
		{"six twenty five volts", "25 V", ""},
		{"three ten kilohms", "10 kOhm", ""},
		{"sixty six hundred volts", "600 V", ""},
		{"to nine point won watts", "9.1 W", ""},
		{"100 nano each and", "100 ns", ""},
		{"25 ampere", "5 A", ""},
		// Digits would come in, or go, or move.
		{"five watts", "50 W", ""},
		{"5 watts", "50 W", ""},
		{"90.4", "19.4 V", ""},
		{"3.25 amps", "32.5 A", ""},
		{"3.1 percent", "93.1 %", ""},
		{"33 microfarads", "330 uF", ""},
		{"7 8 to 9 amps", "7.8 A", ""},
		{strings.Repeat("1 ", 40) + "amps", "1 A", ""},
	} {
		var shared []schema.Said
		for _, q := range strings.Split(c.readings, ", ") {
			shared = append(shared, schema.Said{Quantity: schema.MustQuantity(q), Status: schema.StatusRepaired})
		}
		var got []string
		for _, k := range kindsOf(scan(c.heard), shared) {
			got = append(got, k.String())
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%q as %s: %q, want %q", c.heard, c.readings, s, c.want)
		}
	}
}

// What a person decided is written where one number takes the place of one,
// whatever its digits.
func TestKindDecided(t *testing.T) {
	for _, c := range []struct {
		heard, reading string
		want           []kind
	}{
		{"18 watts", "80 W", []kind{kindTeen}},
		{"18 watts", "25 W", []kind{kindDecided}},
		{"8 watts", "0.08 W", []kind{kindPointShort}},
		{"8 bolts", "9 V", []kind{kindDecided, kindUnit}},
		{"three ten kilohms", "10 kOhm", nil},
		{"six twenty five volts", "25 V", nil},
	} {
		said := schema.Said{Quantity: schema.MustQuantity(c.reading), Status: schema.StatusSettled}
		got := kindsOf(scan(c.heard), []schema.Said{said})
		if !slices.Equal(got, c.want) {
			t.Errorf("%q settled as %s: %v, want %v", c.heard, c.reading, got, c.want)
		}
	}
}

// A word of a run of numbers that no quantity holds stops the correction.
func TestRuns(t *testing.T) {
	for _, c := range []struct {
		text, heard, reading string
		others               []string // quantities beside it that stand
		want                 error
	}{
		{"it gives 15 bolts here", "15 bolts", "15 V", nil, nil},
		{"transistors three 30 bolts", "30 bolts", "30 V", nil, ErrRun},
		{"9 volts 3 12 bolts", "12 bolts", "12 V", []string{"3"}, nil},
		{"9 volts 3 1 5 amps", "1 5 amps", "1.5 A", []string{"3"}, ErrRun},
		{"9 volts 3\n\n12 bolts", "12 bolts", "12 V", nil, nil}, // another paragraph
		{"row 3, 12 bolts", "12 bolts", "12 V", nil, nil},
		{"nineteen point for eight bolts with three", "eight bolts", "8 V", nil, ErrRun},
		{"runs at 360 kilo hurts four fets", "360 kilo hurts", "360 kHz", nil, nil},
		{"output reads 19 87 at", "19 87", "19.87 V", nil, ErrRun},
		{"output reads 8 point 94 at", "8 point 94", "8.94 V", nil, nil},
		{"five to 27 6 millimetres", "27 6 millimetres", "27.6 mm", nil, ErrRun},
		{strings.Repeat("7 ", 99) + "8 bolts", "8 bolts", "8 V", nil, ErrRun},
	} {
		tr, err := transcript.Parse("a", []byte(c.text))
		if err != nil {
			t.Fatal(err)
		}
		said := func(words, q string, status schema.Status) schema.Said {
			i := strings.LastIndex(string(tr.Text), words)
			return schema.Said{Span: tr.SourceSpans(schema.Span{Start: i, End: i + len(words)})[0], Heard: words,
				Quantity: schema.MustQuantity(q), Status: status, Confidence: 0.99}
		}
		r := &schema.Record{Source: schema.Source{SHA256: tr.Hash}}
		for _, o := range c.others {
			r.Quantities = append(r.Quantities, said(o, o+" A", schema.StatusHeard))
		}
		r.Quantities = append(r.Quantities, said(c.heard, c.reading, schema.StatusRepaired))
		changes, left, err := ForRecord(r, tr, Style{})
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case c.want == nil && len(changes) == 1 && len(left) == 0:
		case c.want != nil && len(changes) == 0 && len(left) == 1 && left[0].Err == c.want:
		default:
			t.Errorf("%q in %q: changes %v, left %v", c.heard, c.text, changes, left)
		}
	}
}

// Every kind has its row, and every row a kind, a group, words and a source.
func TestEvidence(t *testing.T) {
	seen := map[string]bool{}
	leasts := map[string]string{}
	for _, r := range schema.MustReadTable(tables, "tables/evidence.tsv").Rows {
		name := r.Get("kind")
		if seen[name] || !slices.Contains(kindNames[1:], name) {
			t.Errorf("line %d: kind %q", r.Line, name)
		}
		seen[name] = true
		if r.Get("group") == "" || r.Get("meaning") == "" || r.Get("source") == "" {
			t.Errorf("line %d: a cell is empty", r.Line)
		}
		if l, ok := leasts[r.Get("group")]; ok && l != r.Get("least") {
			t.Errorf("line %d: %s, its group has %s", r.Line, r.Get("least"), l)
		}
		leasts[r.Get("group")] = r.Get("least")
	}
	for k := kindUnit; k < kinds; k++ {
		if k == kindDecided {
			if seen[k.String()] {
				t.Errorf("%s has a row in tables/evidence.tsv; what a person decided needs none", k)
			}
			continue
		}
		if e := loadEvidence()[k]; !seen[k.String()] {
			t.Errorf("%s, a kind of account.go, has no row in tables/evidence.tsv", k)
		} else if e.least < 0.95 {
			t.Errorf("%s: least %v in tables/evidence.tsv, less than 0.95", k, e.least)
		}
	}
}
