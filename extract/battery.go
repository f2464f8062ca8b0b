package extract

import (
	"slices"
	"strconv"

	"saywatt/extract/part"
	"saywatt/schema"
)

// batterySide turns to the cell, the pack or the rated output.
func (s *placer) batterySide(kind int32) bool {
	name := s.c.kinds[kind].name
	if s.section != SectionBattery && s.section != SectionTeardown || name == "rated" && !s.chargeAhead(1) {
		return false
	}
	s.portPend = false
	which := 0
	switch name {
	case "pack":
		which = 1
	case "rated":
		which = 2
	}
	s.battery = kind
	s.subject, s.kind, s.rated = s.specialSubject(which, s.start, s.start), kind, 0
	s.prop = -1
	return true
}

// each marks the numbers of the clause before as said of one of several; in a
// battery it turns to the cell.
func (s *placer) each(end int) {
	if s.section == SectionBattery || s.section == SectionTeardown && s.subject >= 0 &&
		s.d.Subjects[s.subject].Kind == "pack" {
		if s.special[0] >= 0 {
			s.subject, s.kind = s.special[0], s.c.kindID("cell")
			s.battery = s.kind
		}
	}
	if s.last >= 0 {
		m := &s.d.Mentions[s.last]
		if end-int(m.Last) <= s.x.reach.each {
			m.Context.Each = true
		}
	}
}

// cells notes how cells are joined: "three in series, two across".
func (s *placer) cells(i, end int, how string) {
	n := 0
	b := s.backOne(i)
	k := s.next - 1
	if k >= 0 && b >= 0 && int(s.d.Mentions[k].NumEnd)-1 == b && wholeSmall(s.d.Mentions[k].Low) &&
		s.d.Mentions[k].From != UnitOwn {
		m := &s.d.Mentions[k]
		n = int(m.Low.Float())
		m.Not, m.Unit, m.From = NotCount, UnitWords{}, UnitNone
	} else if c, v := s.at(b); c == classDigitWord {
		n = int(v)
	}
	if n == 0 {
		n = s.countedCells(i, end)
	}
	if n == 0 {
		return
	}
	switch s.kindName() {
	case "cell", "pack":
		j := s.specialSubject(0, i, end)
		cell := &s.d.Subjects[j]
		if how == "series" {
			cell.Series = n
		} else {
			cell.Parallel = n
		}
	default:
		s.see(part.Count, i, end).count = n
	}
}

// countedCells is the number of cells in the sentence, where the words at tokens [i, end)
// only say that all are joined so: "four cells in parallel"; 0 for none. A single
// word, "across", may say other things.
func (s *placer) countedCells(i, end int) int {
	if s.kindName() != "cell" || end-i < 2 {
		return 0
	}
	for k := len(s.seen) - 1; k >= 0 && int(s.seen[k].last) <= i && i-int(s.seen[k].last) <= s.x.reach.count; k-- {
		if s.seen[k].what != part.Count {
			continue
		}
		for t := int(s.seen[k].last); t < i; t++ {
			if s.ends(t) {
				return 0
			}
		}
		return s.seen[k].count
	}
	return 0
}

// packCode reads "4S1P", also spoken "four s one p", at the number token i.
func (s *placer) packCode(i int) int {
	if !(i+1 < len(s.tokens) && s.tokens[i+1].Word == s.c.s || i+2 < len(s.tokens) && s.tokens[i+2].Word == s.c.s) {
		return i
	}
	series, a := s.digitGroup(i)
	if series == "" || len(series) > 2 || a >= len(s.tokens) || s.tokens[a].Word != s.c.s {
		return i
	}
	parallel, b := s.digitGroup(a + 1)
	if parallel == "" || len(parallel) > 2 || b >= len(s.tokens) || s.tokens[b].Word != s.c.p {
		return i
	}
	s.claim(i, b+1, NotCode)
	s.noUnits(i, b+1) // the letters are none
	cell := &s.d.Subjects[s.specialSubject(0, i, b+1)]
	cell.Series, _ = strconv.Atoi(series)
	cell.Parallel, _ = strconv.Atoi(parallel)
	return b + 1
}

// specialSubject returns the subject for cell (0), pack (1), rated (2) or
// cable (3), made where it is new.
func (s *placer) specialSubject(which int, i, end int) int32 {
	if s.special[which] < 0 {
		s.d.Subjects = append(s.d.Subjects,
			Subject{Kind: [...]string{"cell", "pack", "rated", "cable"}[which], First: int32(i), Last: int32(end)})
		s.special[which] = int32(len(s.d.Subjects) - 1)
	}
	return s.special[which]
}

// chargeAhead reports whether a charge or energy is among the next n numbers,
// in the same breath.
func (s *placer) chargeAhead(n int) bool {
	for k := s.next; k < len(s.d.Mentions) && n > 0; k++ {
		m := &s.d.Mentions[k]
		if m.Not != NotNothing || !m.HasUnit() {
			if m.Not == NotNothing && n == 1 {
				return false
			}
			continue
		}
		switch m.Unit.Unit.Kind() {
		case schema.KindCharge, schema.KindEnergy:
			return true
		case schema.KindVoltage, schema.KindCurrent:
		default:
			return false
		}
		n--
	}
	return false
}

// cellBefore reports whether cells are spoken of shortly before token i: "cells of
// type 18650".
func (s *placer) cellBefore(i int) bool {
	for j := i - 1; j >= max(0, i-s.x.reach.cellFormat); j-- {
		if c, _ := s.at(j); s.tokens[j].Kind == TokenPara || c == classStop && !s.tokens[j].Glued {
			break
		}
		if s.isCell(j) {
			return true
		}
	}
	return false
}

// isCell reports whether a word for cells stands at token i.
func (s *placer) isCell(i int) bool {
	v, n := s.matchAt(i)
	return n > 0 && slices.ContainsFunc(s.c.cues[v], func(e effect) bool {
		return e.kind == effectPart && s.c.kinds[s.c.parts[e.n].kind].name == "cell"
	})
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
	near := s.subject >= 0 && s.d.Subjects[s.subject].Kind == "cell" || s.cellBefore(int(m.First)) ||
		i < len(s.tokens) && s.tokens[i].Word == s.c.size
	if v, n := s.matchAt(i); n > 0 {
		near = near || s.isCell(i) ||
			slices.ContainsFunc(s.c.cues[v], func(e effect) bool { return e.kind == effectSubject })
	}
	if !near {
		return false
	}
	m.Not, m.Unit, m.From = NotCode, UnitWords{}, UnitNone
	last.Not, last.Unit, last.From = NotCode, UnitWords{}, UnitNone
	cell := s.specialSubject(0, int(m.First), int(last.Last))
	instead := k > 0 && s.correction(int(s.d.Mentions[k-1].Last), int(m.First)) // "18650, sorry, 21700"
	if sub := &s.d.Subjects[cell]; sub.Package == "" || instead {
		sub.Package = strconv.FormatInt(format, 10)
	}
	s.said(schema.TermPackage, int(m.First), int(last.NumEnd), strconv.FormatInt(format, 10), GroundSaid)
	s.d.Terms[len(s.d.Terms)-1].Subject = cell
	return true
}
