package assemble

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
				fmt.Fprintln(os.Stderr, "internal/assemble/tables:", fault)
				os.Exit(1)
			}
		}()
		loadBounds()
		loadReaches()
		loadCautions()
		termGrounds()
	}()
	os.Exit(m.Run())
}
