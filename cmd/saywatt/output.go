package main

import (
	"errors"

	"saywatt/internal/export"
	"saywatt/internal/export/sheet"
)

// output are the flags on how records are written.
type output struct {
	Format  export.Format `short:"f" help:"Form of the output."`
	JSON    bool          `name:"json" help:"The record as JSON."`
	ASCII   bool          `name:"ascii" help:"Nothing beyond ASCII in sheets."`
	Explain bool          `help:"Say of every quantity why it is read so."`
}

// outputHelp describes these flags, for the help of commands that have them.
const outputHelp = `  -f, --format F     sheet       specification sheet for people to read
                     record      the record as one JSON document
                     jsonl       the record as one line of JSON
                     readings    one line of JSON for every quantity said
                     levels      CSV, one row an operating level
                     components  CSV, one row a part
      --json         the same as --format record
      --explain      in a sheet, say of every quantity why it is read so and
                     what else it could be
      --ascii        nothing beyond ASCII in a sheet; so too where the locale
                     is not UTF-8
`

// checkOutput refuses flags that contradict each other.
func (o *output) checkOutput() error {
	if o.JSON && o.Format != export.FormatUnknown && o.Format != export.FormatRecord {
		return errors.New("--json is --format record, and another format is asked for")
	}
	return nil
}

// writer returns the writer of records in a format, of one review or several.
func (o *output) writer(e *env, f export.Format, several bool) *export.Writer {
	return export.NewWriter(e.stdout, f, export.Options{OfReview: several, Sheet: sheet.Options{
		Width:   min(e.width, widestSheet),
		ASCII:   o.ASCII || !e.unicode(),
		Color:   e.color(),
		Explain: o.Explain,
	}})
}

// format is the one asked for, or else the given one.
func (o *output) format(otherwise export.Format) export.Format {
	switch {
	case o.JSON:
		return export.FormatRecord
	case o.Format == export.FormatUnknown:
		return otherwise
	}
	return o.Format
}

// widestSheet bounds sheets on wide terminals: longer lines are hard to read.
const widestSheet = 100
