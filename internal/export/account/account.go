// Package account says what of a record a person has to look at, and in which order:
// how many quantities stand as heard, repaired or open ([Of], [InWords]), what waits
// for an ear ([OpenQuantities], [OpenNames]), which names were read from other words
// ([Otherwise]), the findings from grave to slight ([ByGravity]) and the cautions
// ([Cautions]).
//
// Sheets, articles, tables, the summaries of commands, the archive and the desk take
// all of these from here, so that none counts or orders otherwise. It writes nothing.
package account

import (
	"fmt"
	"strings"

	"saywatt/internal/export/word"
	"saywatt/schema"
)

// An Account says what of a record a person has to look at. Whatever prints such
// counts takes them from here, so that all print the same of a record.
type Account struct {
	Changed  int // quantities that were repaired
	Ear      int // what needs an ear: quantities, in a field or in none, and names
	Unplaced int // of these, quantities in no field
	Names    int // and names of parts and makers
	Check    int // names that stand as heard and may be misspelt: apart from Ear
}

// Of counts them.
func Of(r *schema.Record) Account {
	open := OpenQuantities(r)
	a := Account{Changed: r.Counts.Repaired, Names: len(OpenNames(r)), Check: len(r.NamesToCheck)}
	for _, q := range open {
		if q.Unplaced() {
			a.Unplaced++
		}
	}
	a.Ear = len(open) + a.Names
	return a
}

// OpenQuantities lists the quantities that wait for a person, in the order said.
func OpenQuantities(r *schema.Record) []*schema.Said {
	var open []*schema.Said
	for i := range r.Quantities {
		if r.Quantities[i].Status == schema.StatusOpen {
			open = append(open, &r.Quantities[i])
		}
	}
	return open
}

// NotACertification ends a sheet whose record does not itself say so among its
// cautions.
const NotACertification = "This is a transcript of what was said, checked by rules: not a test report, not a " +
	"certification, no proof of compliance with any standard."

// InWords says how the quantities stand: those as heard, repaired, for an
// ear, settled and in no field add up to those said. Where more needs an ear than
// that, quantities in no field or names, it says how much in all; names that may be
// misspelt come last.
func InWords(c *schema.Counts, a Account) string {
	check := ""
	if a.Check > 0 {
		check = "; " + word.Plural(a.Check, "name to check", "names to check")
	}
	if c.Said == 0 {
		return "no quantity was said" + check
	}
	parts := []string{counted(c.Heard, "as heard"), counted(c.Repaired, "repaired"), counted(c.Open, "for your ear"),
		counted(c.Settled, "settled"), counted(c.Unplaced, "in no field")}
	text := fmt.Sprintf("%s said = %s", word.Plural(c.Said, "quantity", "quantities"), word.Join(parts, " + "))
	among := []string{counted(c.Withdrawn, "withdrawn by the speaker"),
		counted(a.Unplaced, "in no field for your ear too")}
	if among := word.Join(among, " and "); among != "" {
		text += "; among them " + among
	}
	if a.Ear > c.Open {
		text += fmt.Sprintf("; in all %d for your ear", a.Ear)
		if a.Names > 0 {
			text += fmt.Sprintf(", %s among them", word.Plural(a.Names, "name", "names"))
		}
	}
	return text + check
}

func counted(n int, what string) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%d %s", n, what)
}

// Cautions lists the cautions of a record; that it is no certification is
// always among them.
func Cautions(r *schema.Record) []string {
	for _, c := range r.Cautions {
		if strings.Contains(c, "certification") {
			return r.Cautions
		}
	}
	return append(append([]string{}, r.Cautions...), NotACertification)
}

// MaxReadings bounds the readings shown of one quantity.
const MaxReadings = 5
