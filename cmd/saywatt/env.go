package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"

	"golang.org/x/term"

	"saywatt/internal/archive"
	"saywatt/internal/save"
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
	args          []string                // of the command line
	bounded       bool                    // its command has --max-bytes
	inputs        inputs                  // opened so far
	saver         save.Saver              // writes files
	held          held                    // archives that are open
	letGo         func()                  // leaves interrupts to the command
	atEnd         []io.Closer             // let go of when the command ends
}

// untilInterrupted is a context that ends with an interrupt, for commands that
// end by one.
func (e *env) untilInterrupted() (context.Context, context.CancelFunc) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	if e.letGo != nil {
		e.letGo()
	}
	return ctx, stop
}

// inputs are the files read so far.
type inputs struct {
	mu  sync.Mutex
	all []os.FileInfo
}

// note remembers a file that was opened.
func (i *inputs) note(f any) {
	file, ok := f.(*os.File)
	if !ok {
		return
	}
	if info, err := file.Stat(); err == nil && info.Mode().IsRegular() {
		i.mu.Lock()
		defer i.mu.Unlock()
		i.all = append(i.all, info)
	}
}

// list is what was remembered.
func (i *inputs) list() []os.FileInfo {
	i.mu.Lock()
	defer i.mu.Unlock()
	return slices.Clone(i.all)
}

// watchInputs has every file that is opened, and that of standard input,
// remembered, so that no output is written over it.
func (e *env) watchInputs() {
	e.inputs.note(e.stdin)
	open := e.open
	e.open = func(name string) (io.ReadCloser, error) {
		f, err := open(name)
		if err == nil {
			e.inputs.note(f)
		}
		return f, err
	}
	e.saver.Inputs = e.inputs.list
}

// held are archives that are open, which may have files in other folders.
type held struct {
	mu  sync.Mutex
	all []*archive.Archive
}

// hold remembers archives that were opened.
func (h *held) hold(all ...*archive.Archive) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.all = append(h.all, all...)
}

// abandon leaves nothing of them where it does not belong.
func (h *held) abandon() {
	h.mu.Lock() // never unlocked, as of a Saver
	for _, a := range h.all {
		a.Abandon()
	}
}

// output writes to a file, whole or not at all and never over what was read,
// or to standard output for "" and "-".
func (e *env) output(path string, write func(io.Writer) error) error {
	if path == "" || path == stdinName {
		return write(e.stdout)
	}
	return e.saver.WriteFile(path, write)
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

// readFile reads a file whole.
func (e *env) readFile(name string) ([]byte, error) {
	f, err := e.open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(f)
}

// asked reports whether the command line itself has a flag.
func (e *env) asked(flag string) bool {
	return slices.ContainsFunc(e.args, func(arg string) bool { return arg == flag || strings.HasPrefix(arg, flag+"=") })
}
