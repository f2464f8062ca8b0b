package picture

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"saywatt/extract"
	"saywatt/schema"
)

// highest is the voltage up to which levels share a chart: extra-low voltage
// in the sense of IEC 61140 (DC 120 V, from memory). Mains would squeeze all
// others into a corner.
const highest = 120

// maxPanels keeps a record of nonsense from filling a wall.
const maxPanels = 12

// A spot is a fixed level, or the box of a programmable one.
type spot struct {
	v, low, a  float64 // volts, the low end of a range, amperes
	isRange    bool
	protocol   int // index into levelChart.protocols
	label      string
	heardV     float64 // as heard and refuted; 0 where not
	heardA     float64
	heardWords string
}

// A panel is one chart: a mode, and the ports that share these levels.
type panel struct {
	mode  string
	ports []string
	spots []spot
	key   string // of the spots, to bring equal ports together
}

// levelChart is what Levels draws.
type levelChart struct {
	title     string
	panels    []*panel
	protocols []string
	omitted   []string
	unplaced  []string // labels that the panels had no room for
	marks     string   // those of statuses and places that occur
	refuted   bool
	beyond    bool // a level lies off the scale
}

// Levels draws the operating levels of a record: voltage across, current up,
// one mark a level, its shape the protocol's; a programmable level is a box
// from its lowest to its highest voltage. Dotted curves join what has the same
// power. A hollow mark is a value as it was heard where that was refuted, with
// a line to the reading chosen. Modes have panels of their own, and so have
// ports unless their levels are the same. A value far above the others is
// marked at the edge. False where no level can be drawn.
func Levels(r *schema.Record) (*Picture, bool) { return levels(r, wideSheet) }

// LevelsNarrow is Levels for a telephone or a column of print: its panels
// stand below each other.
func LevelsNarrow(r *schema.Record) (*Picture, bool) { return levels(r, narrowSheet) }

// A sheet is the form of a picture: panels beside each other, and their size.
type sheet struct {
	columns    int
	panelW     vg.Length
	panelH     vg.Length
	powersWide vg.Length // width of the picture of powers
}

// heading is the line above a picture: its title, but in a column of print or on
// a telephone what it shows alone. The product's name stands on the page, and a
// reader without the typeface has a wider one.
func (s sheet) heading(title, shows string) string {
	if s.columns == 1 {
		return strings.ToUpper(shows[:1]) + shows[1:]
	}
	return title
}

// levelsShow is what the picture of levels shows.
const levelsShow = "operating levels"

var (
	wideSheet   = sheet{2, 330, 236, 520}
	narrowSheet = sheet{1, 250, 158, 250}
)

func levels(r *schema.Record, form sheet) (*Picture, bool) {
	c := chartOf(r)
	if len(c.panels) == 0 {
		return nil, false
	}
	columns := min(len(c.panels), form.columns)
	w := vg.Length(columns) * form.panelW
	rows := (len(c.panels) + columns - 1) / columns
	high := vg.Length(rows) * form.panelH
	drawPanels := func(p pen) {
		f := c.scale()
		for i, one := range c.panels {
			f.area = box{
				vg.Length(i%columns)*form.panelW + 40, headHeight + vg.Length(i/columns)*form.panelH + 20,
				form.panelW - 40 - 36, form.panelH - 20 - 34,
			}
			c.panel(p, f, one)
		}
	}
	// Drawn once to see what finds no room, which the footer then says.
	drawPanels(pen{draw.NewCanvas(nowhere{}, w, high)})
	foot := c.footer(w - 2*margin)
	h := headHeight + high + vg.Length(len(foot))*footLine + c.legendHeight(w) + margin
	return &Picture{
		Name: NameLevels, Title: c.title, Alt: c.alt(), width: w, height: h,
		draw: func(canvas draw.Canvas) {
			p := pen{canvas}
			p.fill(paper, box{0, 0, w, h})
			p.bold(margin, 18, fitBold(form.heading(c.title, levelsShow), sizeTitle, w-3*margin), sizeTitle, left)
			drawPanels(p)
			y := headHeight + high + 8
			y = c.legend(p, y, w)
			for _, l := range foot {
				p.text(margin, y+sizeSmall, l, sizeSmall, left, faint)
				y += footLine
			}
		},
	}, true
}

