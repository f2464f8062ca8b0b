package export

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saywatt/internal/export/naming"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// maxContext bounds the words shown around an open quantity, in columns.
const maxContext = 110

// alsoSaid lists what fits no field of the sheet: quantities, by their kind,
// those withdrawn, and notes.
func (p *page) alsoSaid() {
	var rows []row
	add := func(label string, numbers []int) {
		for _, n := range numbers {
			s := p.record.Quantity(n)
			if s == nil {
				continue
			}
			sign, st := doubted(s.Status, s.PlaceDoubt())
			body := []run{{word.Qualified(s.Qualifier, &s.Quantity) + sign, st},
				{" " + word.Quote(s.Heard, maxQuote), styleFaint}}
			if s.Aside != schema.AsideNone {
				body = append(body, run{", " + s.Aside.Words(), stylePlain})
			}
			name := label
			if name == "" {
				name = word.Words(s.Kind.String())
			}
			rows = append(rows, row{at: s.At, label: name, body: body})
		}
	}
	add("", p.record.Unplaced)
	add("withdrawn", p.record.Withdrawn)
	for _, n := range p.record.Notes {
		rows = append(rows, row{at: n.At, label: "note", body: []run{{n.Text, stylePlain}}})
	}
	slices.SortStableFunc(rows, func(a, b row) int { return cmp.Compare(moment(a.at), moment(b.at)) })
	p.table("Also said", rows)
}

// Titles of sections that the desk has too.
const (
	NamesTitle   = "Names heard otherwise"
	BelongsTitle = "Belongs to" // quantities whose place is in doubt
)

// names lists the ports, protocols, kinds of part and features that were read
// from other words than their own, and names of the product that a person put
// right, a line a name; makers, part numbers and packages stand so in the parts,
// and what is open under needsEar.
func (p *page) names() {
	var rows []row
	for _, n := range NamesOtherwise(p.record) {
		sign, _ := mark(n.Status)
		quoted := make([]string, len(n.Heard))
		for i, h := range n.Heard {
			quoted[i] = word.Quote(h, maxQuote)
		}
		body := []run{{strings.Join(quoted, ", "), stylePlain}}
		if n.Times > 1 {
			body = append(body, run{fmt.Sprintf(", %d times", n.Times), styleFaint})
		}
		rows = append(rows, row{at: n.At, label: cmp.Or(word.Clip(n.Meant, mostTitle), "none") + sign, body: body})
	}
	p.table(NamesTitle, rows)
	p.namesToCheck()
}

// namesToCheck lists on one line the names that stand as heard and that captions
// may have misspelled, with what else was heard for them.
func (p *page) namesToCheck() {
	var body []run
	for i := range p.record.NamesToCheck {
		n := &p.record.NamesToCheck[i]
		if i > 0 {
			body = append(body, run{", ", stylePlain})
		}
		body = append(body, run{n.Name, stylePlain})
		var other []string
		for _, h := range n.Heard {
			if h != n.Name {
				other = append(other, word.Quote(h, maxQuote))
			}
		}
		if len(other) > 0 {
			body = append(body, run{" (" + strings.Join(other, ", ") + ")", styleFaint})
		}
	}
	if body != nil {
		p.table("Names to check", []row{{label: "as heard", body: body}})
	}
}

// moment orders times; what has none comes first.
func moment(at *schema.Seconds) schema.Seconds {
	if at == nil {
		return -1
	}
	return *at
}

