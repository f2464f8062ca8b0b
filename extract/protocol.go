package extract

import (
	"slices"
	"strings"

	"saywatt/schema"
)

// portProtocol is a protocol spoken of for a port; port "" means all.
type portProtocol struct{ port, protocol string }

// protocolCue reads a protocol over tokens [i, end), with its version.
func (s *placer) protocolCue(i, end int, f *protocolForm) int {
	name, bare := f.protocol, true
	if f.version {
		k := s.skipBreak(end)
		if n, ok := s.number(k); ok && n.num.Float() < 10 && n.num.Coef > 0 && k < len(s.tokens) &&
			s.tokens[k].Kind != TokenSign {
			c, _ := s.at(s.skipBreak(n.end))
			if u, unit := s.unit(n.end); !unit || u.Manner == MannerHeard && c != classNone ||
				s.shortWordUnit(&u, n.end) {
				name, end, bare = s.versioned(f.protocol, n.num), n.end, false
			}
		}
	}
	if f.only && bare {
		return i
	}
	s.claim(i, end, NotVersion)
	kind := f.protocol
	if meant, ok := s.namedAs(schema.TermProtocol, i, end, name); ok {
		if meant == "" {
			return end
		}
		s.reread(schema.TermProtocol, i, end, meant, name)
		name, kind = meant, meant
	} else {
		s.said(schema.TermProtocol, i, end, name, groundOf(f.manner))
	}
	if s.guarded(s.backOne(i), guardNone) || s.deniedName(i, end) {
		s.denialEnd = end
		return end
	}
	switch s.section {
	case SectionTeardown, SectionBody, SectionClosing:
		return end
	case SectionProduct, SectionBattery:
		s.noteProtocol(name)
		if kind != "Qi" {
			s.protocol, s.protoLast, s.protoEnd, s.portPend = name, s.clause, end, true
		}
		return end
	}
	if s.section != SectionTest {
		s.noteProtocol(name)
	}
	if kind == "Qi" || kind == "Qi2" {
		return end
	}
	s.protocol, s.protoLast, s.protoEnd = name, s.clause, end
	return end
}

// noteProtocol notes a protocol spoken of for the port.
func (s *placer) noteProtocol(name string) {
	if p := (portProtocol{s.port, name}); !slices.Contains(s.protocols, p) {
		s.protocols = append(s.protocols, p)
	}
}

// versioned writes a protocol with its version: "QC 3.0", "PD 3.1", "Qi2".
func (s *placer) versioned(protocol string, v Num) string {
	text := v.Decimal().String()
	if protocol == "Qi" {
		return "Qi" + text
	}
	if !strings.Contains(text, ".") {
		text += ".0"
	}
	return protocol + " " + text
}

// protocolGoesOn reports whether a protocol named in an earlier sentence still
// holds: "PPS is 3.3 to 11 volts. And a second one, 3.3 to 21 volts".
func (s *placer) protocolGoesOn(phys schema.Kind) bool {
	if s.start >= len(s.tokens) {
		return false
	}
	for k := s.start; k < len(s.tokens) && k < s.start+s.x.reach.goesOn; k++ {
		if s.next-1 < len(s.d.Mentions) && k >= int(s.d.Mentions[s.next-1].First) {
			break
		}
		if s.guarded(k, guardGoesOn) {
			return true
		}
	}
	return false
}