// Sizes of the chart in points.
const (
	margin     vg.Length = 12
	headHeight vg.Length = 28
	footLine   vg.Length = 11
	longest    vg.Length = 200 // of a label or a name in the legend
)

func chartOf(r *schema.Record) *levelChart {
	c := &levelChart{title: nameOf(r) + ": " + levelsShow}
	var all []*panel
	for i := range r.Levels {
		l := &r.Levels[i]
		s, ok := c.spot(r, l)
		if !ok {
			continue
		}
		k := slices.IndexFunc(all, func(p *panel) bool { return p.mode == l.Mode && p.ports[0] == l.Port })
		if k < 0 {
			all = append(all, &panel{mode: l.Mode, ports: []string{l.Port}})
			k = len(all) - 1
		}
		all[k].spots = append(all[k].spots, s)
		all[k].key += fmt.Sprint(s.isRange, s.low, s.v, s.a, s.protocol, ";")
	}
	for _, p := range all {
		same := slices.IndexFunc(c.panels, func(q *panel) bool { return q.mode == p.mode && q.key == p.key })
		if same >= 0 {
			c.panels[same].ports = append(c.panels[same].ports, p.ports[0])
			continue
		}
		if len(c.panels) == maxPanels {
			c.omitted = append(c.omitted, p.title())
			continue
		}
		c.panels = append(c.panels, p)
	}
	return c
}

// spot makes the mark of a level; what cannot be drawn is noted as omitted.
func (c *levelChart) spot(r *schema.Record, l *schema.Level) (spot, bool) {
	s := spot{isRange: l.Voltage.Quantity.Range}
	var ok bool
	s.low, s.v, ok = ends(&l.Voltage, "V")
	label := plain(r, &l.Voltage)
	_, s.a, _ = ends(l.Current, "A")
	switch {
	case l.Current != nil:
		label += " " + plain(r, l.Current)
	case l.Power != nil && ok && s.v > 0:
		_, w, _ := ends(l.Power, "W")
		s.a = w / s.v
		label += " " + plain(r, l.Power)
	}
	if !ok || !(s.a > 0) || !(s.v > 0) || s.v > highest || l.Port == schema.MainsPort ||
		l.Protocol == schema.MainsProtocol {
		c.omitted = append(c.omitted, joinWords(socketOf(l), label, "("+modeWords(l.Mode)+")"))
		return s, false
	}
	s.label = label
	if i := slices.Index(c.protocols, l.Protocol); i >= 0 {
		s.protocol = i
	} else {
		s.protocol = len(c.protocols)
		c.protocols = append(c.protocols, l.Protocol)
	}
	s.heardV = c.heard(r, &l.Voltage, "V", &s)
	s.heardA = c.heard(r, l.Current, "A", &s)
	for _, v := range []*schema.Value{&l.Voltage, l.Current, l.Power} {
		if v != nil {
			c.marks += mark(v.Status) + r.PlaceDoubtOf(v).Mark()
		}
	}
	return s, true
}

// socketOf names the port of a level, or the mains.
func socketOf(l *schema.Level) string {
	if l.Port == "" && l.Protocol == schema.MainsProtocol {
		return l.Protocol
	}
	return l.Port
}

