package main

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"unicode/utf8"

	"saywatt/internal/demo"
)

// Every format of emit is written, and no two alike. What is no text is in
// binaryFormats; in those of tableFormats --table chooses what is written.
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
	for _, name := range emitFormats {
		b := emitted("--to", name)
		if b == nil {
			continue
		}
		if binary := !utf8.Valid(b) || bytes.IndexByte(b, 0) >= 0; binary != slices.Contains(binaryFormats, name) {
			t.Errorf("format %s: it is no text: %v; binaryFormats of emit.go says otherwise", name, binary)
		}
		if other := seen[string(b)]; other != "" {
			t.Errorf("formats %s and %s are the same", name, other)
		}
		seen[string(b)] = name
		if slices.Contains(tableFormats, name) &&
			bytes.Equal(emitted("--to", name, "--table", "levels"), emitted("--to", name, "--table", "findings")) {
			t.Errorf("format %s: it is in tableFormats of emittable.go, and --table changes nothing", name)
		}
	}
}
