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

// ruleSeriesVoltage is pack voltage = cells in series × cell voltage.
var ruleSeriesVoltage = &Rule{
	Name: "series-voltage",
	Doc:  "a pack's voltage is that of its cells in series",
	Detail: "Nominal to nominal, full to charging limit: 4 cells of 3.6 V are 14.4 V, full 16.8 V. Where the " +
		"number in series was not said, any whole number that the cells can make is right, and a pack voltage " +
		"equal to the cell's is the label's way of naming the cells.",
	Source:   "arithmetic (handbook 5.5 E2 and 5.2; R36b)",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates: []string{"battery.pack.voltage", "battery.pack.full", "battery.cell.voltage",
		"battery.cell.charge_limit"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		b := r.Battery
		if b == nil {
			return
		}
		extra := seriesCells{b.Cell.Count, b.Cell.Series}
		if b.Pack.Voltage != nil && b.Cell.Voltage != nil && !yield(Case{Label: "pack", Extra: extra, Args: []Arg{
			arg(b.Pack.Voltage, place.Field("battery.pack.voltage")),
			arg(b.Cell.Voltage, place.Field("battery.cell.voltage"))}}) {
			return
		}
		if b.Pack.Full != nil && b.Cell.ChargeLimit != nil {
			yield(Case{Label: "full pack", Extra: extra, Args: []Arg{
				arg(b.Pack.Full, place.Field("battery.pack.full")),
				arg(b.Cell.ChargeLimit, place.Field("battery.cell.charge_limit"))}})
		}
	},
	Loose: looseSeries,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		s := c.Extra.(seriesCells)
		pack, cell, ok := two(q, schema.KindVoltage, schema.KindVoltage)
		if !ok {
			return none
		}
		share := seriesShare().High
		n := s.series
		if n == 0 {
			n = max(int(math.Round(pack/cell)), 1)
		}
		if apart(pack, cell) <= share {
			n = 1
		}
		want := float64(n) * cell
		if math.Abs(pack-want) > share*want || s.series == 0 && !s.possible(n) {
			return breaks(n, pack, want)
		}
		j := fits()
		j.Chance = min(float64(n)*chanceWithin(want, share*want), 0.5)
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		s := c.Extra.(seriesCells)
		if s.series > 0 {
			return q[0].String() + " was said, but " + amount(float64(s.series), "1") + " cells of " + q[1].String() +
				" in series are " + amount(j.Limit, "V")
		}
		if apart(j.Got, j.Limit) <= seriesShare().High {
			return q[0].String() + " takes " + amount(float64(j.Cause), "1") + " cells of " + q[1].String() +
				" in series, which " + amount(float64(s.count), "1") + " cells in all do not make up"
		}
		t := q[0].String() + " is no whole number of cells of " + q[1].String() + " in series; the nearest is " +
			amount(float64(j.Cause), "1") + " with " + amount(j.Limit, "V")
		if s.count > 0 {
			t += ", of " + amount(float64(s.count), "1") + " cells in all"
		}
		return t
	},
	Propose: func(c *Case, q []schema.Quantity, _ Judgement) (schema.Quantity, bool) {
		n := c.Extra.(seriesCells).series
		if n == 0 || q[0].Unit != q[1].Unit {
			return schema.Quantity{}, false
		}
		return schema.One(q[1].Low.Mul(schema.NewDecimal(int64(n), 0)).Trim(), q[1].Unit), true
	},
}

// seriesCells is the number of cells and of those in series, 0 where not given.
type seriesCells struct{ count, series int }

// possible reports whether n of the cells can be in series.
func (s seriesCells) possible(n int) bool {
	if s.count > 0 {
		return s.count%n == 0
	}
	return float64(n) <= seriesMost().High
}

var (
	seriesShare = standard.Bound("series.share")
	seriesMost  = standard.Bound("series.most")
)

