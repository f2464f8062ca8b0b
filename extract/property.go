package extract

import (
	"slices"
	"strconv"
	"strings"

	"saywatt/schema"
)

// reach is how many tokens a property word governs ahead of it: about a
// clause of speech (common practice, no source).
const reach = 14

// dollarCount is how often captions showed a dollar sign for volts (own
// narrations and dev captions; shared garbles name the class in handbook 9.2).
const dollarCount = 4

// spotReach is how many tokens the place of a measurement stays in mind
// (common practice, no source).
const spotReach = 10

// name notes a property word over tokens [i, end) for the number to come.
func (s *placer) name(i, end int, prop int32) bool {
	p := &s.c.properties[prop]
	if i < s.afterEnd {
		return true // it was read with the number before it
	}
	if p.section != SectionNone {
		s.enterBy(i, end, p.section, p.weak)
	}
	if p.test && !s.testing() {
		return false
	}
	if (p.name == "outer_diameter" || p.name == "inner_diameter") && s.section != SectionTeardown && s.section != SectionWireless {
		return false
	}
	if s.prop >= 0 && !s.propTaken && s.propEnd > i-6 && s.propStops == 0 && s.c.properties[prop].kinds&s.c.properties[s.prop].kinds != 0 && s.c.properties[s.prop].kinds != 0 && s.general(prop) {
		return true // "touch current", "ripple voltage": the closer name stands
	}
	alt := int32(-1)
	if s.prop >= 0 && s.propEnd == end && !s.propTaken && s.prop != prop {
		alt = s.prop // the same words name one or the other: "cuts off at"
	}
	s.prop, s.propAlt, s.propEnd, s.propStops, s.propTaken, s.levelled = prop, alt, end, 0, false, false
	return true
}

// cellFormat reports whether the bare number names a cell format, as "21700
// cells", and gives the cell its format. Captions may show it in two numbers:
// "thirty two seven hundred".
func (s *placer) cellFormat(m *Mention, k int) bool {
	if m.Range || m.Low.Exp != 0 || m.Low.Coef < 10 {
		return false
	}
	format, last := m.Low.Coef, m
	if format < 100 && k+1 < len(s.d.Mentions) {
		n := &s.d.Mentions[k+1]
		if n.Joint != JointSpace || n.From == UnitOwn || n.Range {
			return false
		}
		v := shift(n.Low, int32(max(n.Low.Exp, 0))) // "seven hundred" is 7 × 10^2
		for p := int64(10); ; p *= 10 {
			if v.Coef < p {
				format = format*p + v.Coef
				break
			}
		}
		last = n
	}
	if !slices.Contains(s.c.formats, format) {
		return false
	}
	i := s.skipBreak(int(last.Last))
	near := s.subject >= 0 && s.d.Subjects[s.subject].Kind == "cell" || i < len(s.tokens) && s.tokens[i].Kind == TokenWord && s.wordIs(i, "size")
	if v, n := s.matchAt(i); n > 0 {
		for _, e := range s.c.cues[v] {
			near = near || e.kind == effectPart && s.c.kinds[s.c.parts[e.n].kind].name == "cell" || e.kind == effectSubject
		}
	}
	if !near {
		return false
	}
	m.Not, m.Unit, m.From = NotCode, UnitWords{}, UnitNone
	last.Not, last.Unit, last.From = NotCode, UnitWords{}, UnitNone
	if sub := &s.d.Subjects[s.specialSubject(0, int(m.First), int(last.Last))]; sub.Package == "" {
		sub.Package = strconv.FormatInt(format, 10)
	}
	return true
}

// matchAt is phrases.match, safe behind the last token.
func (s *placer) matchAt(i int) (int32, int) {
	if i < 0 || i >= len(s.tokens) {
		return 0, 0
	}
	return s.c.phrases.match(s.tokens, i)
}

