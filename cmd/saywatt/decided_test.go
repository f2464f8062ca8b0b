package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"saywatt/internal/archive"
	"saywatt/internal/demo"
)

// Where an archive's records are asked for, it is said that decisions stand in them
// which the captions were not read with.
func TestDecidedSinceIsTold(t *testing.T) {
	dir := t.TempDir()
	shelf, captions := filepath.Join(dir, "shelf"), filepath.Join(dir, "demo.vtt")
	if err := os.WriteFile(captions, []byte(demo.Captions()), 0o644); err != nil {
		t.Fatal(err)
	}
	printed(t, "add", "--archive", shelf, "--id", "demo", captions)
	if _, said := printed(t, "emit", "--to", "md", shelf); strings.Contains(said, "decided on since") {
		t.Errorf("nothing was decided: %s", said)
	}
	a, err := archive.Open(shelf)
	if err != nil {
		t.Fatal(err)
	}
	rv, rec, _, err := a.Record("demo")
	if err != nil {
		t.Fatal(err)
	}
	w, err := a.Begin()
	if err != nil {
		t.Fatal(err)
	}
	if err := w.Decide("demo", []archive.Decision{{When: time.Now().Add(time.Minute), Act: archive.ActNamed,
		Source: rv.Source(), Names: "maker", Heard: "Bex home", Meant: "Bexholm"}}); err != nil {
		t.Fatal(err)
	}
	if err := w.Commit(); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if err := a.Close(); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(rec.Product.Maker, "Bexholm") {
		t.Fatal("the name was heard so")
	}
	for _, args := range [][]string{{"emit", "--to", "md", shelf}, {"check", shelf}, {"read", "-f", "jsonl", shelf},
		{"open", "--archive", shelf}} {
		if _, said := printed(t, args...); strings.Count(said, ": 1 review was decided on since") != 1 {
			t.Errorf("%q says\n%s", args, said)
		}
	}
	if out, _ := printed(t, "emit", "--to", "md", shelf); !strings.Contains(out, "Bexholm") {
		t.Error("the decision does not stand")
	}
}
