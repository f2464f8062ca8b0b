package place

import (
	"strings"
	"testing"
)

// TestProtocolNames: each name of the table is sorted as its row says, with a
// version behind it too, and others are not taken for it.
func TestProtocolNames(t *testing.T) {
	for _, p := range protocols() {
		if got := ProtocolOf(strings.ToLower(p.name)); got != p.family {
			t.Errorf("%s is %s, want %s", p.name, got, p.family)
		}
	}
	for name, want := range map[string]Protocol{
		"": NoProtocol, "PD 3.0": PD, "PD3.1": PD, "PDO": OtherProtocol, "PPS": PPS, "QC 3.0": QC3,
		"QC3.0": QC3, "QC 3+": QC3Plus, "QC2.0": QC2, "QC": QC, "QC5": QC4, "BC 1.2 DCP": BC,
		"SPR AVS": AVSSPR, "AC": AC, "Acme": OtherProtocol, "Qi2": QiMPP, "Qi2.2": QiMPP25, "Qi": Qi,
		"UFCS": UFCS,
	} {
		if got := ProtocolOf(name); got != want {
			t.Errorf("%q is %s, want %s", name, got, want)
		}
	}
}

// TestPlaces: modes and ports as records have them.
func TestPlaces(t *testing.T) {
	for _, tt := range []struct {
		mode, product string
		f             Flow
	}{
		{"input", "", Input}, {"output", "", Output}, {"output-shared", "", Shared},
		{"mains/output", "mains", Output}, {"battery/input", "battery", Input}, {"mains", "mains", OtherFlow}, {"", "", OtherFlow},
	} {
		if p, f := ModeOf(tt.mode); p != tt.product || f != tt.f {
			t.Errorf("mode %q: %q %d", tt.mode, p, f)
		}
	}
	for port, want := range map[string]Socket{"": SocketUnknown, "USB-C1": SocketC, "USB-C": SocketC, "USB-A2": SocketA,
		"Qi": SocketPad,
		"AC": SocketMains, "DC": SocketDC, "USB-C1+USB-A": SocketJoined, "car": SocketUnknown} {
		if got := SocketOf(port); got != want {
			t.Errorf("port %q: %d, want %d", port, got, want)
		}
	}
	for p, want := range map[Path]string{
		Item("levels", 3, "current"):   "levels[3].current",
		Rating(2, 1):                   "components[2].ratings[1].value",
		Field("battery.cell.charge"):   "battery.cell.charge",
		Item("body.dimensions", 2, ""): "body.dimensions[2]",
	} {
		if got := p.String(); got != want {
			t.Errorf("path %q, want %q", got, want)
		}
	}
}

func (p Protocol) String() string { return protocolNames[p] }
