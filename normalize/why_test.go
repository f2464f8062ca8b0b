package normalize

import (
	"slices"
	"strings"
	"testing"

	"saywatt/internal/demo"
)

// What agrees is named with its moments, also where nothing was left to decide: each of
// the three of the demonstration has one reading worth weighing, and 20 V × 3.25 A = 65 W
// is the proof that a reader looks for.
func TestProofIsNamed(t *testing.T) {
	doc := read(t, demo.Captions())
	e, _ := (&Ranker{}).inferred(doc)
	lone := 0
	for i := range e.facts {
		if f := &e.facts[i]; f.kind == factLevelPower && e.oneEach(f.nodes[:f.n]) {
			lone++
		}
	}
	if lone == 0 {
		t.Error("no level of the demonstration is plain before its power is seen")
	}
	said, _, err := (&Ranker{}).Decide(doc)
	if err != nil {
		t.Fatal(err)
	}
	for heard, want := range map[string]string{
		"20 volts": "3.25 A at 0:33, 65 W at 0:33",
		"325 amps": "20 V at 0:33, 65 W at 0:33",
		"65 watts": "20 V at 0:33, 3.25 A at 0:33",
	} {
		want = factWords[factLevelPower] + ": " + want
		if s := find(t, said, heard); !slices.Contains(s.Why, want) {
			t.Errorf("%s: %q is not among\n%s", heard, want, strings.Join(s.Why, "\n"))
		}
	}
}
