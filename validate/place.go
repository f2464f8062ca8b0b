package validate

import (
	"strings"

	"saywatt/schema"
)

// flow is the direction of a level.
type flow uint8

const (
	flowOther flow = iota
	flowInput
	flowOutput
	flowShared // output while other ports are in use too
)

// modeOf splits a mode: "mains/output" is the output in the product's mode
// "mains", "output" the output of a product with one mode, "mains" a product
// mode that says nothing of the direction.
func modeOf(mode string) (product string, f flow) {
	direction := mode
	if i := strings.IndexByte(mode, '/'); i >= 0 {
		product, direction = mode[:i], mode[i+1:]
	}
	switch direction {
	case "input":
		return product, flowInput
	case "output":
		return product, flowOutput
	case "output-shared":
		return product, flowShared
	}
	return mode, flowOther
}

// socket is the kind of a port.
type socket uint8

const (
	socketUnknown socket = iota
	socketC
	socketA
	socketPad // wireless
	socketMains
	socketDC
	socketJoined // several ports together
)

// socketOf sorts a port by its name as records have it.
func socketOf(port string) socket {
	switch {
	case port == "":
		return socketUnknown
	case strings.IndexByte(port, '+') >= 0:
		return socketJoined
	case strings.HasPrefix(port, "USB-C"):
		return socketC
	case strings.HasPrefix(port, "USB-A"):
		return socketA
	case strings.HasPrefix(port, "Qi"), strings.HasPrefix(port, "pad"), strings.HasPrefix(port, "wireless"):
		return socketPad
	case strings.HasPrefix(port, "AC"):
		return socketMains
	case strings.HasPrefix(port, "DC"), port == "barrel":
		return socketDC
	}
	return socketUnknown
}

// levelLabel opens a sentence about a level: "mains USB-C1 PD".
func levelLabel(l *schema.Level) string {
	product, f := modeOf(l.Mode)
	if f == flowInput {
		return label(product, l.Port, l.Protocol, "input")
	}
	return label(product, l.Port, l.Protocol)
}

// stated reports whether the level's numbers are a maker's statement, not
// readings of an instrument.
func stated(l *schema.Level) bool {
	return l.Voltage.Basis != schema.BasisMeasured && (l.Current == nil || l.Current.Basis != schema.BasisMeasured)
}
