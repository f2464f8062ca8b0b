package extract

import (
	"slices"
	"strings"

	"saywatt/extract/place"
	"saywatt/schema"
)

// plan says what each mention is taken for, and so which part of the review
// each stretch of words is. It is made once for a document, from the marginals
// of the chain (package place), and not changed by what the words between say.
type plan struct {
	byToken map[int32]int // first token of a mention to its number in the chain
	classes []place.Class
	sure    []float64 // probability of that class
	part    []float64 // probability that it is the rating of a part
	regions []region
}

// region is a stretch of tokens that tell of one section.
type region struct {
	from    int // token
	section Section
	mode    string
}

// planOf makes the plan of a document whose mentions are found.
func planOf(d *Document, model *place.Model) *plan {
	chain := d.Observe(model)
	p := &plan{byToken: make(map[int32]int, len(chain.Mentions))}
	marginals := model.Infer(chain.Observations)
	rating, _ := place.ParseClass("part")
	for i, k := range chain.Mentions {
		class, sure := marginals.Best(i)
		p.byToken[d.Mentions[k].First] = i
		p.classes = append(p.classes, class)
		p.sure = append(p.sure, sure)
		p.part = append(p.part, marginals.At(i, rating))
	}
	p.divide(d, chain)
	return p
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

// leads reports whether what is told of in the section holds for the words
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
		s.planned = true
		s.enter(r.section)
		s.planned = false
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

// apply gives every mention the context of its class.
func (s *placer) apply() {
	for k := range s.d.Mentions {
		m := &s.d.Mentions[k]
		i, ok := s.plan.byToken[m.First]
		if !ok || m.Not != NotNothing {
			continue
		}
		phys := schema.KindUnknown
		if m.HasUnit() {
			phys = m.Unit.Unit.Kind()
		}
		if class := s.plan.classes[i]; class.Fits(phys) {
			s.classify(m, class, phys)
		}
	}
}

// classify makes the context of a mention what its class says. What the words
// right beside it named stays where it is something that the class leaves open.
func (s *placer) classify(m *Mention, class place.Class, phys schema.Kind) {
	info := class.Info()
	c := &m.Context
	section, _ := parseSection(info.Section)
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
		c.Property, c.Subject, c.Spot = "", -1, ""
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
		which := slices.Index([]string{"cell", "pack", "rated", "cable"}, info.Subject)
		c.Subject = s.specialSubject(which, int(m.First), int(m.Last))
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
	return p >= 0 && s.c.properties[p].kinds != 0 && s.c.properties[p].fits(phys) && !place.Names(property) && !s.c.properties[p].general
}

// ofKind reports whether a subject of the kind can have the property.
func (s *placer) ofKind(kind, property string) bool {
	switch property {
	case "capacity_retention", "charge_limit", "cutoff", "full", "cycles", "length", "diameter", "width", "thickness", "height", "mass":
		return true
	}
	return slices.Contains(s.c.kinds[s.c.kindID(kind)].ratings[:], property)
}
