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
