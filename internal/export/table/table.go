// Package table makes of a record tables of typed cells under fixed columns, and writes
// them as CSV ([Table.WriteCSV]) and Parquet ([ParquetWriter]). The rows of the feed
// (package feed) and the sheets of a workbook (package workbook) are made of them too.
//
// A table is a function of the record, a name in [Names] and a case in [Named]. What
// each column of each holds is a row of tables/columns.tsv: its type, unit and meaning.
// [WriteDictionary] prints it, [Table.WriteMetadata] writes it beside a CSV file, and a
// Parquet file has its types from it. [Levels] and [Components] are formats of their
// own with settled columns; what is added to them is in the tables of those names only.
//
// Whatever captions held, a spreadsheet is shown no formula ([CSVCell]).
package table

import (
	"io"
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/edit"
	"saywatt/internal/export/account"
	"saywatt/internal/export/naming"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// A Table is a part of a record as rows of typed cells: a string, an int, a
// float64 (a probability), a schema.Decimal, a schema.Seconds, or nil for an
// empty cell. Every table has the same columns whatever the record holds.
type Table struct {
	Name    string
	Columns []string
	Rows    [][]any
}

// Names are the names of the tables of a record, in the order of the
// sheet. What each column of each holds is said in tables/columns.tsv.
var Names = []string{"body", "claims", "shared-power", "levels", "battery", "cable", "components", "ratings",
	"measurements", "quantities", "ear",
	"findings", "changes"}

// Default is the table that is written where none is named.
const Default = "quantities"

// All returns the tables of a record, in the order of Names. changes
// are the corrections of its captions, nil where there are none. The
// tables of levels and components have the columns of the formats of those
// names, behind them whether a value may belong elsewhere, and the id.
func All(r *schema.Record, changes []edit.Change) []Table {
	all := make([]Table, len(Names))
	for i, name := range Names {
		all[i], _ = Named(r, changes, name)
	}
	return all
}

// identified puts behind each row how sure the places of its values are, and the
// id of what it is about.
func (t Table) identified(of func(row int) (schema.PlaceDoubt, string)) Table {
	t.Columns = append(slices.Clone(t.Columns), "place_doubt", "id")
	for i := range t.Rows {
		doubt, id := of(i)
		t.Rows[i] = append(t.Rows[i], doubt.Words(), id)
	}
	return t
}

// placeDoubt is how sure it is that values belong where they stand: as sure as the
// least sure of them.
func placeDoubt(r *schema.Record, values ...*schema.Value) schema.PlaceDoubt {
	doubt := schema.PlaceSure
	for _, v := range values {
		if v != nil {
			doubt = max(doubt, r.PlaceDoubtOf(v))
		}
	}
	return doubt
}

// Named returns one of them; false where there is none of that name.
func Named(r *schema.Record, changes []edit.Change, name string) (Table, bool) {
	switch name {
	case "body":
		return bodyTable(r), true
	case "claims":
		return claimsTable(r), true
	case "shared-power":
		return sharedPowerTable(r), true
	case "levels":
		return Levels(r).identified(func(i int) (schema.PlaceDoubt, string) {
			l := &r.Levels[i]
			return placeDoubt(r, &l.Voltage, l.Current, l.Power), l.ID
		}), true
	case "battery":
		return batteryTable(r), true
	case "cable":
		return cableTable(r), true
	case "components":
		return Components(r).identified(func(i int) (schema.PlaceDoubt, string) {
			c := &r.Components[i]
			return placeDoubt(r, account.RatingValues(c.Ratings)...), c.ID
		}), true
	case "ratings":
		return ratingsTable(r), true
	case "measurements":
		return measurementsTable(r), true
	case "quantities":
		return quantitiesTable(r), true
	case "ear":
		return earTable(r), true
	case "findings":
		return findingsTable(r), true
	case "changes":
		return changesTable(changes), true
	}
	return Table{}, false
}

// WriteCSV writes the table as CSV, RFC 4180; with its header line if wanted.
func (t Table) WriteCSV(w io.Writer, header bool) error {
	c := NewCSV(w)
	if header {
		c.Write(t.Columns)
	}
	cells := make([]string, len(t.Columns))
	for _, row := range t.Rows {
		for i, v := range row {
			cells[i] = CellText(v)
		}
		c.Write(cells)
	}
	c.Flush()
	return c.Error()
}

// CellText writes a cell as text. Numbers are numbers, a minus sign included;
// texts cannot become formulas.
func CellText(v any) string {
	switch v := v.(type) {
	case string:
		return CSVCell(v)
	case int:
		return strconv.Itoa(v)
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64)
	case schema.Decimal:
		return v.String()
	case schema.Seconds:
		return v.String()
	}
	return ""
}

