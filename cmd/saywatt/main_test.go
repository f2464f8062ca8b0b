package main

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"saywatt": main})
}

// TestScripts runs testdata/script: the command line in the words of its user.
// "exec saywatt" starts a process. Most scripts use "run saywatt", or "exits", which
// run the same command line here: a start takes longer than most commands.
func TestScripts(t *testing.T) {
	h := new(here)
	dir, err := filepath.Abs("testdata/script") // of the folder before commands run elsewhere
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir: dir,
		Setup: func(e *testscript.Env) error {
			e.Setenv("LANG", "C.UTF-8")
			return nil
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"run":    h.run,
			"exits":  h.exits,
			"repeat": repeat,
			"cmpcsv": cmpcsv,
			"docx":   docx,
		},
	})
}

// docx makes a Word document with a text's lines as paragraphs: docx FILE TEXTFILE.
func docx(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: docx FILE TEXTFILE")
	}
	var file bytes.Buffer
	z := zip.NewWriter(&file)
	w, err := z.Create("word/document.xml")
	ts.Check(err)
	fmt.Fprint(w, `<w:document xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main"><w:body>`)
	for line := range strings.Lines(ts.ReadFile(args[1])) {
		fmt.Fprintf(w, "<w:p><w:r><w:t>%s</w:t></w:r></w:p>", html.EscapeString(strings.TrimSpace(line)))
	}
	fmt.Fprint(w, "</w:body></w:document>")
	ts.Check(z.Close())
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), file.Bytes(), 0o644))
}

// here runs command lines in this process, one at a time, since a process has one
// working folder.
type here struct{ mu sync.Mutex }

// saywatt runs a command line in the folder and environment of the script and returns
// its exit status. A last argument <FILE is what it reads on standard input.
func (h *here) saywatt(ts *testscript.TestScript, args []string) int {
	stdin := ""
	if last := len(args) - 1; last >= 0 && strings.HasPrefix(args[last], "<") {
		stdin, args = ts.ReadFile(args[last][1:]), args[:last]
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	before, err := os.Getwd()
	ts.Check(err)
	ts.Check(os.Chdir(ts.MkAbs(".")))
	defer func() { ts.Check(os.Chdir(before)) }()
	e := systemEnv()
	e.stdin, e.stdinTerminal = strings.NewReader(stdin), false
	e.stdout, e.terminal, e.width = ts.Stdout(), false, 0
	e.stderr, e.errTerminal = ts.Stderr(), false
	e.getenv = ts.Getenv
	e.configDir = func() (string, error) {
		if dir := ts.Getenv("XDG_CONFIG_HOME"); dir != "" {
			return dir, nil
		}
		return filepath.Join(ts.Getenv("HOME"), ".config"), nil
	}
	return run(args, e)
}

// run runs a command line that ends well, or with "!" one that does not:
// run saywatt read FILE.
func (h *here) run(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) == 0 || args[0] != "saywatt" {
		ts.Fatalf("usage: run saywatt [ARG ...] [<FILE]")
	}
	if status := h.saywatt(ts, args[1:]); (status != exitFine) != neg {
		ts.Fatalf("exit status %d", status)
	}
}

// exits runs a command and checks its exit status: exits 2 saywatt read nofile. The
// program runs here, other commands in a process of their own, and with "exec" the
// program too: exits 2 exec saywatt read nofile.
func (h *here) exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS [exec] COMMAND [ARG ...] [<FILE]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got, command := 0, args[1:]
	if command[0] == "saywatt" {
		got = h.saywatt(ts, command[1:])
	} else {
		if command[0] == "exec" {
			command = command[1:]
		}
		if err := ts.Exec(command[0], command[1:]...); err != nil {
			var exit *exec.ExitError
			if !errors.As(err, &exit) {
				ts.Fatalf("%v", err)
			}
			got = exit.ExitCode()
		}
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// cmpcsv compares a table, whose lines end in CRLF, with a file: cmpcsv stdout FILE.
func cmpcsv(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: cmpcsv TABLE FILE")
	}
	got, want := strings.ReplaceAll(ts.ReadFile(args[0]), "\r\n", "\n"), ts.ReadFile(args[1])
	if got != want {
		ts.Fatalf("%s is\n%s, want\n%s", args[0], got, want)
	}
}

// repeat writes a file of a text many times over: repeat huge.txt 1000 'five volts '.
func repeat(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: repeat FILE TIMES TEXT")
	}
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Repeat(args[2], n)), 0o644))
}
