package schema

import (
	"strings"
	"testing"
)

func TestPlainSource(t *testing.T) {
	for _, c := range [][2]string{
		{"USB PD R3.x §10.2 (handbook 2.2, T2, T19; R10)", "USB PD R3.x §10.2"},
		{"USB PD R3.x §10.2 (handbook 2.2, R10); handbook 8.1 I05, tolerance 2.4", "USB PD R3.x §10.2"},
		{"USB PD R3.2 v1.2 Table 4.6 (handbook 2.11, R45); cable: USB Type-C R2.4 §4.4.1 (R14)", "USB PD R3.2 v1.2 Table 4.6; cable: USB Type-C R2.4 §4.4.1"},
		{"USB PD R3.2 6.4.1 (R8, R12a; field order confirmed by three sources, handbook trap T4)", "USB PD R3.2 6.4.1 (field order confirmed by three sources)"},
		{"handbook 2.2, 2.2b; IEC 62680-1-2", "IEC 62680-1-2"},
		{"IEC 60127 rated currents, from memory (handbook 4.5); check value W80", "IEC 60127 rated currents, from memory"},
		{"IEC 60063:2015 Table 1; handbook 4.1, verified R23", "IEC 60063:2015 Table 1"},
		{"E = Q × U; handbook 5.5 E1 and E2 (R34), tolerance 8.1 I03", "E = Q × U"},
		{"handbook 4.7: common ceiling 4.7 nF (application note R25b); IEC 60384-14", "common ceiling 4.7 nF; IEC 60384-14"},
		{"handbook 8.4 (0.80 to 0.93: R33), range common practice", "common practice, no source"},
		{"handbook 8.1 I25: 20 to 60 mOhm; common practice, no source", "20 to 60 mOhm; common practice, no source"},
		{"handbook 7.2", "common practice, no source"},
		{"handbook 5.7 (R34)", "IATA DGR passenger provisions, ICAO Doc 9284"},
		{"handbook 2.3", "USB PD R3.x §10.2, by arithmetic"},
		{"dev stress (27 of 101) and dev recognised (none of about 80); shared garbles table row 20", "counted in garbled captions"},
		{"dev stress; shared garbles table rows 8, 9, 21", "counted in garbled captions"},
		{"R29", "a published source"},
		{"the part must withstand what it sees; ratios in tables/margins.tsv (handbook 4.9, 8.1 I29 to I32, 8.5)", "the part must withstand what it sees"},
		// nothing of ours in them: as they are
		{"common practice, no source", "common practice, no source"},
		{"USB PD R3.1 and R3.2", "USB PD R3.1 and R3.2"},
		{"definitions; 1 W/cm³ = 16.387064 W/in³ (UCUM 2.2)", "definitions; 1 W/cm³ = 16.387064 W/in³ (UCUM 2.2)"},
		{"IEC 62368-1:2018 Table 38, TS1, plastic touched 1 s to 10 s", "IEC 62368-1:2018 Table 38, TS1, plastic touched 1 s to 10 s"},
		{"", "a published source"},
		{"(", "("}, {"a (b", "a (b"}, {"a) b", "a) b"},
	} {
		if got := PlainSource(c[0]); got != c[1] {
			t.Errorf("%q shows as\n  %q, want\n  %q", c[0], got, c[1])
		}
	}
}

// Whatever stands in a source column, its plain form names no paper of ours,
// and is itself plain.
func FuzzPlainSource(f *testing.F) {
	f.Add("USB PD R3.x §10.2 (handbook 2.2, T2, T19; R10)")
	f.Add("handbook (handbook (handbook), R1)")
	f.Add("dev stress: handbook 1, R2")
	f.Fuzz(func(t *testing.T, s string) {
		if got := PlainSource(s); got == "" {
			t.Errorf("%q shows nothing", s)
		} else if len(got) > len(s)+len("USB Type-C and USB PD specifications") {
			t.Errorf("%q grew to %q", s, got)
		}
	})
}

func TestReferencesTable(t *testing.T) {
	seen := map[[2]string]bool{}
	for _, r := range loadReferences() {
		key := [2]string{r.opens, r.section}
		if seen[key] {
			t.Errorf("%s %s stands twice", r.opens, r.section)
		}
		seen[key] = true
		if r.shown == "" || strings.Contains(r.shown, "handbook") {
			t.Errorf("%s %s shows %q", r.opens, r.section, r.shown)
		}
		if got := PlainSource(r.opens + " " + strings.TrimSpace(r.section)); r.section != "" && got != r.shown {
			t.Errorf("%s %s shows %q, want %q", r.opens, r.section, got, r.shown)
		}
	}
}
