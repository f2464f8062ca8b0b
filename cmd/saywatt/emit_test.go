package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"unicode/utf8"

	"saywatt/internal/demo"
	"saywatt/internal/export"
)

// Every format of emit is written, and no two alike. What is no text is
// marked so in the list of formats, and where --table chooses what is written.
func TestEmitFormats(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	emitted := func(args ...string) []byte {
		t.Helper()
		w := newWorld(map[string]string{demo.Name: demo.Captions()})
		if status := run(append([]string{"emit", "--out", out}, append(args, demo.Name)...), w.env); status != 0 {
			t.Errorf("emit %q ends with %d: %s", args, status, &w.stderr)
			return nil
		}
		b, err := os.ReadFile(out)
		if err != nil || len(b) == 0 {
			t.Errorf("emit %q wrote %d bytes: %v", args, len(b), err)
		}
		return b
	}
	seen := map[string]string{}
	for _, name := range export.EmitNames() {
		format := export.EmitFormat(name)
		b := emitted("--to", name)
		if b == nil {
			continue
		}
		if binary := !utf8.Valid(b) || bytes.IndexByte(b, 0) >= 0; binary != format.Binary() {
			t.Errorf("format %s: it is no text: %v; the list in internal/export/format.go says otherwise", name, binary)
		}
		if other := seen[string(b)]; other != "" {
			t.Errorf("formats %s and %s are the same", name, other)
		}
		seen[string(b)] = name
		if format.TakesTable() &&
			bytes.Equal(emitted("--to", name, "--table", "levels"), emitted("--to", name, "--table", "findings")) {
			t.Errorf("format %s: it takes tables, says internal/export/format.go, and --table changes nothing", name)
		}
	}
}