// ruleChemistryVoltage pairs nominal voltage and charging limit.
var ruleChemistryVoltage = &Rule{
	Name: "chemistry-voltage",
	Doc:  "a cell's nominal voltage, charging limit and cut-off belong to one chemistry",
	Detail: "3.7 V goes with 4.2 V, 3.85 V with 4.4 V, 3.2 V with 3.65 V. A chemistry that was named narrows the " +
		"rows. The table is of usual pairs; a cell outside it is unusual, not impossible. A nominal voltage that " +
		"is a whole number of usual ones, 7.4 V, is that of cells in series and only noted.",
	Source:   "handbook 5.2 (R32), pairs common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"battery.cell.voltage", "battery.cell.charge_limit", "battery.cell.cutoff"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if r.Battery == nil {
			return
		}
		c := &r.Battery.Cell
		extra := cellVoltages{family: familyOf(c.Chemistry), limit: -1, cutoff: -1}
		if c.Voltage == nil {
			return
		}
		args := []Arg{arg(c.Voltage, place.Field("battery.cell.voltage"))}
		if c.ChargeLimit != nil {
			extra.limit = len(args)
			args = append(args, arg(c.ChargeLimit, place.Field("battery.cell.charge_limit")))
		}
		if c.Cutoff != nil {
			extra.cutoff = len(args)
			args = append(args, arg(c.Cutoff, place.Field("battery.cell.cutoff")))
		}
		yield(Case{Label: "cell", Extra: extra, Args: args})
	},
	Loose: looseChemistry,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		x := c.Extra.(cellVoltages)
		nominal, ok := one(&q[0], schema.KindVoltage)
		if !ok {
			return none
		}
		best, miss := 0, math.Inf(1)
		for i := range chemistries() {
			row := &chemistries()[i]
			if x.family != "" && row.family != x.family {
				continue
			}
			m := leastApart(row.nominal, nominal)
			if x.limit > 0 {
				if v, ok := one(&q[x.limit], schema.KindVoltage); ok {
					m = max(m, leastApart(row.limit, v))
				}
			}
			if x.cutoff > 0 {
				if v, ok := one(&q[x.cutoff], schema.KindVoltage); ok {
					m = max(m, apart(v, min(max(v, row.cutoffLow), row.cutoffHigh)))
				}
			}
			if m < miss {
				best, miss = i, m
			}
		}
		if miss*nominal <= chemistryRounding().High {
			return fits()
		}
		if n := x.inSeries(nominal); n > 0 && x.limit < 0 && x.cutoff < 0 {
			return odd(causeSeries+n, nominal, nominal/float64(n)).at(schema.SeverityNote)
		}
		j := breaks(best, nominal, nominal)
		j.Excess = miss
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		x := c.Extra.(cellVoltages)
		if n := j.Cause - causeSeries; n > 0 {
			return q[0].String() + " is no voltage of one cell, but of " + amount(float64(n), "1") +
				" in series with " + amount(j.Limit, "V") + " each"
		}
		t := q[0].String() + " nominal"
		if x.limit > 0 {
			t += " with a charging limit of " + q[x.limit].String()
		}
		if x.cutoff > 0 {
			t += " and a cut-off of " + q[x.cutoff].String()
		}
		row := &chemistries()[j.Cause]
		return t + " is no usual set; the nearest is " + row.name + " with " + strings.Join(row.nominalText, ", ") +
			" V and " + strings.Join(row.limitText, ", ") + " V"
	},
}

// cellVoltages says which arguments are the limit and the cut-off, -1 for
// none, and the family that a named chemistry narrows to.
type cellVoltages struct {
	family        string
	limit, cutoff int
}

// causeSeries, plus the number of cells in series, is a cause of
// ruleChemistryVoltage beside the rows of its table.
const causeSeries = 1000

