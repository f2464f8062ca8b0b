package main

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"html"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"saywatt": main})
}

// TestScripts runs testdata/script: the command line in the words of its user.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("LANG", "C.UTF-8")
			return nil
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"exits":  exits,
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

// exits runs a command and checks its exit status: exits 2 saywatt read nofile.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS COMMAND [ARG ...]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
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
