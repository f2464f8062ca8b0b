package extract

import (
	"cmp"
	"slices"
	"strings"

	"saywatt/extract/feature"
	"saywatt/extract/place"
	"saywatt/schema"
)

// plan says what each mention is taken for, and so which part of the review
// each stretch of words is. It is made once for a document, from the marginals
// of the chain (package place), and not changed by what the words between say.
type plan struct {
	byToken map[int32]int // first token of a mention to its number in the chain
	classes []place.Class // the likeliest
	options [][]option    // all that are likely, likeliest first
	listed  []option      // of which they are parts
	part    []float64     // probability that it is the rating of a part
	regions []region
}

// option is a class that a mention may be of.
type option struct {
	class place.Class
	p     float64
}

// region is a stretch of tokens that speak of one section.
type region struct {
	from    int // token
	section Section
	mode    string
}

// planOf makes the plan of a document whose mentions are found.
func planOf(d *Document, model *place.Model, room *workroom) *plan {
	d.condition()
	chain := d.observe(feature.List{Index: model.Index, Rows: room.rows[:0]}, room)
	for i, k := range chain.Mentions {
		if ruling := d.Mentions[k].Ruling; ruling != nil {
			chain.Observations[i].Only = []place.Class{ruling.Class}
		}
	}
	p := &plan{byToken: make(map[int32]int, len(chain.Mentions))}
	marginals := model.Infer(chain.Observations)
	defer model.GiveBack(marginals)
	rating := ratingClass()
	for i, k := range chain.Mentions {
		m := &d.Mentions[k]
		kind := schema.KindUnknown
		if m.HasUnit() {
			kind = m.Unit.Unit.Kind()
		}
		options := p.likely(d.Lexicon.bound, marginals, i, kind)
		if m.Ruling != nil {
			options = []option{{m.Ruling.Class, 1}}
		} else if i > 0 && kind == schema.KindCurrent && chain.Observations[i].Link == place.LinkTight {
			options = d.Lexicon.bound.withVoltage(options, p.classes[i-1])
		}
		p.byToken[m.First] = i
		p.options = append(p.options, options)
		p.classes = append(p.classes, options[0].class)
		p.part = append(p.part, marginals.At(i, rating))
	}
	p.divide(d, chain)
	return p
}

// ratingClass is the class of ratings of parts.
func ratingClass() place.Class {
	c, _ := place.ParseClass("part")
	return c
}

// likely lists the classes that mention i may be of, likeliest first.
func (p *plan) likely(b *bounds, m *place.Marginals, i int, kind schema.Kind) []option {
	from := len(p.listed)
	for _, c := range place.Allowed(kind) {
		odds := m.At(i, c)
		if b.weighs(c, kind, odds) {
			p.listed = append(p.listed, option{c, odds})
		}
	}
	out := p.listed[from:len(p.listed):len(p.listed)]
	if len(out) == 0 {
		best, odds := m.Best(i)
		return []option{{best, odds}}
	}
	slices.SortStableFunc(out, func(a, b option) int { return cmp.Compare(b.p, a.p) })
	return out
}

// weighs reports whether a class of so much probability is weighed as the place of a
// mention of a kind of quantity, KindUnknown for a number without a unit.
func (b *bounds) weighs(c place.Class, kind schema.Kind, odds float64) bool {
	return odds >= b.leastPlace && (c != place.None || kind != schema.KindUnknown || odds >= b.bareNone)
}

// sure reports whether the first of some classes stands alone.
func (b *bounds) sure(options []option) bool { return len(options) < 2 || options[0].p >= b.surePlace }

// withVoltage puts the class of the voltage right before a current first, where
// that is a level's and the current may be of it.
func (b *bounds) withVoltage(options []option, voltage place.Class) []option {
	for k, o := range options {
		if o.class == voltage && o.p >= b.leastPair && strings.HasPrefix(voltage.String(), "level.") {
			return append([]option{o}, slices.Delete(slices.Clone(options), k, k+1)...)
		}
	}
	return options
}

