package validate

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"

	"github.com/google/go-cmp/cmp"

	"saywatt/schema"
	"saywatt/validate/testdata/notation"
)

var update = flag.Bool("update", false, "rewrite the findings in testdata/rules; read the diff")

// TestRules runs the case files of testdata/rules, one per rule; the format
// is described in testdata/README.md.
func TestRules(t *testing.T) {
	files, err := filepath.Glob("testdata/rules/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatal("no case files", err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".txtar")
		t.Run(name, func(t *testing.T) {
			rule := RuleNamed(name)
			if rule == nil {
				t.Fatal("no rule of this name")
			}
			a, err := txtar.ParseFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if *update {
				updateCases(t, rule, file, a)
			}
			for i := 0; i < len(a.Files); i++ {
				f := a.Files[i]
				want := ""
				if i+1 < len(a.Files) && a.Files[i+1].Name == "findings" {
					want = strings.TrimSpace(string(a.Files[i+1].Data))
					i++
				}
				kind, _, _ := strings.Cut(f.Name, ": ")
				if kind != "fires" && kind != "passes" && kind != "apart" || (kind == "fires") != (want != "") {
					t.Errorf("%s: a case is \"fires: …\" with findings, or \"passes: …\" or \"apart: …\" without",
						f.Name)
				}
				got := printFindings(CheckWith([]*Rule{rule}, notation.Parse(t, string(f.Data))))
				if diff := cmp.Diff(want, got); diff != "" {
					t.Errorf("%s (-want +got)\n%s", f.Name, diff)
				}
				if kind != "fires" && applies(rule, notation.Parse(t, string(f.Data))) != (kind == "passes") {
					t.Errorf("%s: \"passes\" is judged and keeps the rule, \"apart\" is not judged", f.Name)
				}
			}
		})
	}
}

// updateCases rewrites the findings of the cases that say they fire. It never
// turns a case from firing to passing or back.
func updateCases(t *testing.T, rule *Rule, file string, a *txtar.Archive) {
	for i := range a.Files {
		if a.Files[i].Name != "findings" {
			continue
		}
		got := printFindings(CheckWith([]*Rule{rule}, notation.Parse(t, string(a.Files[i-1].Data))))
		if got == "" {
			t.Fatalf("%s: does not fire", a.Files[i-1].Name)
		}
		a.Files[i].Data = []byte(got + "\n\n")
	}
	if err := os.WriteFile(file, txtar.Format(a), 0o644); err != nil {
		t.Fatal(err)
	}
}

// applies reports whether the rule judges anything in the record: a near miss
// that no case looks at would prove nothing.
func applies(rule *Rule, r *schema.Record) bool {
	judged := false
	rule.Find(r, func(c Case) bool {
		q := make([]schema.Quantity, len(c.Args))
		for i, a := range c.Args {
			q[i] = a.Value.Quantity
		}
		judged = judged || rule.Judge(&c, q).Verdict != VerdictNone
		return true
	})
	return judged
}

// printFindings writes findings one a line: "error PATH: MESSAGE => PROPOSAL".
func printFindings(fs []schema.Finding) string {
	var b strings.Builder
	for _, f := range fs {
		fmt.Fprintf(&b, "%s %s: %s", f.Severity, f.Paths[0], f.Message)
		if f.Proposal != nil {
			fmt.Fprintf(&b, " => %s", f.Proposal)
		}
		b.WriteByte('\n')
	}
	return strings.TrimSpace(b.String())
}
