package validate

import (
	"math"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// ruleChargeEnergy is Wh = Ah × V.
var ruleChargeEnergy = &Rule{
	Name: "charge-energy",
	Doc:  "an energy said beside a charge and a voltage is their product",
	Detail: "10000 mAh at 3.7 V is 37 Wh. The band is 1 % and 0.05 Wh, for labels that round. Where a pack's " +
		"charge is said with both the cells' and the pack's voltage, either product counts: labels of power banks " +
		"give the sum over the cells at the voltage of one, so 10 Ah at 7.4 V with 37 Wh are two cells of 5 Ah in " +
		"series. Where only the cells are said, their number times charge times voltage is the pack's energy.",
	Source:   "E = Q × U; handbook 5.5 E1 and E2 (R34), tolerance 8.1 I03",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates: []string{"battery.pack.energy", "battery.pack.capacity", "battery.pack.voltage", "battery.cell.energy",
		"battery.cell.capacity", "battery.cell.voltage", "battery.rated.energy", "battery.rated.capacity",
		"battery.rated.voltage", "component.cell.charge", "component.cell.energy", "component.cell.voltage"},
	Find:  findChargeEnergy,
	Loose: looseTimes,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		e, charge, v, ok := three(q, schema.KindEnergy, schema.KindCharge, schema.KindVoltage)
		if !ok {
			return none
		}
		want := charge * v * float64(c.Extra.(int))
		slack := energyShare().High*e + energyRounding().High
		if len(q) > 3 {
			if v2, ok := one(&q[3], schema.KindVoltage); ok && math.Abs(charge*v2-e) < math.Abs(want-e) {
				want = charge * v2
			}
		}
		if c.Label == "pack" && math.Abs(want-e) > slack {
			for n := 2; n <= mostSeries; n++ {
				if each := v / float64(n); each >= cellNominal().Low && each <= cellNominal().High &&
					math.Abs(charge*each-e) <= slack {
					return fits() // the charge is the sum over the cells, at the voltage of one
				}
			}
		}
		return within(want, e, slack)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		stored := product(q[1:3])
		if n := c.Extra.(int); n > 1 {
			stored = amount(float64(n), "1") + " × " + stored
		}
		return stored + " is " + amount(j.Got, "W.h") + ", but " + q[0].String() + " was said"
	},
	Propose: func(c *Case, q []schema.Quantity, _ Judgement) (schema.Quantity, bool) {
		charge, err := q[1].Unit.Convert(q[1].Low, "A.h")
		if err != nil || q[0].Unit != "W.h" || q[2].Unit != "V" || len(q) > 3 {
			return schema.Quantity{}, false
		}
		e := charge.Mul(q[2].Low).Mul(schema.NewDecimal(int64(c.Extra.(int)), 0))
		return schema.One(e.Round(labelDecimals).Trim(), "W.h"), true
	},
}

// mostSeries is the longest string of cells that a label's voltage is taken apart
// into.
const mostSeries = 6

var (
	cellNominal    = standard.Bound("cell.nominal")
	energyShare    = standard.Bound("energy.share")
	energyRounding = standard.Bound("energy.rounding")
)

