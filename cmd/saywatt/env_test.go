package main

import "testing"

func TestUnicodeByLocale(t *testing.T) {
	for _, c := range []struct {
		vars map[string]string
		want bool
	}{
		{nil, true},
		{map[string]string{"LANG": "C"}, false},
		{map[string]string{"LANG": "C.UTF-8"}, true},
		{map[string]string{"LANG": "de_DE.utf8"}, true},
		{map[string]string{"LANG": "en_GB.ISO-8859-1"}, false},
		{map[string]string{"LANG": "C.UTF-8", "LC_ALL": "POSIX"}, false},
		{map[string]string{"LANG": "C", "LC_CTYPE": "C.UTF-8"}, true},
		{map[string]string{"LANG": "C.UTF-8", "LC_ALL": ""}, true},
	} {
		e := &env{getenv: func(name string) string { return c.vars[name] }}
		if got := e.unicode(); got != c.want {
			t.Errorf("%v: %v, want %v", c.vars, got, c.want)
		}
	}
}

func TestColor(t *testing.T) {
	for _, c := range []struct {
		terminal bool
		vars     map[string]string
		want     bool
	}{
		{true, nil, true},
		{false, nil, false},
		{true, map[string]string{"NO_COLOR": "1"}, false},
		{true, map[string]string{"NO_COLOR": ""}, true},
		{true, map[string]string{"TERM": "dumb"}, false},
	} {
		e := &env{terminal: c.terminal, getenv: func(name string) string { return c.vars[name] }}
		if got := e.color(); got != c.want {
			t.Errorf("terminal %v, %v: %v, want %v", c.terminal, c.vars, got, c.want)
		}
	}
}