func batteryTable(r *schema.Record) Table {
	t := Table{Name: "battery", Columns: append([]string{"part"}, valueColumns...)}
	b := r.Battery
	if b == nil {
		return t
	}
	add := func(part string, row []any) { t.Rows = append(t.Rows, append([]any{part}, row...)) }
	text := func(part, property, s string) {
		if s != "" {
			add(part, textRow(property, s))
		}
	}
	count := func(property string, n int) {
		if n > 0 {
			d := schema.NewDecimal(int64(n), 0)
			row := textRow(property, "")
			row[1], row[2], row[3], row[4] = d, d, "1", nil
			add("cell", row)
		}
	}
	value := func(part, property string, v *schema.Value) {
		if v != nil {
			add(part, valueRow(r, property, v))
		}
	}
	c := &b.Cell
	text("cell", "maker", c.Maker)
	text("cell", "part", c.Part)
	text("cell", "format", c.Format)
	text("cell", "chemistry", c.Chemistry)
	count("count", c.Count)
	count("series", c.Series)
	count("parallel", c.Parallel)
	for _, p := range []struct {
		name string
		v    *schema.Value
	}{{"capacity", c.Capacity}, {"voltage", c.Voltage}, {"charge_limit", c.ChargeLimit}, {"cutoff", c.Cutoff},
		{"energy", c.Energy},
		{"mass", c.Mass}, {"resistance", c.Resistance}, {"cycles", c.Cycles}} {
		value("cell", p.name, p.v)
	}
	for _, g := range []struct {
		name string
		p    *schema.Pack
	}{{"pack", &b.Pack}, {"rated", &b.Rated}} {
		value(g.name, "capacity", g.p.Capacity)
		value(g.name, "voltage", g.p.Voltage)
		value(g.name, "current", g.p.Current)
		value(g.name, "full", g.p.Full)
		value(g.name, "cutoff", g.p.Cutoff)
		value(g.name, "energy", g.p.Energy)
		value(g.name, "mass", g.p.Mass)
	}
	for i := range b.Other {
		value("other", b.Other[i].Quantity.Unit.Kind().String(), &b.Other[i])
	}
	return t
}

func measurementsTable(r *schema.Record) Table {
	t := Table{Name: "measurements",
		Columns: []string{"property", "low", "high", "unit", "qualifier", "subject", "mode", "port", "protocol",
			"mains_v", "load_v", "load_a", "load_w", "ambient_c", "time_s", "status", "confidence", "heard", "at",
			"place_doubt"}}
	for i := range r.Measurements {
		m := &r.Measurements[i]
		c := m.Condition
		if c == nil {
			c = &schema.Condition{}
		}
		v := &m.Value
		t.Rows = append(t.Rows, []any{m.Property, v.Quantity.Low, v.Quantity.High, string(v.Quantity.Unit),
			qualifierName(v.Qualifier), m.Subject, c.Mode, c.Port, c.Protocol,
			in(c.Mains, "V", true), in(c.Voltage, "V", true), in(c.Current, "A", true), in(c.Power, "W", true),
			in(c.Ambient, "Cel", true), in(c.Time, "s", true),
			statusName(v.Status), v.Confidence, heardOf(r, v), timeCell(account.FirstSaid(r, v)),
			placeDoubt(r, v, c.Mains, c.Voltage, c.Current, c.Power, c.Ambient, c.Time).Words()})
	}
	return t
}

func quantitiesTable(r *schema.Record) Table {
	t := Table{Name: "quantities",
		Columns: []string{"number", "at", "heard", "kind", "low", "high", "unit", "qualifier", "status", "confidence",
			"role", "place", "withdrawn", "place_probability", "belongs", "others", "why"}}
	for i := range r.Quantities {
		s := &r.Quantities[i]
		withdrawn := ""
		if s.Withdrawn {
			withdrawn = "yes"
		}
		t.Rows = append(t.Rows, []any{s.Number, timeCell(s.At), s.Heard, s.Kind.String(), s.Quantity.Low,
			s.Quantity.High, string(s.Quantity.Unit), qualifierName(s.Qualifier),
			statusName(s.Status), s.Confidence, s.Role, s.Place, withdrawn, placeProbability(s), belongs(s), others(s),
			strings.Join(s.Why, "; ")})
	}
	return t
}

// placeProbability is that of the place which a quantity fills, nil where it is in
// no doubt.
func placeProbability(s *schema.Said) any {
	if s.Place == "" || s.PlaceDoubt() == schema.PlaceSure {
		return nil
	}
	return s.PlaceShare()
}