func findChargeEnergy(r *schema.Record, yield func(Case) bool) {
	if b := r.Battery; b != nil {
		for _, p := range []struct {
			pack                      *schema.Pack
			name, energy, charge, vol string
		}{
			{&b.Pack, "pack", "battery.pack.energy", "battery.pack.capacity", "battery.pack.voltage"},
			{&b.Rated, "rated output", "battery.rated.energy", "battery.rated.capacity", "battery.rated.voltage"},
		} {
			if p.pack.Energy == nil || p.pack.Capacity == nil {
				continue
			}
			args := []Arg{arg(p.pack.Energy, place.Field(p.energy)), arg(p.pack.Capacity, place.Field(p.charge))}
			if p.pack.Voltage != nil {
				args = append(args, arg(p.pack.Voltage, place.Field(p.vol)))
			}
			if p.pack == &b.Pack && b.Cell.Voltage != nil {
				args = append(args, arg(b.Cell.Voltage, place.Field("battery.cell.voltage")))
			}
			if len(args) > 2 && !yield(Case{Label: p.name, Extra: 1, Args: args}) {
				return
			}
		}
		c := &b.Cell
		if c.Capacity != nil && c.Voltage != nil {
			charge, volt := arg(c.Capacity, place.Field("battery.cell.capacity")),
				arg(c.Voltage, place.Field("battery.cell.voltage"))
			if c.Energy != nil && !yield(Case{Label: "cell", Extra: 1,
				Args: []Arg{arg(c.Energy, place.Field("battery.cell.energy")), charge, volt}}) {
				return
			}
			if b.Pack.Energy != nil && b.Pack.Capacity == nil && c.Count > 0 &&
				!yield(Case{Label: "pack", Extra: c.Count,
					Args: []Arg{arg(b.Pack.Energy, place.Field("battery.pack.energy")), charge, volt}}) {
				return
			}
		}
	}
	for i, j := range place.Ratings(r, "energy", "cell") {
		c := &r.Components[i]
		charge, volt := ratingNamed(c, "charge"), ratingNamed(c, "voltage")
		if charge < 0 || volt < 0 {
			continue
		}
		if !yield(Case{Label: partLabel(c), Extra: 1,
			Args: []Arg{ratingArg(r, i, j), ratingArg(r, i, charge), ratingArg(r, i, volt)}}) {
			return
		}
	}
}

// ruleCellSum is cells × each = pack.
var ruleCellSum = &Rule{
	Name: "cell-sum",
	Doc:  "charge, energy and mass of a pack are those of its cells together",
	Detail: "Energy and mass add up over all cells, an energy at 3.6 V or 3.7 V for the same cell; holder and boards " +
		"weigh too, so a pack may weigh up to three times its cells. Charge adds up over the cells in parallel; " +
		"labels also give the sum over all cells at the voltage of one cell, so both readings count, and every " +
		"grouping of the cells where it was not said.",
	Source:   "arithmetic (handbook 5.5 E2 and E3, 8.1 I04); slack of 5 % for masses common practice",
	Standing: standard.Computed,
	Severity: schema.SeverityWarning,
	Relates: []string{"battery.pack.capacity", "battery.pack.energy", "battery.pack.mass", "battery.cell.capacity",
		"battery.cell.energy", "battery.cell.mass"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		b := r.Battery
		if b == nil || b.Cell.Count < 1 {
			return
		}
		for _, p := range []struct {
			pack, cell *schema.Value
			name       string
			kind       schema.Kind
		}{
			{b.Pack.Capacity, b.Cell.Capacity, "capacity", schema.KindCharge},
			{b.Pack.Energy, b.Cell.Energy, "energy", schema.KindEnergy},
			{b.Pack.Mass, b.Cell.Mass, "mass", schema.KindMass},
		} {
			if p.pack == nil || p.cell == nil {
				continue
			}
			if !yield(Case{Label: "pack", Extra: cellSum{b.Cell.Count, b.Cell.Series, p.kind}, Args: []Arg{
				arg(p.pack, place.Field("battery.pack."+p.name)), arg(p.cell, place.Field("battery.cell."+p.name))}}) {
				return
			}
		}
	},
	Loose: both(looseCells, either(looseWithin(onCount, 5), looseTimes)),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		s := c.Extra.(cellSum)
		pack, cell, ok := two(q, s.kind, s.kind)
		if !ok {
			return none
		}
		share := cellsShare().High
		switch s.kind {
		case schema.KindMass:
			share = cellsMassShare().High
		case schema.KindEnergy: // 3.6 V and 3.7 V name the same cell
			share = seriesShare().High
		}
		best := cell * float64(s.count)
		if s.kind == schema.KindCharge {
			for n := 1; n < s.count; n++ {
				if s.count%n == 0 && (s.series == 0 || s.count/n == s.series) &&
					apart(cell*float64(n), pack) < apart(best, pack) {
					best = cell * float64(n)
				}
			}
		}
		if s.kind == schema.KindMass && pack > best*(1+share) && pack <= best*bodyCellsMass().High {
			return none
		}
		return within(best, pack, share*pack)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		s := c.Extra.(cellSum)
		return amount(float64(s.count), "1") + " cells of " + q[1].String() + " make " +
			amount(s.total(q[1]), q[1].Unit) + " together, but " + q[0].String() + " was said"
	},
	Propose: func(c *Case, q []schema.Quantity, _ Judgement) (schema.Quantity, bool) {
		v, err := q[1].Unit.Convert(q[1].Low.Mul(schema.NewDecimal(int64(c.Extra.(cellSum).count), 0)), q[0].Unit)
		return schema.One(v.Trim(), q[0].Unit), err == nil
	},
}

