package normalize

import (
	"fmt"
	"os"
	"testing"

	"saywatt/normalize/channel"
)

// Tables that do not hold together are said once: every test would fail of them.
func TestMain(m *testing.M) {
	func() {
		defer func() {
			if fault := recover(); fault != nil {
				fmt.Fprintln(os.Stderr, "normalize/tables:", fault)
				os.Exit(1)
			}
		}()
		loadWeights()
		channel.Default()
		loadRoles()
		loadReaches()
		loadBounds()
	}()
	os.Exit(m.Run())
}
