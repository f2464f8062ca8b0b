package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saywatt/internal/export/account"
	"saywatt/internal/export/line"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// row is a row whose values say when they were said.
func (p *page) row(label string, body []line.Run, values ...*schema.Value) Row {
	return Row{At: account.FirstSaid(p.record, values...), Label: label, Body: body}
}

// spec is Spec of the record.
func (p *page) spec(v *schema.Value) []line.Run { return Spec(p.record, v) }

// named is a value behind its name, nothing where it is absent.
func (p *page) named(name string, v *schema.Value) []line.Run {
	if v == nil {
		return nil
	}
	if name == "" {
		return p.spec(v)
	}
	return append([]line.Run{line.Plain(word.Glue(name) + word.NBSP)}, p.spec(v)...)
}

func (p *page) body() {
	b := &p.record.Body
	var rows []Row
	if len(b.Dimensions) > 0 {
		rows = append(rows, p.row("size", p.dimensions(b.Dimensions), pointers(b.Dimensions)...))
	}
	for _, f := range []struct {
		label string
		value *schema.Value
	}{{"mass", b.Mass}, {"volume", b.Volume}, {"power density", b.Density}, {"display", b.Display}} {
		if f.value != nil {
			rows = append(rows, p.row(f.label, p.spec(f.value), f.value))
		}
	}
	for i := range b.Other {
		rows = append(rows, p.row(schema.PropertyWords(b.Other[i].Property), p.spec(&b.Other[i].Value),
			&b.Other[i].Value))
	}
	if len(b.Materials) > 0 {
		rows = append(rows, Row{Label: "materials", Body: []line.Run{line.Plain(strings.Join(b.Materials, ", "))}})
	}
	p.table("Body", rows)
}

// dimensions writes "98 × 64* “60 4” × 31.5 mm": the words heard behind the
// number they were heard for; the unit stands once where all share it.
func (p *page) dimensions(values []schema.Value) []line.Run {
	var sizes []line.Run
	for i := range values {
		v := &values[i]
		r := p.spec(v)
		last := i == len(values)-1
		if next := i + 1; !last && values[next].Quantity.Unit == v.Quantity.Unit {
			sign, _ := line.Doubted(v.Status, p.record.PlaceDoubtOf(v))
			q := v.Quantity
			q.Unit = ""
			r[0].Text = word.Qualified(v.Qualifier, &q) + sign
		}
		sizes = append(sizes, r...)
		if !last {
			sizes = append(sizes, line.Plain(word.NBSP+"×"+word.NBSP))
		}
	}
	return sizes
}

func (p *page) claims() {
	var rows []Row
	for i := range p.record.Claims {
		c := &p.record.Claims[i]
		if c.InSplit() {
			continue
		}
		body := p.spec(&c.Value)
		if where := word.Join([]string{schema.PortWords(c.Port), c.Protocol, word.Mode(c.Mode)}, ", "); where != "" {
			body = append(body, line.Plain(" ("+where+")"))
		}
		rows = append(rows, p.row(schema.PropertyWords(c.Property), body, &c.Value))
	}
	p.table("Claims", rows)
}

// ports lists the ports that have more than the levels show: the
// protocols spoken of, or no level at all.
func (p *page) ports() {
	var rows []Row
	for _, port := range p.record.Ports {
		switch {
		case len(port.Protocols) > 0:
			rows = append(rows, Row{Label: schema.PortWords(port.Name),
				Body: []line.Run{line.Plain(strings.Join(port.Protocols, ", "))}})
		case !slices.ContainsFunc(p.record.Levels, func(l schema.Level) bool { return l.Port == port.Name }):
			rows = append(rows, Row{Label: schema.PortWords(port.Name),
				Body: []line.Run{line.Faint("no level stated")}})
		}
	}
	p.table("Ports", rows)
}