// countsNoun reports whether a noun that is counted stands behind the bare
// number: "3 times", "16 pieces".
func (s *placer) countsNoun(m *Mention) bool {
	i := s.skipBreak(int(m.Last))
	if m.Range || m.Low.Exp < 0 || i >= len(s.tokens) {
		return false
	}
	w := s.tokens[i].Word
	if w == s.c.of && wholeSmall(m.Low) {
		j := s.skipBreak(i + 1)
		if j < len(s.tokens) && (s.wordIs(j, "them") || s.wordIs(j, "those") || s.wordIs(j, "these")) {
			if s.subject >= 0 && s.d.Subjects[s.subject].Count == 0 {
				s.d.Subjects[s.subject].Count = int(m.Low.Float())
			}
			return true
		}
	}
	return w != 0 && int(w) < len(s.c.counted) && s.c.counted[w]
}

// priceBefore reports whether a word of paying stands shortly before token i.
func (s *placer) priceBefore(i int) bool {
	for n := 0; n < 6; n++ {
		if i = s.backOne(i); i < 0 || s.tokens[i].Kind == TokenPara {
			return false
		}
		if s.tokens[i].Kind != TokenWord {
			continue
		}
		switch strings.ToLower(string(s.text[s.tokens[i].Start:s.tokens[i].End])) {
		case "paid", "pay", "price", "cost", "costs", "priced", "bought", "spent":
			return true
		}
	}
	return false
}

// general reports whether the property is a bare electrical or mechanical
// name that a closer one before it outranks.
func (s *placer) general(prop int32) bool {
	switch s.c.properties[prop].name {
	case "voltage", "current", "power", "energy", "capacity", "temperature", "length", "resistance", "duration", "input_power", "output_power":
		return true
	}
	return false
}

// testing reports whether measurements are told of.
func (s *placer) testing() bool {
	return s.section == SectionTest || s.section == SectionThermal || s.section == SectionClosing
}

// take gives mention k its context and returns the token behind it.
func (s *placer) take(k int) int {
	m := &s.d.Mentions[k]
	s.next = k + 1
	end := int(m.Last)
	if m.Not == NotCode && s.cueEnd == int(m.First) && m.From != UnitNone {
		m.Not = NotNothing // "P P S 3.3 volts": the letters before are known for what they are
	}
	if m.Not == NotCode && s.cueEnd == int(m.First) && s.protocol != "" && s.protoLast == s.clause {
		m.Not = NotNothing
	}
	if m.Not == NotPrice && s.currentNext(k) && (s.section == SectionOutput || s.section == SectionInput || s.section == SectionTest) {
		// "$9 2 amps": number formatting took the volts for dollars
		m.Not, m.Unit, m.From = NotNothing, UnitWords{Unit: "V", End: m.NumEnd, Manner: MannerHeard, Count: dollarCount}, UnitList
	}
	if m.Not == NotNothing && m.From != UnitOwn {
		switch {
		case s.countHere(m):
			s.takeCount(m)
		case s.cellFormat(m, k):
		case s.countOfRated(m, k):
			s.takeCount(m)
		case s.countsNoun(m):
			m.Not, m.Unit, m.From = NotCount, UnitWords{}, UnitNone
		}
	}
	if m.Not == NotNothing && m.Unit.Unit == "[lb_av]" && s.priceBefore(int(m.First)) {
		m.Not = NotPrice
	}
	if m.Not != NotNothing {
		m.Context = s.picture()
		m.Context.Subject = -1
		return end
	}
	phys := schema.KindUnknown
	if m.HasUnit() {
		phys = m.Unit.Unit.Kind()
	}
	s.bodyBegins(m, phys)
	s.levelsBegin(m, phys)
	s.mainsInput(m, phys)
	if s.protocol != "" && s.protoLast != s.clause && !s.protocolGoesOn(phys) {
		s.protocol = ""
	}
	c := s.picture()
	if int(m.First)-s.spotEnd > spotReach {
		c.Spot = ""
	}
	named := false
	c.Property, named = s.property(m, k, phys)
	c.Named = named
	c.Subject = s.belongs(m, phys, &c)
	if c.Subject >= 0 && !named && c.Property == "" {
		c.Property = s.c.kinds[s.kindOf(c.Subject)].ratings[phys]
	}
	if c.Property == "" {
		c.Property = s.byDefault(m, k, phys, &c)
	}
	if s.protocol != "" && phys == schema.KindVoltage {
		s.protoLast = s.clause
	}
	if phys == schema.KindTemperature && c.Spot != "" {
		s.spot = ""
	}
	if c.Property == "ambient" {
		c.Spot = ""
	}
	m.Context = c
	s.last = int32(k)
	return end
}

