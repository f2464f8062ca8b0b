package glossary

import (
	"saywatt/extract"
)

// Use gives the parts of a document the names that the book has for what was
// heard. It is called once, before the document is read by anyone else.
//
// A part number or maker of the same letters and digits, or of the same sound
// where only one name has it, takes the standard spelling; one an edit away
// does not, but a maker does where the part number is known to be that
// maker's. A known part brings its maker and package where none was told, and
// its ratings, which are evidence for those heard (Subject.Known). A part that
// was doubtful is so no more where the book supports both its number and its
// maker; one whose maker contradicts the book becomes so.
func (b *Book) Use(d *extract.Document) {
	if b == nil || len(b.entries) == 0 {
		return
	}
	for i := range d.Subjects {
		b.use(&d.Subjects[i])
	}
}

func (b *Book) use(s *extract.Subject) {
	told, heardPart, heardMaker := s.Part != "" || s.Maker != "", s.Part, s.Maker
	part := sole(b.Find(KindPart, s.Part))
	makers := b.Find(KindMaker, s.Maker)
	maker := sole(makers)
	if maker != nil {
		s.Maker = maker.Name
	}
	sure := (s.Part == "" || part != nil) && (s.Maker == "" || maker != nil)
	if part != nil {
		s.Part = part.Name
		s.Known = part.Ratings
		if s.Package == "" {
			s.Package = part.Package
		}
		switch {
		case part.Maker == "":
		case s.Maker == "" || among(makers, part.Maker):
			s.Maker, sure = part.Maker, true
		case plain(s.Maker) == plain(part.Maker):
			s.Maker, sure = part.Maker, true
		default:
			s.Doubtful, sure = true, false
		}
	}
	if p := sole(b.Find(KindPackage, s.Package)); p != nil {
		s.Package = p.Name
	}
	s.Renamed = plain(s.Part) != plain(heardPart) || plain(s.Maker) != plain(heardMaker)
	if told && sure {
		s.Doubtful = false
	}
}

// sole returns the entry that a look-up found for sure: by its letters and
// digits, or by a sound that it alone has; nil where there is none.
func sole(m []Match) *Entry {
	switch {
	case len(m) == 0 || m[0].How == HowNear:
		return nil
	case m[0].How == HowSound && len(m) > 1 && m[1].How == HowSound:
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