// levels writes one line a port and protocol, under a heading for each mode,
// all in the order said.
func (p *page) levels() {
	type key struct{ mode, port, protocol string }
	type place struct{ mode, port, line int } // each in the order first said
	var lines []key
	groups := map[key][]int{}
	places := map[key]place{}
	modes, ports := map[string]int{}, map[string]int{}
	widest := 0
	for i := range p.record.Levels {
		l := &p.record.Levels[i]
		k := key{l.Mode, l.Port, l.Protocol}
		if groups[k] == nil {
			places[k] = place{FirstAt(modes, l.Mode), FirstAt(ports, l.Port), len(lines)}
			lines = append(lines, k)
			widest = max(widest, word.Columns(p.Text(schema.PortWords(l.Port))))
		}
		groups[k] = append(groups[k], i)
	}
	widest = min(widest, p.Width/5)
	slices.SortFunc(lines, func(a, b key) int {
		x, y := places[a], places[b]
		return cmp.Or(cmp.Compare(x.mode, y.mode), cmp.Compare(x.port, y.port), cmp.Compare(x.line, y.line))
	})
	var rows []Row
	for i, k := range lines {
		if i == 0 || lines[i-1].mode != k.mode {
			rows = append(rows, Row{Label: word.Mode(k.mode)})
			if k.mode == "" {
				rows[len(rows)-1].Label = "mode not stated"
			}
		}
		port := p.Label(schema.PortWords(k.port), widest)
		if port == "" {
			port = "-"
		}
		if i > 0 && lines[i-1].mode == k.mode && lines[i-1].port == k.port {
			port = ""
		}
		label := port + strings.Repeat(word.NBSP, max(widest-word.Columns(port), 0)) + word.Glue("  ") + k.protocol
		label = strings.TrimRight(label, word.NBSP)
		var items [][]line.Run
		var values []*schema.Value
		for _, n := range groups[k] {
			l := &p.record.Levels[n]
			items = append(items, p.level(l))
			values = append(values, &l.Voltage, l.Current, l.Power)
		}
		r := p.row(label, p.join(items), values...)
		r.indent = 2
		rows = append(rows, r)
	}
	p.table(LevelsTitle, rows)
}

// FirstAt numbers names in the order they first come.
func FirstAt(seen map[string]int, name string) int {
	n, ok := seen[name]
	if !ok {
		n = len(seen)
		seen[name] = n
	}
	return n
}

func (p *page) level(l *schema.Level) []line.Run {
	runs := p.spec(&l.Voltage)
	for _, v := range []*schema.Value{l.Current, l.Power} {
		if v == nil {
			continue
		}
		gap := " "
		if len(runs) == 1 {
			gap = word.NBSP
		}
		if v == l.Power {
			gap += "=" + word.NBSP
		}
		runs = append(append(runs, line.Plain(gap)), p.spec(v)...)
	}
	return runs
}

func (p *page) battery() {
	b := p.record.Battery
	if b == nil {
		return
	}
	c := &b.Cell
	var rows []Row
	what := word.Join([]string{c.Maker, c.Part, c.Format, c.Chemistry}, " ")
	if c.Count > 0 {
		what = strings.TrimSpace(fmt.Sprintf("%d%s×%s%s", c.Count, word.NBSP, word.NBSP, what))
	}
	if c.Series > 0 && c.Parallel > 0 {
		what = word.Join([]string{what, fmt.Sprintf("%d in series, %d in parallel", c.Series, c.Parallel)}, ", ")
	}
	items := [][]line.Run{nil}
	if what != "" {
		items[0] = []line.Run{line.Plain(what)}
	}
	items = append(items, p.named("", c.Capacity), p.named("", c.Voltage), p.named("", c.Energy),
		p.named("charge limit", c.ChargeLimit), p.named("cut-off", c.Cutoff),
		p.named("internal resistance", c.Resistance),
		p.named("", c.Mass), p.named("life", c.Cycles))
	if body := p.join(items); body != nil {
		rows = append(rows, p.row("cell", body, c.Capacity, c.Voltage, c.Energy, c.ChargeLimit, c.Cutoff, c.Resistance,
			c.Mass, c.Cycles))
	}
	for _, k := range []struct {
		label string
		pack  *schema.Pack
	}{{"pack", &b.Pack}, {"rated output", &b.Rated}} {
		g := k.pack
		if g == &b.Rated && g.Capacity != nil {
			k.label = "rated capacity"
		}
		body := p.join([][]line.Run{p.named("", g.Capacity), p.named("at", g.Voltage), p.named("", g.Current),
			p.named("full", g.Full),
			p.named("cut-off", g.Cutoff), p.named("", g.Energy), p.named("", g.Mass)})
		if body != nil {
			rows = append(rows, p.row(k.label, body, g.Capacity, g.Voltage, g.Current, g.Full, g.Cutoff, g.Energy,
				g.Mass))
		}
	}
	for i := range b.Other {
		rows = append(rows, p.row("other "+word.Words(b.Other[i].Quantity.Unit.Kind().String()), p.spec(&b.Other[i]),
			&b.Other[i]))
	}
	p.table("Battery", rows)
}

