package narration

import (
	"slices"
	"strings"

	"saywatt/schema"
)

// values exchanges values for others that agree with each other.
func (w *world) values() {
	w.levels()
	w.partValues()
	w.body()
	w.temperatures()
}

// set changes what a piece means and says; it reports false, and changes
// nothing, where the new value cannot be said.
func (p *piece) set(q schema.Quantity) bool {
	if p.say == nil || !p.say.put(q) {
		return false
	}
	p.mark.Meant = q
	p.text = p.say.String()
	return true
}

// can reports whether set would change the piece.
func (p *piece) can(q schema.Quantity) bool {
	if p.say == nil {
		return false
	}
	say := *p.say
	return say.put(q)
}

// listKey names the levels that were said as one list.
type listKey struct {
	s                    *source
	mode, port, protocol string
}

// saidLevel is a level with the pieces that say it.
type saidLevel struct {
	id      string
	v, a, p []*piece
	other   bool // something else is said of it
}

// held is what else is said of a narration's product and binds its levels.
type held struct {
	tested  bool // readings were taken, perhaps at the levels
	limits  bool // the currents at which it gives up were measured
	density bool // the power was divided by the volume
}

// levels exchanges lists of fixed levels as a whole.
func (w *world) levels() {
	lists, order := map[listKey][]*saidLevel{}, []listKey{}
	bound := map[*source]held{}
	w.each(func(p *piece) {
		if p.mark.Kind != MarkQuantity {
			return
		}
		h := bound[p.from]
		switch name, _, _ := strings.Cut(p.mark.Slot, "@"); {
		case name == "density":
			h.density = true
		case name == "meas.overcurrent":
			h.limits = true
		case strings.HasPrefix(name, "cond."), strings.HasPrefix(name, "meas."):
			h.tested = h.tested || name != "cond.mains" && p.electric()
		}
		bound[p.from] = h
		l := p.from.n.Level(p.mark.Table())
		if l == nil {
			return
		}
		k := listKey{p.from, l.Mode, l.Port, l.Protocol}
		if _, ok := lists[k]; !ok {
			order = append(order, k)
		}
		var said *saidLevel
		for _, x := range lists[k] {
			if x.id == l.ID {
				said = x
			}
		}
		if said == nil {
			said = &saidLevel{id: l.ID}
			lists[k] = append(lists[k], said)
		}
		switch {
		case p.mark.Meant.Range:
			said.other = true
		case p.mark.Meant.Unit == "V":
			said.v = append(said.v, p)
		case p.mark.Meant.Unit == "A":
			said.a = append(said.a, p)
		case p.mark.Meant.Unit == "W":
			said.p = append(said.p, p)
		default:
			said.other = true
		}
	})
	for _, k := range order {
		if !bound[k.s].limits && w.chance(shareLevels) {
			w.exchangeList(k, lists[k], bound[k.s])
		}
	}
}

func (p *piece) electric() bool {
	switch p.mark.Meant.Unit.Kind() {
	case schema.KindVoltage, schema.KindCurrent, schema.KindPower:
		return true
	}
	return false
}

// exchangeList exchanges the levels of a list for those of a row of the table
// as long, of at least as much power: what is claimed elsewhere stays true. Where
// readings were taken, each voltage stays with at least its current.
func (w *world) exchangeList(k listKey, said []*saidLevel, h held) {
	if k.port == "" || strings.Contains(k.mode, "shared") {
		return
	}
	old, before := pair{}, levelList{}
	for _, l := range said {
		if l.other || len(l.v) == 0 || len(l.a) == 0 {
			return
		}
		p := pair{l.v[0].mark.Meant.Low, l.a[0].mark.Meant.Low}
		if !w.usual(p.v) {
			return
		}
		before.levels = append(before.levels, p)
		if old.v.IsZero() || p.power().Cmp(old.power()) > 0 {
			old = p
		}
	}
	kind := "c"
	if strings.HasPrefix(k.port, "USB-A") {
		kind = "a"
	}
	claims, roof := w.claims(k, old.power())
	if h.density && len(claims) > 0 {
		roof = old.power()
	}
	var fit []levelList
	for _, l := range w.tables.lists {
		if l.port != kind || len(l.levels) != len(said) || h.tested && !l.covers(&before) {
			continue
		}
		if top := l.top(); top.Cmp(old.power()) >= 0 && (roof.IsZero() || top.Cmp(roof) <= 0) {
			fit = append(fit, l)
		}
	}
	if len(fit) == 0 {
		return
	}
	w.putList(said, claims, fit[w.rng.IntN(len(fit))])
}