// heard returns the value that the words of a repaired quantity read as by
// themselves, where that is another than the one chosen; else 0.
func (c *levelChart) heard(r *schema.Record, v *schema.Value, u schema.Unit, s *spot) float64 {
	if v == nil || v.Status != schema.StatusRepaired && v.Status != schema.StatusSettled || len(v.Said) == 0 {
		return 0
	}
	said := r.Quantity(v.Said[0])
	if said == nil {
		return 0
	}
	found := extract.ParseQuantities(said.Heard)
	if len(found) == 0 {
		return 0
	}
	q := found[len(found)-1].Quantity
	if q.Unit == "" {
		q.Unit = v.Quantity.Unit
	}
	high, err := q.Unit.Convert(q.High, u)
	if err != nil || high.Sign() <= 0 || q.High.Equal(v.Quantity.High) && q.Unit == v.Quantity.Unit {
		return 0
	}
	c.refuted = true
	s.heardWords = joinWords(s.heardWords, "“"+strings.Join(strings.Fields(said.Heard), " ")+"”")
	return high.Float64()
}

// scale is the frame that all panels share, without its place.
func (c *levelChart) scale() frame {
	var v, a []float64
	for _, p := range c.panels {
		for _, s := range p.spots {
			v, a = append(v, s.v), append(a, s.a)
		}
	}
	f := frame{xMost: reach(v) * 1.25, yMost: reach(a) * 1.4}
	for _, p := range c.panels {
		for i := range p.spots {
			c.beyond = c.beyond || f.beyond(&p.spots[i])
		}
	}
	return f
}

// beyond reports whether a level lies off the scale.
func (f frame) beyond(s *spot) bool { return s.v > f.xMost || s.a > f.yMost }

// edge is how far from the edge of the frame that is marked which lies beyond.
const edge vg.Length = 11

// at is where a point of volts and amperes is marked: at the edge where the
// scale does not reach that far.
func (f frame) at(v, a float64) (x, y vg.Length) {
	x, y = f.x(math.Min(v, f.xMost)), f.y(math.Min(a, f.yMost))
	if v > f.xMost {
		x = f.area.x + f.area.w - edge
	}
	if a > f.yMost {
		y = f.area.y + edge
	}
	return x, y
}

// arrows point off the scale from a mark at x, y.
func (f frame) arrows(p pen, v, a float64, x, y vg.Length) {
	if v > f.xMost {
		p.arrow(x+3.6, y, 7, 0)
	}
	if a > f.yMost {
		p.arrow(x, y-3.6, 0, -7)
	}
}

// powers are those of the panel's strongest levels that the right edge has
// room to name.
func (c *levelChart) powers(f frame, one *panel) []float64 {
	var all []float64
	for _, s := range one.spots {
		if !s.isRange && !f.beyond(&s) {
			all = append(all, s.v*s.a)
		}
	}
	if all == nil {
		for _, s := range one.spots {
			if !f.beyond(&s) {
				all = append(all, s.v*s.a)
			}
		}
	}
	slices.Sort(all)
	slices.Reverse(all)
	var kept []float64
	for _, w := range all {
		y := f.y(w / f.xMost)
		if w < f.xMost*f.yMost && !slices.ContainsFunc(kept,
			func(k float64) bool { return math.Abs(float64(f.y(k/f.xMost)-y)) < 13 }) {
			kept = append(kept, w)
		}
	}
	return kept
}

