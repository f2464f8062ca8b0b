package validate

import (
	"math"
	"slices"
	"strings"
	"sync"

	"saywatt/internal/knowledge"
	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// partWindow is a row of part_windows.tsv in SI units.
type partWindow struct {
	kinds     []string
	property  string
	low, high float64
	unit      schema.Unit
	typical   string
	standard.Ground
}

var partWindows = sync.OnceValue(func() []partWindow {
	var rows []partWindow
	for _, r := range schema.MustReadTable(tables, "tables/part_windows.tsv").Rows {
		q := schema.MustQuantity(r.Get("low") + ".." + r.Get("high") + " " + r.Get("unit"))
		rows = append(rows, partWindow{r.List("kind"), r.Get("property"), q.LowSI(), q.SI(), q.Unit, r.Get("typical"),
			standard.GroundOf(r)})
	}
	return rows
})

// partWindowIndex finds the rows of a kind and property.
var partWindowIndex = sync.OnceValue(func() map[[2]string][]*partWindow {
	index := map[[2]string][]*partWindow{}
	for i := range partWindows() {
		w := &partWindows()[i]
		for _, k := range w.kinds {
			key := [2]string{k, w.property}
			index[key] = append(index[key], w)
		}
	}
	return index
})

// rulePartWindow are the windows of single ratings.
var rulePartWindow = &Rule{
	Name: "part-window",
	Doc:  "a rating lies in the window that the trade knows for its kind of part",
	Detail: "Generous windows: outside them a value is implausible, most often a lost point or a wrong prefix: 150 " +
		"MΩ for the 150 mΩ of a switch. A kind may have several windows, such as the NTC thermistor that limits " +
		"inrush and the one that senses.",
	Source:   "handbook 7.2, common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.*"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		index := partWindowIndex()
		for i := range r.Components {
			c := &r.Components[i]
			for j := range c.Ratings {
				rows := index[[2]string{c.Kind, c.Ratings[j].Property}]
				if c.Kind == "fuse" && mayBeBatteryFuse(r, c) {
					if own := index[[2]string{"battery fuse", c.Ratings[j].Property}]; own != nil {
						rows = own
					}
				}
				if rows != nil && !yield(Case{Label: partLabel(c), Extra: rows, Args: []Arg{ratingArg(r, i, j)}}) {
					return
				}
			}
		}
	},
	Loose: looseKind,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		rows := c.Extra.([]*partWindow)
		low, high, ok := in(&q[0], rows[0].unit.Kind())
		if rows[0].unit.Kind() == schema.KindTemperature {
			low, high, ok = kelvins(&q[0])
		}
		if !ok || high <= 0 {
			return none
		}
		var best Judgement
		chance := 0.0
		for _, w := range rows {
			j := window(high, w.low, w.high).on(w.Source, w.Standing)
			if j.Verdict == VerdictFits && low < w.low && low > 0 {
				j = window(low, w.low, w.high).on(w.Source, w.Standing)
			}
			chance += j.Chance
			if best.Verdict == VerdictNone || j.Verdict < best.Verdict ||
				j.Verdict == best.Verdict && j.Excess < best.Excess {
				best = j
			}
		}
		best.Chance = chance
		return best
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		var windows, typical []string
		for _, w := range c.Extra.([]*partWindow) {
			windows = append(windows, w.shown(w.low)+" to "+w.shown(w.high))
			typical = append(typical, w.typical)
		}
		return q[0].String() + " is outside " + strings.Join(windows, " and ") + " (usual: " +
			strings.Join(typical, "; ") + ")"
	},
}

// shown prints an end of the window, in the unit of its kind that needs the
// fewest zeros.
func (w *partWindow) shown(x float64) string {
	if w.unit.Kind() == schema.KindTemperature {
		return celsius(x)
	}
	return amount(x, scaled(x, w.unit))
}