// inSeries is the number of cells, 2 or more, whose usual nominal voltages in
// series are the given one; 0 for none.
func (x cellVoltages) inSeries(nominal float64) int {
	for n := int(chemistrySeries().Low); n <= int(chemistrySeries().High); n++ {
		for i := range chemistries() {
			row := &chemistries()[i]
			if (x.family == "" || row.family == x.family) &&
				leastApart(row.nominal, nominal/float64(n))*nominal <= float64(n)*chemistryRounding().High {
				return n
			}
		}
	}
	return 0
}

var (
	chemistryRounding = standard.Bound("chemistry.rounding")
	chemistrySeries   = standard.Bound("chemistry.series")
)

// chemistry is a row of chemistries.tsv.
type chemistry struct {
	name, family           string
	words                  []string
	nominal, limit         []float64
	nominalText, limitText []string
	cutoffLow, cutoffHigh  float64
	standard.Ground
}

var chemistries = sync.OnceValue(func() []chemistry {
	var rows []chemistry
	for _, r := range schema.MustReadTable(tables, "tables/chemistries.tsv").Rows {
		rows = append(rows, chemistry{r.Get("chemistry"), r.Get("family"), r.List("words"), floats(r, "nominal", "V"),
			floats(r, "limit", "V"),
			r.List("nominal"), r.List("limit"), mustFloat(r, "cutoff_low"), mustFloat(r, "cutoff_high"),
			standard.GroundOf(r)})
	}
	return rows
})

// familyOf narrows a chemistry by its spoken name, "" where it is not known;
// the longest word found decides, so that "lithium ion phosphate" is LFP.
func familyOf(name string) string {
	name, family, length := strings.ToLower(name), "", 0
	for _, row := range chemistries() {
		for _, w := range row.words {
			if len(w) > length && strings.Contains(name, w) {
				family, length = row.family, len(w)
			}
		}
	}
	return family
}

// leastApart is the distance of x to the nearest of the values, as apart.
func leastApart(values []float64, x float64) float64 {
	best := math.Inf(1)
	for _, v := range values {
		best = min(best, apart(v, x))
	}
	return best
}