// usual reports whether a row of the table has the voltage.
func (w *world) usual(v schema.Decimal) bool {
	return slices.ContainsFunc(w.tables.lists, func(l levelList) bool {
		return slices.ContainsFunc(l.levels, func(p pair) bool { return p.v.Equal(v) })
	})
}

// covers reports whether the list has every voltage of the other, with at least
// its current.
func (l *levelList) covers(o *levelList) bool {
	for _, p := range o.levels {
		has := func(q pair) bool { return q.v.Equal(p.v) && q.a.Cmp(p.a) >= 0 }
		if !slices.ContainsFunc(l.levels, has) {
			return false
		}
	}
	return true
}

// top is the largest power of the list.
func (l *levelList) top() schema.Decimal {
	top := l.levels[0].power()
	for _, p := range l.levels[1:] {
		if q := p.power(); q.Cmp(top) > 0 {
			top = q
		}
	}
	return top
}

// claims returns the pieces that claim the list's power for the product or the
// port, and the power that the others leave room for, zero for no bound.
func (w *world) claims(k listKey, power schema.Decimal) (same []*piece, roof schema.Decimal) {
	w.each(func(p *piece) {
		slot, _, _ := strings.Cut(p.mark.Slot, "@")
		if p.from != k.s || p.mark.Kind != MarkQuantity || p.mark.Meant.Unit != "W" ||
			!strings.HasPrefix(slot, "power") {
			return
		}
		q := p.mark.Meant.Low
		_, port, tied := strings.Cut(slot, ":")
		if one, shared := strings.CutSuffix(port, " shared"); shared && !strings.Contains(one, "+") {
			return // less than alone, whatever that is
		}
		mine := !tied || port == k.port
		if mine && near(q, power) {
			same = append(same, p)
			return
		}
		if (mine || strings.Contains(port, k.port)) && (roof.IsZero() || q.Cmp(roof) < 0) {
			roof = q
		}
	})
	if !roof.IsZero() && roof.Cmp(power) < 0 {
		roof = power
	}
	return same, roof
}

// near reports whether a power is said for the other: rounded to whole watts.
func near(said, exact schema.Decimal) bool {
	return said.Equal(exact) || said.Equal(exact.Round(0)) || said.Equal(exact.Round(1))
}

// putList says the levels of the list, and its power where it is claimed.
func (w *world) putList(said []*saidLevel, claims []*piece, list levelList) {
	type change struct {
		p *piece
		q schema.Quantity
	}
	var changes []change
	add := func(pieces []*piece, v schema.Decimal, u schema.Unit) {
		for _, p := range pieces {
			changes = append(changes, change{p, schema.One(v, u)})
		}
	}
	for i, l := range said {
		add(l.v, list.levels[i].v, "V")
		add(l.a, list.levels[i].a, "A")
		add(l.p, saidPower(list.levels[i].power()), "W")
	}
	add(claims, saidPower(list.top()), "W")
	for _, c := range changes {
		if !c.p.can(c.q) {
			return
		}
	}
	for _, c := range changes {
		c.p.set(c.q)
	}
}

// saidPower is a power as people say it: whole where it is nearly so.
func saidPower(p schema.Decimal) schema.Decimal {
	whole := p.Round(0)
	if d := p.Sub(whole).Float64(); d > -0.1 && d < 0.1 {
		return whole.Trim()
	}
	return p.Round(1).Trim()
}

