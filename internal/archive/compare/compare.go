package compare

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saywatt/internal/archive/facts"
	"saywatt/internal/archive/query"
	"saywatt/schema"
)

// Row is one property of all of them.
type Row struct {
	Section string // size, power, levels, battery, cable, parts, measured, ratios
	Label   string
	Cells   []Cell // one for each review
	Differs bool
}

// Cell is what one review says; Text is empty where it says nothing.
type Cell struct {
	Text     string
	Quantity *schema.Quantity // in the unit of the first cell that has one; nil for words
	Status   schema.Status
	Place    schema.PlaceDoubt // of the values in it, the least sure
	At       *schema.Seconds
	Ratio    string // to the first cell, for single values that differ and are no temperatures: ×1.35

	marked bool         // Text has the marks of doubt of the values in it
	others []otherValue // said beside Quantity, which is the highest
}

// Mark is the sign of the cell's status, and of its place where that is in doubt,
// as in sheets; "" where its text has the signs of the values in it.
func (c Cell) Mark() string {
	if c.marked {
		return ""
	}
	return c.doubt().Mark()
}

// An otherValue is a further value that a review says of one property.
type otherValue struct {
	quantity schema.Quantity
	doubt    facts.Doubt
}

// Rows sets records side by side: aligned by field, units converted to those of the
// first. Rows that differ come first, each part in the order of the record.
func Rows(records []*schema.Record) []Row {
	t := &aligner{n: len(records), rows: map[[2]string]*Row{}}
	for i, r := range records {
		t.record(i, r)
	}
	return t.finish()
}

// aligner gathers rows by what they are about.
type aligner struct {
	n    int
	keys [][2]string // section and label, in the order met
	rows map[[2]string]*Row
}

// sections in the order shown.
var sections = []string{"product", "size", "power", "levels", "battery", "cable", "parts", "measured", "ratios"}

// cell is the place for one review in the row of a section and label.
func (t *aligner) cell(i int, section, label string) *Cell {
	key := [2]string{section, label}
	r := t.rows[key]
	if r == nil {
		r = &Row{Section: section, Label: label, Cells: make([]Cell, t.n)}
		t.rows[key], t.keys = r, append(t.keys, key)
	}
	return &r.Cells[i]
}

// words puts a text in, behind what is there. of are the doubts of what it says;
// marks of single values are in the text.
func (t *aligner) words(i int, section, label, text string, of ...facts.Doubt) {
	if text == "" {
		return
	}
	c := t.cell(i, section, label)
	if c.Text != "" {
		text = c.Text + ", " + text
	}
	c.Text, c.marked = text, true
	for _, d := range of {
		c.doubted(c.doubt().And(d))
	}
}

// doubt is how sure a cell is.
func (c *Cell) doubt() facts.Doubt { return facts.Doubt{Status: c.Status, Place: c.Place} }

func (c *Cell) doubted(d facts.Doubt) { c.Status, c.Place = d.Status, d.Place }

// highest puts a quantity in; of several the highest stands.
func (t *aligner) highest(i int, section, label string, f *facts.Fact) {
	c := t.cell(i, section, label)
	if c.Quantity != nil {
		if v, err := f.Quantity.Unit.Convert(f.Quantity.High, c.Quantity.Unit); err != nil ||
			v.Cmp(c.Quantity.High) <= 0 {
			return
		}
	}
	c.take(f)
}

// value puts a quantity in; of several different ones the highest stands first,
// and none is left out.
func (t *aligner) value(i int, section, label string, f *facts.Fact) {
	c := t.cell(i, section, label)
	if c.Quantity == nil {
		c.take(f)
		return
	}
	added := otherValue{*f.Quantity, f.Doubt()}
	v, err := f.Quantity.Unit.Convert(f.Quantity.High, c.Quantity.Unit)
	if err == nil && v.Cmp(c.Quantity.High) > 0 {
		added = otherValue{*c.Quantity, c.doubt()}
		c.take(f)
	}
	if added.quantity.Same(*c.Quantity) || slices.ContainsFunc(c.others, func(o otherValue) bool {
		return o.quantity.Same(added.quantity)
	}) {
		return
	}
	c.others = append(c.others, added)
}

func (c *Cell) take(f *facts.Fact) {
	q := *f.Quantity
	c.Quantity, c.At, c.Text = &q, f.At, q.String()
	c.doubted(f.Doubt())
}

