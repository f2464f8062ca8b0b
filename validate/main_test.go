package validate

import (
	"fmt"
	"os"
	"testing"
)

// A rule that lacks a part is named once: many tests go through all rules.
func TestMain(m *testing.M) {
	lacking := false
	lacks := func(rule, what string) {
		lacking = true
		fmt.Fprintf(os.Stderr, "rule %s: %s\n", rule, what)
	}
	for _, r := range Rules() {
		if r.Find == nil || r.Test == nil || r.Explain == nil {
			lacks(r.Name, "it has no Find, Test or Explain")
		}
		if _, ok := weights()[r.Name]; !ok {
			lacks(r.Name, "no row in validate/tables/weights.tsv")
		}
		if _, ok := Example(r.Name); !ok {
			lacks(r.Name, "no case file validate/testdata/rules/"+r.Name+".txtar")
		}
	}
	if lacking {
		os.Exit(1)
	}
	os.Exit(m.Run())
}