// property returns the property that a word near the mention names.
func (s *placer) property(m *Mention, k int, phys schema.Kind) (string, bool) {
	if p := s.after(m, phys); p >= 0 {
		s.note(p, k)
		if k > 0 && m.Joint == JointAnd { // "2 hours and 15 minutes to charge"
			if b := &s.d.Mentions[k-1]; b.Not == NotNothing && !b.Context.Named && b.HasUnit() && b.Unit.Unit.Kind() == phys && phys == schema.KindTime {
				b.Context.Property, b.Context.Named = s.c.properties[p].name, true
			}
		}
		return s.c.properties[p].name, true
	}
	if s.prop < 0 {
		return "", false
	}
	if s.propAlt >= 0 && !s.propTaken && !s.c.properties[s.prop].fits(phys) && s.c.properties[s.propAlt].fits(phys) {
		s.prop, s.propAlt = s.propAlt, s.prop
	}
	p := &s.c.properties[s.prop]
	first := int(m.First)
	limit := reach
	if !m.HasUnit() {
		limit = 7
	}
	if !p.fits(phys) || first-s.propEnd > limit || s.propStops > 0 && !(first-s.propEnd <= 3) {
		return "", false
	}
	if p.test && !s.testing() {
		return "", false
	}
	if s.propTaken && phys != s.propUsed && phys != schema.KindUnknown && s.propUsed != schema.KindUnknown {
		return "", false
	}
	if s.prop == s.c.prop.ripple && m.Unit.Unit != "mV" {
		switch {
		case phys == schema.KindVoltage && (!s.propTaken || s.levelled):
			s.condition, s.levelled = int32(k), true
			s.propEnd, s.propStops = int(m.Last), 0
			return "condition_voltage", true
		case phys == schema.KindVoltage, s.propTaken && !s.levelled:
			return "", false
		}
	} else if !m.HasUnit() && s.propTaken && !s.testing() && m.Joint == JointNone {
		return p.name, false // "weight 198 grams, the base alone 92"
	} else if s.propTaken && (m.Joint == JointNone || m.Joint == JointStop || m.Joint == JointAt) {
		return "", false
	}
	if s.testing() && phys == schema.KindVoltage && s.prop != s.c.prop.ripple && s.currentNext(k) && !s.propTaken && p.name != "condition_mains" {
		return "", false // "output at 20 volts 3 amps": a condition pair
	}
	s.propTaken, s.propUsed, s.propEnd, s.propStops = true, phys, int(m.Last), 0
	s.note(s.prop, k)
	return p.name, true
}

// note remembers that a mention was a condition, or that something was
// measured.
func (s *placer) note(prop int32, k int) {
	switch prop {
	case s.c.prop.conditionVoltage, s.c.prop.conditionCurrent, s.c.prop.conditionPower:
		s.condition = int32(k)
	case s.c.prop.conditionMains:
	default:
		s.measured = s.clause
		if s.condition >= 0 && s.condition == s.last {
			s.lead = prop
		}
	}
}

// after returns the property named right behind the number, -1 for none.
func (s *placer) after(m *Mention, phys schema.Kind) int32 {
	i := s.skipBreak(int(m.Last))
	for n := 0; n < 2 && i < len(s.tokens); n++ {
		if s.tokens[i].Kind != TokenWord || s.tokens[i].Word == 0 {
			return -1
		}
		if v, w := s.c.phrases.match(s.tokens, i); w > 0 {
			for _, e := range s.c.cues[v] {
				if e.kind != effectAfter {
					continue
				}
				p := &s.c.properties[e.n]
				if !p.fits(phys) || p.test && !s.testing() || phys == schema.KindUnknown && !s.bareAfter(e.n) {
					continue
				}
				if p.name == "condition_voltage" && !s.testing() {
					continue
				}
				if w == 1 && (p.name == "input_power" || p.name == "output_power" || p.name == "output_voltage") && !s.closes(i+w) {
					continue // "100 watts in a warm room"
				}
				s.afterEnd = i + w
				return e.n
			}
			return -1
		}
		c, _ := s.at(i)
		if c != classQualifier && s.tokens[i].Word != s.c.of && c != classTo && s.tokens[i].Word != s.c.in {
			return -1
		}
		i = s.skipBreak(i + 1)
	}
	return -1
}

