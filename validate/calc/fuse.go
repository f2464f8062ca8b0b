package calc

import (
	"fmt"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// fuseCurrent is the input current of a mains supply and the fuse it takes.
var fuseCurrent = &Calculator{
	Name:     "fuse",
	Doc:      "input current of a mains supply, and its fuse",
	Formula:  "I = power / (efficiency × mains × power_factor); fuse ≥ 1.2 × I",
	Source:   "handbook 8.5 (computed) and 8.1 I28 (common practice, no source); rated currents IEC 60127, unverified",
	Standing: standard.Practice,
	Assumptions: []string{
		"power factor 0.6 without correction; give 0.95 or more for a supply with correction, expected above 75 W " +
			"(IEC 61000-3-2)",
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
	usual := standard.Exact("fuse.ratio")
	least, most := current.Mul(usual.Low), current.Mul(usual.High)
	results := []Result{
		{Name: "input_current", Doc: "greatest input current", Quantity: schema.One(current, "A")},
		{Name: "input_power", Doc: "input power", Quantity: schema.One(quo(x[0].Shift(2), x[1]), "W")},
		{Name: "fuse_least", Doc: "least rated current", Quantity: schema.One(least.Trim(), "A")},
	}
	results = append(results, nextFuse(least))
	if !a.has("fuse") {
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
	results = append(results, Result{Name: "fuse_ratio", Doc: "fuse over input current",
		Quantity: schema.One(quo(fuse, current), "1"), Text: word})
	listed := "is"
	if !isFuseCurrent(fuse) {
		listed = "is not"
	}
	return append(results, Result{Name: "fuse_listed", Doc: "preferred value",
		Text: fmt.Sprintf("%s %s a rated current of IEC 60127 (unverified list)", schema.One(fuse, "A"), listed)}), nil
}

// nextFuse is the least rated current of the list that is no smaller than the
// least in A, or says that the list has none.
func nextFuse(least schema.Decimal) Result {
	r := Result{Name: "fuse_next", Doc: "next rated current of IEC 60127 (unverified list)"}
	all := deskKnowledge().fuses
	for _, f := range all {
		if f.Cmp(least) >= 0 {
			r.Quantity = schema.One(f, "A")
			return r
		}
	}
	r.Text = fmt.Sprintf("none: the IEC 60127 list (unverified) ends at %s; a fuse for that much is of another kind",
		schema.One(all[len(all)-1], "A"))
	return r
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
				t := base.extended(place.Label(c.Board, c.Kind))
				t.take("fuse", &c.Ratings[j].Value, place.Rating(i, j))
				taken = append(taken, t)
			}
		}
	}
	if taken == nil && base.Given != nil {
		return []Taken{base}
	}
	return taken
}

// claimedPower is the greatest power given for outputs, in a claim or for a
// level, among those that are sure; only where none is, among the open ones.
func claimedPower(r *schema.Record) (*schema.Value, place.Path, bool) {
	var best *schema.Value
	var at place.Path
	take := func(v *schema.Value, p place.Path) {
		if v.Quantity.Unit.Kind() != schema.KindPower {
			return
		}
		sure := v.Status != schema.StatusOpen
		switch {
		case best == nil, sure && best.Status == schema.StatusOpen,
			sure == (best.Status != schema.StatusOpen) && v.Quantity.SI() > best.Quantity.SI():
			best, at = v, p
		}
	}
	for i := range r.Claims {
		if c := &r.Claims[i]; c.Property == "power" && !place.IsInput(c.Mode) {
			take(&c.Value, place.Claim(i))
		}
	}
	for i := range r.Levels {
		if l := &r.Levels[i]; l.Power != nil && !place.IsInput(l.Mode) {
			take(l.Power, place.Level(i, "power"))
		}
	}
	return best, at, best != nil
}
