package report

// A report of what the rules say of many records, for an editor's file.
//
// As JSON it is one object: off, an array of what was switched off (name,
// where, why); rules, an array with a rule's name, family and the numbers of
// errors, warnings, notes and records; and records, what WriteFindingsJSON has but
// for what was switched off.
// As CSV (RFC 4180) it has a row a finding under the head
//
//	file,record,captions,time,severity,rule,family,message,places,would_agree,source,standing
//
// and, in front of them, a row of severity "off" for each thing switched off.
// As text it is the findings of each record and the counts.

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/export/line"
	"saywatt/internal/export/plainjson"
	"saywatt/internal/export/table"
	"saywatt/internal/export/word"
	"saywatt/schema"
	"saywatt/validate"
)

// Report is what the rules say of records.
type Report struct {
	Records []Checked
	Off     validate.Off
}

// ruleCount is how often a rule spoke.
type ruleCount struct {
	Rule     string `json:"rule"`
	Family   string `json:"family"`
	Errors   int    `json:"errors"`
	Warnings int    `json:"warnings"`
	Notes    int    `json:"notes"`
	Records  int    `json:"records"` // in which it spoke
}

// Counts counts the findings by rule: most errors first, then warnings, notes,
// and by name.
func (r *Report) Counts() []ruleCount {
	at := map[string]int{}
	last := map[string]int{}
	var out []ruleCount
	for i := range r.Records {
		for k := range r.Records[i].Findings {
			f := &r.Records[i].Findings[k]
			n, ok := at[f.Rule]
			if !ok {
				n = len(out)
				at[f.Rule] = n
				out = append(out, ruleCount{Rule: f.Rule, Family: validate.FamilyOf(f.Rule)})
			}
			c := &out[n]
			switch f.Severity {
			case schema.SeverityError:
				c.Errors++
			case schema.SeverityWarning:
				c.Warnings++
			default:
				c.Notes++
			}
			if last[f.Rule] != i+1 {
				last[f.Rule] = i + 1
				c.Records++
			}
		}
	}
	slices.SortFunc(out, func(a, b ruleCount) int {
		return cmp.Or(cmp.Compare(b.Errors, a.Errors), cmp.Compare(b.Warnings, a.Warnings), cmp.Compare(b.Notes,
			a.Notes), cmp.Compare(a.Rule, b.Rule))
	})
	return out
}

// WriteReportJSON writes a report as one indented JSON object.
func WriteReportJSON(w io.Writer, r *Report) error {
	type off struct {
		Name  string `json:"name"`
		Where string `json:"where"`
		Why   string `json:"why,omitempty"`
	}
	out := struct {
		Off     []off       `json:"off"`
		Rules   []ruleCount `json:"rules"`
		Records []Checked   `json:"records"`
	}{[]off{}, r.Counts(), listed(r.Records)}
	if out.Rules == nil {
		out.Rules = []ruleCount{}
	}
	for _, e := range r.Off.Entries {
		out.Off = append(out.Off, off{e.Name, e.Where, e.Why})
	}
	return plainjson.Write(w, out)
}

// WriteReportCSV writes a report as CSV.
func WriteReportCSV(w io.Writer, r *Report) error {
	t := table.NewCSV(w)
	rows := [][]string{{"file", "record", "captions", "time", "severity", "rule", "family", "message", "places",
		"would_agree", "source", "standing"}}
	for _, e := range r.Off.Entries {
		rows = append(rows, []string{"", "", "", "", "off", table.CSVCell(e.Name), "", table.CSVCell(e.Why), "", "",
			table.CSVCell(e.Where), ""})
	}
	for i := range r.Records {
		c := &r.Records[i]
		for k := range c.Findings {
			f := &c.Findings[k]
			number, agrees := "", ""
			if c.Record > 0 {
				number = strconv.Itoa(c.Record)
			}
			if f.Proposal != nil {
				agrees = word.Quantity(f.Proposal)
			}
			rows = append(rows, []string{table.CSVCell(c.File), number, table.CSVCell(c.Captions), moments(f),
				f.Severity.String(), f.Rule, validate.FamilyOf(f.Rule),
				table.CSVCell(f.Message), table.CSVCell(c.places(f.Paths)), table.CSVCell(agrees),
				table.CSVCell(schema.PlainSource(f.Source)), f.Standing})
		}
	}
	return t.WriteAll(rows)
}

// WriteReport writes a report as text.
func (s Text) WriteReport(w io.Writer, r *Report) error {
	for i := range r.Records {
		if i > 0 {
			if _, err := io.WriteString(w, "\n"); err != nil {
				return err
			}
		}
		if err := s.WriteFindings(w, &r.Records[i]); err != nil {
			return err
		}
	}
	return s.WriteCounts(w, r)
}

// WriteCounts ends a report of several records with the count a rule, and any
// report with what was switched off.
func (s Text) WriteCounts(w io.Writer, r *Report) error {
	b := bufio.NewWriter(w)
	l := s.lines(b)
	if counts := r.Counts(); len(r.Records) > 1 {
		l.Line("")
		l.Line(l.Paint(fmt.Sprintf("In %d records", len(r.Records)), line.StyleTitle))
		wide := len("rule")
		for _, c := range counts {
			wide = max(wide, len(c.Rule))
		}
		const columns = "%6s %8s %5s %7s"
		if len(counts) > 0 {
			l.Line("  " + l.Paint(word.Padded("rule", wide)+fmt.Sprintf(columns, "errors", "warnings", "notes",
				"records"), line.StyleFaint))
		} else {
			l.Flow("  ", 2, []line.Run{line.Plain(tally(nil))})
		}
		for _, c := range counts {
			l.Line("  " + l.Paint(word.Padded(c.Rule, wide), line.StyleLabel) +
				fmt.Sprintf(columns, count(c.Errors), count(c.Warnings), count(c.Notes), count(c.Records)))
		}
	}
	if len(r.Off.Entries) > 0 {
		l.Line("")
		l.Line(l.Paint("Switched off", line.StyleTitle))
		for _, e := range r.Off.Entries {
			text := " (" + e.Where + ")"
			if e.Why != "" {
				text = ": " + e.Why + text
			}
			l.Flow("  ", 4, []line.Run{line.Label(e.Name), line.Plain(text)})
		}
	}
	return l.Finish(b)
}

// count writes a number, nothing for 0.
func count(n int) string { return strings.TrimPrefix(strconv.Itoa(n), "0") }