// together writes all values of a cell that has several, each with its mark, in
// the unit of the first where there is one. A cell is as sure as its least sure value.
func (c *Cell) together() {
	if len(c.others) == 0 {
		return
	}
	slices.SortStableFunc(c.others, func(a, b otherValue) int {
		x, err := a.quantity.Unit.Convert(a.quantity.High, b.quantity.Unit)
		if err != nil {
			return 0
		}
		return b.quantity.High.Cmp(x)
	})
	c.Text, c.marked = c.Quantity.String()+c.doubt().Mark(), true
	for _, o := range c.others {
		q := o.quantity
		if in, ok := converted(&q, c.Quantity.Unit); ok {
			q = in
		}
		c.Text += ", " + q.String() + o.doubt.Mark()
		c.doubted(c.doubt().And(o.doubt))
	}
}

func (t *aligner) record(i int, r *schema.Record) {
	p := &r.Product
	t.words(i, "product", "kind", p.Kind)
	t.words(i, "product", "maker", p.Maker)
	t.words(i, "product", "model", p.Model)
	t.words(i, "product", "marks", strings.Join(p.Marks, ", "))
	said := facts.Of(r)
	for k := range said {
		f := &said[k]
		if f.Quantity == nil || !f.OfProduct {
			continue
		}
		switch head, _, _ := strings.Cut(f.Path, "."); {
		case strings.HasPrefix(f.Path, "body.dimensions"):
			t.value(i, "size", [...]string{"length", "width", "height"}[min(int(f.Path[len(f.Path)-2]-'0'), 2)], f)
		case head == "body":
			t.value(i, "size", f.Label, f)
		case head == "battery":
			t.value(i, "battery", f.Label, f)
		case head == "cable":
			t.value(i, "cable", f.Label, f)
		case strings.HasPrefix(head, "claims"):
			t.value(i, "power", f.Label, f)
		case strings.HasPrefix(head, "measurements"):
			_, n := indexOf(f.Path)
			t.value(i, "measured", facts.Join(strings.TrimPrefix(f.Label, "measured "),
				conditions(r.Measurements[n].Condition)), f)
		}
	}
	if b := r.Battery; b != nil {
		t.words(i, "battery", "cell format", b.Cell.Format)
		t.words(i, "battery", "cell chemistry", b.Cell.Chemistry)
		t.words(i, "battery", "cell", facts.Join(b.Cell.Maker, b.Cell.Part))
	}
	t.levels(i, r)
	t.parts(i, r)
	t.ratios(i, r, said)
}

// indexOf reads the number in measurements[3].
func indexOf(path string) (name string, n int) {
	name, rest, _ := strings.Cut(path, "[")
	for _, c := range rest {
		if !query.IsDigit(c) {
			break
		}
		n = 10*n + int(c-'0')
	}
	return name, n
}