// partValues exchanges the values of parts for neighbours of their series or
// list; the same value of a part stays the same.
func (w *world) partValues() {
	type key struct {
		s     *source
		id    string
		value string
	}
	units := map[key]string{} // the value said first in a unit; "" where there are several
	w.each(func(p *piece) {
		if p.mark.Kind != MarkQuantity || p.from.n.PartOf(p.mark.Table()) == nil {
			return
		}
		k := key{p.from, p.mark.Table(), string(p.mark.Meant.Unit)}
		now := p.mark.Meant.Low.Trim().String()
		if before, ok := units[k]; ok && before != now || p.mark.Meant.Range || p.say == nil {
			now = ""
		}
		units[k] = now
	})
	made := map[key]schema.Decimal{}
	w.each(func(p *piece) {
		if p.mark.Kind != MarkQuantity || p.from.n.PartOf(p.mark.Table()) == nil {
			return
		}
		q := p.mark.Meant
		if units[key{p.from, p.mark.Table(), string(q.Unit)}] == "" {
			return
		}
		k := key{p.from, p.mark.Table(), string(q.Unit) + " " + q.Low.Trim().String()}
		v, ok := made[k]
		if !ok {
			v = q.Low
			if w.chance(shareValues) {
				v = w.neighbour(q)
			}
			made[k] = v
		}
		if !v.Equal(q.Low) {
			p.set(schema.One(v, q.Unit))
		}
	})
}

// neighbour returns a value of the same series or list beside q's, q's own
// where no row holds it.
func (w *world) neighbour(q schema.Quantity) schema.Decimal {
	base := q.Unit
	if u, ok := w.tables.units[q.Unit]; ok && u.base != "-" && u.prefix != "-" {
		base = schema.Unit(u.base)
	}
	for i := range w.tables.ratings {
		r := &w.tables.ratings[i]
		if !slices.Contains(r.bases, string(base)) || !r.decade && base != q.Unit {
			continue
		}
		shift, v := 0, q.Low.Trim()
		for r.decade && v.Sign() > 0 && v.Cmp(r.values[0].Shift(1)) >= 0 {
			v, shift = v.Shift(-1), shift+1
		}
		for r.decade && v.Sign() > 0 && v.Cmp(r.values[0]) < 0 {
			v, shift = v.Shift(1), shift-1
		}
		at := slices.IndexFunc(r.values, v.Equal)
		if at < 0 {
			continue
		}
		next := at + 1 - 2*w.rng.IntN(2)
		if next < 0 || next >= len(r.values) {
			next = 2*at - next
		}
		return r.values[next].Shift(shift).Trim()
	}
	return q.Low
}

// body scales sizes and masses of the product together. Edges keep their
// decimals; volume and density follow.
func (w *world) body() {
	num := schema.NewDecimal(int64(92+w.rng.IntN(17)), -2) // 0.92 to 1.08
	cube := num.Mul(num).Mul(num)
	var changes []*piece
	ok := true
	w.each(func(p *piece) {
		if p.mark.Kind != MarkQuantity || p.from != w.base {
			return
		}
		switch name, _, _ := strings.Cut(p.mark.Slot, "@"); name {
		case "size", "mass", "volume":
			changes = append(changes, p)
			ok = ok && p.say != nil && !p.mark.Meant.Range
		case "density":
			ok = false
		}
	})
	if !ok {
		return
	}
	for _, p := range changes {
		q, factor := p.mark.Meant, num
		if !strings.HasPrefix(p.mark.Slot, "size") {
			factor = cube
		}
		p.set(schema.One(q.Low.Mul(factor).Round(q.Low.Decimals()), q.Unit))
	}
}

// temperatures shifts the temperatures of a narration by the same step.
func (w *world) temperatures() {
	shift, strange := map[*source]schema.Decimal{}, map[*source]bool{}
	each := func(f func(p *piece)) {
		w.each(func(p *piece) {
			name, _, _ := strings.Cut(p.mark.Slot, "@")
			if p.mark.Kind == MarkQuantity && (name == "meas.temperature" || name == "cond.ambient") {
				f(p)
			}
		})
	}
	each(func(p *piece) {
		if _, ok := shift[p.from]; !ok {
			shift[p.from] = schema.NewDecimal(int64(w.rng.IntN(7)-3), 0)
		}
		u := p.mark.Meant.Unit
		strange[p.from] = strange[p.from] || p.say == nil || p.mark.Meant.Range || p.mark.Meant.Low.Sign() < 0 ||
			u != "Cel" && u != "K"
	})
	each(func(p *piece) {
		if d := shift[p.from]; !strange[p.from] && !d.IsZero() && p.mark.Meant.Unit == "Cel" {
			p.set(schema.One(p.mark.Meant.Low.Add(d), p.mark.Meant.Unit))
		}
	})
}
