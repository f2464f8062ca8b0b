package validate

import (
	"strings"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// sized is the volume of a product: given, or three sides to multiply.
type sized struct{ args []Arg }

// sizeOf prefers the volume given. False where the record has neither.
func sizeOf(r *schema.Record) (sized, bool) {
	if r.Body.Volume != nil {
		return sized{[]Arg{arg(r.Body.Volume, place.Field("body.volume"))}}, true
	}
	return boxOf(r)
}

// boxOf is the box of three sides given.
func boxOf(r *schema.Record) (sized, bool) {
	if len(r.Body.Dimensions) != 3 {
		return sized{}, false
	}
	var s sized
	for i := range r.Body.Dimensions {
		s.args = append(s.args, arg(&r.Body.Dimensions[i], place.Item("body.dimensions", i, "")))
	}
	return s, true
}

// cubic is the volume in m³ with q assumed for the arguments.
func (s sized) cubic(q []schema.Quantity) (float64, bool) {
	if len(s.args) == 1 {
		return one(&q[0], schema.KindVolume)
	}
	v := 1.0
	for i := range s.args {
		side, ok := one(&q[i], schema.KindLength)
		if !ok {
			return 0, false
		}
		v *= side
	}
	return v, true
}

// words puts the volume in words.
func (s sized) words(q []schema.Quantity) string { return product(q[:len(s.args)]) }

// ruleBodyVolume is L × W × H.
var ruleBodyVolume = &Rule{
	Name: "body-volume",
	Doc:  "a volume said beside three sides is their product",
	Detail: "98 × 64 × 31.5 mm are 197.6 cm³. The band is 1.5 %. A rounded body may hold down to 80 % of its box, " +
		"which is worth a note; more than its box it cannot hold.",
	Source:   "arithmetic; bands common practice, no source",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates:  []string{"body.volume", "body.dimensions"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if box, ok := boxOf(r); ok && r.Body.Volume != nil {
			yield(Case{Label: "body", Extra: box,
				Args: joined(arg(r.Body.Volume, place.Field("body.volume")), box.args)})
		}
	},
	Loose: looseApart(onBodySize),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		v, ok1 := one(&q[0], schema.KindVolume)
		box, ok2 := c.Extra.(sized).cubic(q[1:])
		if !ok1 || !ok2 {
			return none
		}
		j := within(box, v, bodyVolumeShare().High*v)
		if j.Verdict == VerdictBreaks && v < box && v >= box*bodyVolumeRounded().High {
			return on(bodyVolumeRounded(), j.aside().at(schema.SeverityNote))
		}
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return c.Extra.(sized).words(q[1:]) + " is " + amount(j.Got, "cm3") + ", but " + q[0].String() + " was said"
	},
	Propose: func(c *Case, q []schema.Quantity, j Judgement) (schema.Quantity, bool) {
		if q[0].Unit != "cm3" || j.Verdict != VerdictBreaks {
			return schema.Quantity{}, false
		}
		return toGrid(j.Got, 1, "cm3"), true
	},
}

var (
	bodyVolumeShare   = standard.Bound("body.volume.share")
	bodyVolumeRounded = standard.Bound("body.volume.rounded")
)

// rulePowerDensity is P / V.
var rulePowerDensity = &Rule{
	Name: "power-density",
	Doc:  "a power density given is a claimed power over the volume",
	Detail: "Makers differ in whether they count prongs and corners, so the band is 2 %. Of several powers claimed " +
		"any may be meant. 1 W/cm³ is 16.387 W/in³.",
	Source:   "arithmetic; handbook 8.1 I19; tolerance common practice",
	Standing: standard.Computed,
	Severity: schema.SeverityWarning,
	Relates:  []string{"body.density", "body.volume", "body.dimensions", "claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		size, ok := sizeOf(r)
		powers := powerClaims(r)
		if !ok || r.Body.Density == nil || len(powers) == 0 {
			return
		}
		yield(Case{Label: "body", Extra: size,
			Args: append(joined(arg(r.Body.Density, place.Field("body.density")), size.args), powers...)})
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		size := c.Extra.(sized)
		d, ok1 := one(&q[0], schema.KindPowerDensity)
		v, ok2 := size.cubic(q[1:])
		if !ok1 || !ok2 {
			return none
		}
		best := 0.0
		for i := range q[1+len(size.args):] {
			if p, ok := one(&q[1+len(size.args)+i], schema.KindPower); ok &&
				(best == 0 || apart(p/v, d) < apart(best, d)) {
				best = p / v
			}
		}
		if best == 0 {
			return none
		}
		return within(best, d, bodyPowerShare().High*d)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		size := c.Extra.(sized)
		v, _ := size.cubic(q[1:])
		return amount(j.Got*v, "W") + " in " + size.words(q[1:]) + " is " + amount(j.Got, q[0].Unit) + ", but " +
			q[0].String() + " was said"
	},
	Propose: func(_ *Case, q []schema.Quantity, j Judgement) (schema.Quantity, bool) {
		return toGrid(j.Got, labelDecimals, q[0].Unit), true
	},
}

