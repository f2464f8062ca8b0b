package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saywatt/internal/export/account"
	"saywatt/internal/export/line"
	"saywatt/internal/export/naming"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// maxContext bounds the words shown around an open quantity, in columns.
const maxContext = 110

// alsoSaid lists what fits no field of the sheet: quantities, by their kind,
// those withdrawn, and notes.
func (p *page) alsoSaid() {
	var rows []Row
	add := func(label string, numbers []int) {
		for _, n := range numbers {
			s := p.record.Quantity(n)
			if s == nil {
				continue
			}
			sign, st := line.Doubted(s.Status, s.PlaceDoubt())
			body := []line.Run{line.Styled(word.Qualified(s.Qualifier, &s.Quantity)+sign, st),
				line.Faint(" " + word.Quote(s.Heard, maxQuote))}
			if s.Aside != schema.AsideNone {
				body = append(body, line.Plain(", "+s.Aside.Words()))
			}
			name := label
			if name == "" {
				name = word.Words(s.Kind.String())
			}
			rows = append(rows, Row{At: s.At, Label: name, Body: body})
		}
	}
	add("", p.record.Unplaced)
	add("withdrawn", p.record.Withdrawn)
	for _, n := range p.record.Notes {
		rows = append(rows, Row{At: n.At, Label: "note", Body: []line.Run{line.Plain(n.Text)}})
	}
	slices.SortStableFunc(rows, func(a, b Row) int { return cmp.Compare(moment(a.At), moment(b.At)) })
	p.table("Also said", rows)
}

// Titles of sections that the desk or an article has too.
const (
	TogetherTitle = "Ports in use together"
	LevelsTitle   = "Levels"
	NamesTitle    = "Names heard otherwise"
	BelongsTitle  = "Belongs to" // quantities whose place is in doubt
)

// names lists the ports, protocols, kinds of part and features that were read
// from other words than their own, and names of the product that a person put
// right, a line a name; makers, part numbers and packages stand so in the parts,
// and what is open under needsEar.
func (p *page) names() {
	var rows []Row
	for _, n := range account.Otherwise(p.record) {
		sign, _ := line.Mark(n.Status)
		quoted := make([]string, len(n.Heard))
		for i, h := range n.Heard {
			quoted[i] = word.Quote(h, maxQuote)
		}
		body := []line.Run{line.Plain(strings.Join(quoted, ", "))}
		if n.Times > 1 {
			body = append(body, line.Faint(fmt.Sprintf(", %d times", n.Times)))
		}
		rows = append(rows, Row{At: n.At, Label: cmp.Or(word.Clip(n.Meant, mostTitle), "none") + sign, Body: body})
	}
	p.table(NamesTitle, rows)
	p.namesToCheck()
}