// belongs lists what a quantity may belong to, where that is in doubt: "nothing,
// or what no field has 76 %; mass of the product 24 %".
func belongs(s *schema.Said) string {
	var parts []string
	for i := range s.Belongs {
		b := &s.Belongs[i]
		parts = append(parts, b.Words+" "+strings.ReplaceAll(word.Percent(b.Confidence), word.NBSP, " "))
	}
	return strings.Join(parts, "; ")
}

// others lists the readings not chosen: "32.5 A 2 %; 325 A 1 %".
func others(s *schema.Said) string {
	var parts []string
	for i := range s.Readings[:min(len(s.Readings), account.MaxReadings)] {
		if q := &s.Readings[i].Quantity; !q.Same(s.Quantity) {
			text := word.Quantity(q) + " " + word.Percent(s.Readings[i].Confidence)
			parts = append(parts, strings.ReplaceAll(text, word.NBSP, " "))
		}
	}
	return strings.Join(parts, "; ")
}

func earTable(r *schema.Record) Table {
	t := Table{Name: "ear", Columns: []string{"number", "at", "heard", "context", "role"}}
	for _, n := range []string{"first", "second", "third", "fourth", "fifth"} {
		t.Columns = append(t.Columns, n, n+"_probability")
	}
	for _, s := range account.OpenQuantities(r) {
		row := []any{s.Number, timeCell(s.At), s.Heard, s.Context, schema.RoleWords(s.Role, "")}
		for i := range account.MaxReadings {
			if i < len(s.Readings) {
				row = append(row, strings.ReplaceAll(word.Quantity(&s.Readings[i].Quantity), word.NBSP, " "),
					s.Readings[i].Confidence)
			} else {
				row = append(row, nil, nil)
			}
		}
		t.Rows = append(t.Rows, row)
	}
	for _, c := range account.OpenNames(r) {
		row := []any{nil, timeCell(c.At), c.Heard, nil, c.Kind}
		for _, n := range c.Readings[:min(len(c.Readings), account.MaxReadings)] {
			row = append(row, n.Meant, n.Confidence)
		}
		if len(c.Readings) == 0 {
			row = append(row, c.Read)
		}
		t.Rows = append(t.Rows, append(row, make([]any, len(t.Columns)-len(row))...))
	}
	return t
}

func findingsTable(r *schema.Record) Table {
	t := Table{Name: "findings", Columns: []string{"severity", "rule", "message", "paths", "at", "source", "standing",
		"proposal"}}
	for _, f := range account.ByGravity(r) {
		var at []string
		for _, s := range f.At {
			at = append(at, s.String())
		}
		proposal := ""
		if f.Proposal != nil {
			proposal = strings.ReplaceAll(word.Quantity(f.Proposal), word.NBSP, " ")
		}
		t.Rows = append(t.Rows, []any{f.Severity.String(), f.Rule, f.Message, strings.Join(f.Paths, "; "),
			strings.Join(at, "; "), schema.PlainSource(f.Source), f.Standing, proposal})
	}
	return t
}

func changesTable(changes []edit.Change) Table {
	t := Table{Name: "changes", Columns: []string{"at", "before", "after", "why", "confidence", "said", "span"}}
	for i := range changes {
		c := &changes[i]
		var said, confidence any
		if c.Said > 0 {
			said = c.Said
		}
		if c.Confidence > 0 {
			confidence = c.Confidence
		}
		t.Rows = append(t.Rows, []any{timeCell(c.At), c.Before, c.After, c.Why, confidence, said,
			strconv.Itoa(c.Span.Start) + ".." + strconv.Itoa(c.Span.End)})
	}
	return t
}

// heardOf returns the words that a value rests on.
func heardOf(r *schema.Record, v *schema.Value) string {
	if len(v.Said) == 0 {
		return ""
	}
	if s := r.Quantity(v.Said[0]); s != nil {
		return s.Heard
	}
	return ""
}

// Columns in front of every table of several reviews, and of all that are
// written for other programs:
//
//	review  name of the review: as given, else made of its file's name (naming.ReviewName)
//	file    name of the file that was read (see naming.ShownPath); empty for standard input
var reviewColumns = []string{"review", "file"}

// OfReview puts the columns of the review in front of a table of its record.
func (t Table) OfReview(r *schema.Record) Table {
	out := Table{Name: t.Name, Columns: append(append([]string{}, reviewColumns...), t.Columns...)}
	var file any
	if r.Source.File != "-" {
		file = naming.ShownFile(&r.Source)
	}
	for _, row := range t.Rows {
		out.Rows = append(out.Rows, append([]any{naming.ReviewName(&r.Source), file}, row...))
	}
	return out
}

// A Sourced is a record with the changes it makes to the captions it is from;
// no changes where the captions are not at hand.
type Sourced struct {
	Record  *schema.Record
	Changes []edit.Change
}