var bodyPowerShare = standard.Bound("body.power.share")

// ruleBodyDensity is mass over volume.
var ruleBodyDensity = &Rule{
	Name: "body-density",
	Doc:  "a product has a density between 0.3 and 4 g/cm³, a charger usually 0.6 to 2.2, a power bank 1 to 2.4",
	Detail: "Mass over the volume given, or over the box of its sides. A factor of ten away is a lost point in " +
		"a side or in the mass. Nothing in such a product is denser than its copper and solder: a body denser than " +
		"solid copper is an error.",
	Source: "density of copper, 8.89 g/cm³: International Annealed Copper Standard; windows: handbook 5.4 and 8.1 " +
		"I15, common practice, no source",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"body.mass", "body.dimensions", "body.volume"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if r.Product.Kind == "cable" || r.Body.Mass == nil {
			return
		}
		mass := arg(r.Body.Mass, place.Field("body.mass"))
		usual := bodyDensity
		switch {
		case isBank(r):
			usual = bodyDensityBank
		case strings.HasPrefix(r.Product.Kind, "charger"):
			usual = bodyDensityCharger
		}
		if r.Body.Volume != nil && !yield(Case{Label: "body",
			Extra: bodyCase{sized{[]Arg{arg(r.Body.Volume, place.Field("body.volume"))}}, usual},
			Args:  []Arg{mass, arg(r.Body.Volume, place.Field("body.volume"))}}) {
			return
		}
		if box, ok := boxOf(r); ok {
			yield(Case{Label: "body", Extra: bodyCase{box, usual}, Args: joined(mass, box.args)})
		}
	},
	Loose: either(looseApart(onBodySize), looseMass, looseWithin(onBodySize, 1.1)),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		x := c.Extra.(bodyCase)
		m, ok1 := one(&q[0], schema.KindMass)
		v, ok2 := x.size.cubic(q[1:])
		if !ok1 || !ok2 {
			return none
		}
		if copper := bodyDensityCopper(); m/v > copper.High {
			return on(copper, breaks(causeAbove, m/v, copper.High))
		}
		hard, usual := bodyDensity(), x.usual()
		if j := window(m/v, hard.Low, hard.High); j.Verdict == VerdictBreaks {
			return on(hard, j)
		}
		return on(usual, window(m/v, usual.Low, usual.High).aside())
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		x := c.Extra.(bodyCase)
		is := q[0].String() + " in " + x.size.words(q[1:]) + " is " + amount(j.Got, "g/cm3")
		if same(j.Limit, bodyDensityCopper().High) {
			return is + ", denser than copper, which has " + amount(j.Limit, "g/cm3")
		}
		w := bodyDensity()
		if j.Verdict == VerdictOdd {
			w = x.usual()
		}
		return is + ", outside " + amount(w.Low, "g/cm3") + " to " + amount(w.High, "g/cm3")
	},
}

// bodyCase is a volume and the usual window of the product's kind.
type bodyCase struct {
	size  sized
	usual func() standard.Limit
}

var (
	bodyDensity        = standard.Bound("body.density")
	bodyDensityCopper  = standard.Bound("body.density.copper")
	bodyDensityCharger = standard.Bound("body.density.charger")
	bodyDensityBank    = standard.Bound("body.density.bank")
)

// isBank reports whether the product is a power bank.
func isBank(r *schema.Record) bool {
	return r.Product.Kind == "power bank" || r.Product.Kind == "magnetic power bank" ||
		r.Product.Kind == "power bank charger"
}

