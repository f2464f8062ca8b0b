package main

import (
	"io"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/term"
)

// env is the world a command sees: tests replace it.
type env struct {
	open          func(name string) (io.ReadCloser, error)
	stdin         io.Reader
	stdout        io.Writer
	stderr        io.Writer
	stdinTerminal bool
	terminal      bool // standard output is one
	errTerminal   bool // standard error is one
	width         int  // columns of the terminal, 0 where unknown
	getenv        func(string) string
	configDir     func() (string, error)  // the user's folder for settings
	makeFolder    func(name string) error // makes the folder of a file
}

// systemEnv is the world of the process.
func systemEnv() *env {
	e := &env{
		open:          func(name string) (io.ReadCloser, error) { return os.Open(name) },
		stdin:         os.Stdin,
		stdout:        os.Stdout,
		stderr:        os.Stderr,
		stdinTerminal: term.IsTerminal(int(os.Stdin.Fd())),
		terminal:      term.IsTerminal(int(os.Stdout.Fd())),
		errTerminal:   term.IsTerminal(int(os.Stderr.Fd())),
		getenv:        os.Getenv,
		configDir:     os.UserConfigDir,
		makeFolder:    func(name string) error { return os.MkdirAll(filepath.Dir(name), 0o755) },
	}
	if e.terminal {
		if w, _, err := term.GetSize(int(os.Stdout.Fd())); err == nil {
			e.width = w
		}
	}
	return e
}

// color reports whether output may be coloured: on a terminal that can, unless
// NO_COLOR is set (the informal convention of that name).
func (e *env) color() bool {
	return e.terminal && e.getenv("NO_COLOR") == "" && e.getenv("TERM") != "dumb"
}

// unicode reports whether the locale takes more than ASCII. The first of
// LC_ALL, LC_CTYPE and LANG that is set decides (POSIX.1-2017, 8.2); where none
// is set, it does.
func (e *env) unicode() bool {
	for _, name := range [...]string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := e.getenv(name); v != "" {
			v = strings.ToLower(v)
			return strings.Contains(v, "utf-8") || strings.Contains(v, "utf8")
		}
	}
	return true
}