// needsEar lists what waits for a person, in the order said: the moment, the
// words heard, and the best readings.
func (p *page) needsEar() {
	quantities, names := openQuantities(p.record), openNames(p.record)
	if len(quantities)+len(names) == 0 {
		return
	}
	p.section("Needs your ear")
	for _, s := range quantities {
		runs := []run{{word.Quote(s.Heard, maxQuote), styleOpen}}
		if s.Role != "" {
			runs = append(runs, run{" as " + schema.RoleWords(s.Role, ""), stylePlain})
		}
		if s.Context != "" && s.Context != s.Heard {
			runs = append(runs, run{" in " + word.Quote(s.Context, maxContext), styleFaint})
		}
		p.flow(p.time(s.At), p.gutter, runs)
		p.flow(strings.Repeat(" ", p.gutter+2), p.gutter+2, p.choices(s))
	}
	for _, c := range names {
		runs := []run{{word.Quote(c.heard, maxQuote), styleOpen}, {" names " + c.what, stylePlain}}
		if len(c.readings) == 0 && c.read != "" && c.read != c.heard {
			runs = append(runs, run{", read as " + c.read, stylePlain})
		}
		p.flow(p.time(c.at), p.gutter, runs)
		if len(c.readings) > 0 {
			p.flow(strings.Repeat(" ", p.gutter+2), p.gutter+2,
				p.alternatives(len(c.readings), func(i int) (string, float64) {
					return c.readings[i].Meant, c.readings[i].Confidence
				}))
		}
	}
}

// whereItBelongs lists the quantities whose place is in doubt, in the order said,
// with what they may belong to. Articles have them as a table.
func (p *page) whereItBelongs() {
	var rows []row
	headed := false
	for i := range p.record.Quantities {
		s := &p.record.Quantities[i]
		if s.PlaceDoubt() == schema.PlaceSure {
			continue
		}
		sign, st := doubted(s.Status, s.PlaceDoubt())
		value, heard := word.Qualified(s.Qualifier, &s.Quantity)+sign, word.Quote(s.Heard, maxQuote)
		if p.gather != nil {
			rows = append(rows, row{at: s.At, label: value,
				body: append([]run{{heard + ": ", styleFaint}}, p.places(s)...)})
			continue
		}
		if !headed {
			p.section(BelongsTitle)
			headed = true
		}
		p.flow(p.time(s.At), p.gutter, []run{{value, st}, {" " + heard, styleFaint}})
		p.flow(strings.Repeat(" ", p.gutter+2), p.gutter+2, p.places(s))
	}
	p.table(BelongsTitle, rows)
}

// places writes what a quantity may belong to, best first, each with its
// probability, and which of it the sheet takes.
func (p *page) places(s *schema.Said) []run {
	items := make([][]run, len(s.Belongs))
	for i := range s.Belongs {
		b := &s.Belongs[i]
		items[i] = alternative(i, b.Words, b.Confidence)
		if s.FieldOf(b) {
			items[i] = append(items[i], run{" (as" + word.NBSP + "above)", styleFaint})
		}
	}
	return p.join(items)
}

// choices writes the readings of a quantity, best first, each with its
// probability.
func (p *page) choices(s *schema.Said) []run {
	if len(s.Readings) == 0 {
		return p.alternatives(1, func(int) (string, float64) { return word.Quantity(&s.Quantity), s.Confidence })
	}
	return p.alternatives(min(len(s.Readings), maxReadings), func(i int) (string, float64) {
		return word.Quantity(&s.Readings[i].Quantity), s.Readings[i].Confidence
	})
}

// alternatives writes n things that may be so, best first, each with its
// probability.
func (p *page) alternatives(n int, each func(i int) (words string, probability float64)) []run {
	items := make([][]run, n)
	for i := range items {
		words, probability := each(i)
		items[i] = alternative(i, words, probability)
	}
	return p.join(items)
}

// alternative is the nth of several things that may be so.
func alternative(n int, words string, probability float64) []run {
	st := stylePlain
	if n == 0 {
		st = styleLabel
	}
	return []run{{words, st}, {word.NBSP + word.Percent(probability), styleFaint}}
}