// namesToCheck lists on one line the names that stand as heard and that captions
// may have misspelled, with what else was heard for them.
func (p *page) namesToCheck() {
	var body []line.Run
	for i := range p.record.NamesToCheck {
		n := &p.record.NamesToCheck[i]
		if i > 0 {
			body = append(body, line.Plain(", "))
		}
		body = append(body, line.Plain(n.Name))
		var other []string
		for _, h := range n.Heard {
			if h != n.Name {
				other = append(other, word.Quote(h, maxQuote))
			}
		}
		if len(other) > 0 {
			body = append(body, line.Faint(" ("+strings.Join(other, ", ")+")"))
		}
	}
	if body != nil {
		p.table("Names to check", []Row{{Label: "as heard", Body: body}})
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
	quantities, names := account.OpenQuantities(p.record), account.OpenNames(p.record)
	if len(quantities)+len(names) == 0 {
		return
	}
	p.section("Needs your ear")
	for _, s := range quantities {
		runs := []line.Run{line.Open(word.Quote(s.Heard, maxQuote))}
		if s.Role != "" {
			runs = append(runs, line.Plain(" as "+schema.RoleWords(s.Role, "")))
		}
		if s.Context != "" && s.Context != s.Heard {
			runs = append(runs, line.Faint(" in "+word.Quote(s.Context, maxContext)))
		}
		p.Flow(p.time(s.At), p.gutter, runs)
		p.Flow(strings.Repeat(" ", p.gutter+2), p.gutter+2, p.choices(s))
	}
	for _, c := range names {
		runs := []line.Run{line.Open(word.Quote(c.Heard, maxQuote)), line.Plain(" names " + c.What)}
		if len(c.Readings) == 0 && c.Read != "" && c.Read != c.Heard {
			runs = append(runs, line.Plain(", read as "+c.Read))
		}
		p.Flow(p.time(c.At), p.gutter, runs)
		if len(c.Readings) > 0 {
			p.Flow(strings.Repeat(" ", p.gutter+2), p.gutter+2,
				p.alternatives(len(c.Readings), func(i int) (string, float64) {
					return c.Readings[i].Meant, c.Readings[i].Confidence
				}))
		}
	}
}

// whereItBelongs lists the quantities whose place is in doubt, in the order said,
// with what they may belong to. Articles have them as a table.
func (p *page) whereItBelongs() {
	var rows []Row
	headed := false
	for i := range p.record.Quantities {
		s := &p.record.Quantities[i]
		if s.PlaceDoubt() == schema.PlaceSure {
			continue
		}
		sign, st := line.Doubted(s.Status, s.PlaceDoubt())
		value, heard := word.Qualified(s.Qualifier, &s.Quantity)+sign, word.Quote(s.Heard, maxQuote)
		if p.gather != nil {
			rows = append(rows, Row{At: s.At, Label: value,
				Body: append([]line.Run{line.Faint(heard + ": ")}, p.places(s)...)})
			continue
		}
		if !headed {
			p.section(BelongsTitle)
			headed = true
		}
		p.Flow(p.time(s.At), p.gutter, []line.Run{line.Styled(value, st), line.Faint(" " + heard)})
		p.Flow(strings.Repeat(" ", p.gutter+2), p.gutter+2, p.places(s))
	}
	p.table(BelongsTitle, rows)
}

// places writes what a quantity may belong to, best first, each with its
// probability, and which of it the sheet takes.
func (p *page) places(s *schema.Said) []line.Run {
	items := make([][]line.Run, len(s.Belongs))
	for i := range s.Belongs {
		b := &s.Belongs[i]
		items[i] = alternative(i, b.Words, b.Confidence)
		if s.FieldOf(b) {
			items[i] = append(items[i], line.Faint(" (as"+word.NBSP+"above)"))
		}
	}
	return p.join(items)
}

// choices writes the readings of a quantity, best first, each with its
// probability.
func (p *page) choices(s *schema.Said) []line.Run {
	if len(s.Readings) == 0 {
		return p.alternatives(1, func(int) (string, float64) { return word.Quantity(&s.Quantity), s.Confidence })
	}
	return p.alternatives(min(len(s.Readings), account.MaxReadings), func(i int) (string, float64) {
		return word.Quantity(&s.Readings[i].Quantity), s.Readings[i].Confidence
	})
}

// alternatives writes n things that may be so, best first, each with its
// probability.
func (p *page) alternatives(n int, each func(i int) (words string, probability float64)) []line.Run {
	items := make([][]line.Run, n)
	for i := range items {
		words, probability := each(i)
		items[i] = alternative(i, words, probability)
	}
	return p.join(items)
}

// alternative is the nth of several things that may be so.
func alternative(n int, words string, probability float64) []line.Run {
	st := line.StylePlain
	if n == 0 {
		st = line.StyleLabel
	}
	return []line.Run{line.Styled(words, st), line.Faint(word.NBSP + word.Percent(probability))}
}

// reasons gives for every quantity, in the order said, why it is read so.
func (p *page) reasons() {
	if len(p.record.Quantities) == 0 {
		return
	}
	p.section("Why")
	if terms := termsOf(p.record); len(terms) > 0 {
		p.Flow(strings.Repeat(" ", p.gutter), p.gutter, []line.Run{line.Faint(termLegend(terms))})
	}
	for i := range p.record.Quantities {
		s := &p.record.Quantities[i]
		sign, st := line.Mark(s.Status)
		runs := []line.Run{
			line.Plain(word.Quote(s.Heard, maxQuote) + " "), line.Faint("→" + word.NBSP),
			line.Styled(word.Qualified(s.Qualifier, &s.Quantity)+sign, st),
			line.Faint(word.NBSP + word.Percent(s.Confidence)),
		}
		switch {
		case s.Withdrawn:
			runs = append(runs, line.Faint(" withdrawn by the speaker"))
		case s.Place == "":
			runs = append(runs, line.Faint(" in no field"))
		default:
			runs = append(runs, line.Faint(" "+p.record.PlaceWords(s.Place)))
		}
		p.Flow(p.time(s.At), p.gutter, runs)
		for _, why := range s.Why {
			p.Flow(strings.Repeat(" ", p.gutter+2)+"- ", p.gutter+4, []line.Run{line.Plain(word.KeepUnits(why))})
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
	for i := range s.Readings[:min(len(s.Readings), account.MaxReadings)] {
		r := &s.Readings[i]
		runs := []line.Run{line.Plain(word.Quantity(&r.Quantity)), line.Faint(word.NBSP + word.Percent(r.Confidence))}
		for j, t := range r.Terms {
			sep := ", "
			if j == 0 {
				sep = ": "
			}
			name, _ := schema.TermWords(t.Name)
			runs = append(runs, line.Faint(sep+word.Glue(fmt.Sprintf("%s %+.1f", name, t.Score))))
		}
		p.Flow(strings.Repeat(" ", p.gutter+4), p.gutter+6, runs)
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
	for _, f := range account.ByGravity(p.record) {
		var at *schema.Seconds
		if len(f.At) > 0 {
			at = &f.At[0]
		}
		name := f.Severity.String()
		head := p.time(at) + p.Paint(name, line.OfSeverity(f.Severity)) + strings.Repeat(" ", max(width-len(name), 1))
		p.Flow(head, p.gutter+width, []line.Run{line.Plain(f.Message)})
		p.Flow(strings.Repeat(" ", p.gutter+width), p.gutter+width, []line.Run{line.Faint(account.FindingSource(f))})
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
		p.bullet("-", line.StylePlain, strings.ReplaceAll(s, source.File, naming.ShownFile(source)))
	}
}