// ruleCellsFit: the cells are no larger than the body.
var ruleCellsFit = &Rule{
	Name: "cells-fit",
	Doc:  "the cells fit into the body",
	Detail: "The cylinders of the cell format, all together, against the volume given or the box of the sides. " +
		"Cylinders fill at most 91 % of a box, and there is a board: above 85 % is unusual.",
	Source:   "geometry; handbook 8.1 I16 and 5.3, share of 85 % common practice",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates:  []string{"body.dimensions", "body.volume", "battery.cell.format", "battery.cell.count"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		size, ok := sizeOf(r)
		if !ok || r.Battery == nil || r.Battery.Cell.Count == 0 {
			return
		}
		if f := formatOf(r.Battery.Cell.Format); f != nil {
			yield(Case{Label: "body", Extra: cellsFit{size, f, r.Battery.Cell.Count}, Args: size.args})
		}
	},
	Loose: both(looseCells, looseWithin(onCount, 4)),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		x := c.Extra.(cellsFit)
		v, ok := x.size.cubic(q)
		if !ok {
			return none
		}
		cells := x.format.volume() * float64(x.count)
		if cells > v {
			return breaks(causeAbove, cells, v)
		}
		if cells > v*bodyFill().High {
			return on(bodyFill(), breaks(causeBelow, cells, v).aside())
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		x := c.Extra.(cellsFit)
		return amount(float64(x.count), "1") + " cells of format " + x.format.names[0] + " take " +
			amount(j.Got, "cm3") + ", " +
			amount(j.Got/j.Limit, "%") + " of the body's " + x.size.words(q) + " (" + amount(j.Limit, "cm3") + ")"
	},
}

type cellsFit struct {
	size   sized
	format *cellFormat
	count  int
}

var bodyFill = standard.Bound("body.fill")

// ruleCellsMass: the whole weighs more than its cells.
var ruleCellsMass = &Rule{
	Name: "cells-mass",
	Doc:  "a product weighs at least as much as its cells, and a power bank usually no more than three times that",
	Detail: "The mass of the pack, or that of a cell times their number, or the least mass of the cell format " +
		"times the number. The cells together weigh as much as their number says, and at most half as much again, " +
		"with what holds them.",
	Source:   "the whole is no less than its parts; handbook 8.1 I17, I18",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates: []string{"body.mass", "battery.pack.mass", "battery.cell.mass", "battery.cell.count",
		"battery.cell.format"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		b := r.Battery
		if b == nil {
			return
		}
		if b.Pack.Mass != nil && b.Cell.Mass != nil && b.Cell.Count > 1 && !yield(Case{Label: "pack",
			Extra: cellsMass{count: b.Cell.Count, pack: true},
			Args: []Arg{arg(b.Pack.Mass, place.Field("battery.pack.mass")),
				arg(b.Cell.Mass, place.Field("battery.cell.mass"))}}) {
			return
		}
		if r.Body.Mass == nil {
			return
		}
		mass := arg(r.Body.Mass, place.Field("body.mass"))
		x := cellsMass{count: max(b.Cell.Count, 1), bank: isBank(r)}
		switch {
		case b.Pack.Mass != nil:
			x.count = 1
			yield(Case{Label: "body", Extra: x, Args: []Arg{mass, arg(b.Pack.Mass, place.Field("battery.pack.mass"))}})
		case b.Cell.Mass != nil:
			yield(Case{Label: "body", Extra: x, Args: []Arg{mass, arg(b.Cell.Mass, place.Field("battery.cell.mass"))}})
		default:
			if x.format = formatOf(b.Cell.Format); x.format != nil && b.Cell.Count > 0 {
				yield(Case{Label: "body", Extra: x, Args: []Arg{mass}})
			}
		}
	},
	Loose: either(looseCells, looseMass),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		x := c.Extra.(cellsMass)
		m, ok := one(&q[0], schema.KindMass)
		cells, ok2 := x.cells(q)
		if !ok || !ok2 {
			return none
		}
		if m < cells {
			j := breaks(causeBelow, m, cells)
			if x.format != nil {
				return j.on(x.format.Source, x.format.Standing)
			}
			return j
		}
		if held := packHeld(); x.pack && m > cells*held.High {
			return on(held, breaks(causeAbove, m, cells).aside())
		}
		if x.bank && m > cells*bodyCellsMass().High {
			return on(bodyCellsMass(), breaks(causeAbove, m, cells).aside().at(schema.SeverityNote))
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		x := c.Extra.(cellsMass)
		t := "the cells"
		if x.format != nil {
			t = amount(float64(x.count), "1") + " cells of format " + x.format.names[0]
		}
		if j.Cause == causeBelow {
			return q[0].String() + " is less than " + t + " alone, " + amount(j.Limit, "g")
		}
		return q[0].String() + " is " + amount(j.Got/j.Limit, "1") + " times the mass of " + t + ", " +
			amount(j.Limit, "g") + "; usual is up to " + amount(x.usual(), "1")
	},
}

type cellsMass struct {
	count  int
	format *cellFormat // where no mass was said
	bank   bool
	pack   bool // the mass is that of the cells together
}

// usual is how many times their mass the whole has at the most.
func (x cellsMass) usual() float64 {
	if x.pack {
		return packHeld().High
	}
	return bodyCellsMass().High
}

