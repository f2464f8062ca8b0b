package main

import (
	"io"

	"saywatt/internal/notices"
)

// noticesCmd prints the licences of what the program is linked with.
type noticesCmd struct{}

func (noticesCmd) Help() string {
	return `Usage: saywatt notices

Prints the modules and fonts that the program is linked with, the licence under
which each is used, and the texts of these licences. Whoever passes the program
on passes these notices on with it.

Example:
  saywatt notices > NOTICES.txt
`
}

func (noticesCmd) Run(e *env) error {
	_, err := io.WriteString(e.stdout, notices.Text())
	return err
}
