package main

import (
	"fmt"
	"io"

	"saywatt/internal/archive"
	"saywatt/internal/export/plainjson"
)

// formFlag is --json, by the same name wherever a command can write JSON.
type formFlag struct {
	JSON bool `name:"json" help:"Print JSON."`
}

// jsonHelp describes the flag for commands with other formats too.
const jsonHelp = `      --json         the same as --format json
`

// checkForm lets --json choose the format, and refuses another one beside it.
func (f *formFlag) checkForm(format *string) error {
	if !f.JSON || *format == "json" {
		return nil
	}
	if *format != "text" {
		return fmt.Errorf("--json and --format %s do not go together", *format)
	}
	*format = "json"
	return nil
}

// lineHelp describes the flag for commands that say what they did.
const lineHelp = `      --json         print a line of JSON for each review
`

// changed is what was done to a review.
type changed struct {
	Review  string      `json:"review"`
	What    archive.Act `json:"what"`
	Was     []string    `json:"was,omitempty"` // names before, or of what was merged
	Title   string      `json:"title,omitempty"`
	Version int         `json:"version,omitempty"`
}

// line says what was done, as JSON or in words.
func (f *formFlag) line(w io.Writer, did any, words string) error {
	if f.JSON {
		return plainjson.WriteLine(w, did)
	}
	_, err := fmt.Fprintln(w, words)
	return err
}
