// Package report writes what rules and calculators say: lists of rules and of
// calculators, findings of records, reports of many records, and answers of
// calculators; as text for people ([Text]), as JSON and as CSV.
//
// The rules are those of package validate, the calculators those of validate/calc; here
// is only how what they say looks. The comment at the head of each file specifies its
// JSON.
package report

// Rules and their findings, as text for people or as JSON.
//
// The list of rules in JSON is an array of objects with the members family,
// key (the family in one word), name, doc, detail, source, standing, severity and relates (an array of
// kinds of place). Findings in JSON are an array with one object per record
// checked: file, record (number in the file from 1, absent where the file is
// one record), and findings, an array of what schema.Finding is in a record.

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"saywatt/internal/export/line"
	"saywatt/internal/export/plainjson"
	"saywatt/internal/export/word"
	"saywatt/schema"
	"saywatt/validate"
	"saywatt/validate/standard"
)

// standings says in words what a standing means.
var standings = map[standard.Standing]string{
	standard.Verified:   "verified: read in a published text",
	standard.Computed:   "computed: follows by arithmetic",
	standard.Unverified: "unverified: quoted from memory",
	standard.Practice:   "practice: no source, so it only warns",
}

type ruleJSON struct {
	Family   string          `json:"family"`
	Key      string          `json:"key"`
	Name     string          `json:"name"`
	Doc      string          `json:"doc"`
	Detail   string          `json:"detail"`
	Source   string          `json:"source"`
	Standing string          `json:"standing"`
	Severity schema.Severity `json:"severity"`
	Relates  []string        `json:"relates"`
}

// WriteRulesJSON lists rules as one indented JSON array.
func WriteRulesJSON(w io.Writer, families []validate.Family) error {
	var out []ruleJSON
	for _, f := range families {
		for _, r := range f.Rules {
			out = append(out, ruleJSON{f.Title, f.Name, r.Name, r.Doc, r.Detail, schema.PlainSource(r.Source),
				r.Standing.String(), r.Severity, r.Relates})
		}
	}
	return plainjson.Write(w, out)
}

// WriteRules lists rules, family by family: the gravest severity of each, its
// name, what it says, and its source.
func (s Text) WriteRules(w io.Writer, families []validate.Family) error {
	b := bufio.NewWriter(w)
	l := s.lines(b)
	for i, f := range families {
		if i > 0 {
			l.Line("")
		}
		l.Line(l.Paint(f.Title, line.StyleTitle) + l.Paint(" ("+f.Name+")", line.StyleFaint))
		for _, r := range f.Rules {
			head := l.Paint(word.Padded(r.Severity.String(), severityWidth), line.OfSeverity(r.Severity))
			l.Flow("  "+head, 2+severityWidth, []line.Run{line.Label(r.Name), line.Plain(": " + r.Doc)})
			l.Flow(strings.Repeat(" ", 2+severityWidth), 2+severityWidth, []line.Run{line.Faint(listedSource(r))})
		}
	}
	return l.Finish(b)
}

// listedSource is a rule's source with how firm it is; of practice the source
// itself says so.
func listedSource(r *validate.Rule) string {
	if s := schema.PlainSource(r.Source); r.Standing != standard.Practice {
		return s + " (" + r.Standing.String() + ")"
	} else {
		return s
	}
}

// severityWidth is the width of the column of severities.
const severityWidth = len("warning ")

// Text writes what rules and calculators say as text for people, in lines of a look.
type Text line.Look

// lines prepares writing.
func (s Text) lines(w io.Writer) *line.Writer { return line.Look(s).Writer(w) }

// WriteRule explains one rule, with the cases that its tests run as worked
// examples.
func (s Text) WriteRule(w io.Writer, r *validate.Rule) error {
	b := bufio.NewWriter(w)
	l := s.lines(b)
	l.Flow("", 0, []line.Run{line.Title(r.Name), line.Plain(": " + r.Doc)})
	l.Line("")
	l.Flow("", 0, []line.Run{line.Plain(word.KeepUnits(r.Detail))})
	l.Line("")
	for _, row := range [...][2]string{
		{"raises", "at most: " + r.Severity.String()},
		{"source", schema.PlainSource(r.Source)},
		{"standing", standings[r.Standing]},
		{"relates", strings.Join(r.Relates, ", ")},
	} {
		l.Flow("  "+l.Paint(word.Padded(row[0], factWidth), line.StyleLabel), 2+factWidth,
			[]line.Run{line.Plain(row[1])})
	}
	if a, ok := validate.Example(r.Name); ok {
		l.Line("")
		l.Line(l.Paint("Worked examples", line.StyleTitle))
		for _, p := range strings.Split(strings.TrimSpace(string(a.Comment)), "\n") {
			l.Flow("  ", 2, []line.Run{line.Faint(p)})
		}
		for _, f := range a.Files {
			if f.Name != "findings" {
				l.Line("")
				l.Flow("  ", 2, []line.Run{line.Label(f.Name)})
			}
			for _, said := range strings.Split(strings.TrimSpace(string(f.Data)), "\n") {
				if f.Name == "findings" {
					arrow := l.Text("→ ")
					l.Flow("    "+arrow, 4+word.Columns(arrow), []line.Run{line.Plain(word.KeepUnits(said))})
				} else {
					l.Flow("    ", 4, []line.Run{line.Faint(said)})
				}
			}
		}
	}
	return l.Finish(b)
}

