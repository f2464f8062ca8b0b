package facts

import (
	"cmp"
	"strconv"
	"strings"

	"saywatt/internal/archive/query"
	"saywatt/schema"
)

// Of lists what a record says, in the order of the record, the quantities
// without a place last.
func Of(r *schema.Record) []Fact {
	c := &collector{r: r, facts: make([]Fact, 0, 2*len(r.Quantities)+16)}
	c.product()
	c.body()
	c.claims()
	c.ports()
	c.levels()
	c.battery()
	c.cable()
	c.components()
	c.measurements()
	for i := range r.Notes {
		n := &r.Notes[i]
		c.facts = append(c.facts, Fact{Path: "notes[" + strconv.Itoa(i) + "]", Label: "note", Text: n.Text, At: n.At})
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		fact := Fact{Path: "findings[" + strconv.Itoa(i) + "]", Label: f.Severity.String() + " by rule", Text: f.Rule,
			Fields: []string{"rule"}}
		if len(f.At) > 0 {
			fact.At = &f.At[0]
		}
		c.facts = append(c.facts, fact)
	}
	c.unplaced()
	for i := range c.facts {
		if f := &c.facts[i]; f.Quantity != nil {
			f.Base = BaseOf(f.Quantity)
		}
	}
	return c.facts
}

// collector gathers the facts of one record.
type collector struct {
	r     *schema.Record
	facts []Fact
	used  []bool // by number of the quantity: it has a place
}

// name adds a text that is searched by fields. Empty ones say nothing.
func (c *collector) name(path, label, text string, at *schema.Seconds, fields ...string) {
	if text != "" {
		c.facts = append(c.facts, Fact{Path: path, Label: label, Text: text, At: at, Fields: fields})
	}
}

// value adds a value in a place. Absent ones say nothing.
func (c *collector) value(path, label, property string, v *schema.Value, item Item, groups ...string) {
	if v == nil || v.Quantity.IsZero() {
		return
	}
	f := Fact{Path: path, Label: label, Property: property, Quantity: &v.Quantity, Status: v.Status, Basis: v.Basis,
		Place: c.r.PlaceDoubtOf(v), Groups: groups, Item: item, OfProduct: true}
	if len(v.Said) > 0 {
		f.rest(c.r.Quantity(v.Said[0]))
		c.mark(v.Said[0])
	}
	c.facts = append(c.facts, f)
}

func (c *collector) mark(n int) {
	if c.used == nil {
		c.used = make([]bool, len(c.r.Quantities)+1)
	}
	if n > 0 && n < len(c.used) {
		c.used[n] = true
	}
}

// rest takes time and words from the quantity said.
func (f *Fact) rest(s *schema.Said) {
	if s == nil {
		return
	}
	f.Said, f.At, f.Media, f.Heard, f.Context = s.Number, s.At, s.Media, s.Heard, s.Context
}

// count adds a number of things.
func (c *collector) count(path, label, property string, n int, at *schema.Seconds, groups ...string) {
	if n == 0 {
		return
	}
	q := schema.One(schema.NewDecimal(int64(n), 0), "")
	c.facts = append(c.facts, Fact{Path: path, Label: label, Property: property, Quantity: &q, At: at, Groups: groups,
		OfProduct: true})
}

func (c *collector) product() {
	p := &c.r.Product
	c.name("product.kind", "kind", p.Kind, nil, "kind")
	c.name("product.name", "name", p.Name, nil, "name")
	c.name("product.maker", "maker", p.Maker, nil, "maker")
	c.name("product.model", "model", p.Model, nil, "model")
	for i, m := range p.Marks {
		c.name(at("product.marks", i), "mark", m, nil, "mark")
	}
	c.name("source.file", "file", c.r.Source.File, nil, "file")
}

func (c *collector) body() {
	b := &c.r.Body
	for i := range b.Dimensions {
		c.value(at("body.dimensions", i), "size", "length", &b.Dimensions[i], Item{}, "body")
	}
	c.fields(b.Fields(), "body", "", "body")
	c.ratings("body.other", "", b.Other, Item{}, "body")
	for i, m := range b.Materials {
		c.name(at("body.materials", i), "material", m, nil, "material")
	}
}

