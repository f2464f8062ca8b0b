package schema

import "testing"

func TestComponentPath(t *testing.T) {
	r := &Record{Components: []Component{{Kind: "fuse"}, {Kind: "relay"}}}
	for _, c := range []struct {
		path      string
		component int
		field     string
		kind      string
	}{
		{ComponentPath(1, "maker"), 1, "maker", "relay"},
		{"components[0].ratings[2]", 0, "ratings[2]", "fuse"},
		{"components[1]", 1, "", "relay"},
		{"components[2].part", 2, "part", ""},
		{"components[-1].part", -1, "", ""},
		{"components[x].part", -1, "", ""},
		{"components[1", -1, "", ""},
		{"components", -1, "", ""},
		{"levels[1].current", -1, "", ""},
		{"", -1, "", ""},
	} {
		n, field := ComponentField(c.path)
		kind := ""
		if of := r.ComponentOf(c.path); of != nil {
			kind = of.Kind
		}
		if n != c.component || field != c.field || kind != c.kind {
			t.Errorf("%q: component %d, field %q, of %q; want %d, %q, %q", c.path, n, field, kind,
				c.component, c.field, c.kind)
		}
	}
}

// TestPortPaths: a port and a protocol are found where they are first, and nowhere else.
func TestPortPaths(t *testing.T) {
	r := Record{Ports: []Port{{Name: "USB-C", Protocols: []string{"PD", "PPS"}},
		{Name: "USB-A", Protocols: []string{"PPS", "QC"}}}}
	for name, want := range map[string]string{"USB-C": "ports[0].name", "USB-A": "ports[1].name", "Qi": "", "PD": ""} {
		if got := r.PortPath(name); got != want {
			t.Errorf("port %s: %q, want %q", name, got, want)
		}
	}
	for name, want := range map[string]string{"PPS": "ports[0].protocols[1]", "QC": "ports[1].protocols[1]", "Qi": ""} {
		if got := r.ProtocolPath(name); got != want {
			t.Errorf("protocol %s: %q, want %q", name, got, want)
		}
	}
}
