package validate

import (
	"embed"

	"golang.org/x/tools/txtar"
)

// The cases of the tests are also the worked examples that "saywatt rules
// NAME" shows, so what is shown is what is proved.
//
//go:embed testdata/rules/*.txtar
var examples embed.FS

// Example returns the worked example of a rule as a text archive: a comment,
// then files by pairs, "fires: …" or "passes: …" with a record in the compact
// notation of testdata/README.md, and "findings" with what the rule says of
// it. False if there is none.
func Example(rule string) (*txtar.Archive, bool) {
	b, err := examples.ReadFile("testdata/rules/" + rule + ".txtar")
	if err != nil {
		return nil, false
	}
	return txtar.Parse(b), true
}