// ruleCellSpecificEnergy is Wh/kg of a cell.
var ruleCellSpecificEnergy = &Rule{
	Name: "cell-specific-energy",
	Doc:  "a cell holds 90 to 330 Wh per kilogram, lithium iron phosphate 80 to 190",
	Detail: "A good 18650 of 3.5 Ah, 3.6 V and 48 g has 262 Wh/kg. Outside the window, charge, voltage or mass was " +
		"misheard, or the claim is false. A pack holds no more than its cells do; holder, boards and case weigh " +
		"too, so the lower end is not for packs.",
	Source:   "handbook 5.4, common practice, no source; check value W41 computed",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates: []string{"battery.cell.mass", "battery.cell.energy", "battery.cell.capacity", "battery.cell.voltage",
		"battery.pack.mass", "battery.pack.energy"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		b := r.Battery
		if b == nil {
			return
		}
		family := familyOf(b.Cell.Chemistry)
		if c := &b.Cell; c.Mass != nil {
			mass := arg(c.Mass, place.Field("battery.cell.mass"))
			switch {
			case c.Energy != nil:
				if !yield(Case{Label: "cell", Extra: specificCase{family, false},
					Args: []Arg{mass, arg(c.Energy, place.Field("battery.cell.energy"))}}) {
					return
				}
			case c.Capacity != nil && c.Voltage != nil:
				if !yield(Case{Label: "cell", Extra: specificCase{family, false},
					Args: []Arg{mass, arg(c.Capacity, place.Field("battery.cell.capacity")),
						arg(c.Voltage, place.Field("battery.cell.voltage"))}}) {
					return
				}
			}
		}
		if b.Pack.Mass != nil && b.Pack.Energy != nil {
			yield(Case{Label: "pack", Extra: specificCase{family, true},
				Args: []Arg{arg(b.Pack.Mass, place.Field("battery.pack.mass")),
					arg(b.Pack.Energy, place.Field("battery.pack.energy"))}})
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		m, ok1 := one(&q[0], schema.KindMass)
		e, ok2 := joulesOf(q[1:])
		if !ok1 || !ok2 {
			return none
		}
		x := c.Extra.(specificCase)
		w := specificWindow(x.family)
		if low := packSpecific().Low; x.pack && e/m < w.Low {
			if e/m < low {
				return on(packSpecific(), breaks(causeBelow, e/m, low))
			}
			return none
		}
		return on(w, window(e/m, w.Low, w.High))
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		x := c.Extra.(specificCase)
		w := specificWindow(x.family)
		t := product(q[1:]) + " in " + q[0].String() + " is " + amount(j.Got, "W.h/kg") + ", "
		if x.pack {
			return t + beyond(j, "W.h/kg") + " that cells or a pack of them hold"
		}
		return t + "outside " + amount(w.Low, "W.h/kg") + " to " + amount(w.High, "W.h/kg")
	},
}

var (
	specificLithium = standard.Bound("cell.specific.liion")
	specificLFP     = standard.Bound("cell.specific.lfp")
	packSpecific    = standard.Bound("pack.specific")
)

// specificCase is the family of the cell's chemistry, and whether the mass is
// that of a pack with all that belongs to it.
type specificCase struct {
	family string
	pack   bool
}

func specificWindow(family string) standard.Limit {
	if family == "lfp" {
		return specificLFP()
	}
	return specificLithium()
}

// cellFormat is a row of knowledge.CellFormats that a cell can be held against.
type cellFormat struct {
	names                 []string
	diameter, length      float64 // m
	chargeLow, chargeHigh float64 // C
	massLow, massHigh     float64 // kg
	standard.Ground
}

var cellFormats = sync.OnceValue(func() []cellFormat {
	var rows []cellFormat
	for _, r := range knowledge.CellFormats().Rows {
		if r.Get("charge_low") == "-" {
			continue
		}
		get := func(column string, u schema.Unit) float64 { return mustFloat(r, column) * u.Scale() }
		names := append([]string{r.Get("format")}, r.List("also")...)
		rows = append(rows, cellFormat{names, get("diameter", "mm"), get("length", "mm"),
			get("charge_low", "mA.h"), get("charge_high", "mA.h"),
			get("mass_low", "g"), get("mass_high", "g"), standard.GroundOf(r)})
	}
	return rows
})

// formatOf is the row of a cell format, nil where it is not known. Letters of
// the chemistry may stand before it (IEC 61960-3: INR18650).
func formatOf(name string) *cellFormat {
	for i := range cellFormats() {
		f := &cellFormats()[i]
		if slices.Contains(f.names, name) ||
			slices.Contains(f.names, strings.TrimLeft(name, "ABCDEFGHIJKLMNOPQRSTUVWXYZ ")) {
			return f
		}
	}
	return nil
}

// within judges a quantity by what cells of the format have.
func (f *cellFormat) within(q *schema.Quantity, kind schema.Kind, low, high float64) Judgement {
	x, ok := one(q, kind)
	if !ok {
		return none
	}
	return window(x, low, high).on(f.Source, f.Standing)
}

// expects says what cells of the format have where q is something else.
func (f *cellFormat) expects(q schema.Quantity, does string, unit schema.Unit, low, high float64) string {
	return q.String() + " is not what cells of format " + f.names[0] + " " + does + ": " + amount(low, unit) + " to " +
		amount(high, unit)
}

// volume is that of the cylinder, in m³.
func (f *cellFormat) volume() float64 { return math.Pi / 4 * f.diameter * f.diameter * f.length }

// ruleCellCharge and ruleCellMass compare a cell with its format.
var ruleCellCharge = &Rule{
	Name: "cell-charge",
	Doc:  "a cell holds what cells of its format hold",
	Detail: "An 18650 of 1100 to 3700 mAh, a 21700 of 3000 to 6200 mAh. More is a suspicious claim, a tenth or ten " +
		"times is a lost point.",
	Source:   "handbook 5.3 (R31), common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"battery.cell.capacity", "component.cell.charge"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if b := r.Battery; b != nil && b.Cell.Capacity != nil {
			if f := formatOf(b.Cell.Format); f != nil &&
				!yield(Case{Label: "cell", Extra: f,
					Args: []Arg{arg(b.Cell.Capacity, place.Field("battery.cell.capacity"))}}) {
				return
			}
		}
		for i, j := range place.Ratings(r, "charge", "cell") {
			if f := formatOf(r.Components[i].Package); f != nil &&
				!yield(Case{Label: partLabel(&r.Components[i]), Extra: f, Args: []Arg{ratingArg(r, i, j)}}) {
				return
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		f := c.Extra.(*cellFormat)
		return f.within(&q[0], schema.KindCharge, f.chargeLow, f.chargeHigh)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		f := c.Extra.(*cellFormat)
		return f.expects(q[0], "hold", "mA.h", f.chargeLow, f.chargeHigh)
	},
}

var ruleCellMass = &Rule{
	Name:     "cell-mass",
	Doc:      "a cell weighs what cells of its format weigh",
	Detail:   "An 18650 of 38 to 50 g, a 21700 of 60 to 76 g.",
	Source:   "handbook 5.3, common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"battery.cell.mass"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if b := r.Battery; b != nil && b.Cell.Mass != nil {
			if f := formatOf(b.Cell.Format); f != nil {
				yield(Case{Label: "cell", Extra: f, Args: []Arg{arg(b.Cell.Mass, place.Field("battery.cell.mass"))}})
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		f := c.Extra.(*cellFormat)
		return f.within(&q[0], schema.KindMass, f.massLow, f.massHigh)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		f := c.Extra.(*cellFormat)
		return f.expects(q[0], "weigh", "g", f.massLow, f.massHigh)
	},
}

// ruleCellCount compares the counts of cells.
var ruleCellCount = &Rule{
	Name:     "cell-count",
	Doc:      "the cells said are those in series times those in parallel, and those found inside",
	Detail:   "Counts are structure of the record; no reading of a quantity changes them.",
	Source:   "arithmetic (handbook 5.5 E2)",
	Standing: standard.Computed,
	Severity: schema.SeverityWarning,
	Relates:  []string{"battery.cell.count", "battery.cell.series", "battery.cell.parallel", "component.cell"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if r.Battery == nil || r.Battery.Cell.Count == 0 {
			return
		}
		c := &r.Battery.Cell
		if c.Series > 0 && c.Parallel > 0 &&
			!yield(Case{Label: "cells", Extra: cellCount{said: c.Count, series: c.Series, parallel: c.Parallel},
				Args: []Arg{unsaid(place.Field("battery.cell.count"))}}) {
			return
		}
		found := 0
		for i := range r.Components {
			if r.Components[i].Kind == "cell" {
				found += r.Components[i].Count
			}
		}
		if found > 0 {
			yield(Case{Label: "cells", Extra: cellCount{said: c.Count, found: found},
				Args: []Arg{unsaid(place.Field("battery.cell.count"))}})
		}
	},
	Loose: rests(onCount),
	Test: func(c *Case, _ []schema.Quantity) Judgement {
		n := c.Extra.(cellCount)
		if other := n.found + n.series*n.parallel; other != n.said {
			return breaks(0, float64(n.said), float64(other))
		}
		return fits()
	},
	Explain: func(c *Case, _ []schema.Quantity, j Judgement) string {
		n := c.Extra.(cellCount)
		if n.found > 0 {
			return amount(j.Got, "1") + " cells were said, but the parts list has " + amount(j.Limit, "1")
		}
		return amount(j.Got, "1") + " cells were said, but " + amount(float64(n.series), "1") + " in series and " +
			amount(float64(n.parallel), "1") + " in parallel are " + amount(j.Limit, "1")
	},
}

// cellCount is the number of cells given and either the arrangement or the
// number of cells in the parts list.
type cellCount struct{ said, series, parallel, found int }
