package validate

import (
	"fmt"
	"os"
	"testing"
)

// A rule or calculator that lacks a part is named once: many tests go through all
// of them.
func TestMain(m *testing.M) {
	lacking := false
	lacks := func(of, what string) {
		lacking = true
		fmt.Fprintf(os.Stderr, "%s: %s\n", of, what)
	}
	for _, r := range Rules() {
		if r.Find == nil || r.Test == nil || r.Explain == nil {
			lacks("rule "+r.Name, "it has no Find, Test or Explain")
		}
		if _, ok := weights()[r.Name]; !ok {
			lacks("rule "+r.Name, "no row in validate/tables/weights.tsv")
		}
		if _, ok := Example(r.Name); !ok {
			lacks("rule "+r.Name, "no case file validate/testdata/rules/"+r.Name+".txtar")
		}
	}
	for _, c := range Calculators() {
		if c.Run == nil || c.Take == nil {
			lacks("calculator "+c.Name, "it has no Run, or no Take, which fills its inputs from a record")
		}
		if len(c.Inputs()) == 0 {
			lacks("calculator "+c.Name, "no row in validate/tables/calc_inputs.tsv")
		}
	}
	if lacking {
		os.Exit(1)
	}
	os.Exit(m.Run())
}