func (c *levelChart) panel(p pen, f frame, one *panel) {
	p.bold(f.area.x, f.area.y-7, fitBold(one.title(), sizeText, f.area.w+30), sizeText, left)
	xStep, _ := ticks(f.xMost, 6)
	yStep, _ := ticks(f.yMost, 5)
	f.axes(p, xStep, yStep, "voltage in V", "current in A")
	for _, w := range c.powers(f, one) {
		f.power(p, w)
	}
	room := labeller{within: box{f.area.x + 1, f.area.y + 1, f.area.w - 2, f.area.h - 2}}
	for _, s := range one.spots {
		x, y := f.at(s.v, s.a)
		room.keep(box{x - 4.5, y - 4.5, 9, 9})
		if s.v > f.xMost {
			room.keep(box{x, y - 3, edge, 6})
		}
		if s.a > f.yMost {
			room.keep(box{x - 3, y - edge, 6, edge})
		}
		room.points = append(room.points, vg.Point{X: x, Y: y})
		if s.isRange {
			low := min(f.x(s.low), x)
			bottom := f.area.y + f.area.h
			n := s.protocol
			p.box(colors[n%len(colors)], 1.1, dashes[1+n%(len(dashes)-1)], box{low, y, x - low, bottom - y})
			room.keep(box{low, y - 1, x - low, 2})
			room.keep(box{x - 1, y, 2, bottom - y})
			room.keep(box{low - 1, y, 2, bottom - y})
		}
	}
	heard := make([]vg.Point, len(one.spots))
	for i := range one.spots {
		heard[i] = c.refutation(p, f, &one.spots[i], &room)
	}
	for _, s := range one.spots {
		x, y := f.at(s.v, s.a)
		f.arrows(p, s.v, s.a, x, y)
		p.mark(s.protocol, x, y)
	}
	seen := map[string]bool{}
	for _, s := range one.spots {
		if seen[s.label] {
			continue
		}
		seen[s.label] = true
		x, y := f.at(s.v, s.a)
		c.label(p, x, y, s.label, ink, &room)
	}
	for i, s := range one.spots {
		if s.heardWords != "" {
			c.label(p, heard[i].X, heard[i].Y, s.heardWords, faint, &room)
		}
	}
}

// label writes words beside a point where there is room, on a paper ground.
func (c *levelChart) label(p pen, x, y vg.Length, s string, col colorOf, room *labeller) {
	s = fit(s, sizeSmall, longest)
	w := width(s, sizeSmall)
	b, led, ok := room.place(x, y, w, sizeSmall+1)
	if !ok {
		c.unplaced = append(c.unplaced, s)
		return
	}
	p.fill(paper, box{b.x - 1, b.y, b.w + 2, b.h})
	if led {
		toX, toY := leader(x, y, b)
		p.line(faint, 0.4, nil, x, y, toX, toY)
	}
	p.text(b.x, b.y+sizeSmall-0.5, s, sizeSmall, left, col)
}

// refutation draws the value heard, at the edge with an arrow where the chart
// does not reach that far, and a line to the reading chosen. It
// returns where.
func (c *levelChart) refutation(p pen, f frame, s *spot, room *labeller) vg.Point {
	if s.heardV == 0 && s.heardA == 0 {
		return vg.Point{}
	}
	v, a := s.v, s.a
	if s.heardV > 0 {
		v = s.heardV
	}
	if s.heardA > 0 {
		a = s.heardA
	}
	x, y := f.at(v, a)
	fromX, fromY := f.at(s.v, s.a)
	beyondX, beyondY := v > f.xMost, a > f.yMost
	for _, t := range room.taken { // not upon another mark
		if (box{x - 4, y - 4, 8, 8}).overlaps(t) && !(box{fromX - 5, fromY - 5, 10, 10}).overlaps(t) {
			if beyondY {
				x += 10
			} else if beyondX {
				y -= 10
			}
		}
	}
	p.line(ink, 0.7, []vg.Length{3, 2}, fromX, fromY, x, y)
	f.arrows(p, v, a, x, y)
	p.hollow(x, y)
	room.keep(box{x - 5, y - 5, 10, 10})
	const steps = 16
	for i := 1; i < steps; i++ { // the line to it
		k := vg.Length(i) / steps
		room.keep(box{fromX + (x-fromX)*k - 1, fromY + (y-fromY)*k - 1, 2, 2})
	}
	if beyondX {
		room.keep(box{x, y - 3, edge, 6})
	}
	if beyondY {
		room.keep(box{x - 3, y - edge, 6, edge})
	}
	room.points = append(room.points, vg.Point{X: x, Y: y})
	return vg.Point{X: x, Y: y}
}

