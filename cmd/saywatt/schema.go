package main

import "saywatt/schema"

type schemaCmd struct {
	Guide bool `help:"Print the field guide instead."`
}

func (schemaCmd) Help() string {
	return `Usage: saywatt schema [--guide]

Prints the JSON Schema (2020-12) that every record follows.

Flags:
      --guide        print the field guide instead: every field with its type,
                     whether it is required, and its meaning

Example:
  saywatt schema > record.schema.json
`
}

func (c *schemaCmd) Run(e *env) error {
	if c.Guide {
		return schema.WriteGuide(e.stdout)
	}
	_, err := e.stdout.Write(schema.JSONSchema())
	return err
}
