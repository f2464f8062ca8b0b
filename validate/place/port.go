package place

import (
	"strings"
)

// Socket is the kind of a port.
type Socket uint8

// The kinds of port.
const (
	SocketUnknown Socket = iota
	SocketC
	SocketA
	SocketPad // wireless
	SocketMains
	SocketDC
	SocketJoined // several ports together
)

// SocketOf sorts a port by its name as records have it.
func SocketOf(port string) Socket {
	switch {
	case port == "":
		return SocketUnknown
	case strings.IndexByte(port, '+') >= 0:
		return SocketJoined
	case strings.HasPrefix(port, "USB-C"):
		return SocketC
	case strings.HasPrefix(port, "USB-A"):
		return SocketA
	case strings.HasPrefix(port, "Qi"), strings.HasPrefix(port, "pad"), strings.HasPrefix(port, "wireless"):
		return SocketPad
	case strings.HasPrefix(port, "AC"):
		return SocketMains
	case strings.HasPrefix(port, "DC"), port == "barrel":
		return SocketDC
	}
	return SocketUnknown
}