// scaled is, among base and its prefixed forms, the largest unit that is not
// above x, or else the smallest.
func scaled(x float64, base schema.Unit) schema.Unit {
	best := base
	for _, u := range schema.Units() {
		if u.Kind != base.Kind() || !strings.HasSuffix(string(u.Unit), string(base)) {
			continue
		}
		switch scale := best.Scale(); {
		case scale > x*(1+gridError):
			if u.Scale < scale {
				best = u.Unit
			}
		case u.Scale > scale && u.Scale <= x*(1+gridError):
			best = u.Unit
		}
	}
	return best
}

// seriesValues are the members of each series in [1, 10).
var seriesValues = sync.OnceValue(func() map[string][]float64 {
	m := map[string][]float64{}
	for _, r := range knowledge.Series().Rows {
		xs := floats(r, "values", "1")
		for i := range xs {
			xs[i] = mantissa(xs[i])
		}
		m[r.Get("series")] = xs
	}
	return m
})

// mantissa is x over the power of ten that brings it into [1, 10).
func mantissa(x float64) float64 {
	m := x / math.Pow10(int(math.Floor(math.Log10(x))))
	switch {
	case m >= 10*(1-gridError):
		return m / 10
	case m < 1-gridError:
		return m * 10
	}
	return m
}

// preferred is a row of preferred.tsv: which numbers a rating takes.
type preferred struct {
	kinds    []string
	property string
	kind     schema.Kind
	members  []float64 // of all its series, in [1, 10)
	also     []float64 // in SI units
	text     string    // "E24 or E96"
	standard.Ground
}

var preferreds = sync.OnceValue(func() []preferred {
	var rows []preferred
	for _, r := range schema.MustReadTable(tables, "tables/preferred.tsv").Rows {
		unit := schema.Unit(r.Get("unit"))
		p := preferred{kinds: r.List("kind"), property: r.Get("property"), kind: unit.Kind(),
			also: floats(r, "also", unit),
			text: strings.Join(r.List("series"), " or "), Ground: standard.GroundOf(r)}
		for _, s := range r.List("series") {
			p.members = append(p.members, seriesValues()[s]...)
		}
		slices.Sort(p.members)
		p.members = slices.Compact(p.members)
		rows = append(rows, p)
	}
	return rows
})

