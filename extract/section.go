package extract

import (
	"slices"
	"strings"
)

// enterBy enters a section because of the phrase over tokens [i, end); weak
// phrases do so only where no teardown or test runs. It reports whether the
// section is (now) the one named.
func (s *placer) enterBy(i, end int, to Section, weak bool) bool {
	from := s.section
	if s.plan != nil {
		return from == to
	}
	if from == to {
		if to == SectionOutput && s.direction == "input" {
			s.direct("output")
		}
		if to == SectionTeardown && s.cableProduct() && s.sentenceStart(i) && s.ends(end) {
			s.endSubject() // "Cut open.", behind the chip in the plug
		}
		return true
	}
	if to == SectionInput && !s.busy() && s.chargeAhead(1) {
		return s.batterySide(s.c.kindID("pack")) // the rating plate tells of the battery
	}
	if s.cableProduct() && (to == SectionInput || to == SectionOutput) {
		return true // a cable has no sides: what its label says is its rating
	}
	busy := s.busy()
	heading := s.sentenceStart(i) && s.ends(end)
	switch {
	case to == SectionCable && from == SectionTeardown && busy && s.sentenceStart(s.firstOf(i)):
		// the cable in the box, told of between parts
	case weak && busy && !heading:
		return false
	case to == SectionWireless && end-i == 1 && s.ends(end) && !heading:
		return false // "15 watts wireless."
	case to == SectionBody && from == SectionBattery && end-i == 1 && !(s.cased && s.sentenceStart(i)):
		return false // the size or weight of a cell
	case weak && to == SectionTeardown && end-i == 1 && !s.sentenceStart(i) && !s.partAhead(end, 3):
		return false // "a charger with a battery inside"
	case to == SectionTeardown && (from == SectionTest || from == SectionThermal) && s.measured == 0 && weak:
		return false
	case (to == SectionInput || to == SectionOutput) && busy && !heading:
		return false
	case to == SectionThermal && end-i == 1 && s.tokens[i].Word != 0 && !s.sentenceStart(i) && !s.ends(end) && !s.hotWord(i):
		return false
	case to == SectionTest && from == SectionThermal && !heading:
		return false
	}
	s.enter(to)
	return true
}

// busy reports whether a teardown or test is under way: not just entered by a
// word in passing, but with parts or measurements told.
func (s *placer) busy() bool {
	switch s.section {
	case SectionTeardown:
		return s.kind >= 0 || len(s.seen) > s.seenAt
	case SectionTest, SectionThermal:
		return s.last >= 0 && s.d.Mentions[s.last].Context.Section == s.section
	}
	return false
}

// hotWord reports whether the word at i is a superlative of heat, which names
// a temperature wherever it stands.
func (s *placer) hotWord(i int) bool {
	t := s.tokens[i]
	w := s.text[t.Start:t.End]
	return len(w) > 3 && string(w[len(w)-3:]) == "est" || len(w) > 4 && string(w[len(w)-1:]) == "s"
}

// enter goes into a section.
func (s *placer) enter(to Section) {
	if s.section == to || s.plan != nil && !s.planned {
		return
	}
	from := s.section
	s.section, s.aside = to, SectionNone
	if to == SectionCable && s.d.Product.Kind != "cable" {
		s.aside = from // a cable in the box: for this sentence only
	}
	s.seenAt = len(s.seen)
	s.clause++
	s.portPend = false
	s.shared = false
	s.prop, s.spot = -1, ""
	s.condition = -1
	if from == SectionTeardown || from == SectionBattery || to == SectionTeardown || to == SectionBattery {
		s.endSubject()
	}
	s.battery = -1
	switch to {
	case SectionInput:
		s.direction, s.port, s.protocol, s.acInput = "input", "", "", false
	case SectionOutput:
		s.direction, s.acInput = "output", false
		if from == SectionInput || from == SectionTest {
			s.protocol = ""
		}
		if s.port == "AC" {
			s.port = ""
		}
	case SectionWireless:
		s.direction, s.port, s.protocol = "output", "Qi", ""
		if !slices.Contains(s.known, "Qi") {
			s.known = append(s.known, "Qi")
		}
	case SectionTest, SectionThermal:
		s.direction, s.protocol, s.port, s.board, s.product = "", "", "", "", ""
	case SectionTeardown:
		s.direction, s.port, s.protocol = "", "", ""
	default:
		s.direction, s.port, s.protocol = "", "", ""
	}
}