// reasons gives for every quantity, in the order said, why it is read so.
func (p *page) reasons() {
	if len(p.record.Quantities) == 0 {
		return
	}
	p.section("Why")
	if terms := termsOf(p.record); len(terms) > 0 {
		p.flow(strings.Repeat(" ", p.gutter), p.gutter, []run{{termLegend(terms), styleFaint}})
	}
	for i := range p.record.Quantities {
		s := &p.record.Quantities[i]
		sign, st := mark(s.Status)
		runs := []run{
			{word.Quote(s.Heard, maxQuote) + " ", stylePlain}, {"→" + word.NBSP, styleFaint},
			{word.Qualified(s.Qualifier, &s.Quantity) + sign, st}, {word.NBSP + word.Percent(s.Confidence), styleFaint},
		}
		switch {
		case s.Withdrawn:
			runs = append(runs, run{" withdrawn by the speaker", styleFaint})
		case s.Place == "":
			runs = append(runs, run{" in no field", styleFaint})
		default:
			runs = append(runs, run{" " + p.record.PlaceWords(s.Place), styleFaint})
		}
		p.flow(p.time(s.At), p.gutter, runs)
		for _, why := range s.Why {
			p.flow(strings.Repeat(" ", p.gutter+2)+"- ", p.gutter+4, []run{{word.KeepUnits(why), stylePlain}})
		}
		p.scores(s)
	}
}

// scores says how the readings of a quantity were weighed: each with its
// probability and the terms of its score.
func (p *page) scores(s *schema.Said) {
	if len(s.Readings) < 2 && (len(s.Readings) == 0 || len(s.Readings[0].Terms) == 0) {
		return
	}
	for i := range s.Readings[:min(len(s.Readings), maxReadings)] {
		r := &s.Readings[i]
		runs := []run{{word.Quantity(&r.Quantity), stylePlain}, {word.NBSP + word.Percent(r.Confidence), styleFaint}}
		for j, t := range r.Terms {
			sep := ", "
			if j == 0 {
				sep = ": "
			}
			name, _ := schema.TermWords(t.Name)
			runs = append(runs, run{sep + word.Glue(fmt.Sprintf("%s %+.1f", name, t.Score)), styleFaint})
		}
		p.flow(strings.Repeat(" ", p.gutter+4), p.gutter+6, runs)
	}
}

// termsOf lists the names of the terms that the readings have, in the order
// they first come.
func termsOf(r *schema.Record) []string {
	var names []string
	for i := range r.Quantities {
		for k := range r.Quantities[i].Readings {
			for _, t := range r.Quantities[i].Readings[k].Terms {
				if !slices.Contains(names, t.Name) {
					names = append(names, t.Name)
				}
			}
		}
	}
	return names
}

// termLegend explains the scores below it.
func termLegend(names []string) string {
	var parts []string
	for _, name := range names {
		w, means := schema.TermWords(name)
		if means != "" {
			w += " = " + means
		}
		parts = append(parts, w)
	}
	return "How the readings compare, in natural-log units: the higher the likelier, 2.3 is a factor of ten. " +
		strings.Join(parts, "; ") + "."
}

// findings lists what the rules object to, the gravest first.
func (p *page) findings() {
	if len(p.record.Findings) == 0 {
		return
	}
	p.section("Findings")
	const width = len("warning") + 2
	for _, f := range byGravity(p.record) {
		var at *schema.Seconds
		if len(f.At) > 0 {
			at = &f.At[0]
		}
		name := f.Severity.String()
		head := p.time(at) + p.paint(name, severityStyle(f.Severity)) + strings.Repeat(" ", max(width-len(name), 1))
		p.flow(head, p.gutter+width, []run{{f.Message, stylePlain}})
		p.flow(strings.Repeat(" ", p.gutter+width), p.gutter+width, []run{{findingSource(f), styleFaint}})
	}
}

// problems lists what of the file could not be read, or was read leniently.
func (p *page) problems() {
	if len(p.record.Source.Problems) == 0 {
		return
	}
	p.section("The file itself")
	source := &p.record.Source
	for _, s := range source.Problems {
		p.bullet("-", stylePlain, strings.ReplaceAll(s, source.File, naming.ShownFile(source)))
	}
}
