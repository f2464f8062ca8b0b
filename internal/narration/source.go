package narration

import (
	"strings"

	"saywatt/schema"
)

// group is what a paragraph speaks of.
type group uint8

const (
	groupTalk   group = iota // nothing measured
	groupLevels              // ratings of inputs and outputs
	groupBody                // size, mass, cable, cells
	groupParts               // teardown
	groupTests               // readings of instruments
	groups
)

// piece is plain text or a mark with the words shown for it.
type piece struct {
	text string // shown
	mark *Mark  // nil for plain text
	from *source
	say  *saying // of a quantity that is said plainly
}

// paragraph is a paragraph of a source with what it speaks of.
type paragraph struct {
	pieces []piece
	group  group
}

// source is a marked narration taken apart.
type source struct {
	n          *Narration
	family     string
	paragraphs []paragraph
	words      bool                   // numbers are in words
	units      map[schema.Unit]string // how the narration says a unit, with the blank before it
	power      float64                // the largest power claimed, in W
	volts      float64                // the largest voltage of a level
	ports      map[string]bool
	voices     bool // turns of several speakers are marked
}

// like reports whether paragraphs of the two may stand in one narration: of a
// like product, and said in a like manner.
func (s *source) like(o *source) bool {
	return s.family == o.family && s.words == o.words && s.voices == o.voices
}

// leastParagraphs is how many paragraphs a narration has that others may take
// from; leastStretch is how long the parts are, in bytes, that one without blank
// lines is divided into.
const (
	leastParagraphs = 5
	leastStretch    = 400
)

// takeSource takes a narration apart.
func takeSource(n *Narration) *source {
	s := &source{n: n, family: loadMakerTables().family(n.Head["product"]), voices: strings.Contains(n.Text, ">>")}
	s.units, s.ports = map[schema.Unit]string{}, map[string]bool{}
	s.manner()
	var now paragraph
	flush := func() {
		if len(now.pieces) > 0 {
			now.group = groupOf(now.pieces)
			s.paragraphs = append(s.paragraphs, now)
		}
		now = paragraph{}
	}
	plain := func(text string) {
		for {
			head, tail, more := strings.Cut(text, "\n\n")
			if len(now.pieces) == 0 {
				head = strings.TrimLeft(head, "\n")
			}
			if more {
				head = strings.TrimRight(head, "\n")
			}
			if head != "" {
				now.pieces = append(now.pieces, piece{text: head, from: s})
			}
			if !more {
				return
			}
			flush()
			text = tail
		}
	}
	at := 0
	for i := range n.Marks {
		m := &n.Marks[i]
		plain(n.Text[at:m.Start])
		now.pieces = append(now.pieces, s.mark(m))
		at = m.End
	}
	plain(strings.TrimRight(n.Text[at:], "\n"))
	flush()
	s.headings()
	if len(s.paragraphs) == 1 {
		s.divide()
	}
	return s
}

// mark returns the piece of a mark, its garbles undone where that can be said.
func (s *source) mark(m *Mark) piece {
	c := *m
	p := piece{text: s.n.Text[m.Start:m.End], mark: &c, from: s}
	if m.Kind != MarkQuantity {
		return p
	}
	if m.Garble == "" {
		p.say = takeApart(p.text, m.Meant)
		return p
	}
	if p.say = s.plain(m.Meant); p.say != nil {
		c.Garble, c.Unclear = "", false
		p.text = p.say.String()
	}
	return p
}

// plain says a quantity in the manner of the narration, nil where it has no
// words for the unit.
func (s *source) plain(q schema.Quantity) *saying {
	unit, ok := s.units[q.Unit]
	if !ok {
		w, known := loadMakerTables().units[q.Unit]
		if !known {
			return nil
		}
		unit = " " + w.many
	}
	q.Low, q.High = q.Low.Trim(), q.High.Trim()
	say := &saying{unit: unit, words: s.words}
	if q.Range {
		say.between = " to "
	}
	if !say.put(q) {
		return nil
	}
	return say
}