// closes reports whether a sign, a number, "and" or the end stands at token i.
func (s *placer) closes(i int) bool {
	i = s.skipBreak(i)
	if i >= len(s.tokens) || s.tokens[i].Kind != TokenWord || s.mentionAt(i) {
		return true
	}
	c, _ := s.at(i)
	return c == classAnd
}

// bareAfter reports whether the property may follow a number without a unit:
// "1 point 5 thick".
func (s *placer) bareAfter(prop int32) bool {
	switch s.c.properties[prop].name {
	case "thickness", "width", "height", "length", "turns", "cycles", "diameter", "efficiency":
		return true
	}
	return false
}

// currentNext reports whether the mention behind k is a current that follows
// it directly, as in "20 volts 3 amps", "20 volts at 3 amps".
func (s *placer) currentNext(k int) bool {
	if k+1 >= len(s.d.Mentions) {
		return false
	}
	n := &s.d.Mentions[k+1]
	switch n.Joint {
	case JointSpace, JointComma, JointAt, JointSlash, JointAnd:
	default:
		return false
	}
	return n.HasUnit() && n.Unit.Unit.Kind() == schema.KindCurrent && n.Unit.Unit != "mA" && n.Unit.Unit != "uA"
}

// levelsBegin enters the section of levels where a port was named and a
// voltage, current or power follows.
func (s *placer) levelsBegin(m *Mention, phys schema.Kind) {
	if !s.portPend {
		return
	}
	switch phys {
	case schema.KindVoltage, schema.KindCurrent, schema.KindPower:
		port, end, clause, together := s.port, s.portEnd, s.portClause == s.clause, s.together
		protocol, near := s.protocol, int(m.First)-s.protoEnd <= reach
		s.enter(SectionOutput)
		s.port, s.portEnd, s.together = port, end, together
		if protocol != "" && near {
			s.protocol, s.protoLast = protocol, s.clause
		}
		if clause {
			s.portClause = s.clause
		}
	}
}

// bodyBegins enters the section that a quantity belongs to wherever it is
// told: a size of three sides or a mass the body's, a charge the battery's.
func (s *placer) bodyBegins(m *Mention, phys schema.Kind) {
	switch s.section {
	case SectionOutput, SectionInput, SectionWireless, SectionProduct, SectionClosing, SectionBody, SectionNone:
	default:
		return
	}
	prop := s.prop
	switch {
	case phys == schema.KindLength && m.Group >= 0 && s.section != SectionBody, phys == schema.KindMass && s.section != SectionBody:
		s.enter(SectionBody)
	case phys == schema.KindCharge:
		if prop >= 0 && s.c.properties[prop].name == "air_limit" {
			return
		}
		s.enter(SectionBattery)
		s.batterySide(s.c.kindID("pack"))
	default:
		return
	}
	s.prop = prop
}

// mainsInput sets the mains as the port of an input that tells of a mains
// voltage.
func (s *placer) mainsInput(m *Mention, phys schema.Kind) {
	if s.direction != "input" || s.section != SectionInput {
		return
	}
	if phys == schema.KindVoltage && m.High.Float() >= 85 && m.Unit.Unit == "V" && s.portClause != s.clause {
		s.acInput, s.port = true, "AC"
	}
}

// protocolGoesOn reports whether a protocol named in an earlier sentence still
// holds: "PPS is 3.3 to 11 volts. And a second one, 3.3 to 21 volts".
func (s *placer) protocolGoesOn(phys schema.Kind) bool {
	if s.start >= len(s.tokens) {
		return false
	}
	for k := s.start; k < len(s.tokens) && k < s.start+5; k++ {
		if s.next-1 < len(s.d.Mentions) && k >= int(s.d.Mentions[s.next-1].First) {
			break
		}
		w := s.tokens[k].Word
		if w == 0 {
			continue
		}
		switch s.x.entries[w].text {
		case "second", "another", "third", "also", "other":
			return true
		}
	}
	return false
}

