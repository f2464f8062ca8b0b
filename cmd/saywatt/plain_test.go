package main

import (
	"bytes"

	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// ours are the references to papers of the project that are not published.
var ours = regexp.MustCompile(`handbook|garbles? table|shared garbles|dev stress|dev recognised|\b[RTW][0-9]{1,2}[a-d]?([^.0-9A-Za-z]|$)`)

// paths are places of a record in the words of programs.
var paths = regexp.MustCompile(`levels\[|claims\[|components\[|measurements\[`)

// TestPeopleAreShownNoPapersOfOurs goes through what people read of our
// narrations.
func TestPeopleAreShownNoPapersOfOurs(t *testing.T) {
	names, err := filepath.Glob("../../internal/demo/narrations/*")
	if err != nil || len(names) == 0 {
		t.Fatal(err)
	}
	commands := [][]string{
		{"read", "-f", "sheet", "--explain"}, {"check"}, {"captions", "--changes", "csv"}, {"captions", "--changes", "md"},
		{"emit", "--to", "html"}, {"emit", "--to", "md"}, {"emit", "--to", "csv", "--table", "findings"}, {"emit", "--to", "csv", "--table", "ear"},
	}
	for _, name := range names {
		if strings.HasSuffix(name, ".json") {
			continue
		}
		for _, c := range commands {
			shownPlainly(t, append(append([]string{}, c...), name)...)
		}
	}
	shownPlainly(t, "rules")
	shownPlainly(t, "calc")
	shownPlainly(t, "calc", "recharge-time", "--help")
	shownPlainly(t, "calc", "level-power", "--voltage", "20V", "--current", "3.25A")
}

func shownPlainly(t *testing.T, args ...string) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	e := systemEnv()
	e.stdout, e.stderr, e.terminal = &stdout, &stderr, false
	e.configDir = func() (string, error) { return t.TempDir(), nil }
	if status := run(args, e); status == exitFailed {
		t.Fatalf("%q: %s", args, &stderr)
	}
	if stdout.Len() == 0 {
		t.Errorf("%q writes nothing", args)
	}
	for _, line := range strings.Split(stdout.String(), "\n") {
		if m := ours.FindString(line); m != "" {
			t.Errorf("%q shows %q: %s", args, m, line)
		}
		if m := paths.FindString(line); m != "" && !slices.Contains(args, "--table") { // tables are for programs too
			t.Errorf("%q shows %q: %s", args, m, line)
		}
	}
}
