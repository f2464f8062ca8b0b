package extract

import "slices"

// busy reports whether a teardown or test is under way: not just entered by a
// word in passing, but with parts or measurements spoken of.
func (s *placer) busy() bool {
	switch s.section {
	case SectionTeardown:
		return s.kind >= 0 || len(s.seen) > s.seenAt
	case SectionTest, SectionThermal:
		return s.last >= 0 && s.d.Mentions[s.last].Context.Section == s.section
	}
	return false
}

// enter goes into the section of a region of the plan.
func (s *placer) enter(to Section) {
	if s.section == to {
		return
	}
	from := s.section
	s.section = to
	s.seenAt = len(s.seen)
	s.clause++
	s.portPend = false
	s.shared = false
	s.prop, s.spot = -1, ""
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

// directed reports whether words for a direction speak of levels: where parts or
// tests are spoken of they mean a side of the board or of the load instead. Which
// direction it is the plan has from the whole review.
func (s *placer) directed() bool { return s.section == SectionInput || s.section == SectionOutput }

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

// onBoard goes on with the parts of a board. Boards listed in one sentence
// ("one main board and one upright board") leave the first as the one spoken of.
// It reports whether a board was meant.
func (s *placer) onBoard(i int, board string) bool {
	if s.section != SectionTeardown {
		return false
	}
	if s.boardClause == s.clause && s.boardFirst != "" && s.boardFirst != board && s.rated == 0 &&
		i-s.boardAt <= s.x.reach.board {
		s.board = s.boardFirst
		return true
	}
	s.endSubject()
	s.board, s.boardFirst, s.boardClause, s.boardAt = board, board, s.clause, i
	s.seenAt = -1 // the teardown is under way
	s.rated = 0
	return true
}
