package main

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saywatt/normalize"
)

var update = flag.Bool("update", false, "write the sessions of README.md anew")

const readme = "../../README.md"

// TestReadmeThreshold: README names the probability from which readings stand.
func TestReadmeThreshold(t *testing.T) {
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	want := fmt.Sprintf("from %.0f %% on (`--threshold`)", 100*normalize.DefaultThreshold())
	if !strings.Contains(string(text), want) {
		t.Errorf("README.md does not say %q", want)
	}
}

// TestReadmeSessions runs every ```console block of README.md and compares
// what it prints. A line "$ COMMAND" is run; the lines up to the next are what
// it prints, standard error included. A line "..." stands for any lines left
// out; there may be one for each command. All blocks run in one directory, in
// order, so that a later one may use what an earlier one wrote.
func TestReadmeSessions(t *testing.T) {
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	lines := strings.Split(string(text), "\n")
	var out []string
	inside := false
	for i := 0; i < len(lines); {
		line := lines[i]
		i++
		out = append(out, line)
		switch {
		case line == "```console":
			inside = true
		case line == "```":
			inside = false
		case inside && strings.HasPrefix(line, "$ "):
			start := i
			for i < len(lines) && lines[i] != "```" && !strings.HasPrefix(lines[i], "$ ") {
				i++
			}
			command := strings.TrimPrefix(line, "$ ")
			got := session(t, dir, command)
			shown := excerpt(lines[start:i], got)
			if d := cmp.Diff(strings.Join(lines[start:i], "\n"), strings.Join(shown, "\n")); d != "" && !*update {
				t.Errorf("README.md:%d: $ %s (-README +truth):\n%s", start, command, d)
			}
			out = append(out, shown...)
		}
	}
	if *update {
		if err := os.WriteFile(readme, []byte(strings.Join(out, "\n")), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// session runs a command line and returns the lines it prints. The program is
// the one under test, also where the command line builds it.
func session(t *testing.T, dir, command string) []string {
	t.Helper()
	command = strings.ReplaceAll(command, "go run ./cmd/saywatt", "saywatt")
	cmd := exec.Command("bash", "-c", command)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "LANG=C.UTF-8", "LC_ALL=", "LC_CTYPE=", "NO_COLOR=1")
	b, err := cmd.CombinedOutput()
	if _, exited := err.(*exec.ExitError); err != nil && !exited {
		t.Fatalf("$ %s: %v", command, err)
	}
	printed := strings.ReplaceAll(string(b), "\r\n", "\n")
	if printed == "" {
		return nil
	}
	return strings.Split(strings.TrimSuffix(printed, "\n"), "\n")
}

// excerpt cuts what was printed as the README does: where it has a line "...",
// as many lines before and after it as there.
func excerpt(shown, printed []string) []string {
	for i, line := range shown {
		if line != "..." {
			continue
		}
		tail := len(shown) - i - 1
		if i+tail > len(printed) {
			return printed
		}
		cut := append([]string{}, printed[:i]...)
		cut = append(cut, "...")
		return append(cut, printed[len(printed)-tail:]...)
	}
	return printed
}

func TestExcerpt(t *testing.T) {
	printed := []string{"1", "2", "3", "4", "5"}
	for _, c := range []struct{ shown, want []string }{
		{[]string{"1"}, printed},
		{[]string{"?", "...", "?", "?"}, []string{"1", "...", "4", "5"}},
		{[]string{"..."}, []string{"..."}},
		{[]string{"1", "2", "3", "...", "4", "5", "6"}, printed},
	} {
		if d := cmp.Diff(c.want, excerpt(c.shown, printed)); d != "" {
			t.Errorf("%q (-want +got):\n%s", c.shown, d)
		}
	}
}

// Links and paths that README and DEVELOPERS name must be there.
func TestPathsInDocuments(t *testing.T) {
	for _, name := range []string{readme, "../../DEVELOPERS.md"} {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for i, part := range strings.Split(string(text), "`") {
			if i%2 == 0 || !isPath(part) {
				continue
			}
			if _, err := os.Stat(filepath.Join("../..", part)); err != nil {
				t.Errorf("%s names %s, which is not there", filepath.Base(name), fmt.Sprintf("%q", part))
			}
		}
	}
}

// isPath reports whether words in backquotes look like a path of this
// repository.
func isPath(s string) bool {
	for _, top := range []string{"cmd/", "extract/", "normalize/", "validate/", "schema/", "testdata/", "internal/",
		".ci/"} {
		if strings.HasPrefix(s, top) && !strings.ContainsAny(s, " *<>…{}:") {
			return true
		}
	}
	return false
}