// belongs returns the subject that the mention is told of, -1 for none.
func (s *placer) belongs(m *Mention, phys schema.Kind, c *Context) int32 {
	if s.d.Product.Kind == "cable" && c.Named && s.section != SectionTeardown {
		switch c.Property {
		case "length", "diameter", "width", "mass", "resistance", "data_rate":
			if c.Property == "width" {
				c.Property = "diameter"
			}
			return s.specialSubject(3, int(m.First), int(m.First))
		}
	}
	switch s.section {
	case SectionTeardown:
		if c.Named {
			if j := s.ofCell(c.Property); j >= 0 {
				return j
			}
		}
		if s.subject < 0 {
			return -1
		}
		kind := &s.c.kinds[s.kind]
		if kind.name == "cell" {
			if j, p := s.ofPack(m, phys); j >= 0 {
				c.Property = p
				return j
			}
		}
		if phys == schema.KindFrequency && kind.ratings[phys] == "" && c.Named {
			c.Spot = kind.name // what it runs at, no rating of it
		}
		if phys == schema.KindAngle && kind.ratings[schema.KindTemperature] != "" {
			s.rated++
			c.Property = kind.ratings[schema.KindTemperature] // "77 degrees"
			return s.subject
		}
		if phys != schema.KindUnknown && kind.ratings[phys] == "" && (m.Unit.Manner != MannerHeard || m.Unit.Count >= 4 || c.Named) {
			return s.impliedPart(m, phys)
		}
		if phys == schema.KindTime || phys == schema.KindTemperature && kind.ratings[phys] == "" {
			return -1
		}
		s.rated++
		return s.subject
	case SectionBattery:
		if s.battery < 0 && (phys == schema.KindCharge || phys == schema.KindEnergy || phys == schema.KindVoltage) {
			s.batterySide(s.c.kindID("pack"))
		}
		if s.kindName() == "cell" {
			if j, p := s.ofPack(m, phys); j >= 0 {
				c.Property = p
				return j
			}
		}
		if s.subject >= 0 && (phys == schema.KindUnknown || s.c.kinds[s.kind].ratings[phys] != "") {
			return s.subject
		}
	case SectionCable:
		k := s.c.kindID("cable")
		if phys == schema.KindUnknown || s.c.kinds[k].ratings[phys] != "" {
			return s.specialSubject(3, int(m.First), int(m.First))
		}
	}
	return -1
}

// impliedPart opens the part that a number is of when the part told of has no
// use for it: the inductance behind a buck converter is its inductor's. It
// returns -1 where the tables know none.
func (s *placer) impliedPart(m *Mention, phys schema.Kind) int32 {
	for k := range s.c.implied {
		p := &s.c.implied[k]
		if p.after == s.kind && p.general == int32(phys) {
			if p.words == "becomes" {
				s.d.Subjects[s.subject].Kind, s.kind = s.c.kinds[p.kind].name, p.kind
			} else {
				s.open(p.kind, int(m.First), int(m.Last))
			}
			s.rated++
			return s.subject
		}
	}
	return -1
}

// ofCell returns the cell or pack for a property that only they have, -1 for
// others: the chip that "stops at 3.65 volts per cell" has no such rating.
func (s *placer) ofCell(prop string) int32 {
	switch prop {
	case "charge_limit", "cutoff", "full":
	default:
		return -1
	}
	switch s.kindName() {
	case "cell", "pack":
		return s.subject
	}
	which := 0
	if prop == "full" || s.special[0] < 0 && s.special[1] >= 0 {
		which = 1
	}
	return s.specialSubject(which, s.start, s.start)
}

// ofPack decides that a number told among those of the cell is the pack's:
// "36 watt hours together", "3.65 volts per cell so 14.6 volts".
func (s *placer) ofPack(m *Mention, phys schema.Kind) (int32, string) {
	prop := s.c.kinds[s.c.kindID("pack")].ratings[phys]
	if prop == "" {
		return -1, ""
	}
	i := s.skipBreak(int(m.Last))
	if i < len(s.tokens) && (s.wordIs(i, "together") || s.wordIs(i, "altogether") || s.wordIs(i, "total")) {
		return s.specialSubject(1, i, i), prop
	}
	if b := s.backOne(int(m.First)); b >= 0 && phys != schema.KindVoltage && s.special[0] >= 0 {
		cell := &s.d.Subjects[s.special[0]]
		if (cell.Count > 1 || cell.Series > 1 || cell.Parallel > 1) && (s.tokens[b].Word == s.c.so || s.wordIs(b, "that's") || s.wordIs(b, "makes") || s.wordIs(b, "total") || s.wordIs(b, "totals")) {
			return s.specialSubject(1, i, i), prop // "5000 milliamp hours each, so 72 watt hours"
		}
	}
	if b := s.backOne(int(m.First)); phys == schema.KindVoltage && b >= 0 && s.tokens[b].Word == s.c.so && s.last >= 0 {
		switch s.d.Mentions[s.last].Context.Property {
		case "charge_limit":
			return s.specialSubject(1, i, i), "full"
		case "cutoff":
			return s.specialSubject(1, i, i), "cutoff"
		}
	}
	return -1, ""
}

