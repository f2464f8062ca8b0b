package main

import (
	"errors"

	"saywatt/internal/export/table"
	"saywatt/schema"
)

type schemaCmd struct {
	formFlag
	Guide  bool `help:"Print the field guide instead."`
	Tables bool `help:"Print what the columns of tables hold instead."`
}

func (schemaCmd) Help() string {
	return `Usage: saywatt schema [--guide | --tables]

Prints the JSON Schema (2020-12) that every record follows.

Flags:
      --guide        print the field guide instead: every field with its type,
                     whether it is required, and its meaning
      --tables       print instead what each column of each table of "saywatt
                     emit" holds, as CSV: table, column, type, unit, meaning
      --json         with --tables, a line of JSON for each column; the schema
                     itself is JSON with it and without

Example:
  saywatt schema > record.schema.json
`
}

func (c *schemaCmd) Run(e *env) error {
	switch {
	case c.Guide && c.Tables:
		return &usageError{errors.New("--guide and --tables are two things to print"), "saywatt schema"}
	case c.Guide && c.JSON:
		return &usageError{errors.New("--guide is the schema in words; without it the schema is JSON"),
			"saywatt schema"}
	case c.Tables && c.JSON:
		return table.WriteDictionaryJSON(e.stdout)
	case c.Guide:
		return schema.WriteGuide(e.stdout)
	case c.Tables:
		return table.WriteDictionary(e.stdout)
	}
	_, err := e.stdout.Write(schema.JSONSchema())
	return err
}