// fields adds the values of fields below a path, each called by the name of its field.
func (c *collector) fields(all []schema.Field, path, label string, groups ...string) {
	for _, f := range all {
		if v := *f.Value; v != nil {
			c.value(path+"."+f.Name, Join(label, spoken(f.Name)), f.Name, v, Item{}, groups...)
		}
	}
}

func (c *collector) ratings(path, label string, rs []schema.Rating, item Item, groups ...string) {
	for i := range rs {
		c.value(at(path, i), Join(label, spoken(rs[i].Property)), rs[i].Property, &rs[i].Value, item, groups...)
	}
}

func (c *collector) claims() {
	for i := range c.r.Claims {
		k := &c.r.Claims[i]
		path := at("claims", i)
		c.value(path, Join(k.Port, k.Protocol, Direction(k.Mode), spoken(k.Property)), k.Property, &k.Value, Item{},
			withMode(k.Mode, "claim")...)
		c.name(path+".protocol", "protocol of a claim", k.Protocol, nil, "protocol")
		c.name(path+".port", "port of a claim", k.Port, nil, "port")
		c.name(path+".mode", "mode of a claim", k.Mode, nil, "mode")
	}
}

// withMode adds the groups input and output, by the mode.
func withMode(mode string, groups ...string) []string {
	switch Direction(mode) {
	case "input", "output":
		return append(groups, Direction(mode))
	}
	return groups
}

// Direction is the part of a mode that says input or output.
func Direction(mode string) string {
	if _, after, ok := strings.Cut(mode, "/"); ok {
		mode = after
	}
	if strings.HasPrefix(mode, "output") {
		return "output"
	}
	return mode
}

func (c *collector) ports() {
	for i := range c.r.Ports {
		p := &c.r.Ports[i]
		c.name(at("ports", i)+".name", "port", p.Name, nil, "port")
		for k, name := range p.Protocols {
			c.name(at(at("ports", i)+".protocols", k), "protocol of "+p.Name, name, nil, "protocol")
		}
	}
}

func (c *collector) levels() {
	for i := range c.r.Levels {
		l := &c.r.Levels[i]
		path, item := at("levels", i), Item{Level, i}
		label := Join(l.Port, l.Protocol, Direction(l.Mode), "level")
		groups := withMode(l.Mode, "level")
		first := len(c.facts)
		l.EachValue(func(v *schema.Value, property string) {
			c.value(path+"."+property, label+" "+property, property, v, item, groups...)
		})
		if l.Power == nil {
			c.follows(path, label, item, groups)
		}
		var when *schema.Seconds
		if len(c.facts) > first {
			when = c.facts[first].At
		}
		c.name(path+".protocol", "protocol of a level", l.Protocol, when, "protocol")
		c.name(path+".port", "port of a level", l.Port, when, "port")
		c.name(path+".mode", "mode of a level", l.Mode, when, "mode")
	}
}

func (c *collector) battery() {
	b := c.r.Battery
	if b == nil {
		return
	}
	k := &b.Cell
	c.name("battery.cell.maker", "maker of the cells", k.Maker, nil, "maker")
	c.name("battery.cell.part", "cell", k.Part, nil)
	c.name("battery.cell.format", "format of the cells", k.Format, nil, "cell")
	c.name("battery.cell.chemistry", "chemistry of the cells", k.Chemistry, nil, "chemistry")
	c.count("battery.cell.count", "cells", "cells", k.Count, nil)
	c.count("battery.cell.series", "cells in series", "series", k.Series, nil)
	c.count("battery.cell.parallel", "cells in parallel", "parallel", k.Parallel, nil)
	c.fields(k.Fields(), "battery.cell", "cell", "cell")
	c.fields(b.Pack.Fields(), "battery.pack", "pack", "pack")
	c.fields(b.Rated.Fields(), "battery.rated", "rated", "rated")
	for i := range b.Other {
		c.value(at("battery.other", i), "battery, other", "", &b.Other[i], Item{}, "battery")
	}
}

