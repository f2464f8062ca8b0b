package main

import (
	"bytes"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"saywatt/validate"
	"saywatt/validate/calc"
)

// ours are the references to papers of the project that are not published.
var ours = regexp.MustCompile(`handbook|garbles? table|shared garbles|dev stress|dev recognised|\b[RTW][0-9]{1,2}[a-d]?([^.0-9A-Za-z]|$)`)

// seriesOfNumbers are the preferred numbers of ISO 3, which look like references.
var seriesOfNumbers = regexp.MustCompile(`R5, R10 or R20|the R10 series`)

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
		{"read", "--json"}, {"check", "--json"}, {"emit", "--to", "jsonl"},
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
	shownPlainly(t, "rules", "--json")
	for _, r := range validate.Rules() {
		shownPlainly(t, "rules", r.Name)
	}
	shownPlainly(t, "calc")
	shownPlainly(t, "calc", "--json")
	for _, c := range calc.All() {
		shownPlainly(t, "calc", c.Name, "--help")
	}
	shownPlainly(t, "calc", "level-power", "--voltage", "20V", "--current", "3.25A", "--json")
	shownPlainly(t, "schema")
	shownPlainly(t, "schema", "--guide")
	shownPlainly(t, "schema", "--tables")
	shownPlainly(t, "man")
	shownPlainly(t, "calc", "level-power", "--voltage", "20V", "--current", "3.25A")
}

// printed is what a command prints, off a terminal and without standing options. It
// fails the test where the command fails.
func printed(t *testing.T, args ...string) (stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	e := systemEnv()
	e.stdout, e.stderr, e.terminal = &out, &errs, false
	e.configDir = func() (string, error) { return t.TempDir(), nil }
	if status := run(args, e); status == exitFailed {
		t.Fatalf("%q: %s", args, &errs)
	}
	return out.String(), errs.String()
}

func shownPlainly(t *testing.T, args ...string) {
	t.Helper()
	stdout, _ := printed(t, args...)
	if stdout == "" {
		t.Errorf("%q writes nothing", args)
	}
	for _, line := range strings.Split(stdout, "\n") {
		line = seriesOfNumbers.ReplaceAllString(line, "")
		if m := ours.FindString(line); m != "" {
			t.Errorf("%q shows %q: %s", args, m, line)
		}
		if m := paths.FindString(line); m != "" && !slices.ContainsFunc(args, forPrograms) {
			t.Errorf("%q shows %q: %s", args, m, line)
		}
	}
}

// forPrograms knows arguments that ask for a form that programs read, and the
// rules, whose cases name places as the tests do.
func forPrograms(arg string) bool {
	return slices.Contains([]string{"--json", "--table", "jsonl", "schema", "rules"}, arg)
}
