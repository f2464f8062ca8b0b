package desk

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/export/account"
	"saywatt/internal/export/sheet"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// sections lists the parts of the sheet that have something to say.
func (b *sheetBuilder) sections() []sheetSection {
	var all []sheetSection
	add := func(id, title string, rows []sheetRow, grids ...levelGrid) {
		if len(rows) > 0 || len(grids) > 0 {
			all = append(all, b.section(id, title, rows, grids...))
		}
	}
	add("levels", "Levels", nil, b.grids()...)
	add("claims", "Claims", b.claims())
	add("battery", "Battery", b.battery())
	add("cable", "Cable", b.cable())
	add("parts", "Parts", b.parts())
	add("measured", "Measured", b.measured())
	add("body", "Body", b.body())
	add("more", "Also said", b.besides())
	add("names", sheet.NamesTitle, b.names())
	add("belongs", sheet.BelongsTitle, b.belongs())
	return all
}

// names lists what was read from other words than its own; a press leads to where
// they stand.
func (b *sheetBuilder) names() []sheetRow {
	var rows []sheetRow
	for _, n := range account.Otherwise(b.rec) {
		quotes := make([]string, len(n.Heard))
		for i, h := range n.Heard {
			quotes[i] = quoted(h)
		}
		heard := clip(strings.Join(quotes, ", "), 200)
		if n.Times > 1 {
			heard += ", " + strconv.Itoa(n.Times) + " times"
		}
		st := n.Status
		edit := b.base + "/replace?" + queryOf("find", n.Heard[0], "with", n.Meant)
		if st == schema.StatusSettled {
			edit = b.base + "/names?" + queryOf("of", n.Of, "heard", n.Read)
		}
		rows = append(rows, sheetRow{Label: joined(" ", clockOf(n.At), heard), Values: []valueView{{
			Text: clip(cmp.Or(n.Meant, "none"), 60), Sign: st.Mark(), Word: wordOf(st), Class: classOf(st),
			Heard: "heard " + heard + ", " + wordOf(st),
			Edit:  edit}}})
	}
	return rows
}

// belongs lists the quantities whose place is in doubt with what they may belong
// to; a press leads to the question.
func (b *sheetBuilder) belongs() []sheetRow {
	var rows []sheetRow
	for i := range b.rec.Quantities {
		s := &b.rec.Quantities[i]
		if s.PlaceDoubt() == schema.PlaceSure {
			continue
		}
		v := valueView{Text: word.Qualified(s.Qualifier, &s.Quantity), Sign: s.Status.Mark(), Word: wordOf(s.Status),
			Class: classOf(s.Status)}
		b.said(&v, s)
		v.doubt(s.PlaceDoubt())
		v.Edit = b.base + "/place/" + v.At + "?from=sheet"
		var places []string
		for k := range s.Belongs {
			g := &s.Belongs[k]
			words := clip(g.Words, 80) + " " + word.Percent(g.Confidence)
			if s.FieldOf(g) {
				words += " (as above)"
			}
			places = append(places, words)
		}
		rows = append(rows, sheetRow{Label: joined(" ", clockOf(s.At), quoted(s.Heard)), Values: []valueView{v},
			Behind: strings.Join(places, " · ")})
	}
	return rows
}

// a named value that may not be there.
type named struct {
	label string
	value *schema.Value
}

// rowOf shows the values that are there, nil where none is.
func (b *sheetBuilder) rowOf(label, text string, values ...named) []sheetRow {
	row := sheetRow{Label: label, Text: text}
	for _, v := range values {
		if v.value != nil {
			row.Values = append(row.Values, b.value(v.value, v.label))
		}
	}
	if len(row.Values) == 0 && text == "" {
		return nil
	}
	return []sheetRow{row}
}

func (b *sheetBuilder) each(label string, values []schema.Value) []sheetRow {
	var all []named
	for i := range values {
		all = append(all, named{"", &values[i]})
	}
	return b.rowOf(label, "", all...)
}

func (b *sheetBuilder) body() []sheetRow {
	body := &b.rec.Body
	rows := b.each("size", body.Dimensions)
	rows = append(rows, b.rowOf("mass", "", named{"", body.Mass})...)
	rows = append(rows, b.rowOf("volume", "", named{"", body.Volume})...)
	rows = append(rows, b.rowOf("power density", "", named{"", body.Density})...)
	rows = append(rows, b.rowOf("display", "", named{"", body.Display})...)
	for i := range body.Other {
		rows = append(rows, b.rowOf(schema.PropertyWords(body.Other[i].Property), "",
			named{"", &body.Other[i].Value})...)
	}
	if len(body.Materials) > 0 {
		rows = append(rows, sheetRow{Label: "materials", Text: clip(strings.Join(body.Materials, ", "), 200)})
	}
	return rows
}