func (c *collector) cable() {
	k := c.r.Cable
	if k == nil {
		return
	}
	c.fields(k.Fields(), "cable", "cable", "cable")
	for i, g := range k.Gauge {
		q := schema.One(schema.NewDecimal(int64(g), 0), "{AWG}")
		c.facts = append(c.facts, Fact{Path: at("cable.gauge", i), Label: "cable gauge", Property: "gauge",
			Quantity: &q, Groups: []string{"cable"}, OfProduct: true})
	}
}

func (c *collector) components() {
	for i := range c.r.Components {
		k := &c.r.Components[i]
		path := at("components", i)
		groups := append([]string{"part"}, KindNames(k.Kind)...)
		c.name(path+".kind", "part", k.Kind, k.At)
		c.name(path+".function", "function of the "+k.Kind, k.Function, k.At)
		c.name(path+".maker", "maker of the "+k.Kind, k.Maker, k.At, "maker")
		c.name(path+".part", "the "+k.Kind, k.Part, k.At)
		c.name(path+".package", "package of the "+k.Kind, k.Package, k.At, "package")
		c.name(path+".topology", "topology", k.Topology, k.At, "topology")
		c.name(path+".board", "board of the "+k.Kind, k.Board, k.At, "board")
		c.name(path+".heard", "the "+k.Kind+", as heard", k.Heard, k.At)
		c.count(path+".count", k.Kind+", pieces", "pieces", k.Count, k.At, groups...)
		c.ratings(path+".ratings", k.Kind, k.Ratings, Item{Part, i}, groups...)
	}
}

// KindNames are the names a kind of part answers to: itself and its last
// words, folded.
func KindNames(kind string) []string {
	w := query.Words(kind)
	names := make([]string, 0, len(w))
	for i := range w {
		names = append(names, strings.Join(w[i:], " "))
	}
	return names
}

func (c *collector) measurements() {
	for i := range c.r.Measurements {
		m := &c.r.Measurements[i]
		path := at("measurements", i)
		groups := []string{"measured"}
		property := m.Property
		if side, rest, ok := strings.Cut(property, "_"); ok && (side == "output" || side == "input") {
			groups, property = append(groups, side), rest
		}
		c.value(path, Join("measured", spoken(m.Property), m.Subject), property, &m.Value, Item{}, groups...)
		if m.Condition == nil {
			continue
		}
		first := len(c.facts)
		c.fields(m.Condition.Fields(), path+".condition", "condition of a test,")
		for k := first; k < len(c.facts); k++ {
			c.facts[k].OfProduct = false
		}
	}
}

// unplaced adds the quantities said that no place above shows: without a
// place, or said beside the one that is shown. One that the speaker took back
// is words, not a value.
func (c *collector) unplaced() {
	c.mark(0)
	for i := range c.r.Quantities {
		s := &c.r.Quantities[i]
		if c.used[s.Number] {
			continue
		}
		f := Fact{Path: s.Place, Label: "said, without a place", Quantity: &s.Quantity, Status: s.Status,
			Place: s.PlaceDoubt()}
		f.rest(s)
		if s.Place != "" {
			f.Label = "also said"
		}
		if s.Withdrawn {
			f.Label, f.Quantity, f.Text, f.Place = "taken back", nil, s.Heard, schema.PlaceSure
		}
		f.Path = cmp.Or(f.Path, at("quantities", i))
		c.facts = append(c.facts, f)
	}
}

func at(path string, i int) string { return path + "[" + strconv.Itoa(i) + "]" }

// spoken turns a name of the record into words.
func spoken(name string) string { return strings.ReplaceAll(name, "_", " ") }

// Join joins what is there with blanks.
func Join(parts ...string) string {
	kept := parts[:0:0]
	for _, p := range parts {
		if p != "" {
			kept = append(kept, p)
		}
	}
	return strings.Join(kept, " ")
}
