package place

import (
	"strings"

	"saywatt/schema"
)

// USBPD reports whether the family is carried by USB Power Delivery.
func (p Protocol) USBPD() bool { return p >= PD && p <= AVSSPR || p == QC4 }

// IsMains accepts what runs on or gives mains voltage.
func IsMains(l *schema.Level) bool {
	return (ProtocolOf(l.Protocol) == AC || SocketOf(l.Port) == SocketMains) && Stated(l)
}

// IsPD reports whether a level is one of USB PD: said so, or on a USB-C port
// with no protocol given.
func IsPD(l *schema.Level) bool {
	switch p := ProtocolOf(l.Protocol); p {
	case NoProtocol:
		return SocketOf(l.Port) == SocketC
	default:
		return p.USBPD()
	}
}

// IsStatedPD is IsPD for what is stated, not measured.
func IsStatedPD(l *schema.Level) bool { return Stated(l) && IsPD(l) }

// IsFixedPD is IsStatedPD without the protocols that have ranges.
func IsFixedPD(l *schema.Level) bool {
	if !Stated(l) {
		return false
	}
	p := ProtocolOf(l.Protocol)
	return p == PD || p == NoProtocol && SocketOf(l.Port) == SocketC
}

// Label joins what is there of port, protocol and product mode: "USB-C1 PD".
func Label(parts ...string) string {
	n := 0
	for _, p := range parts {
		if p != "" {
			n++
		}
	}
	switch n {
	case 0:
		return ""
	case 1:
		for _, p := range parts {
			if p != "" {
				return p
			}
		}
	}
	var b strings.Builder
	for _, p := range parts {
		if p == "" {
			continue
		}
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(p)
	}
	return b.String()
}

// LevelLabel opens a sentence about a level: "mains USB-C1 PD".
func LevelLabel(l *schema.Level) string {
	product, f := ModeOf(l.Mode)
	if f == Input {
		return Label(product, l.Port, l.Protocol, "input")
	}
	return Label(product, l.Port, l.Protocol)
}

// Stated reports whether the level's numbers are a maker's statement, not
// readings of an instrument.
func Stated(l *schema.Level) bool {
	return l.Voltage.Basis != schema.BasisMeasured && (l.Current == nil || l.Current.Basis != schema.BasisMeasured)
}
