package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"strings"
	"time"

	"saywatt/internal/export/feed"
	"saywatt/internal/export/naming"
	"saywatt/internal/export/report"
	"saywatt/internal/intake"
	"saywatt/schema"
	"saywatt/validate"
	"saywatt/validate/form"
)

type checkCmd struct {
	formFlag
	Format   string   `short:"f" enum:"text,json,csv" default:"text" help:"Form of the output: text, json or csv."`
	ASCII    bool     `name:"ascii" help:"Nothing beyond ASCII in text."`
	Report   string   `placeholder:"FILE" help:"Write a report of all, by its ending .txt, .json or .csv."`
	Off      []string `placeholder:"NAME" help:"Switch a rule or a family off."`
	Settings string   `placeholder:"FILE" help:"Read what is switched off from this file."`
	Date     string   `placeholder:"DAY" help:"Day of the review, YYYY-MM-DD, for marks that the law asks for."`
	failFlag
	sourceFlags
}

func (checkCmd) Help() string {
	return `Usage: saywatt check [FLAG ...] [FILE ...]

Checks records against the rules and prints what they object to, grave first,
with the moment, the place in the record and the source of the rule. A record is
also held against its JSON Schema; captions are read into one first.

` + filesHelp + `
Flags:
  -f, --format F     text (default), json or csv
` + jsonHelp + `      --ascii        nothing beyond ASCII in text; so too where the locale is
                     not UTF-8
      --report FILE  write a report of all that was checked besides, with a
                     count a rule: text, JSON or CSV by the ending .txt, .json
                     or .csv
      --off NAME     switch off a rule or a family of "saywatt rules"; several
                     are allowed
      --settings F   read what is switched off from this file, a line "off NAME
                     REASON" each; without the flag from ` + settingsFile + `, where
                     that is there
      --date DAY     day of the review, YYYY-MM-DD: some marks are compulsory
                     from a day on, which captions do not say
` + sourceHelp + failHelp("error") + `
Of several records, and of standard input, each is named by its number and the
captions that it was made of ("captions" in json and csv).

What was switched off is said in the report. Several records end with a count a
rule. A record that contradicts itself, in which counts do not add up or a power
is negative, is said so and not checked further.

Exit status: 0 no finding of severity error; 1 there is one, or what --fail-on
asks for; 2 a file could not be read, or the command line is wrong. A file that
cannot be read does not stop the others.

A finding that rests on an open value, one that wants a person's ear, is a note
and names the value: settle it, and the finding stands or goes. Nothing found
is no proof that a product is safe or complies with anything.

Example:
  saywatt check --format json station.jsonl
`
}

// checker checks what is read.
type checker struct {
	env    *env
	cmd    *checkCmd
	rules  []*validate.Rule
	report report.Report
	tally  tally
}

func (c *checkCmd) Run(e *env) error {
	write, err := c.prepare(e)
	if err != nil {
		return &usageError{err, "saywatt check"}
	}
	if _, err := time.Parse(time.DateOnly, c.Date); c.Date != "" && err != nil {
		return &usageError{fmt.Errorf("--date %s: want a day as YYYY-MM-DD", c.Date), "saywatt check"}
	}
	k := checker{env: e, cmd: c}
	if k.report.Off, err = c.switchedOff(e); err != nil {
		return &usageError{err, "saywatt check"}
	}
	k.rules = validate.Dated(k.report.Off.Rules(), c.Date)
	files, err := c.files(e)
	if err != nil {
		return err
	}
	r, err := c.reader(e, files)
	if err != nil {
		return err
	}
	r.Whole = true
	unread := false
	failed, err := e.each(r, files, func(i *intake.Item) error {
		return k.take(k.item(i, func(err error) {
			unread = true
			e.complain(err)
		}))
	})
	if err == nil {
		err = c.finish(e, &k.report)
	}
	if err == nil && write != nil {
		err = e.output(c.Report, func(w io.Writer) error { return write(w, &k.report) })
	}
	if err != nil {
		return err
	}
	return c.outcome(&k.tally, failed || unread, "error")
}

// prepare refuses what flags alone cannot, and picks the writer of the report.
func (c *checkCmd) prepare(e *env) (func(io.Writer, *report.Report) error, error) {
	form := func() error { return c.checkForm(&c.Format) }
	for _, check := range []func() error{c.sourceFlags.check, c.checkFail, form} {
		if err := check(); err != nil {
			return nil, err
		}
	}
	return c.reportWriter(e)
}

// item checks the record of captions, or those of a file; what of it cannot be
// read goes to broken.
func (k *checker) item(i *intake.Item, broken func(error)) []report.Checked {
	if i.Text != nil {
		return checkRecords(i.File.Name, i.Text, k.rules, broken)
	}
	if i.Transcript != nil {
		k.env.tellLanguage(i.Transcript, "")
	}
	return []report.Checked{{File: intake.Shown(i.File.Name), Findings: validate.CheckWith(k.rules, i.Record),
		Of: i.Record}}
}

