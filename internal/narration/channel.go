package narration

import (
	"strings"

	"saywatt/schema"
)

// garble garbles the share of the quantities; which and how is drawn. Those that
// cannot be garbled are made up for by the others.
func (w *world) garble(rate float64) {
	said, can := 0, 0
	w.each(func(p *piece) {
		if p.mark.Kind != MarkQuantity {
			return
		}
		said++
		if p.say != nil && len(w.possible(p.say, p.mark.Meant)) > 0 {
			can++
		}
	})
	if can == 0 {
		return
	}
	rate *= float64(said) / float64(can)
	w.each(func(p *piece) {
		if p.mark.Kind != MarkQuantity || p.say == nil || !w.chance(rate) {
			return
		}
		near := p.from.n.Level(p.mark.Table()) != nil || strings.HasPrefix(p.mark.Slot, "power")
		w.garbleOne(p, near)
	})
}

// garbled is what a garble makes of a quantity.
type garbled struct {
	row   *garbleRow
	shown string
}

// garbleOne draws a garble that fits the quantity; near says that others beside
// it knows its value.
func (m *Maker) garbleOne(p *piece, near bool) {
	all := m.possible(p.say, p.mark.Meant)
	total := 0
	for i := range all {
		total += all[i].row.weight
	}
	if total == 0 {
		return
	}
	at := m.rng.IntN(total)
	for i := range all {
		if at -= all[i].row.weight; at < 0 {
			p.text = all[i].shown
			p.mark.Garble, p.mark.Unclear = all[i].row.label, all[i].row.unclear && !near
			return
		}
	}
}

// possible lists the garbles that change the quantity, in the order of the
// table.
func (m *Maker) possible(say *saying, q schema.Quantity) []garbled {
	var out []garbled
	plain := say.String()
	for i := range m.tables.garbles {
		row := &m.tables.garbles[i]
		shown := m.act(row.act, say, q)
		if shown != "" && shown != plain {
			out = append(out, garbled{row, shown})
		}
	}
	return out
}

// act does a garble of the table; "" where it does not fit.
func (m *Maker) act(name string, say *saying, q schema.Quantity) string {
	switch name {
	case "unit_misheard":
		return m.mishear(say, q.Unit)
	case "unit_dropped":
		return strings.TrimSuffix(say.String(), say.unit)
	case "hour_lost":
		return hourLost(say, q.Unit)
	case "sentence_break":
		if say.words || say.unit == "" || q.Range {
			return ""
		}
		return say.low + "." + say.unit
	case "range_to", "range_lost", "range_merged":
		if !q.Range {
			return ""
		}
		return m.rangeAct(name, say)
	}
	if q.Range {
		return ""
	}
	low := ""
	if say.words {
		low = m.wordAct(name, say.low)
	} else {
		low = m.digitAct(name, say.low)
	}
	if low == "" {
		return ""
	}
	return low + say.unit
}

// digitAct garbles a number in digits.
func (m *Maker) digitAct(name, number string) string {
	whole, fraction, point := strings.Cut(number, ".")
	switch name {
	case "teen_ty":
		return m.teenTy(number)
	case "homophone":
		return m.homophone(whole, fraction, point)
	}
	if point {
		return m.pointAct(name, whole, fraction)
	}
	return wholeAct(name, whole)
}

// pointAct garbles a number with a point.
func (m *Maker) pointAct(name, whole, fraction string) string {
	switch name {
	case "point_word":
		if m.chance(0.5) {
			fraction = strings.Join(strings.Split(fraction, ""), " ")
		}
		return whole + " point " + fraction
	case "point_lost":
		return whole + fraction
	case "broken_decimals":
		if len(fraction) > 1 {
			k := 1 + m.rng.IntN(len(fraction)-1)
			return whole + "." + fraction[:k] + " " + fraction[k:]
		}
		if len(whole) == 2 && whole[1] != '0' {
			return whole[:1] + "0 " + whole[1:] + "." + fraction
		}
	case "point_as_sign":
		return whole + []string{"-", " ", " .", ". "}[m.rng.IntN(4)] + fraction
	case "leading_zero":
		if whole == "0" {
			return "." + fraction
		}
	}
	return ""
}

// wholeAct garbles a number without a point.
func wholeAct(name, whole string) string {
	four := len(whole) == 4 && !strings.Contains(whole, ",")
	switch name {
	case "clock":
		if four && whole[2] < '6' {
			return whole[:2] + ":" + whole[2:]
		}
	case "pair_apart":
		if four && whole[2] != '0' {
			return whole[:2] + " " + whole[2:]
		}
	case "thousands_apart":
		if bare := strings.ReplaceAll(whole, ",", ""); len(bare) > 3 {
			return bare[:len(bare)-3] + " " + bare[len(bare)-3:]
		}
	}
	return ""
}