// conditions says under which conditions something was measured.
func conditions(c *schema.Condition) string {
	if c == nil {
		return ""
	}
	var parts []string
	for _, f := range c.Fields() {
		v := *f.Value
		switch {
		case v == nil, f.Value == &c.Ambient, f.Value == &c.Time: // how warm, and how long, makes no row of its own
		case f.Value == &c.Mains:
			parts = append(parts, v.Quantity.String()+" mains")
		default:
			parts = append(parts, v.Quantity.String())
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "(" + strings.Join(parts, ", ") + ")"
}

// levels has a row for every voltage, of the highest current at any port.
func (t *aligner) levels(i int, r *schema.Record) {
	for k := range r.Levels {
		l := &r.Levels[k]
		protocol := ""
		if l.Voltage.Quantity.Range {
			protocol = l.Protocol
		}
		label := facts.Join(facts.Direction(l.Mode), protocol, l.Voltage.Quantity.String())
		if l.Current == nil {
			if c := t.cell(i, "levels", label); c.Text == "" {
				c.Text = "current not stated"
				c.doubted(facts.DoubtOf(r, &l.Voltage))
			}
			continue
		}
		of := facts.DoubtOf(r, &l.Voltage).And(facts.DoubtOf(r, l.Current))
		f := facts.Fact{Quantity: &l.Current.Quantity, Status: of.Status, Place: of.Place}
		if len(l.Current.Said) > 0 {
			if s := r.Quantity(l.Current.Said[0]); s != nil {
				f.At = s.At
			}
		}
		t.highest(i, "levels", label, &f)
	}
	protocols := map[string]bool{}
	for k := range r.Ports {
		for _, p := range r.Ports[k].Protocols {
			protocols[p] = true
		}
	}
	for k := range r.Levels {
		protocols[r.Levels[k].Protocol] = true
	}
	delete(protocols, "")
	var names []string
	for p := range protocols {
		names = append(names, p)
	}
	slices.Sort(names)
	t.words(i, "levels", "protocols", strings.Join(names, ", "))
}

// parts has a row for every kind of part.
func (t *aligner) parts(i int, r *schema.Record) {
	for k := range r.Components {
		c := &r.Components[k]
		doubts := []facts.Doubt{{Status: c.Status}}
		rated, named := "", true // whether it is the naming that is in doubt
		for n := range c.Ratings {
			v := &c.Ratings[n].Value
			of := facts.DoubtOf(r, v)
			doubts, named = append(doubts, of), named && v.Status != c.Status
			rated = facts.Join(rated, v.Quantity.String()+of.Mark())
		}
		name := facts.Join(c.Maker, c.Part)
		if name == "" && rated == "" {
			name = "seen, nothing more said"
		}
		if name != "" && named {
			name += c.Status.Mark()
		}
		text := facts.Join(name, rated)
		if c.Count > 1 {
			text = facts.Join(fmt.Sprintf("%d ×", c.Count), text)
		}
		t.words(i, "parts", c.Kind, text, doubts...)
	}
}

// finish converts units, computes ratios and puts what differs first.
func (t *aligner) finish() []Row {
	var rows []Row
	for _, key := range t.keys {
		r := t.rows[key]
		r.align()
		r.compare()
		rows = append(rows, *r)
	}
	slices.SortStableFunc(rows, func(a, b Row) int {
		if a.Differs != b.Differs {
			if a.Differs {
				return -1
			}
			return 1
		}
		return cmp.Compare(slices.Index(sections, a.Section), slices.Index(sections, b.Section))
	})
	return rows
}

// align converts all quantities to the unit of the first and says whether
// anything differs.
func (r *Row) align() {
	var first *schema.Quantity
	for i := range r.Cells {
		c := &r.Cells[i]
		if c.Quantity == nil {
			continue
		}
		if first == nil {
			first = c.Quantity
			continue
		}
		q, ok := converted(c.Quantity, first.Unit)
		if !ok {
			continue
		}
		c.Quantity, c.Text = &q, q.String()
		single := !q.Range && !first.Range && len(c.others)+len(r.Cells[0].others) == 0
		if single && !q.Same(*first) && q.Unit.Kind() != schema.KindTemperature { // 40 °C is not twice 20 °C
			if x, ok := q.High.Quo(first.High); ok {
				c.Ratio = "×" + significant(x, 3).String()
			}
		}
	}
}

// compare says whether the cells differ, and puts several values of a cell together.
func (r *Row) compare() {
	for i := range r.Cells {
		r.Cells[i].together()
	}
	for i := 1; i < len(r.Cells); i++ {
		a, b := &r.Cells[0], &r.Cells[i]
		if a.Quantity != nil && b.Quantity != nil && len(a.others) == 0 && len(b.others) == 0 {
			r.Differs = r.Differs || !a.Quantity.Same(*b.Quantity)
			continue
		}
		r.Differs = r.Differs || unmarked(a.Text) != unmarked(b.Text)
	}
}

// converted is a quantity in another unit. What a conversion adds in digits to
// those said is rounded off: 95 g are 0.2094 lb.
func converted(q *schema.Quantity, u schema.Unit) (schema.Quantity, bool) {
	c := *q
	if q.Unit == u {
		return c, true
	}
	var err error
	if c.Low, err = q.Unit.Convert(q.Low, u); err != nil {
		return c, false
	}
	if c.High, err = q.Unit.Convert(q.High, u); err != nil {
		return c, false
	}
	c.Low = significant(c.Low, max(convertedDigits, digits(q.Low)))
	c.High = significant(c.High, max(convertedDigits, digits(q.High)))
	c.Unit = u
	c.Tolerance = nil
	return c, true
}

// convertedDigits is how many digits a converted number has that was said with
// fewer.
const convertedDigits = 4

// digits counts the digits of a number without zeros before them.
func digits(d schema.Decimal) int {
	text := strings.TrimLeft(strings.NewReplacer("-", "", ".", "").Replace(d.String()), "0")
	return len(text)
}

// CommonParts lists the part numbers that all records have.
func CommonParts(records []*schema.Record) []string {
	seen := map[string]int{}
	for _, r := range records {
		own := map[string]bool{}
		for i := range r.Components {
			if c := &r.Components[i]; c.Part != "" && !own[c.Part] {
				own[c.Part] = true
				seen[c.Part]++
			}
		}
	}
	var common []string
	for part, n := range seen {
		if n == len(records) && n > 1 {
			common = append(common, part)
		}
	}
	slices.Sort(common)
	return common
}

// unmarked is a text without the marks of doubt: what is said is the same.
func unmarked(s string) string {
	for _, status := range []schema.Status{schema.StatusRepaired, schema.StatusOpen, schema.StatusSettled} {
		s = strings.ReplaceAll(s, status.Mark(), "")
	}
	for d := schema.PlaceUncertain; d <= schema.PlaceUnlikely; d++ {
		s = strings.ReplaceAll(s, d.Mark(), "")
	}
	return s
}
