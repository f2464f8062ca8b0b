package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"strings"
	"syscall"
	"testing"
)

func TestPlainly(t *testing.T) {
	var number int
	syntax := json.Unmarshal([]byte(`{bad`), &number)
	kind := json.Unmarshal([]byte(`{"a":"x"}`), &struct {
		A int `json:"a"`
	}{})
	missing := &fs.PathError{Op: "open", Path: "a.vtt", Err: syscall.ENOENT}
	for _, c := range []struct {
		err  error
		want string
	}{
		{errors.New("the file is empty"), "the file is empty"},
		{missing, "a.vtt: there is no such file or folder"},
		{fmt.Errorf("b.vtt: %w", missing), "b.vtt: a.vtt: there is no such file or folder"},
		{errors.Join(missing, &fs.PathError{Op: "open", Path: "b", Err: syscall.EACCES}),
			"a.vtt: there is no such file or folder\nb: this user has no permission for that"},
		{&fs.PathError{Op: "read", Path: "d", Err: syscall.EISDIR}, "d: this is a folder and no file"},
		{&fs.PathError{Op: "open", Path: "f/x", Err: syscall.ENOTDIR}, "f/x: a part of this path is a file and no folder"},
		{&os.LinkError{Op: "rename", Old: "x", New: "y", Err: syscall.ENOSPC}, "y: the disk is full"},
		{fmt.Errorf("x: %w", syscall.EROFS), "x: nothing can be written on this disk"},
		{fmt.Errorf("x: %w", syscall.EXDEV), "x: " + syscall.EXDEV.Error()},
		{fmt.Errorf("at X: %w", &net.OpError{Op: "dial", Net: "tcp", Err: &net.DNSError{Err: "no such host", Name: "nohost", IsNotFound: true}}),
			`at X: there is no host "nohost"`},
		{&net.DNSError{Err: "i/o timeout", Name: "far"}, `the host "far" cannot be looked up: the name server does not answer`},
		{&net.OpError{Op: "listen", Net: "tcp", Addr: &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 80},
			Err: os.NewSyscallError("bind", syscall.EADDRINUSE)}, "127.0.0.1:80: another program listens there"},
		{&net.AddrError{Err: "invalid port", Addr: "99999"}, `"99999" is no address: invalid port`},
		{fmt.Errorf("r.json: %w", io.ErrUnexpectedEOF), "r.json: the text ends early"},
		{syntax, "this is no JSON from byte 2 on"},
		{kind, `"a" cannot be a JSON string`},
	} {
		if got := plainly(c.err); got != c.want {
			t.Errorf("%v:\n%q, want\n%q", c.err, got, c.want)
		}
	}
}

// Every cause has words of its own, and none of them is what the system says.
func TestCauses(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range causes {
		if got := cause(c.err); got != c.words || got == c.err.Error() || seen[got] {
			t.Errorf("%v: %q", c.err, got)
		}
		seen[c.words] = true
	}
}

func TestShortened(t *testing.T) {
	long, path := strings.Repeat("a", 20000), "/"+strings.Repeat("b", 200)
	e := &env{args: []string{"read", long, path, "--format=" + strings.Repeat("é", 61), "short"}}
	for _, c := range []struct{ text, want string }{
		{"no command " + long, "no command " + strings.Repeat("a", 59) + "…"},
		{path + ": missing", path + ": missing"},
		{"format " + strings.Repeat("é", 61), "format " + strings.Repeat("é", 59) + "…"},
		{"short", "short"},
	} {
		if got := e.shortened(c.text); got != c.want {
			t.Errorf("%.80q, want %.80q", got, c.want)
		}
	}
}

func TestCheckNames(t *testing.T) {
	if err := checkNames("--id", strings.Repeat("é", longestName), "--title",
		strings.Repeat("é", longestTitle)); err != nil {
		t.Error(err)
	}
	for _, c := range []struct{ name, title, want string }{
		{strings.Repeat("a", 101), "", `--id "` + strings.Repeat("a", 59) + `…" has 101 letters; the most are 100`},
		{"", strings.Repeat("b", 201), `--title "` + strings.Repeat("b", 59) + `…" has 201 letters; the most are 200`},
	} {
		if err := checkNames("--id", c.name, "--title", c.title); err == nil || err.Error() != c.want {
			t.Errorf("%v, want %s", err, c.want)
		}
	}
}