func (p *page) cable() {
	c := p.record.Cable
	if c == nil {
		return
	}
	var rows []Row
	size := p.join([][]line.Run{p.named("", c.Length), p.named("outer diameter", c.Diameter), p.named("", c.Mass)})
	if size != nil {
		rows = append(rows, p.row("size", size, c.Length, c.Diameter, c.Mass))
	}
	rated := p.join([][]line.Run{p.named("", c.Voltage), p.named("", c.Current), p.named("", c.Power),
		p.named("", c.DataRate)})
	if rated != nil {
		rows = append(rows, p.row("rated", rated, c.Voltage, c.Current, c.Power, c.DataRate))
	}
	if c.Resistance != nil {
		rows = append(rows, p.row("loop resistance", p.spec(c.Resistance), c.Resistance))
	}
	if c.EMarker != "" {
		rows = append(rows, Row{Label: "e-marker", Body: []line.Run{line.Plain(c.EMarker)}})
	}
	if len(c.Gauge) > 0 {
		var g []string
		for _, n := range c.Gauge {
			g = append(g, fmt.Sprintf("%d%sAWG", n, word.NBSP))
		}
		rows = append(rows, Row{Label: "wire gauge", Body: []line.Run{line.Plain(strings.Join(g, ", "))}})
	}
	p.table("Cable", rows)
}

// parts writes one line a component, under a heading for each board, boards in
// the order said.
func (p *page) parts() {
	var boards []string
	byBoard := map[string][]*schema.Component{}
	for i := range p.record.Components {
		c := &p.record.Components[i]
		if p.isTheCell(c) {
			continue
		}
		name := word.Join([]string{c.Board, c.Side}, ", ")
		if byBoard[name] == nil {
			boards = append(boards, name)
		}
		byBoard[name] = append(byBoard[name], c)
	}
	var rows []Row
	for _, name := range boards {
		heading := name
		if heading == "" {
			heading = "board not stated"
		}
		rows = append(rows, Row{Label: heading})
		for _, c := range byBoard[name] {
			r := Row{At: c.At, indent: 2, Label: c.Kind, Body: p.part(c)}
			if r.At == nil {
				r.At = account.FirstSaid(p.record, account.RatingValues(c.Ratings)...)
			}
			rows = append(rows, r)
		}
	}
	p.table("Parts", rows)
}

// isTheCell reports whether the battery section speaks of a component already.
func (p *page) isTheCell(c *schema.Component) bool {
	if p.record.Battery == nil || c.Kind != "cell" {
		return false
	}
	cell := &p.record.Battery.Cell
	return c.Maker == cell.Maker && c.Part == cell.Part && c.Package == cell.Format && c.Count == cell.Count
}

func (p *page) part(c *schema.Component) []line.Run {
	var items [][]line.Run
	id, packed := p.partName(c)
	switch {
	case len(id) > 0 && c.Count > 1:
		items = append(items, slices.Insert(id, 0, line.Plain(fmt.Sprintf("%d%s×%s", c.Count, word.NBSP, word.NBSP))))
	case len(id) > 0:
		items = append(items, id)
	case c.Count > 1:
		items = append(items, []line.Run{line.Plain(fmt.Sprintf("%d%spcs", c.Count, word.NBSP))})
	}
	if c.Package != "" && !packed {
		items = append(items, p.packageName(c))
	}
	if c.Topology != "" {
		items = append(items, []line.Run{line.Plain(c.Topology)})
	}
	for i := range c.Ratings {
		items = append(items, p.rating(&c.Ratings[i]))
	}
	if c.Function != "" {
		items = append(items, []line.Run{line.Plain(c.Function)})
	}
	body := p.join(items)
	if body == nil {
		body = []line.Run{line.Faint("seen, nothing more said")}
	}
	return body
}

