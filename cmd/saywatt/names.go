package main

import (
	"errors"

	"saywatt/internal/glossary"
)

// namesFlags choose the glossaries that captions are read with.
type namesFlags struct {
	Glossary string `help:"A further glossary file."`
	NoNames  bool   `name:"no-glossary" help:"Read without any glossary."`
}

// namesHelp describes these flags.
const namesHelp = `      --glossary FILE  read names with this file too; it wins over the project's
                     saywatt-glossary.csv and your personal one, which are read
                     where they are there ("saywatt help glossary")
      --no-glossary  read without any of them
`

// checkNames refuses flags that contradict each other.
func (n *namesFlags) checkNames() error {
	if n.NoNames && n.Glossary != "" {
		return errors.New("--glossary and --no-glossary do not go together")
	}
	return nil
}

// book reads the glossaries, nil for none.
func (n *namesFlags) book(e *env) (*glossary.Book, error) {
	if n.NoNames {
		return nil, nil
	}
	var named []string
	if n.Glossary != "" {
		named = append(named, n.Glossary)
	}
	return e.glossary(named...)
}
