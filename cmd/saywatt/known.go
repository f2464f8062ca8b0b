package main

import (
	"errors"

	"saywatt/internal/glossary"
	"saywatt/internal/pipeline"
)

// knownFlags choose what captions are read with beside the program's own
// tables: glossaries, and a person's counts of what captions do.
type knownFlags struct {
	Glossary string `help:"A further glossary file."`
	NoNames  bool   `name:"no-glossary" help:"Read without any glossary."`
	Learned  bool   `help:"Use the counts of saywatt learn."`
}

// knownHelp describes these flags.
const knownHelp = `      --glossary FILE  read names with this file too; it wins over the project's
                     saywatt-glossary.csv and your personal one, which are read
                     where they are there ("saywatt help glossary")
      --no-glossary  read without any of them
      --learned      add your own counts of what captions do ("saywatt help
                     learn") to those that come with the program
`

// checkKnown refuses flags that contradict each other.
func (k *knownFlags) checkKnown() error {
	if k.NoNames && k.Glossary != "" {
		return errors.New("--glossary and --no-glossary do not go together")
	}
	return nil
}

// known reads what the flags name into the options of a run.
func (k *knownFlags) known(e *env) (pipeline.Options, error) {
	var o pipeline.Options
	var err error
	if o.Glossary, err = k.book(e); err != nil {
		return o, err
	}
	if k.Learned {
		o.Learned, err = e.learned()
	}
	return o, err
}

// book reads the glossaries, nil for none.
func (k *knownFlags) book(e *env) (*glossary.Book, error) {
	if k.NoNames {
		return nil, nil
	}
	var named []string
	if k.Glossary != "" {
		named = append(named, k.Glossary)
	}
	return e.glossary(named...)
}