func (x cellsMass) cells(q []schema.Quantity) (float64, bool) {
	if x.format != nil {
		return x.format.massLow * float64(x.count), true
	}
	m, ok := one(&q[1], schema.KindMass)
	return m * float64(x.count), ok
}

var (
	bodyCellsMass = standard.Bound("body.cells.mass")
	packHeld      = standard.Bound("body.pack.held")
)

// ruleBankDensity is Wh/kg and Wh/L of a whole power bank.
var ruleBankDensity = &Rule{
	Name:     "bank-density",
	Doc:      "a power bank holds 60 to 260 Wh per kilogram and 120 to 620 Wh per litre",
	Detail:   "The energy of the cells over the mass and over the volume of the whole product.",
	Source:   "handbook 5.4, common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates: []string{"battery.pack.energy", "battery.pack.capacity", "battery.cell.voltage", "body.mass",
		"body.dimensions", "body.volume"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		s, ok := storeOf(r.Battery)
		if !ok || !strings.HasSuffix(r.Product.Kind, "power bank") {
			return
		}
		if r.Body.Mass != nil && !yield(Case{Label: "power bank", Extra: bankDensity{store: s},
			Args: joined(arg(r.Body.Mass, place.Field("body.mass")), s.args)}) {
			return
		}
		if size, ok := sizeOf(r); ok {
			yield(Case{Label: "power bank", Extra: bankDensity{size, s},
				Args: append(append([]Arg(nil), size.args...), s.args...)})
		}
	},
	Loose: either(looseWithin(onBankAlone, 1.5), looseMass),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		x := c.Extra.(bankDensity)
		var per float64
		ok1 := false
		if n := len(x.size.args); n > 0 {
			per, ok1 = x.size.cubic(q)
		} else {
			per, ok1 = one(&q[0], schema.KindMass)
		}
		e, ok2 := x.store.joules(q[x.split():])
		if !ok1 || !ok2 {
			return none
		}
		w, _ := x.window()
		return window(e/per, w.Low, w.High)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		x := c.Extra.(bankDensity)
		w, unit := x.window()
		return x.store.words(q[x.split():]) + " in " + product(q[:x.split()]) + " is " + amount(j.Got, unit) +
			", outside " + amount(w.Low, unit) + " to " + amount(w.High, unit)
	},
}

// bankDensity is energy over volume, or over mass where size is empty.
type bankDensity struct {
	size  sized
	store store
}

// split is the number of arguments before those of the store.
func (x bankDensity) split() int { return max(len(x.size.args), 1) }

func (x bankDensity) window() (standard.Limit, schema.Unit) {
	if len(x.size.args) > 0 {
		return productDensity(), "W.h/L"
	}
	return productSpecific(), "W.h/kg"
}

var (
	productSpecific = standard.Bound("product.specific")
	productDensity  = standard.Bound("product.density")
)

// ruleBodySize are windows for single sizes.
var ruleBodySize = &Rule{
	Name:     "body-size",
	Doc:      "mass, sides and volume of a product lie in the windows of the trade",
	Detail:   "Generous windows, from the smallest plug to a power station: outside them a point or a unit was lost.",
	Source:   "handbook 7.2 (device_whole), widened for stations, common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"body.mass", "body.dimensions", "body.volume"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if r.Product.Kind == "cable" {
			return
		}
		if r.Body.Mass != nil && !yield(Case{Label: "body", Extra: bodyWindow{bodyMass, schema.KindMass},
			Args: []Arg{arg(r.Body.Mass, place.Field("body.mass"))}}) {
			return
		}
		if r.Body.Volume != nil && !yield(Case{Label: "body", Extra: bodyWindow{bodyVolumes, schema.KindVolume},
			Args: []Arg{arg(r.Body.Volume, place.Field("body.volume"))}}) {
			return
		}
		for i := range r.Body.Dimensions {
			if !yield(Case{Label: "body", Extra: bodyWindow{bodySide, schema.KindLength},
				Args: []Arg{arg(&r.Body.Dimensions[i], place.Item("body.dimensions", i, ""))}}) {
				return
			}
		}
	},
	Loose: looseBodySize,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		x := c.Extra.(bodyWindow)
		v, ok := one(&q[0], x.kind)
		if !ok {
			return none
		}
		return window(v, x.window().Low, x.window().High)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		x := c.Extra.(bodyWindow)
		return q[0].String() + " is outside " + amount(x.window().Low, q[0].Unit) + " to " +
			amount(x.window().High, q[0].Unit)
	},
}

type bodyWindow struct {
	window func() standard.Limit
	kind   schema.Kind
}

var (
	bodyMass    = standard.Bound("body.mass")
	bodySide    = standard.Bound("body.side")
	bodyVolumes = standard.Bound("body.volume")
)