// kindOf returns the row of the subject's kind.
func (s *placer) kindOf(subject int32) int32 {
	if subject == s.subject {
		return s.kind
	}
	return s.c.kindID(s.d.Subjects[subject].Kind)
}

// byDefault names the property that the section gives a number which no word
// names, or "" for a level's voltage and current.
func (s *placer) byDefault(m *Mention, k int, phys schema.Kind, c *Context) string {
	switch s.section {
	case SectionTest, SectionThermal:
		if p := s.tested(m, k, phys); p >= 0 {
			s.note(p, k)
			return s.c.properties[p].name
		}
	case SectionTeardown:
		if c.Subject >= 0 {
			return ""
		}
	}
	if m.Group >= 0 && (s.section == SectionBody || s.section == SectionProduct) {
		return "dimension"
	}
	p := s.c.defaults[s.section][phys]
	if phys == schema.KindUnknown {
		p = s.c.bare[s.section]
		switch {
		case s.testing() && c.Spot != "":
			p = s.c.prop.temperature
		case s.testing() && s.lead >= 0 && s.condition >= 0 && s.condition == s.last:
			p = s.lead
		}
		if !s.testing() || m.Style == StyleWords {
			p = -1
		}
	}
	if p < 0 {
		return ""
	}
	s.note(p, k)
	return s.c.properties[p].name
}

// tested decides between the conditions of a test and what was measured, for
// voltages, currents and powers.
func (s *placer) tested(m *Mention, k int, phys schema.Kind) int32 {
	p := &s.c.prop
	at := s.atBefore(int(m.First))
	afterCondition := s.condition >= 0 && s.condition == s.last && k > 0 && (m.Joint == JointSpace || m.Joint == JointComma || m.Joint == JointAt || m.Joint == JointAnd || m.Joint == JointSlash)
	switch phys {
	case schema.KindVoltage:
		switch {
		case m.Unit.Unit == "mV" || m.Unit.Unit == "uV":
			return p.ripple
		case s.currentNext(k):
			return p.conditionVoltage
		case s.isMains(m):
			return p.conditionMains
		case at:
			return p.conditionVoltage
		case s.measured == s.clause || afterCondition:
			return p.outputVoltage
		}
		return p.conditionVoltage
	case schema.KindCurrent:
		switch {
		case afterCondition, at:
			return p.conditionCurrent
		}
		return p.outputCurrent
	case schema.KindPower:
		switch {
		case at:
			return p.conditionPower
		case afterCondition:
			return p.conditionPower
		case s.shared && s.sharedAt == s.clause:
			return p.conditionPower
		}
		return p.outputPower
	}
	return -1
}

// atBefore reports whether "at", "with", "on" or "from" stands before token i,
// two words between at most.
func (s *placer) atBefore(i int) bool {
	for n := 0; n < 3; n++ {
		i = s.backOne(i)
		if i < 0 || s.tokens[i].Kind != TokenWord {
			return false
		}
		if s.next >= 2 && int(s.d.Mentions[s.next-2].Last) > i {
			return false
		}
		switch s.tokens[i].Word {
		case s.c.at, s.c.with, s.c.on, s.c.from:
			return true
		}
	}
	return false
}

// isMains reports whether the voltage is a mains voltage of the table.
func (s *placer) isMains(m *Mention) bool {
	if m.Range {
		return false
	}
	f := m.Low.Float()
	for _, v := range s.c.mains {
		if v == f {
			return true
		}
	}
	return false
}
