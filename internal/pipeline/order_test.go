package pipeline

import (
	"bytes"
	"path/filepath"
	"testing"

	"saywatt/internal/export"
	"saywatt/internal/narration"
)

// TestOrder: what is remembered of one text changes nothing in another. Texts of a
// recogniser have words that are heard again, which say another word than they show:
// they are read before and behind all others.
func TestOrder(t *testing.T) {
	files, err := filepath.Glob("../../testdata/tuning/*-spoken.mark")
	if err != nil || len(files) < 10 {
		t.Fatalf("%d narrations by ear (%v)", len(files), err)
	}
	all, err := narration.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	var written []*narration.Narration
	for _, n := range all {
		written = append(written, n)
		said, err := narration.Read([]string{"../../testdata/tuning/" + n.Name[:len(n.Name)-len("-spoken")] + ".mark"})
		if err != nil {
			t.Fatal(err)
		}
		written = append(written, said...)
	}
	read := func(n *narration.Narration) string {
		tr, _, err := n.Transcript()
		if err != nil {
			t.Fatal(err)
		}
		rec, err := Run(tr, Options{})
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if err := export.NewWriter(&out, export.FormatJSONL, export.Options{}).Write(rec); err != nil {
			t.Fatal(err)
		}
		return out.String()
	}
	first := map[string]string{}
	for _, n := range written {
		first[n.Name] = read(n)
	}
	for i := len(written) - 1; i >= 0; i-- {
		if n := written[i]; read(n) != first[n.Name] {
			t.Errorf("%s: another record behind other texts than before them", n.Name)
		}
	}
}
