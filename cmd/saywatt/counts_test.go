package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"saywatt/internal/demo"
	"saywatt/internal/narration"
)

// countedEach is one of how many marked narrations is read: each is read thrice.
const countedEach = 3

// Whatever prints how much of a file was changed and how much is for an ear
// prints the same of it: the sheet, the summary of each command, the captions.
func TestCountsAgree(t *testing.T) {
	dir := t.TempDir()
	names := []string{filepath.Join(dir, demo.Name)}
	if err := os.WriteFile(names[0], []byte(demo.Captions()), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, pattern := range []string{"../../internal/demo/narrations/*", "../../testdata/tuning/*.mark"} {
		found, err := filepath.Glob(pattern)
		if err != nil || len(found) == 0 {
			t.Fatal(pattern, err)
		}
		for i, name := range found {
			marked := strings.HasSuffix(name, ".mark")
			if strings.HasSuffix(name, ".json") || marked && i%countedEach > 0 {
				continue
			}
			if marked {
				name = renderedInto(t, dir, name)
			}
			names = append(names, name)
		}
	}
	for i, name := range names {
		commands := [][]string{{"read", "-f", "sheet"}, {"read", "-f", "readings"}}
		if i == 0 {
			commands = append(commands, []string{"read", "-f", "jsonl"}, []string{"emit", "--to", "csv"},
				[]string{"captions", "--changes", "csv"}, []string{"captions", "--mark"})
		}
		want := countsOf(t, "captions", name)
		for _, c := range commands {
			got := countsOf(t, append(c, name)...)
			if got.ear != want.ear || got.changed != want.changed && got.changed != unsaid {
				t.Errorf("%s: %q counts %+v, captions %+v", filepath.Base(name), c, got, want)
			}
		}
	}
}

// renderedInto writes a marked narration as captions.
func renderedInto(t *testing.T, dir, name string) string {
	t.Helper()
	all, err := narration.Read([]string{name})
	if err != nil || len(all) != 1 {
		t.Fatal(name, err)
	}
	form := all[0].Form()
	file := filepath.Join(dir, all[0].Name+narration.Ending(form))
	if err := os.WriteFile(file, all[0].Captions(form), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

// counts are what a command prints of a file.
type counts struct{ changed, ear int }

// unsaid is the number of changes where a command says nothing of a file, since
// nothing of it is for an ear.
const unsaid = -1

// How summaries and sheets say them.
var (
	summaryCounts = regexp.MustCompile(`: (\d+) changed, (\d+) for your ear`)
	sheetRepaired = regexp.MustCompile(`(\d+) repaired`)
	sheetEar      = regexp.MustCompile(`(\d+) for your ear`)
	sheetAll      = regexp.MustCompile(`in all (\d+) for your ear`)
)

// countsOf runs a command and reads what it prints.
func countsOf(t *testing.T, args ...string) counts {
	t.Helper()
	stdout, stderr := printed(t, args...)
	if args[0] == "read" && args[2] == "sheet" {
		head, _, _ := strings.Cut(stdout, "\n\n")
		return countsOfSheet(strings.Join(strings.Fields(head), " "))
	}
	m := summaryCounts.FindStringSubmatch(stderr)
	if m == nil {
		return counts{unsaid, 0} // nothing is for an ear
	}
	changed, _ := strconv.Atoi(m[1])
	ear, _ := strconv.Atoi(m[2])
	return counts{changed, ear}
}

// countsOfSheet reads the line under the title of a sheet.
func countsOfSheet(text string) counts {
	number := func(e *regexp.Regexp) int {
		m := e.FindStringSubmatch(text)
		if m == nil {
			return 0
		}
		n, _ := strconv.Atoi(m[1])
		return n
	}
	c := counts{number(sheetRepaired), number(sheetEar)}
	if all := number(sheetAll); all > 0 {
		c.ear = all
	}
	return c
}
