package normalize

import (
	"testing"

	"saywatt/extract"
	"saywatt/normalize/prior"
)

// TestMatchWeight: a role weighs by what ties it to a context, times its own weight, and
// nothing where it does not belong.
func TestMatchWeight(t *testing.T) {
	w := loadWeights()
	e := &engine{weights: w}
	output := extract.Context{Section: extract.SectionOutput}
	mass := extract.Context{Property: "mass"}
	for _, c := range []struct {
		role    string
		tie     prior.Tie
		context extract.Context
		subject string
		want    float64
	}{
		{"level.voltage", prior.TieSection, output, "", w.RoleSection},
		{"level.voltage", prior.TieSection, output, "fuse", 0},
		{"component.current", prior.TieSubject, output, "fuse", w.RoleSubject},
		{"body.mass", prior.TieProperty, mass, "", w.RoleProperty},
		{"body.mass", prior.TieProperty, output, "", 0},
		{"any.voltage", prior.TieAny, mass, "fuse", w.RoleAny},
	} {
		found := false
		for i := range loadRoles().Roles {
			o := &loadRoles().Roles[i]
			if o.Name != c.role || o.Tie() != c.tie || c.want > 0 && !o.Fits(&c.context, c.subject) {
				continue
			}
			found = true
			if got := e.matchWeight(o, &c.context, c.subject); got != c.want*o.Weight {
				t.Errorf("%s beside %q: %v, want %v", c.role, c.subject, got, c.want*o.Weight)
			}
		}
		if !found {
			t.Errorf("no role %s that is tied so", c.role)
		}
	}
}
