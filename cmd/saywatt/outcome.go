package main

import (
	"fmt"
	"slices"
	"strings"

	"saywatt/internal/alike"
	"saywatt/internal/export/account"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// A tally counts what the records of a run leave to a person.
type tally struct {
	records, repaired, open, waiting int // waiting: records with something open
	check                            int // names to check, which may be misspelt
	severities                       [schema.SeverityError + 1]int
	captions                         corrections
}

// corrections counts what was done to captions.
type corrections struct {
	verb         string // "" where nothing was written
	places       int    // corrected, or to be
	names        int    // of these, names
	reworded     int    // and what a person reworded
	left, unsure int    // left as heard, and of these what the record is sure of
	refused      int    // rows of a list of changes that say no
}

func (c *corrections) String() string {
	if c.verb == "" {
		return ""
	}
	s := "; " + word.Plural(c.places, "place ", "places ") + c.verb
	if c.names+c.reworded > 0 { // so that values and what was left are the changes
		var of []string
		for _, n := range []struct {
			n         int
			one, many string
		}{{c.places - c.names - c.reworded, "value", "values"}, {c.names, "name", "names"},
			{c.reworded, "wording", "wordings"}} {
			if n.n > 0 {
				of = append(of, word.Plural(n.n, n.one, n.many))
			}
		}
		s += ": " + strings.Join(of, ", ")
	}
	if c.unsure > 0 {
		s += "; " + word.Plural(c.unsure, "change", "changes") + " left as heard"
	}
	return s
}

func (t *tally) add(r *schema.Record) {
	t.records++
	a := account.Of(r)
	t.repaired += a.Changed
	t.open += a.Ear
	t.check += a.Check
	if a.Ear > 0 {
		t.waiting++
	}
	for i := range r.Findings {
		t.severities[r.Findings[i].Severity]++
	}
}

// quiet reports that there is nothing to say.
func (t *tally) quiet() bool {
	return t.open+t.check == 0 && t.severities[schema.SeverityError] == 0 && (t.records < 2 || t.repaired == 0)
}

// String says it: "6 changed, 27 for your ear in 4 of them, 2 names to check, 1 error".
func (t *tally) String() string {
	s := fmt.Sprintf("%d changed, %d for your ear", t.repaired, t.open)
	if t.records > 1 && t.open > 0 {
		s += fmt.Sprintf(" in %d of them", t.waiting)
	}
	if t.check > 0 {
		s += ", " + word.Plural(t.check, "name to check", "names to check")
	}
	if n := t.severities[schema.SeverityError]; n > 0 {
		s += ", " + word.Plural(n, "error", "errors")
	}
	return s + t.captions.String()
}

// report says on standard error what the records of a run leave to a person.
func (e *env) report(t *tally, name string) {
	if t.records > 1 {
		name = fmt.Sprintf("%d reviews", t.records)
	}
	if t.records > 0 && !t.quiet() {
		fmt.Fprintf(e.stderr, "saywatt: %s: %s\n", word.Printable(name), t)
	}
}

// A failCondition is something that a command may be asked to end with exit
// status 1 for.
type failCondition struct {
	name, meaning string
	holds         func(*tally) bool
}

// failConditions are the values of --fail-on.
func failConditions() []failCondition {
	atLeast := func(s schema.Severity) func(*tally) bool {
		return func(t *tally) bool {
			for k := s; k < schema.Severity(len(t.severities)); k++ {
				if t.severities[k] > 0 {
					return true
				}
			}
			return false
		}
	}
	return []failCondition{
		{"open", "something is left for your ear", func(t *tally) bool { return t.open+t.captions.left > 0 }},
		{"changed", "something was repaired", func(t *tally) bool { return t.repaired+t.captions.places > 0 }},
		{"error", "a finding of severity error", atLeast(schema.SeverityError)},
		{"warning", "a warning or an error", atLeast(schema.SeverityWarning)},
		{"note", "any finding", atLeast(schema.SeverityNote)},
		{"nothing", "never", func(*tally) bool { return false }},
	}
}

// conditions are names of conditions, as --fail-on takes them: several with commas.
type conditions []string

// failFlag asks for exit status 1.
type failFlag struct {
	FailOn conditions `name:"fail-on" help:"What ends with exit status 1."`
}

// failHelp describes the flag; usual is what holds without it.
func failHelp(usual string) string {
	var b strings.Builder
	const head = "      --fail-on C    "
	b.WriteString(head + "end with exit status 1 where C is so; several with commas,\n")
	for _, c := range failConditions() {
		fmt.Fprintf(&b, "%*s%-8s %s\n", len(head), "", c.name, c.meaning)
	}
	fmt.Fprintf(&b, "%*s(default %s)\n", len(head), "", usual)
	return b.String()
}

// checkFail refuses conditions that are not known.
func (f *failFlag) checkFail() error {
	var names []string
	for _, c := range failConditions() {
		names = append(names, c.name)
	}
	for _, name := range f.FailOn {
		if !slices.Contains(names, name) {
			return fmt.Errorf("--fail-on %q is not known%s; there are %s", name, didYouMean(name, names),
				strings.Join(names, ", "))
		}
	}
	return nil
}

// outcome is the error for what a run came to. failed says that an input could
// not be read; usual is what ends with exit status 1 where nothing was asked for.
func (f *failFlag) outcome(t *tally, failed bool, usual ...string) error {
	if failed {
		return errReported
	}
	asked := f.FailOn
	if len(asked) == 0 {
		asked = usual
	}
	for _, c := range failConditions() {
		if slices.Contains(asked, c.name) && c.holds(t) {
			return errAttention
		}
	}
	return nil
}

// didYouMean suggests the nearest of some names.
func didYouMean(typed string, names []string) string { return alike.Meant(typed, names) }