// take puts what was checked into the report, and on the screen.
func (k *checker) take(checked []report.Checked) error {
	for i := range checked {
		k.tally.take(&checked[i])
		if k.cmd.Format == "text" {
			if len(k.report.Records) > 0 {
				fmt.Fprintln(k.env.stdout)
			}
			if err := k.cmd.sheet(k.env).WriteFindings(k.env.stdout, &checked[i]); err != nil {
				return err
			}
		}
		k.report.Records = append(k.report.Records, checked[i])
	}
	return nil
}

// take counts a record with the findings that were made now. One whose form is
// wrong is none, but has findings.
func (t *tally) take(c *report.Checked) {
	r := schema.Record{}
	if c.Of != nil {
		r = *c.Of
	}
	r.Findings = c.Findings
	t.add(&r)
}

// settingsFile is read from the working directory where it is there.
const settingsFile = "saywatt.rules"

// switchedOff gathers what settings and flags switch off.
func (c *checkCmd) switchedOff(e *env) (validate.Off, error) {
	var off validate.Off
	name := c.Settings
	if name == "" {
		name = settingsFile
	}
	text, err := e.readFile(name)
	switch {
	case err == nil:
		if err := off.AddSettings(name, text); err != nil {
			return off, err
		}
		for i := range off.Entries { // a report is for others
			line := strings.TrimPrefix(off.Entries[i].Where, name)
			off.Entries[i].Where = intake.Shown(name) + line
		}
	case c.Settings != "" || !errors.Is(err, fs.ErrNotExist):
		return off, err
	}
	for _, n := range c.Off {
		if err := off.Add(n, "--off", ""); err != nil {
			return off, fmt.Errorf("%w%s", err, didYouMean(n, append(ruleNames(), familyNames()...)))
		}
	}
	return off, nil
}

// reportWriter says by the ending of the report's name how it is written; nil
// where none is.
func (c *checkCmd) reportWriter(e *env) (func(io.Writer, *report.Report) error, error) {
	if c.Report == "" {
		return nil, nil
	}
	switch strings.ToLower(filepath.Ext(c.Report)) {
	case ".txt":
		return report.Text{Width: widestSheet, ASCII: c.ASCII}.WriteReport, nil
	case ".json":
		return report.WriteReportJSON, nil
	case ".csv":
		return report.WriteReportCSV, nil
	}
	return nil, fmt.Errorf("--report %s: a report ends in .txt, .json or .csv", c.Report)
}

// finish ends the output.
func (c *checkCmd) finish(e *env, r *report.Report) error {
	switch c.Format {
	case "json":
		return report.WriteFindingsJSON(e.stdout, r)
	case "csv":
		return report.WriteReportCSV(e.stdout, r)
	}
	return c.sheet(e).WriteCounts(e.stdout, r)
}

func (c *checkCmd) sheet(e *env) report.Text {
	o := reportFormat{ASCII: c.ASCII}
	return o.sheet(e)
}

// checkRecords checks one JSON document, or as many as follow each other
// (JSON Lines), and gives what is no JSON to broken. A record whose form is wrong
// is not checked further.
func checkRecords(name string, text []byte, rules []*validate.Rule, broken func(error)) []report.Checked {
	var all []report.Checked
	several := false
	wrong := func(d *feed.DocumentError) error {
		several = true // a record by itself would not be called the first
		broken(fmt.Errorf("%s: %w", name, d))
		return nil
	}
	feed.EachDocument(bytes.NewReader(text), int64(len(text))+1, func(d *feed.Document) error {
		record := feed.RecordOf(d.Text)
		if len(record) < len(d.Text) { // a line of a feed
			if err := schema.CheckKeys(d.Text); err != nil {
				return wrong(&feed.DocumentError{Number: d.Number, Line: d.Line, Err: err})
			}
		}
		found, r, err := validate.CheckDocumentWith(rules, record)
		if err != nil {
			at := &feed.DocumentError{Number: d.Number, Line: d.Line, Err: err}
			if form := (*form.Error)(nil); errors.As(err, &form) { // its lines are those of the document
				at.Line, at.Col, at.Err = d.Line+form.Line-1, form.Col, form.Err
			}
			return wrong(at)
		}
		for i := range found {
			for k := range found[i].Positions {
				found[i].Positions[k].Line += d.Line - 1
			}
		}
		one := report.Checked{File: intake.Shown(name), Record: d.Number, Findings: found, Of: r}
		if r != nil {
			one.Captions = naming.ShownPath(r.Source.File)
		}
		all = append(all, one)
		return nil
	}, wrong)
	if len(all) == 1 && !several {
		all[0].Record = 0
		if name != intake.Stdin {
			all[0].Captions = "" // the file is the record's own
		}
	}
	return all
}
