// Package notices holds the licences of what the program is linked with: every
// module, the Go distribution, the fonts in them. The text is gathered from the
// modules' own files by the command gather in this folder; its test fails where
// the text is no longer that of the modules in go.mod.
package notices

import _ "embed"

//go:embed notices.txt
var text string

// Text returns the notices: a list of the modules with the licence of each and
// the numbers of its texts, then the texts.
func Text() string { return text }