// divide cuts the document into regions: a mention holds the words around it,
// up to the end of a paragraph or sentence between it and the next of another
// section.
func (p *plan) divide(d *Document, chain *Chain) {
	at, section := -1, SectionNone // the mention before that leads, and its section
	for i, k := range chain.Mentions {
		info := p.classes[i].Info()
		s, err := parseSection(info.Section)
		if err != nil || !leads(s) {
			continue
		}
		r := region{section: s, mode: info.Mode}
		switch {
		case at < 0:
		case s == section && p.regions[len(p.regions)-1].mode == r.mode:
			at = int(k)
			continue
		default:
			r.from = boundary(d, int(d.Mentions[at].Last), int(d.Mentions[k].First), s == SectionTeardown)
		}
		p.regions = append(p.regions, r)
		at, section = int(k), s
	}
}

// leads reports whether what is spoken of in the section holds for the words
// around a mention, and not for the mention alone.
func leads(s Section) bool { return s != SectionNone && s != SectionProduct && s != SectionClosing }

// boundary returns the token in [a, b) at which another region begins: behind
// the first paragraph or sentence that ends there if early, behind the last
// else, a where none ends.
func boundary(d *Document, a, b int, early bool) int {
	best, weight := -1, 0
	for i := a; i < b; i++ {
		w := 0
		switch t := d.Tokens[i]; {
		case t.Kind == TokenPara:
			w = 2
		case t.Word != 0 && d.Lexicon.entries[t.Word].class == classStop:
			w = 1
		}
		if w > weight || w == weight && w > 0 && !early {
			best, weight = i+1, w
		}
	}
	if best < 0 {
		return a
	}
	return best
}

// follow goes into the region of token i.
func (s *placer) follow(i int) {
	for s.region+1 < len(s.plan.regions) && s.plan.regions[s.region+1].from <= i {
		s.region++
		r := &s.plan.regions[s.region]
		s.enter(r.section)
		switch r.mode {
		case "input":
			s.direction = "input"
		case "output":
			s.direction, s.shared = "output", false
		case "output-shared":
			s.direction, s.shared, s.sharedAt = "output", true, s.clause
		}
	}
}

// apply gives every mention the context of its class, and those that it may
// have beside it. Cells, packs and cables that nothing is likely said of are
// not made for a place that is only possible.
func (s *placer) apply() {
	for k := range s.d.Mentions {
		if options, phys := s.optionsOf(k); len(options) > 0 {
			if which := special(options[0].class); which >= 0 {
				m := &s.d.Mentions[k]
				s.specialSubject(which, int(m.First), int(m.Last))
			}
			s.d.Mentions[k].Context = s.classified(k, options[0].class, phys)
		}
	}
	for k := range s.d.Mentions {
		options, phys := s.optionsOf(k)
		if s.x.bound.sure(options) {
			continue
		}
		m := &s.d.Mentions[k]
		context := m.Context
		m.Places = append(m.Places, Place{context, options[0].p})
		for _, o := range options[1:] {
			if which := special(o.class); which < 0 || s.special[which] >= 0 {
				m.Places = append(m.Places, Place{s.classified(k, o.class, phys), o.p})
			}
		}
		if len(m.Places) == 1 {
			m.Places = nil
		}
	}
}

// optionsOf returns the classes that mention k may be of, and its physical kind.
func (s *placer) optionsOf(k int) ([]option, schema.Kind) {
	m := &s.d.Mentions[k]
	i, ok := s.plan.byToken[m.First]
	if !ok || m.Not != NotNothing {
		return nil, schema.KindUnknown
	}
	phys := schema.KindUnknown
	if m.HasUnit() {
		phys = m.Unit.Unit.Kind()
	}
	all := s.plan.options[i]
	if m.Ruling != nil {
		return all, phys
	}
	unfit := func(o option) bool { return !o.class.Fits(phys) }
	if slices.ContainsFunc(all, unfit) {
		all = slices.DeleteFunc(slices.Clone(all), unfit)
	}
	return all, phys
}