// manner finds how the narration says numbers and units.
func (s *source) manner() {
	inWords, inDigits := 0, 0
	count := map[schema.Unit]map[string]int{}
	best := map[schema.Unit]int{}
	for i := range s.n.Marks {
		m := &s.n.Marks[i]
		switch m.Kind {
		case MarkName:
			if m.Slot == "port" {
				s.ports[m.Name] = true
			}
			continue
		case MarkNumber:
			continue
		}
		s.limits(m)
		say := takeApart(s.n.Text[m.Start:m.End], m.Meant)
		if say == nil || m.Garble != "" {
			continue
		}
		if say.words {
			inWords++
		} else {
			inDigits++
		}
		if say.unit == "" {
			continue
		}
		if count[m.Meant.Unit] == nil {
			count[m.Meant.Unit] = map[string]int{}
		}
		count[m.Meant.Unit][say.unit]++
		if c := count[m.Meant.Unit][say.unit]; c > best[m.Meant.Unit] { // the first to be said so often
			best[m.Meant.Unit], s.units[m.Meant.Unit] = c, say.unit
		}
	}
	s.words = inWords > inDigits
}

// limits keeps the largest power and voltage that the product claims.
func (s *source) limits(m *Mark) {
	claimed := s.n.Level(m.Table()) != nil || strings.HasPrefix(m.Slot, "power")
	if !claimed {
		return
	}
	switch m.Meant.Unit.Kind() {
	case schema.KindPower:
		s.power = max(s.power, m.Meant.SI())
	case schema.KindVoltage:
		if l := s.n.Level(m.Table()); l != nil && strings.HasPrefix(l.Mode, "output") {
			s.volts = max(s.volts, m.Meant.SI())
		}
	}
}

// headings lets headings go with what stands below them.
func (s *source) headings() {
	for i := len(s.paragraphs) - 2; i >= 0; i-- {
		if s.paragraphs[i].heading() {
			s.paragraphs[i].group = s.paragraphs[i+1].group
		}
	}
}

func (p *paragraph) heading() bool {
	return len(p.pieces) == 1 && p.pieces[0].mark == nil && strings.HasPrefix(p.pieces[0].text, "# ")
}

// divide cuts a narration without blank lines where a sentence ends and another
// group begins.
func (s *source) divide() {
	var all []piece
	for _, p := range s.paragraphs {
		if len(all) > 0 {
			all = append(all, piece{text: " ", from: s})
		}
		all = append(all, p.pieces...)
	}
	s.paragraphs = nil
	var now paragraph
	size := 0
	for i, p := range all {
		cut := -1
		if p.mark == nil && size >= leastStretch && i+1 < len(all) {
			ahead := groupOf(all[i+1 : min(len(all), i+8)])
			if ahead != groupTalk && ahead != groupOf(now.pieces) {
				cut = strings.LastIndex(p.text, ". ")
			}
		}
		if cut < 0 {
			now.pieces = append(now.pieces, p)
			size += len(p.text)
			continue
		}
		now.pieces = append(now.pieces, piece{text: p.text[:cut+1], from: s})
		now.group = groupOf(now.pieces)
		s.paragraphs = append(s.paragraphs, now)
		now, size = paragraph{}, len(p.text)-cut-2
		if rest := p.text[cut+2:]; rest != "" {
			now.pieces = append(now.pieces, piece{text: rest, from: s})
		}
	}
	now.group = groupOf(now.pieces)
	s.paragraphs = append(s.paragraphs, now)
}

// groupOf is the group that most of the marks belong to.
func groupOf(pieces []piece) group {
	var count [groups]int
	for i := range pieces {
		if m := pieces[i].mark; m != nil {
			count[pieces[i].from.groupOfMark(m)]++
		}
	}
	best := groupTalk
	for g := groupLevels; g < groups; g++ {
		if count[g] > count[best] || best == groupTalk && count[g] > 0 {
			best = g
		}
	}
	return best
}

func (s *source) groupOfMark(m *Mark) group {
	if m.Kind == MarkName {
		if m.Slot == "partno" || m.Slot == "package" {
			return groupParts
		}
		return groupTalk
	}
	if m.Kind != MarkQuantity {
		return groupTalk
	}
	before, _, _ := strings.Cut(m.Slot, ".")
	switch {
	case s.n.Level(m.Table()) != nil, strings.HasPrefix(m.Slot, "power"), before == "input":
		return groupLevels
	case s.n.PartOf(m.Table()) != nil:
		return groupParts
	case before == "meas", before == "cond":
		return groupTests
	case before == "claim", before == "aside":
		return groupTalk
	}
	return groupBody
}