// arrow draws a short arrow from a point.
func (p pen) arrow(x, y, dx, dy vg.Length) {
	p.line(ink, 0.8, nil, x, y, x+dx, y+dy)
	bx, by := x+dx*0.5, y+dy*0.5
	nx, ny := -dy*0.4, dx*0.4
	p.line(ink, 0.8, nil, bx+nx, by+ny, x+dx, y+dy, bx-nx, by-ny)
}

func (one *panel) title() string {
	ports := strings.Join(one.ports, ", ")
	if ports == "" {
		ports = "port not given"
	}
	return ports + " – " + modeWords(one.mode)
}

// legend explains marks and lines, in rows from y on; it returns where it ends.
func (c *levelChart) legend(p pen, y, w vg.Length) vg.Length {
	x := margin
	entry := func(name string, drawn func(x, y vg.Length), room vg.Length) {
		need := room + 6 + width(name, sizeSmall) + 16
		if x+need > w && x > margin {
			x, y = margin, y+14
		}
		drawn(x+room/2, y+4)
		p.text(x+room+6, y+6.6, name, sizeSmall, left, ink)
		x += need
	}
	for _, e := range c.entries() {
		entry(e.name, func(x, y vg.Length) { e.draw(p, x, y) }, 14)
	}
	return y + 16
}

func (c *levelChart) legendHeight(w vg.Length) vg.Length {
	x, rows := margin, 1
	for _, e := range c.entries() {
		need := 14 + 6 + width(e.name, sizeSmall) + 16
		if x+need > w && x > margin {
			x = margin
			rows++
		}
		x += need
	}
	return vg.Length(rows)*14 + 12
}

type legendEntry struct {
	name string
	draw func(p pen, x, y vg.Length)
}

func (c *levelChart) entries() []legendEntry {
	var all []legendEntry
	for i, name := range c.protocols {
		if name == "" {
			name = "protocol not given"
		}
		all = append(all, legendEntry{fit(name, sizeSmall, longest), func(p pen, x, y vg.Length) { p.mark(i, x, y) }})
	}
	ranged := map[int]bool{}
	for _, one := range c.panels {
		for _, s := range one.spots {
			ranged[s.protocol] = ranged[s.protocol] || s.isRange
		}
	}
	for i, name := range c.protocols {
		if !ranged[i] {
			continue
		}
		all = append(all, legendEntry{fit(strings.TrimSpace(name+" range of voltage"), sizeSmall, longest),
			func(p pen, x, y vg.Length) {
				p.box(colors[i%len(colors)], 1.1, dashes[1+i%(len(dashes)-1)], box{x - 7, y - 4, 14, 8})
			}})
	}
	all = append(all, legendEntry{"equal power",
		func(p pen, x, y vg.Length) { p.line(faint, 0.5, []vg.Length{1.5, 2}, x-7, y+3, x, y, x+7, y-3) }})
	if c.beyond {
		all = append(all, legendEntry{"beyond the scale", func(p pen, x, y vg.Length) { p.arrow(x-5, y, 10, 0) }})
	}
	if c.refuted {
		all = append(all, legendEntry{"as heard, refuted", func(p pen, x, y vg.Length) { p.hollow(x, y) }})
	}
	return all
}

// footer explains the signs behind values and names what is not drawn.
func (c *levelChart) footer(w vg.Length) []string {
	var all []string
	all = append(all, signLegend(c.marks, w)...)
	if len(c.unplaced) > 0 {
		all = append(all, lines("Drawn, with no room for the label: "+strings.Join(c.unplaced, "; ")+".", sizeSmall,
			w)...)
	}
	if len(c.omitted) > 0 {
		all = append(all, lines("Not drawn: "+strings.Join(c.omitted, "; ")+".", sizeSmall, w)...)
	}
	return all
}

func (c *levelChart) alt() string {
	var parts []string
	for _, p := range c.panels {
		var labels []string
		for _, s := range p.spots {
			labels = append(labels, s.label)
		}
		parts = append(parts, p.title()+": "+strings.Join(labels, ", "))
	}
	return "Chart of current over voltage. " + strings.Join(parts, ". ") + "."
}