// cellSum is how many cells there are, how many in series (0 where not given),
// and what is added up.
type cellSum struct {
	count, series int
	kind          schema.Kind
}

// total is all cells together in SI units.
func (s cellSum) total(cell schema.Quantity) float64 { return cell.SI() * float64(s.count) }

var (
	cellsShare     = standard.Bound("cells.share")
	cellsMassShare = standard.Bound("cells.mass.share")
)

// ruleRatedEnergy: no pack gives out more than its cells hold.
var ruleRatedEnergy = &Rule{
	Name: "rated-energy",
	Doc:  "the rated output holds no more energy than the cells, and usually 65 % to 97 % of it",
	Detail: "10000 mAh at 3.7 V are 37 Wh, so at 5 V no more than 7400 mAh can come out, and at 80 % efficiency " +
		"5920 mAh do. More than the cells hold is an energy gain; less than 65 % is unusual.",
	Source:   "conservation of energy; handbook 5.6 (R33) and 8.1 I11",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates: []string{"battery.rated.capacity", "battery.rated.voltage", "battery.rated.energy", "battery.pack.energy",
		"battery.pack.capacity", "battery.cell.voltage", "battery.cell.capacity"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		s, ok := storeOf(r.Battery)
		if !ok {
			return
		}
		rated := &r.Battery.Rated
		if rated.Capacity != nil && rated.Voltage != nil {
			args := append([]Arg{arg(rated.Capacity, place.Field("battery.rated.capacity")),
				arg(rated.Voltage, place.Field("battery.rated.voltage"))}, s.args...)
			if !yield(Case{Label: "rated output", Extra: energyShareCase{2, s}, Args: args}) {
				return
			}
		}
		if rated.Energy != nil {
			yield(Case{Label: "rated output", Extra: energyShareCase{1, s},
				Args: joined(arg(rated.Energy, place.Field("battery.rated.energy")), s.args)})
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		return c.Extra.(energyShareCase).judge(q, ratedShare())
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return c.Extra.(energyShareCase).explain(q, j, ratedShare())
	},
}

var (
	ratedShare    = standard.Bound("rated.share")
	ratedRounding = standard.Bound("rated.rounding")
)

// energyShareCase compares an energy that comes out (its first out arguments)
// with that of the cells.
type energyShareCase struct {
	out   int
	store store
}

func (s energyShareCase) judge(q []schema.Quantity, usual standard.Limit) Judgement {
	out, ok1 := joulesOf(q[:s.out])
	cells, ok2 := s.store.joules(q[s.out:])
	if !ok1 || !ok2 {
		return none
	}
	if out > cells*(1+ratedRounding().High) {
		return breaks(causeAbove, out, cells)
	}
	if out > cells*usual.High {
		return on(usual, odd(causeAbove, out, cells).at(schema.SeverityNote))
	}
	if out < cells*usual.Low {
		j := on(usual, breaks(causeBelow, out, cells).aside())
		return j
	}
	j := fits()
	j.Chance = chanceInWindow(usual.Low, usual.High)
	return j
}

func (s energyShareCase) explain(q []schema.Quantity, j Judgement, usual standard.Limit) string {
	t := q[0].String()
	if s.out > 1 {
		t = product(q[:s.out]) + " is " + amount(j.Got, "W.h")
	}
	t += ", " + amount(j.Got/j.Limit, "%") + " of the " + amount(j.Limit, "W.h") + " in the cells"
	if len(s.store.args) > 1 || s.store.times > 1 {
		t += " (" + s.store.words(q[s.out:]) + ")"
	}
	if j.Verdict == VerdictBreaks {
		return t + ": more than they hold"
	}
	return t + "; usual is " + amount(usual.Low, "%") + " to " + amount(usual.High, "%")
}