// factWidth is the width of the column of a rule's facts.
const factWidth = len("standing ")

// Checked is what the rules say of one record.
type Checked struct {
	File     string           `json:"file"`
	Record   int              `json:"record,omitempty"`   // in a file of several, from 1
	Captions string           `json:"captions,omitempty"` // that it was made of, where the file does not say
	Findings []schema.Finding `json:"findings"`
	Off      []string         `json:"off,omitempty"` // rules and families that were switched off, in an array by itself
	Of       *schema.Record   `json:"-"`             // the record, where its form was right
}

// places names the places of a finding: in words where the record is known.
func (c *Checked) places(paths []string) string {
	named := make([]string, 0, len(paths))
	for _, p := range paths {
		if c.Of != nil {
			p = c.Of.PlaceWords(p)
		}
		if len(named) == 0 || named[len(named)-1] != p {
			named = append(named, p)
		}
	}
	return strings.Join(named, "; ")
}

// summary says how many findings there are, or that there was nothing to
// check.
func (c *Checked) summary() string {
	if c.Of != nil && len(c.Of.Quantities) == 0 && len(c.Findings) == 0 {
		return "no quantity was said, nothing to check"
	}
	return tally(c.Findings)
}

// name is how a person refers to the record.
func (c *Checked) name() string {
	name := c.File
	if name == "-" {
		name = "standard input"
	}
	if c.Record > 0 {
		name += fmt.Sprintf(", record %d", c.Record)
	}
	if c.Captions != "" {
		name += ", of " + c.Captions
	}
	return name
}

// WriteFindingsJSON writes what was found as one indented JSON array, each record
// with the names of what was switched off.
func WriteFindingsJSON(w io.Writer, r *Report) error {
	all := listed(r.Records)
	for i := range all {
		for _, e := range r.Off.Entries {
			all[i].Off = append(all[i].Off, e.Name)
		}
	}
	return plainjson.Write(w, all)
}

// listed is a copy of what was checked, in which nothing found is an empty list
// and sources name no papers of ours.
func listed(all []Checked) []Checked {
	out := make([]Checked, len(all))
	copy(out, all)
	for i := range out {
		out[i].Findings = make([]schema.Finding, len(all[i].Findings))
		for k, f := range all[i].Findings {
			if f.Source != "" {
				f.Source = schema.PlainSource(f.Source)
			}
			out[i].Findings[k] = f
		}
	}
	return out
}

// WriteFindings writes what was found in one record, grouped from grave to
// slight. Where nothing was found it says so; that is no proof of anything.
func (s Text) WriteFindings(w io.Writer, c *Checked) error {
	b := bufio.NewWriter(w)
	l := s.lines(b)
	l.Flow("", 0, []line.Run{line.Title(c.name()), line.Plain(": " + c.summary())})
	gutter := 0
	for i := range c.Findings {
		gutter = max(gutter, word.Columns(l.Text(moments(&c.Findings[i]))))
	}
	last := schema.SeverityUnknown
	for i := range c.Findings {
		f := &c.Findings[i]
		if f.Severity != last {
			last = f.Severity
			l.Line("")
			l.Line(l.Paint(heading(f.Severity), line.OfSeverity(f.Severity)))
		}
		indent := 2 + gutter + 2
		l.Flow("  "+l.Paint(word.Padded(l.Text(moments(f)), gutter), line.StyleFaint)+"  ", indent,
			[]line.Run{line.Plain(word.KeepUnits(f.Message))})
		below := []line.Run{line.Label(f.Rule)}
		if len(f.Paths) > 0 {
			below = append(below, line.Faint(" at "+c.places(f.Paths)))
		}
		for _, p := range f.Positions {
			below = append(below, line.Faint(fmt.Sprintf(", line %d column %d", p.Line, p.Col)))
		}
		l.Flow(strings.Repeat(" ", indent), indent, below)
		if f.Proposal != nil {
			l.Flow(strings.Repeat(" ", indent), indent,
				[]line.Run{line.Repaired("would agree: " + word.Quantity(f.Proposal))})
		}
		if f.Source != "" {
			l.Flow(strings.Repeat(" ", indent), indent, []line.Run{line.Faint(word.Source(f.Source, f.Standing))})
		}
	}
	return l.Finish(b)
}

// moments writes the first and last time of a finding.
func moments(f *schema.Finding) string {
	if len(f.At) == 0 {
		return ""
	}
	first, last := f.At[0], f.At[0]
	for _, t := range f.At {
		first, last = min(first, t), max(last, t)
	}
	if first == last {
		return first.Clock()
	}
	return first.Clock() + "–" + last.Clock()
}

func heading(s schema.Severity) string {
	switch s {
	case schema.SeverityError:
		return "Errors"
	case schema.SeverityWarning:
		return "Warnings"
	}
	return "Notes"
}

// tally writes "2 errors, 1 note".
func tally(fs []schema.Finding) string {
	var n [schema.SeverityError + 1]int
	for i := range fs {
		n[fs[i].Severity]++
	}
	var parts []string
	for s := schema.SeverityError; s > schema.SeverityUnknown; s-- {
		if n[s] > 0 {
			parts = append(parts, word.Plural(n[s], s.String(), s.String()+"s"))
		}
	}
	if parts == nil {
		return "nothing found by the rules, which is no proof that all is right"
	}
	return strings.Join(parts, ", ")
}