// partName is the maker and part number of a component with their marks, or
// its package where it has neither; packed says that.
func (p *page) partName(c *schema.Component) (runs []line.Run, packed bool) {
	fields, whole, named := account.StandingOf(p.record, c)
	name := word.Join([]string{c.Maker, c.Part}, " ")
	switch {
	case name == "" && c.Package == "":
		return nil, false
	case name == "" && named:
		return nameRuns(c.Package, fields["package"]), true
	case name == "":
		return nameRuns(c.Package, whole), true
	case !named:
		return nameRuns(name, whole), false
	}
	if c.Maker != "" {
		runs = nameRuns(c.Maker, fields["maker"])
	}
	if c.Part != "" {
		if len(runs) > 0 {
			runs = append(runs, line.Plain(" "))
		}
		runs = append(runs, nameRuns(c.Part, fields["part"])...)
	}
	return runs, false
}

// packageName is the package of a component with its mark.
func (p *page) packageName(c *schema.Component) []line.Run {
	fields, _, _ := account.StandingOf(p.record, c)
	return nameRuns(c.Package, fields["package"])
}

// nameRuns is a name with its mark, and the words heard where it is repaired, or
// a person put it right.
func nameRuns(name string, n account.Standing) []line.Run {
	sign, st := line.Mark(n.Status)
	runs := []line.Run{line.Styled(name+sign, st)}
	if n.Heard != "" && (n.Status == schema.StatusRepaired || n.Status == schema.StatusSettled && n.Heard != name) {
		runs = append(runs, line.Faint(" "+word.Quote(n.Heard, maxQuote)))
	}
	return runs
}

// rating writes a rating, with its property where the unit does not already
// say it.
func (p *page) rating(r *schema.Rating) []line.Run {
	runs := p.spec(&r.Value)
	kind := r.Value.Quantity.Unit.Kind()
	if r.Property != "" && r.Property != kind.String() && !(r.Property == "capacity" && kind == schema.KindCharge) {
		runs = slices.Insert(runs, 1, line.Faint(" "+word.Glue(schema.PropertyWords(r.Property))))
	}
	return runs
}

func (p *page) measurements() {
	var rows []Row
	for i := range p.record.Measurements {
		m := &p.record.Measurements[i]
		body := valueRuns(p.record, &m.Value, schema.BasisMeasured)
		if m.Subject != "" {
			body = append(body, line.Plain(" at the "+m.Subject))
		}
		if c := p.condition(m.Condition); c != nil {
			body = append(append(append(body, line.Faint(" (")), c...), line.Faint(")"))
		}
		rows = append(rows, p.row(schema.PropertyWords(m.Property), body, &m.Value))
	}
	p.table("Measured", rows)
}

func (p *page) condition(c *schema.Condition) []line.Run {
	if c == nil {
		return nil
	}
	var parts [][]line.Run
	if where := word.Join([]string{schema.PortWords(c.Port), c.Protocol, word.Mode(c.Mode)}, ", "); where != "" {
		parts = append(parts, []line.Run{line.Plain(where)})
	}
	for _, f := range []struct {
		before, after string
		value         *schema.Value
	}{{"", " mains", c.Mains}, {"", "", c.Voltage}, {"", "", c.Current}, {"", "", c.Power}, {"ambient ", "", c.Ambient},
		{"time ", "", c.Time}} {
		if f.value == nil {
			continue
		}
		v := valueRuns(p.record, f.value, schema.BasisClaimed, schema.BasisLabel, schema.BasisMeasured)
		v[0].Text = word.Glue(f.before) + v[0].Text + word.Glue(f.after)
		parts = append(parts, v)
	}
	var all []line.Run
	for i, part := range parts {
		if i > 0 {
			all = append(all, line.Plain(", "))
		}
		all = append(all, part...)
	}
	return all
}

func pointers(values []schema.Value) []*schema.Value {
	all := make([]*schema.Value, len(values))
	for i := range values {
		all[i] = &values[i]
	}
	return all
}
