package schema

import (
	"fmt"
	"os"
	"testing"
)

// Tables that do not hold together are said once: every test would fail of them.
func TestMain(m *testing.M) {
	func() {
		defer func() {
			if fault := recover(); fault != nil {
				fmt.Fprintf(os.Stderr, "schema/tables: %v; base symbols of units are in atoms.tsv, their prefixes "+
					"in prefixes.tsv, kinds of quantity in schema/kind.go\n", fault)
				os.Exit(1)
			}
		}()
		loadUnits()
	}()
	os.Exit(m.Run())
}
