package main

import (
	"os"
	"slices"
	"strings"
	"testing"

	saywatt "saywatt/internal/notices"
	"saywatt/schema"
)

// The embedded text is what is gathered of the modules that go.mod names now.
func TestComplete(t *testing.T) {
	modules, err := linked("saywatt/cmd/saywatt")
	if err != nil {
		t.Fatal(err)
	}
	if len(modules) < 2 {
		t.Fatalf("%d modules", len(modules))
	}
	for _, m := range modules {
		if !strings.Contains(saywatt.Text(), "\n"+strings.TrimSpace(m.path+" "+m.version)+"\n    ") {
			t.Errorf("%s %s is linked and not in internal/notices/notices.txt", m.path, m.version)
		}
	}
	want, err := notices(modules)
	if err != nil {
		t.Fatal(err)
	}
	if saywatt.Text() != want {
		t.Error("internal/notices/notices.txt is not that of the linked modules: " +
			"go run ./internal/notices/gather internal/notices/notices.txt")
	}
}

// Nothing is used under a licence that asks to publish the program's source.
func TestNoCopyleft(t *testing.T) {
	list, _, _ := strings.Cut(saywatt.Text(), "\n---")
	for line := range strings.Lines(list) {
		if !strings.HasPrefix(line, "    ") || !strings.HasSuffix(line, "]\n") {
			continue
		}
		names, _, _ := strings.Cut(strings.TrimSpace(line), " [")
		for name := range strings.SplitSeq(names, ", ") {
			if strings.HasPrefix(name, "GPL") || strings.HasPrefix(name, "LGPL") || strings.HasPrefix(name, "AGPL") {
				t.Errorf("%s", line)
			}
		}
	}
}

func TestLicences(t *testing.T) {
	kinds := schema.MustReadTable(tables, "tables/kinds.tsv")
	for _, c := range []struct {
		text string
		want []string
	}{
		{"Permission is hereby\n  granted, free of charge, to any person obtaining a copy of this software and associated",
			[]string{"MIT"}},
		{"Redistributions of source code must retain the above copyright notice, this list of conditions",
			[]string{"BSD-2-Clause"}},
		{"Redistributions of source code must retain the above copyright notice, this list of conditions ... " +
			"to endorse or promote products derived from this software without specific prior written permission",
			[]string{"BSD-3-Clause"}},
		{"                 Apache License\n           Version 2.0, January 2004\n", []string{"Apache-2.0"}},
		{"Creative Commons Attribution 4.0 International Public License", []string{"CC-BY-4.0"}},
		{"SIL OPEN FONT LICENSE Version 1.1 - 26 February 2007", []string{"OFL-1.1"}},
		{"The FreeType Project LICENSE\n----", []string{"FTL"}},
		{"All rights reserved.", nil},
	} {
		if got := licences(c.text, kinds); !slices.Equal(got, c.want) {
			t.Errorf("%q: %q, want %q", c.text, got, c.want)
		}
	}
}

// A module without a known licence is an error that says where to go on.
func TestUnknownLicence(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(dir+"/LICENSE", []byte("ask me\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	kept := schema.MustReadTable(tables, "tables/remarks.tsv")
	var modules []module
	for _, r := range kept.Rows {
		modules = append(modules, module{path: r.Get("module"), dir: dir})
	}
	_, err := notices(append([]module{{path: "example.org/quillon", version: "v1.0.0", dir: dir}}, modules...))
	if err == nil || !strings.Contains(err.Error(), `example.org/quillon: no licence is known by its text in `) {
		t.Errorf("%v", err)
	}
	if _, err := notices(nil); err == nil || !strings.Contains(err.Error(), "is not linked") {
		t.Errorf("a remark on what is not linked: %v", err)
	}
}
