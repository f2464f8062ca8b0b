package glossary

import (
	"slices"
	"strings"

	"saywatt/extract"
	"saywatt/schema"
)

// Use gives the parts of a document the names that the book has for what was
// heard. It is called once, before the document is read by anyone else. Names that
// a person put right stay as they are; what the book knows of such a part counts.
//
// A part number or maker of the same letters and digits, or of the same sound
// where only one name has it, takes the standard spelling; one an edit away
// does not, but a maker does where the part number is known to be that
// maker's. A known part brings its maker and package where none was said, and
// its ratings, which are evidence for those heard (Subject.Known). A part that
// was doubtful is so no more where the book supports both its number and its
// maker; one whose maker contradicts the book becomes so. The document's terms
// follow; what the book has near a name is among its other readings.
func (b *Book) Use(d *extract.Document) {
	if b == nil || len(b.entries) == 0 {
		return
	}
	contradicted := make([]bool, len(d.Subjects))
	for i := range d.Subjects {
		contradicted[i] = b.use(&d.Subjects[i])
	}
	if e := sole(b.Find(KindMaker, d.Product.Maker)); e != nil && d.Product.SettledOf("maker") == nil {
		rest, ok := strings.CutPrefix(d.Product.Name, d.Product.Maker+" ")
		if ok && d.Product.SettledOf("name") == nil {
			d.Product.Name = e.Name + " " + rest
		}
		d.Product.Maker = e.Name
	}
	for i := range d.Terms {
		b.term(d, &d.Terms[i], contradicted)
	}
}

// use gives a part its names; it reports whether the part's maker contradicts
// the book.
func (b *Book) use(s *extract.Subject) (contradicted bool) {
	named, heardPart, heardMaker := s.Part != "" || s.Maker != "", s.Part, s.Maker
	part := sole(b.Find(KindPart, s.Part))
	makers := b.Find(KindMaker, s.Maker)
	maker := sole(makers)
	settled := s.Settled[schema.TermMaker] // by a person, who knows better
	if maker != nil && !settled {
		s.Maker = maker.Name
	}
	sure := (s.Part == "" || part != nil) && (s.Maker == "" || maker != nil)
	if part != nil {
		if !s.Settled[schema.TermPart] {
			s.Part = part.Name
		}
		s.Known = part.Ratings
		if s.Package == "" {
			s.Package = part.Package
		}
		switch {
		case part.Maker == "" || settled:
		case s.Maker == "" || among(makers, part.Maker):
			s.Maker, sure = part.Maker, true
		case plain(s.Maker) == plain(part.Maker):
			s.Maker, sure = part.Maker, true
		default:
			s.Doubtful, sure, contradicted = true, false, true
		}
	}
	if p := sole(b.Find(KindPackage, s.Package)); p != nil && !s.Settled[schema.TermPackage] {
		s.Package = p.Name
	}
	s.Renamed = s.Renamed || plain(s.Part) != plain(heardPart) || plain(s.Maker) != plain(heardMaker)
	if named && sure {
		s.Doubtful = false
	}
	return contradicted
}

// term gives a term the name that its part has from the book, or that the book
// has for its own words; names near it become its other readings.
func (b *Book) term(d *extract.Document, t *extract.Term, contradicted []bool) {
	if t.Ground == extract.GroundSettled {
		return
	}
	var k Kind
	var partHas string
	var s *extract.Subject
	if t.Subject >= 0 {
		s = &d.Subjects[t.Subject]
	} else {
		s = &extract.Subject{}
	}
	switch t.Kind {
	case schema.TermMaker:
		k, partHas = KindMaker, s.Maker
	case schema.TermPart:
		k, partHas = KindPart, s.Part
	case schema.TermPackage:
		k, partHas = KindPackage, s.Package
	default:
		return
	}
	found := b.Find(k, t.Meant)
	name := ""
	switch e := sole(found); {
	case e != nil:
		name = e.Name
	case k == KindMaker && partHas != "" && among(found, partHas):
		name = partHas // an edit away, but known to make the part
	}
	if name != "" {
		if plain(name) != plain(t.Meant) {
			t.Others = append([]string{t.Meant}, without(t.Others, name)...)
		}
		if plain(name) != plain(t.Meant) || t.Ground.Doubt() || t.Ground.Check() {
			t.Ground = extract.GroundGlossary
		}
		t.Meant = name
	} else {
		offered := false
		for i := range found {
			if n := found[i].Entry.Name; plain(n) != plain(t.Meant) {
				t.Others, offered = append(without(t.Others, n), n), true
			}
		}
		if offered && (t.Ground.Doubt() || t.Ground.Check()) {
			t.Ground = extract.GroundNearGlossary
		}
	}
	if t.Subject >= 0 && contradicted[t.Subject] && k == KindPart {
		t.Ground = extract.GroundOtherMaker
	}
}

// without is the list without a name.
func without(list []string, name string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(s string) bool { return s == name })
}

// sole returns the entry that a look-up found for sure: by its letters and
// digits, or by a sound that it alone has; nil where there is none.
func sole(m []Match) *Entry {
	switch {
	case len(m) == 0 || m[0].How == howNear:
		return nil
	case m[0].How == howSound && len(m) > 1 && m[1].How == howSound:
		return nil
	}
	return m[0].Entry
}

func among(m []Match, name string) bool {
	for i := range m {
		if plain(m[i].Entry.Name) == plain(name) {
			return true
		}
	}
	return false
}
