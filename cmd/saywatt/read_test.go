package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

// world is an env of files in memory that answers at different speeds.
type world struct {
	*env
	stdout, stderr bytes.Buffer
	files          map[string]string
	slow           map[string]time.Duration
	opened         atomic.Int32
}

func newWorld(files map[string]string) *world {
	w := &world{files: files, slow: map[string]time.Duration{}}
	w.env = &env{
		open: w.openFile, stdin: strings.NewReader(""), stdout: &w.stdout, stderr: &w.stderr,
		getenv: func(string) string { return "" },
	}
	return w
}

func (w *world) openFile(name string) (io.ReadCloser, error) {
	text, ok := w.files[name]
	if !ok {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	w.opened.Add(1)
	time.Sleep(w.slow[name])
	return io.NopCloser(strings.NewReader(text)), nil
}

// namesOf returns the file names of JSON Lines output, in order.
func namesOf(t *testing.T, b []byte) []string {
	t.Helper()
	var names []string
	for d := json.NewDecoder(bytes.NewReader(b)); ; {
		var line struct{ Source struct{ File string } }
		if err := d.Decode(&line); err == io.EOF {
			return names
		} else if err != nil {
			t.Fatal(err)
		}
		names = append(names, line.Source.File)
	}
}

const oneCue = "WEBVTT\n\n00:01.000 --> 00:04.000\nThe USB-A port gives 5 volts at 2.4 amps.\n"

// manyFiles makes n files, and the command line that reads them.
func manyFiles(n int) (*world, []string) {
	files, args := map[string]string{}, []string{"read", "--format", "jsonl"}
	for i := range n {
		name := fmt.Sprintf("%03d.vtt", i)
		files[name] = oneCue
		args = append(args, name)
	}
	return newWorld(files), args
}

func TestResultsKeepTheOrderOfTheNames(t *testing.T) {
	w, args := manyFiles(100)
	for i := 0; i < 100; i += 7 {
		w.slow[fmt.Sprintf("%03d.vtt", i)] = 3 * time.Millisecond
	}
	if got := run(args, w.env); got != exitFine {
		t.Fatalf("exit status %d: %s", got, &w.stderr)
	}
	names := namesOf(t, w.stdout.Bytes())
	if len(names) != 100 {
		t.Fatalf("%d records", len(names))
	}
	for i, name := range names {
		if want := fmt.Sprintf("%03d.vtt", i); name != want {
			t.Fatalf("record %d is of %s, want %s", i, name, want)
		}
	}
}

// A slow first file must not make all the others pile up in memory.
func TestReadingsAheadAreBounded(t *testing.T) {
	w, args := manyFiles(200)
	release := make(chan struct{})
	open := w.open
	w.open = func(name string) (io.ReadCloser, error) {
		f, err := open(name)
		if name == "000.vtt" {
			<-release
		}
		return f, err
	}
	done := make(chan int)
	go func() { done <- run(args, w.env) }()
	bound := int32(4 * runtime.GOMAXPROCS(0))
	for range 20 {
		time.Sleep(2 * time.Millisecond)
		if n := w.opened.Load(); n > bound {
			t.Errorf("%d files opened while the first is waited for, bound %d", n, bound)
			break
		}
	}
	close(release)
	if got := <-done; got != exitFine {
		t.Errorf("exit status %d: %s", got, &w.stderr)
	}
	if n := w.opened.Load(); n != 200 {
		t.Errorf("%d files opened, want 200", n)
	}
}

func TestBadFilesDoNotStopTheOthers(t *testing.T) {
	w := newWorld(map[string]string{"a.vtt": oneCue, "empty.vtt": "", "b.vtt": oneCue})
	if got := run([]string{"read", "-f", "jsonl", "a.vtt", "missing.vtt", "empty.vtt", "b.vtt"},
		w.env); got != exitFailed {
		t.Errorf("exit status %d, want %d", got, exitFailed)
	}
	if got := strings.Join(namesOf(t, w.stdout.Bytes()), " "); got != "a.vtt b.vtt" {
		t.Errorf("records of %q", got)
	}
	want := "saywatt: missing.vtt: there is no such file or folder\nsaywatt: empty.vtt: the file is empty\n"
	if got := w.stderr.String(); got != want {
		t.Errorf("printed %q, want %q", got, want)
	}
}

func TestProgressOnlyOnATerminalAndForSeveral(t *testing.T) {
	for _, c := range []struct {
		terminal bool
		args     []string
		want     string
	}{
		{true, []string{"a.vtt", "b\x1b[2J.vtt"}, "\r\x1b[Kreading 1 of 2: a.vtt\r\x1b[K\r\x1b[Kreading 2 of 2: b\\x1b[2J.vtt\r\x1b[K"},
		{true, []string{"a.vtt"}, ""},
		{false, []string{"a.vtt", "b\x1b[2J.vtt"}, ""},
	} {
		w := newWorld(map[string]string{"a.vtt": oneCue, "b\x1b[2J.vtt": oneCue})
		w.errTerminal = c.terminal
		run(append([]string{"read", "-f", "jsonl"}, c.args...), w.env)
		if got := w.stderr.String(); got != c.want {
			t.Errorf("terminal %v, %q: printed %q, want %q", c.terminal, c.args, got, c.want)
		}
	}
}

// full is an output with no room left.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

func TestOutputThatCannotBeWritten(t *testing.T) {
	w, args := manyFiles(50)
	w.env.stdout = full{}
	if got := run(args, w.env); got != exitFailed {
		t.Errorf("exit status %d, want %d", got, exitFailed)
	}
	if got, want := w.stderr.String(), "saywatt: no space left on device\n"; got != want {
		t.Errorf("printed %q, want %q", got, want)
	}
}

func TestTerminalInputIsAskedFor(t *testing.T) {
	w := newWorld(nil)
	w.stdinTerminal = true
	w.stdin = strings.NewReader(oneCue)
	if got := run([]string{"read"}, w.env); got != exitFine {
		t.Errorf("exit status %d: %s", got, &w.stderr)
	}
	if !strings.Contains(w.stderr.String(), "Ctrl-D") {
		t.Errorf("printed %q", &w.stderr)
	}
}
