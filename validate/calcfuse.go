package validate

import (
	"fmt"

	"saywatt/schema"
)

// fuseCurrent is the input current of a mains supply and the fuse it takes.
var fuseCurrent = &Calculator{
	Name:     "fuse",
	Doc:      "input current of a mains supply, and its fuse",
	Formula:  "I = power / (efficiency × mains × power_factor); fuse ≥ 1.2 × I",
	Source:   "handbook 8.5 (computed) and 8.1 I28 (common practice, no source); rated currents IEC 60127, from memory",
	Standing: StandingPractice,
	Assumptions: []string{
		"power factor 0.6 without correction; give 0.95 or more for a supply with correction, expected above 75 W (IEC 61000-3-2)",
		"inrush and ambient temperature are not looked at",
	},
	Cautions: []string{"S1", "S3", "S8", "S9"},
	Run:      runFuse,
	Take:     takeFuses,
}

func runFuse(a *Arguments) ([]Result, error) {
	x, err := a.singles("power", "efficiency", "mains", "power_factor")
	if err != nil {
		return nil, err
	}
	current := quo(x[0].Shift(2), x[1].Mul(x[2]).Mul(x[3]))
	usual := exactBound("fuse.ratio")
	least, most := current.Mul(usual.Low), current.Mul(usual.High)
	results := []Result{
		{Name: "input_current", Doc: "greatest input current", Quantity: schema.One(current, "A")},
		{Name: "input_power", Doc: "input power", Quantity: schema.One(quo(x[0].Shift(2), x[1]), "W")},
		{Name: "fuse_least", Doc: "least rated current", Quantity: schema.One(least.Trim(), "A")},
	}
	for _, f := range deskKnowledge().fuses {
		if f.Cmp(least) >= 0 {
			results = append(results, Result{Name: "fuse_next", Doc: "next rated current of IEC 60127 (unverified list)", Quantity: schema.One(f, "A")})
			break
		}
	}
	if !a.Has("fuse") {
		return results, nil
	}
	fuse, err := a.single("fuse")
	if err != nil {
		return nil, err
	}
	word := fmt.Sprintf("usual is %s to %s", usual.Low, usual.High)
	switch {
	case fuse.Cmp(least) < 0:
		word = "below what carries the input current for good: " + word
	case fuse.Cmp(most) > 0:
		word = "larger than usual: " + word
	}
	results = append(results, Result{Name: "fuse_ratio", Doc: "fuse over input current", Quantity: schema.One(quo(fuse, current), "1"), Text: word})
	listed := "is"
	if !isFuseCurrent(fuse) {
		listed = "is not"
	}
	return append(results, Result{Name: "fuse_listed", Doc: "preferred value", Text: fmt.Sprintf("%s %s a rated current of IEC 60127 (unverified list)", schema.One(fuse, "A"), listed)}), nil
}

func isFuseCurrent(amperes schema.Decimal) bool {
	for _, f := range deskKnowledge().fuses {
		if f.Equal(amperes) {
			return true
		}
	}
	return false
}

// takeFuses offers the greatest output power that a record claims, with each
// fuse.
func takeFuses(r *schema.Record) []Taken {
	base := Taken{Label: "input"}
	if power, path, ok := claimedPower(r); ok {
		base.take("power", power, path)
	}
	var taken []Taken
	for i := range r.Components {
		c := &r.Components[i]
		if c.Kind != "fuse" {
			continue
		}
		for j := range c.Ratings {
			if c.Ratings[j].Property == "current" {
				t := base.extended(label(c.Board, c.Kind))
				t.take("fuse", &c.Ratings[j].Value, rating(i, j))
				taken = append(taken, t)
			}
		}
	}
	if taken == nil && base.Given != nil {
		return []Taken{base}
	}
	return taken
}

// claimedPower is the greatest power claimed for outputs.
func claimedPower(r *schema.Record) (*schema.Value, Path, bool) {
	best := -1
	for i := range r.Claims {
		c := &r.Claims[i]
		if c.Property != "power" || isInput(c.Mode) || c.Value.Quantity.Unit.Kind() != schema.KindPower {
			continue
		}
		if best < 0 || c.Value.Quantity.SI() > r.Claims[best].Value.Quantity.SI() {
			best = i
		}
	}
	if best < 0 {
		return nil, Path{}, false
	}
	return &r.Claims[best].Value, item("claims", best, "value"), true
}