// special returns the number of the special subject of a class, -1 for none.
func special(c place.Class) int {
	return slices.Index([]string{"cell", "pack", "rated", "cable"}, c.Info().Subject)
}

// classified is the context of mention k in a class.
func (s *placer) classified(k int, class place.Class, phys schema.Kind) Context {
	m := s.d.Mentions[k]
	s.classify(&m, class, phys)
	return m.Context
}

// classify makes the context of a mention what its class says. What the words
// right beside it named stays where it is something that the class leaves open.
func (s *placer) classify(m *Mention, class place.Class, phys schema.Kind) {
	info := class.Info()
	c := &m.Context
	c.Class = class
	section, _ := parseSection(info.Section)
	switch {
	case s.spokenOf(c) && m.Ruling != nil:
		c.Property, c.Named = "", false // a person knows better
	case s.spokenOf(c):
		return
	case info.Subject == "cable" && c.Named && s.measuredOnly(c.Property):
		c.Section, c.Subject = SectionTest, -1
		return
	}
	if section == SectionInput || section == SectionOutput {
		if section != c.Section {
			c.Section = section
		}
		switch {
		case info.Mode == "output-shared":
			c.Mode = s.modeOf(c.Mode, "output-shared")
		case info.Mode != "":
			c.Mode = s.modeOf(c.Mode, info.Mode)
		}
		c.Property, c.Named, c.Subject, c.Spot = info.Property, false, -1, ""
		if info.Property == "power" {
			c.Property = "" // with its port it is that of a level or the port's own
		}
		return
	}
	c.Section = section
	if section != SectionTest && section != SectionThermal {
		c.Mode, c.Port, c.Protocol = "", "", ""
	}
	switch info.Subject {
	case "part":
		c.Subject = -1 // until it is known which (parts.go)
		return
	case "":
		c.Subject = -1
	default:
		c.Subject = s.special[special(class)]
	}
	switch {
	case class == place.None, info.Section == "none":
		c.Property, c.Named = "aside", false
	case c.Named && s.ofNoClass(c.Property, phys) && info.Property != "":
		// a nearer word names something that no class is
	case info.Property != "":
		c.Property, c.Named = info.Property, true
	case info.Subject != "":
		if !c.Named || !s.ofKind(info.Subject, c.Property) {
			c.Property = s.c.kinds[s.c.kindID(info.Subject)].ratings[phys]
		}
	}
}

// spokenOf reports whether the words beside a number say that it is no property
// of the product: a limit, or what is not there.
func (s *placer) spokenOf(c *Context) bool {
	switch c.Property {
	case "limit", "absent", "air_limit":
		return c.Named
	}
	return false
}

// measuredOnly reports whether a property is one that nobody rates: a drop, a
// loss.
func (s *placer) measuredOnly(property string) bool {
	p := s.c.propertyID(property)
	return p >= 0 && s.c.properties[p].measured && s.c.properties[p].kinds != 0 && !s.ofKind("cable", property)
}

// modeOf is the mode of a direction, in the product's own mode that old names.
func (s *placer) modeOf(old, direction string) string {
	if own, _, ok := strings.Cut(old, "/"); ok {
		return own + "/" + direction
	}
	switch old {
	case "mains", "battery", "pass-through":
		return old + "/" + direction
	}
	return direction
}

// ofNoClass reports whether no class stands for the property, which the kind
// can have: then the words beside the number know better than its class.
func (s *placer) ofNoClass(property string, phys schema.Kind) bool {
	p := s.c.propertyID(property)
	return p >= 0 && s.c.properties[p].kinds != 0 && s.c.properties[p].fits(phys) && !place.Names(property) &&
		!s.c.properties[p].general
}

// ofKind reports whether a subject of the kind can have the property.
func (s *placer) ofKind(kind, property string) bool {
	switch property {
	case "capacity_retention", "charge_limit", "cutoff", "full", "cycles", "length", "diameter", "width", "thickness",
		"height", "mass":
		return true
	}
	return slices.Contains(s.c.kinds[s.c.kindID(kind)].ratings[:], property)
}
