package main

import (
	"runtime/debug"
	"strings"
	"testing"
)

func TestWriteVersion(t *testing.T) {
	setting := func(key, value string) debug.BuildSetting { return debug.BuildSetting{Key: key, Value: value} }
	for _, c := range []struct {
		name string
		info *debug.BuildInfo
		want string
	}{
		{"nothing known", nil, "saywatt, built without module information\n"},
		{"installed", &debug.BuildInfo{GoVersion: "go1.26", Main: debug.Module{Version: "v1.2.0"}}, "saywatt v1.2.0, go1.26\n"},
		{"built in a clone", &debug.BuildInfo{GoVersion: "go1.26", Main: debug.Module{Version: "(devel)"},
			Settings: []debug.BuildSetting{setting("vcs.revision", "0123456789abcdef0123"),
				setting("vcs.modified", "false")}},
			"saywatt development version, commit 0123456789ab, go1.26\n"},
		{"built with changes", &debug.BuildInfo{GoVersion: "go1.26",
			Settings: []debug.BuildSetting{setting("vcs.revision", "0123"), setting("vcs.modified", "true")}},
			"saywatt development version, commit 0123 with changes, go1.26\n"},
	} {
		var b strings.Builder
		if err := writeVersion(&b, c.info); err != nil || b.String() != c.want {
			t.Errorf("%s: %q, %v; want %q", c.name, b.String(), err, c.want)
		}
	}
	w := newWorld(nil)
	if status := run([]string{"--version"}, w.env); status != exitFine ||
		!strings.HasPrefix(w.stdout.String(), "saywatt ") || w.stderr.Len() > 0 {
		t.Errorf("--version: exit status %d, %q, %q", status, &w.stdout, &w.stderr)
	}
}