// direct sets the direction of the levels to come. Where parts or tests are
// told of, the words mean a side of the board or of the load instead.
func (s *placer) direct(to string) bool {
	if s.busy() || s.section == SectionTest || s.section == SectionThermal {
		return false
	}
	if s.plan != nil {
		return s.section == SectionInput || s.section == SectionOutput || s.section == SectionWireless
	}
	if to == "input-aside" {
		if s.section == SectionOutput && s.port != "" {
			s.asidePort, s.aside = s.port, SectionOutput
			s.direction, s.section = "input", SectionInput
			s.clause++
			s.portClause = s.clause
			return true
		}
		to = "input"
	}
	if s.direction == to && (s.section == SectionInput || s.section == SectionOutput) {
		return true
	}
	if to == "input" {
		port, pending := s.port, s.portPend && !strings.ContainsAny(s.port, ",+")
		s.enter(SectionInput)
		s.direction = "input"
		if pending || s.portClause == s.clause-1 || s.portClause == s.clause {
			s.port = port // "the first USB-C takes in …", "The first C is the big one. Going in …"
		}
		return true
	}
	if s.section == SectionWireless {
		s.direction = to
		return true
	}
	s.enter(SectionOutput)
	s.direction, s.shared = to, false
	return true
}

// modeName is the operating mode as records have it.
func (s *placer) modeName() string {
	d := s.direction
	if s.shared && d != "input" {
		d = "output-shared"
	}
	switch s.section {
	case SectionInput, SectionOutput, SectionWireless, SectionTest, SectionThermal:
	default:
		return ""
	}
	if s.product == "" {
		return d
	}
	return s.productMode(d)
}

// productMode joins the product's own mode and the direction; the strings are
// few and made once.
func (s *placer) productMode(direction string) string {
	if direction == "" {
		return s.product
	}
	key := [2]string{s.product, direction}
	for _, m := range productModes {
		if m.key == key {
			return m.name
		}
	}
	return s.product + "/" + direction
}

var productModes = func() (all []struct {
	key  [2]string
	name string
}) {
	for _, p := range []string{"mains", "battery", "pass-through"} {
		for _, d := range []string{"input", "output", "output-shared"} {
			all = append(all, struct {
				key  [2]string
				name string
			}{[2]string{p, d}, p + "/" + d})
		}
	}
	return all
}()

// boardReach is how many tokens apart boards are that one breath lists
// (common practice, no source).
const boardReach = 12

// onBoard goes on with the parts of a board. Boards listed in one sentence
// ("one main board and one upright board") leave the first as the one told of.
// It reports whether a board was meant.
func (s *placer) onBoard(i, end int, board string) bool {
	if s.section != SectionTeardown {
		if s.plan != nil {
			return false
		}
		if !s.guarded(end-1, guardBoard) && !(s.sentenceStart(i) && s.ends(end)) && !s.partAhead(end, 5) {
			return false // "the inverter, when it does nothing, eats 9 watts": the thing, not its board
		}
		switch s.section {
		case SectionTest, SectionThermal, SectionClosing:
			if !s.sentenceStart(i) {
				return true
			}
		}
		s.enter(SectionTeardown)
	}
	if s.boardClause == s.clause && s.boardFirst != "" && s.boardFirst != board && s.rated == 0 && i-s.boardAt <= boardReach {
		s.board = s.boardFirst
		return true
	}
	s.endSubject()
	s.board, s.boardFirst, s.boardClause, s.boardAt = board, board, s.clause, i
	s.seenAt = -1 // the teardown is under way
	s.rated = 0
	return true
}