func (b *sheetBuilder) claims() []sheetRow {
	var rows []sheetRow
	for i := range b.rec.Claims {
		c := &b.rec.Claims[i]
		where := joined(", ", schema.PortWords(c.Port), c.Protocol)
		if c.Mode != "" {
			where = joined(", ", where, modeWords(c.Mode))
		}
		row := b.rowOf(schema.PropertyWords(c.Property), clip(where, 100), named{"", &c.Value})
		if n := len(rows) - 1; n >= 0 && rows[n].Label == row[0].Label && rows[n].Text == row[0].Text {
			rows[n].Values = append(rows[n].Values, row[0].Values...)
			continue
		}
		rows = append(rows, row...)
	}
	for i := range b.rec.Ports {
		if p := &b.rec.Ports[i]; len(p.Protocols) > 0 {
			rows = append(rows, sheetRow{Label: clip(schema.PortWords(p.Name), 40),
				Text: clip("speaks "+strings.Join(p.Protocols, ", "), 200)})
		}
	}
	return rows
}

func (b *sheetBuilder) battery() []sheetRow {
	t := b.rec.Battery
	if t == nil {
		return nil
	}
	c := &t.Cell
	var words []string
	if c.Count > 0 {
		words = append(words, count(c.Count)+c.Format)
	} else {
		words = append(words, c.Format)
	}
	words = append(words, c.Maker, c.Part, c.Chemistry)
	if c.Series > 0 || c.Parallel > 0 {
		words = append(words, strconv.Itoa(max(c.Series, 1))+" in series, "+strconv.Itoa(max(c.Parallel, 1))+
			" in parallel")
	}
	rows := b.rowOf("cell", clip(joined(", ", words...), 200), named{"", c.Capacity}, named{"", c.Voltage},
		named{"charged to", c.ChargeLimit}, named{"discharged to", c.Cutoff},
		named{"", c.Energy}, named{"", c.Mass}, named{"resistance", c.Resistance}, named{"", c.Cycles})
	for _, p := range []struct {
		label string
		pack  *schema.Pack
	}{{"pack", &t.Pack}, {"rated output", &t.Rated}} {
		k := p.pack
		rows = append(rows, b.rowOf(p.label, "", named{"", k.Capacity}, named{"at", k.Voltage}, named{"", k.Current},
			named{"full", k.Full}, named{"cut off at", k.Cutoff}, named{"", k.Energy}, named{"", k.Mass})...)
	}
	return append(rows, b.each("further", t.Other)...)
}

func (b *sheetBuilder) cable() []sheetRow {
	c := b.rec.Cable
	if c == nil {
		return nil
	}
	var rows []sheetRow
	for _, v := range []named{{"length", c.Length}, {"diameter", c.Diameter}, {"mass", c.Mass}, {"voltage", c.Voltage},
		{"current", c.Current}, {"power", c.Power}, {"data rate", c.DataRate}, {"loop resistance", c.Resistance}} {
		rows = append(rows, b.rowOf(v.label, "", named{"", v.value})...)
	}
	if c.EMarker != "" {
		rows = append(rows, sheetRow{Label: "e-marker", Text: clip(c.EMarker, 40)})
	}
	if len(c.Gauge) > 0 {
		row := sheetRow{Label: "conductors"}
		for i, g := range c.Gauge {
			v := valueView{Text: "AWG " + strconv.Itoa(g), Class: classOf(schema.StatusHeard)}
			if s := b.placedAt("cable.gauge[" + strconv.Itoa(i) + "]"); s != nil {
				v.Sign, v.Word, v.Class = s.Status.Mark(), wordOf(s.Status), classOf(s.Status)
				b.said(&v, s)
			}
			row.Values = append(row.Values, v)
		}
		rows = append(rows, row)
	}
	return rows
}

// placedAt is the first quantity of a place, nil where there is none.
func (b *sheetBuilder) placedAt(path string) *schema.Said {
	for i := range b.rec.Quantities {
		if s := &b.rec.Quantities[i]; s.Place == path && !s.Withdrawn {
			return s
		}
	}
	return nil
}