// rulePreferredNumber are the E series.
var rulePreferredNumber = &Rule{
	Name: "preferred-number",
	Doc:  "resistance, capacitance and inductance of parts are preferred numbers of IEC 60063",
	Detail: "Which series depends on the part. This is weak evidence: E24 holds 24 of the 90 two-digit numbers, " +
		"and a number with a lost point keeps its digits, so the rule never decides alone and proposes nothing. " +
		"Measured values are not looked at.",
	Source: "IEC 60063:2015 Tables 1 and 2 (handbook 4.1, R23); which part takes which series: common practice, no " +
		"source",
	Standing: standard.Practice,
	Severity: schema.SeverityNote,
	Relates:  []string{"component.resistance", "component.capacitance", "component.inductance"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for k := range preferreds() {
			p := &preferreds()[k]
			for i, j := range place.Ratings(r, p.property, p.kinds...) {
				if r.Components[i].Ratings[j].Value.Basis == schema.BasisMeasured {
					continue
				}
				if !yield(Case{Label: partLabel(&r.Components[i]), Extra: p, Args: []Arg{ratingArg(r, i, j)}}) {
					return
				}
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		p := c.Extra.(*preferred)
		x, ok := one(&q[0], p.kind)
		if !ok {
			return none
		}
		if member(mantissa(x), p.members) >= 0 || member(x, p.also) >= 0 {
			j := fits()
			j.Chance = min(float64(len(p.members))/twoDigitNumbers, 0.9)
			return j.on(p.Source, p.Standing)
		}
		return odd(0, x, leastMember(p.members, x)).at(schema.SeverityNote).on(p.Source, p.Standing)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is no preferred number of " + c.Extra.(*preferred).text + "; the nearest is " +
			amount(j.Limit, q[0].Unit)
	},
}

// twoDigitNumbers is how many numbers of two digits there are, of which a
// series holds its share.
const twoDigitNumbers = 90

// leastMember is the member nearest to x, at the power of ten of x.
func leastMember(members []float64, x float64) float64 {
	m, best := mantissa(x), members[0]
	for _, y := range members {
		if apart(y, m) < apart(best, m) {
			best = y
		}
	}
	return best * x / m
}

// voltageList is a row of part_voltages.tsv.
type voltageList struct {
	kinds  []string
	values []float64
	standard.Ground
}

var voltageLists = sync.OnceValue(func() []voltageList {
	var rows []voltageList
	for _, r := range schema.MustReadTable(tables, "tables/part_voltages.tsv").Rows {
		rows = append(rows, voltageList{r.List("kind"), floats(r, "values", "V"), standard.GroundOf(r)})
	}
	return rows
})

// ruleRatedVoltage are the voltages that parts are made for.
var ruleRatedVoltage = &Rule{
	Name: "rated-voltage",
	Doc:  "capacitors, MOSFETs, diodes, bridges and fuses are made for a list of rated voltages",
	Detail: "400, 420 or 450 V for a bulk capacitor, 650 V for a GaN switch, 250 V for a fuse. The lists are those " +
		"of catalogues; a value outside is unusual, and often a lost digit.",
	Source:   "handbook 4.4 (R24), 4.5 and 4.6 (R42b, R46), else common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityNote,
	Relates:  []string{"component.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for k := range voltageLists() {
			l := &voltageLists()[k]
			for i, j := range place.Ratings(r, "voltage", l.kinds...) {
				if !yield(Case{Label: partLabel(&r.Components[i]), Extra: l, Args: []Arg{ratingArg(r, i, j)}}) {
					return
				}
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		l := c.Extra.(*voltageList)
		v, ok := one(&q[0], schema.KindVoltage)
		if !ok {
			return none
		}
		if member(v, l.values) >= 0 {
			return fits().on(l.Source, l.Standing)
		}
		best := l.values[0]
		for _, x := range l.values {
			if apart(x, v) < apart(best, v) {
				best = x
			}
		}
		return breaks(0, v, best).aside().on(l.Source, l.Standing)
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is no usual rated voltage of this part; the nearest is " + amount(j.Limit, "V")
	},
}

// fuseList is fuse_currents.tsv: IEC 60127 and the values under UL only.
type fuseList struct {
	iec, ul       []float64
	iecRow, ulRow standard.Ground
}

var fuseLists = sync.OnceValue(func() *fuseList {
	t := &fuseList{}
	for _, r := range standard.FuseCurrents().Rows {
		x := mustFloat(r, "current")
		if r.Get("list") == "iec" {
			t.iec, t.iecRow = append(t.iec, x), standard.GroundOf(r)
		} else {
			t.ul, t.ulRow = append(t.ul, x), standard.GroundOf(r)
		}
	}
	return t
})

// ruleFuseList are the rated currents of fuses.
var ruleFuseList = &Rule{
	Name: "fuse-list",
	Doc:  "a fuse has a rated current of IEC 60127",
	Detail: "3.15 A, not 3.25 A: fuses follow steps of the R10 series (ISO 3), not E series. Values that only " +
		"UL/CSA 248-14 fuses have are noted. The list is of miniature fuses, on boards and on the mains side; " +
		"fuses of a battery (blades, strips) follow others and are left alone. The IEC list was not held against " +
		"the standard.",
	Source:   "IEC 60127 parts 1 to 4 and 7, rated currents; check value W80",
	Standing: standard.Unverified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.fuse.current"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i, j := range place.Ratings(r, "current", "fuse") {
			if mayBeBatteryFuse(r, &r.Components[i]) {
				continue
			}
			if !yield(Case{Label: partLabel(&r.Components[i]), Args: []Arg{ratingArg(r, i, j)}}) {
				return
			}
		}
	},
	Loose: either(looseStored, looseFuseList),
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		a, ok := one(&q[0], schema.KindCurrent)
		if !ok {
			return none
		}
		l := fuseLists()
		if member(a, l.iec) >= 0 {
			return fits()
		}
		if member(a, l.ul) >= 0 {
			return odd(causeUL, a, a).at(schema.SeverityNote).on(l.ulRow.Source, l.ulRow.Standing)
		}
		best, twin := l.iec[0], 0.0
		for _, x := range l.iec {
			if same(mantissa(x), mantissa(a)) && (twin == 0 || apart(x, a) < apart(twin, a)) {
				twin = x
			}
			if apart(x, a) < apart(best, a) {
				best = x
			}
		}
		if twin > 0 {
			return breaks(causeDigits, a, twin)
		}
		return breaks(causeUnlisted, a, best)
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		if j.Cause == causeUL {
			return q[0].String() + " is a rated current seen under UL/CSA 248-14, not of the IEC 60127 list"
		}
		t := q[0].String() + " is no rated current of the IEC 60127 list; "
		if j.Cause == causeDigits {
			return t + amount(j.Limit, "A") + " has its digits"
		}
		return t + "the nearest is " + amount(j.Limit, "A")
	},
}