// homophone shows a word for a digit of the same sound.
func (m *Maker) homophone(whole, fraction string, point bool) string {
	for _, h := range m.tables.homophones {
		for v, w := range m.tables.number {
			if w != h[0] || v > 9 || whole != string(rune('0'+v)) {
				continue
			}
			if point {
				return h[1] + " ." + fraction
			}
			return h[1]
		}
	}
	return ""
}

// teenTy shows a ten for a teen, or the other way.
func (m *Maker) teenTy(number string) string {
	switch {
	case len(number) == 2 && number[0] == '1' && number[1] >= '3':
		return number[1:] + "0"
	case len(number) == 2 && number[1] == '0' && number[0] >= '3':
		return "1" + number[:1]
	}
	return ""
}

// wordAct garbles a number in words.
func (m *Maker) wordAct(name, number string) string {
	switch name {
	case "point_lost":
		if head, tail, ok := strings.Cut(number, " point "); ok {
			return head + " " + tail
		}
	case "teen_ty":
		for v := 13; v < 20; v++ {
			teen, ty := m.tables.number[v], m.tables.number[(v-10)*10]
			switch number {
			case teen:
				return ty
			case ty:
				return teen
			}
		}
	case "homophone":
		for _, h := range m.tables.homophones {
			if number == h[0] {
				return h[1]
			}
			if rest, ok := strings.CutPrefix(number, h[0]+" point "); ok {
				return h[1] + " point " + rest
			}
		}
	}
	return ""
}

func (m *Maker) rangeAct(name string, say *saying) string {
	two := m.tables.number[2]
	switch {
	case name == "range_to" && strings.TrimSpace(say.between) == "to":
		if say.words {
			return say.low + " " + two + " " + say.high + say.unit
		}
		return say.low + " 2" + say.high + say.unit
	case name == "range_lost" && strings.TrimSpace(say.between) != "":
		return say.low + " " + say.high + say.unit
	case name == "range_merged" && !say.words && len(say.low) == 2 && len(say.high) == 2:
		return say.low + say.high + say.unit
	}
	return ""
}

// mishear shows other words for the unit: for the whole, the prefix, or the
// rest, each by how often it was seen.
func (m *Maker) mishear(say *saying, unit schema.Unit) string {
	u, ok := m.tables.units[unit]
	if !ok || strings.TrimSpace(say.unit) != u.many && strings.TrimSpace(say.unit) != u.one {
		return ""
	}
	said := strings.TrimSpace(say.unit)
	type form struct {
		text string
		n    int
	}
	var forms []form
	total := 0
	add := func(text string, n int) {
		forms = append(forms, form{text, n})
		total += n
	}
	for _, h := range m.tables.heard["phrase "+string(unit)] {
		add(h.form, h.n)
	}
	hour := strings.HasSuffix(string(unit), ".h")
	if base, ok := m.tables.units[schema.Unit(u.base)]; ok && !hour {
		for _, h := range m.tables.heard["base "+u.base] {
			if u.prefix == "-" {
				add(h.form, h.n)
			} else if prefix := strings.TrimSuffix(u.one, base.one); prefix != u.one {
				add(prefix+" "+h.form, h.n)
			}
		}
		if rest := base.many; u.prefix != "-" && strings.HasSuffix(u.many, rest) {
			for _, h := range m.tables.heard["prefix "+u.prefix] {
				add(h.form+" "+rest, h.n)
			}
		}
	}
	if i := strings.LastIndexByte(said, ' '); hour && i > 0 {
		for _, h := range m.tables.heard["hour h"] {
			add(said[:i+1]+h.form, h.n)
		}
	}
	if total == 0 {
		return ""
	}
	at := m.rng.IntN(total)
	for _, f := range forms {
		if at -= f.n; at < 0 {
			return say.low + say.between + say.high + " " + f.text
		}
	}
	return ""
}

// hourLost leaves the hour of a charge out: "milliamps" for "milliamp hours".
func hourLost(say *saying, unit schema.Unit) string {
	if !strings.HasSuffix(string(unit), "A.h") {
		return ""
	}
	i := strings.LastIndexByte(say.unit, ' ')
	if i <= 0 {
		return ""
	}
	return say.low + say.between + say.high + say.unit[:i] + "s"
}