func (b *sheetBuilder) parts() []sheetRow {
	var rows []sheetRow
	var boards []string // in the order said
	for i := range b.rec.Components {
		if n := b.rec.Components[i].Board; !slices.Contains(boards, n) {
			boards = append(boards, n)
		}
	}
	for _, board := range boards {
		heading := "board not stated"
		if board != "" {
			heading = clip(board, 40) + " board"
		}
		rows = append(rows, sheetRow{Heading: true, Label: heading})
		for i := range b.rec.Components {
			c := &b.rec.Components[i]
			if c.Board != board {
				continue
			}
			row := sheetRow{Label: clip(c.Kind, 60),
				Text: clip(count(c.Count)+joined(" ", c.Maker, c.Part, c.Package, c.Topology), 160)}
			if st := b.naming(c); st != schema.StatusHeard {
				row.Sign, row.Word, row.Class = st.Mark(), wordOf(st), classOf(st)
				row.Find = b.nameHeard(c, st)
			}
			for k := range c.Ratings {
				label := ""
				if !obvious(c.Ratings[k].Property, &c.Ratings[k].Value.Quantity) {
					label = schema.PropertyWords(c.Ratings[k].Property)
				}
				row.Values = append(row.Values, b.value(&c.Ratings[k].Value, label))
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// naming says how the name of a part stands: as the part, unless a rating
// accounts for that.
func (b *sheetBuilder) naming(c *schema.Component) schema.Status {
	for i := range c.Ratings {
		if c.Ratings[i].Value.Status == c.Status {
			return schema.StatusHeard
		}
	}
	return c.Status
}

// nameHeard is the address at which a name of a part can be put right, "" where no
// term speaks of it.
func (b *sheetBuilder) nameHeard(component *schema.Component, st schema.Status) string {
	for i := range b.rec.Terms {
		if t := &b.rec.Terms[i]; t.Status == st && b.rec.ComponentOf(t.Place) == component {
			if slices.Contains(schema.Nameables(), t.Kind.String()) {
				return nameAddress(b.base, t.Kind.String(), t.Read())
			}
			return b.base + "/replace?" + queryOf("find", strings.Join(strings.Fields(t.Heard), " "))
		}
	}
	return ""
}

// obvious reports whether a rating's unit says what it is.
func obvious(property string, q *schema.Quantity) bool {
	return property == q.Unit.Kind().String()
}

func (b *sheetBuilder) measured() []sheetRow {
	var rows []sheetRow
	for i := range b.rec.Measurements {
		m := &b.rec.Measurements[i]
		label := schema.PropertyWords(m.Property)
		if m.Subject != "" {
			label += ", " + clip(m.Subject, 40)
		}
		values := []named{{"", &m.Value}}
		text := ""
		if c := m.Condition; c != nil {
			text = joined(", ", schema.PortWords(c.Port), c.Protocol, c.Mode)
			for _, v := range []named{{"mains", c.Mains}, {"at", c.Voltage}, {"at", c.Current}, {"at", c.Power},
				{"room", c.Ambient}, {"for", c.Time}} {
				if v.value != nil {
					values = append(values, v)
				}
			}
		}
		rows = append(rows, b.rowOf(label, clip(text, 80), values...)...)
	}
	return rows
}

// besides lists what has no place or was taken back.
func (b *sheetBuilder) besides() []sheetRow {
	var rows []sheetRow
	for i := range b.rec.Quantities {
		s := &b.rec.Quantities[i]
		if s.Place != "" && !s.Withdrawn {
			continue
		}
		label := "in no field"
		if why := s.Aside.Words(); why != "" {
			label = why
		}
		if s.Withdrawn {
			label = "taken back by the speaker"
		}
		v := valueView{Text: word.Qualified(s.Qualifier, &s.Quantity), Sign: s.Status.Mark(), Word: wordOf(s.Status),
			Class: classOf(s.Status)}
		b.said(&v, s)
		v.doubt(s.PlaceDoubt())
		rows = append(rows, sheetRow{Label: label, Text: joined(" ", clockOf(s.At), quoted(s.Heard)),
			Values: []valueView{v}})
	}
	return rows
}

// joined joins what is not empty.
func joined(between string, words ...string) string {
	var kept []string
	for _, w := range words {
		if w != "" {
			kept = append(kept, w)
		}
	}
	return strings.Join(kept, between)
}