// Causes of ruleFuseList.
const (
	causeUnlisted = iota
	causeUL
	causeDigits
)

// mayBeBatteryFuse reports whether a fuse may be one of the battery: on its
// protection board, or in a product with cells that takes no mains itself.
func mayBeBatteryFuse(r *schema.Record, c *schema.Component) bool {
	if c.Board == "BMS" {
		return true
	}
	if r.Battery == nil && !strings.Contains(r.Product.Kind, "power station") {
		return false
	}
	return !slices.ContainsFunc(r.Levels, func(l schema.Level) bool { return isMainsInput(&l) })
}

// crystalList is crystals.tsv.
var crystalList = sync.OnceValue(func() []float64 {
	var xs []float64
	for _, r := range schema.MustReadTable(tables, "tables/crystals.tsv").Rows {
		xs = append(xs, mustFloat(r, "frequency"))
	}
	return xs
})

// shortened reports whether f is x rounded or cut to two, three or four digits.
func shortened(f, x float64) bool {
	unit := math.Pow10(int(math.Floor(math.Log10(x))) - 1)
	for range 3 {
		if same(f, math.Floor(x/unit)*unit) || same(f, math.Round(x/unit)*unit) {
			return true
		}
		unit /= 10
	}
	return false
}

// ruleCrystal are the frequencies of crystals.
var ruleCrystal = &Rule{
	Name: "crystal-frequency",
	Doc:  "a crystal of this trade runs at 32.768 kHz or at a usual number of megahertz",
	Detail: "32.768 kHz is 2^15 Hz, the watch crystal: 32.768 MHz or 32768 kHz beside it is a wrong prefix. It may " +
		"be said cut or rounded, 32 kHz or 32.77 kHz.",
	Source:   "2^15 = 32768 by arithmetic; other frequencies common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.crystal.frequency"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		ratingCases(r, yield, "frequency", "crystal")
	},
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		f, ok := one(&q[0], schema.KindFrequency)
		if !ok {
			return none
		}
		if member(f, crystalList()) >= 0 || shortened(f, crystalList()[0]) {
			return fits()
		}
		best := crystalList()[0]
		for _, x := range crystalList() {
			if apart(x, f) < apart(best, f) {
				best = x
			}
		}
		if same(mantissa(f), mantissa(crystalList()[0])) {
			best = crystalList()[0]
		}
		return breaks(0, f, best).aside()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is no usual crystal; the nearest is " + toGrid(j.Limit, 3, "kHz").String()
	},
}
