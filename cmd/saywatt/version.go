package main

import (
	"fmt"
	"io"
	"runtime/debug"

	"github.com/alecthomas/kong"
)

// versionFlag is --version.
type versionFlag bool

// BeforeReset runs ahead of every check of the command line.
func (versionFlag) BeforeReset(*kong.Context) error { return errVersion{} }

// errVersion ends parsing: the version was asked for.
type errVersion struct{}

func (errVersion) Error() string { return "the version was asked for" }

// writeVersion writes what the build knows of itself: the version of the
// module, the commit where it was built in a repository, and the Go release.
func writeVersion(w io.Writer, info *debug.BuildInfo) error {
	if info == nil {
		_, err := fmt.Fprintln(w, "saywatt, built without module information")
		return err
	}
	version, commit := info.Main.Version, ""
	if version == "" || version == "(devel)" {
		version = "development version"
	}
	changed := false
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			commit = s.Value
		case "vcs.modified":
			changed = s.Value == "true"
		}
	}
	text := "saywatt " + version
	if commit != "" {
		text += ", commit " + commit[:min(len(commit), 12)]
		if changed {
			text += " with changes"
		}
	}
	_, err := fmt.Fprintf(w, "%s, %s\n", text, info.GoVersion)
	return err
}
