package extract

import (
	"fmt"
	"os"
	"testing"
)

// Tables that do not hold together are said once, by file and line: every test
// would fail of them.
func TestMain(m *testing.M) {
	x := &Lexicon{entries: make([]entry, 1, 4096)}
	x.grow(1 << 13)
	if err := x.load(); err != nil {
		fmt.Fprintln(os.Stderr, "extract/tables:", err)
		os.Exit(1)
	}
	os.Exit(m.Run())
}
