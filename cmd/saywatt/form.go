package main

import "fmt"

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
