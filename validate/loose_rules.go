package validate

import (
	"math"
	"slices"
	"strings"

	"saywatt/schema"
)

// looseCharge: where the port was not said, there may be inputs that the speaker
// left out; and not every charge goes from empty to full.
func looseCharge(r *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	for i := range r.Measurements {
		m := &r.Measurements[i]
		if &m.Value == c.Args[0].Value && (m.Condition == nil || m.Condition.Port == "") {
			return onInput
		}
	}
	return ""
}

// looseEnergyOut: what was counted may have gone in, which is up to
// energyIn times what cells hold; and a share below the window is usual over the
// air or at a weak load.
func looseEnergyOut(r *schema.Record, c *Case, _ []schema.Quantity, j Judgement) string {
	switch {
	case j.Got < j.Limit && apart(j.Got, j.Limit) <= math.Log(energyLittle().high):
		return onShare
	case j.Got > j.Limit && apart(j.Got, j.Limit) <= math.Log(energyIn().high) && !discharged(r, c.Args[0].Value):
		return onDirection
	}
	return ""
}

// discharged reports whether an energy was named as one that came out, with the
// voltage of the load that took it.
func discharged(r *schema.Record, v *schema.Value) bool {
	for i := range r.Measurements {
		if m := &r.Measurements[i]; &m.Value == v {
			return m.Property == "energy_out" && m.Condition != nil && m.Condition.Voltage != nil &&
				m.Condition.Current != nil
		}
	}
	return false
}

var (
	energyIn     = bound("energyout.direction")
	energyLittle = bound("energyout.little")
)

// looseEfficiency: voltage and current said of a pad are those it is fed with, for
// none comes out; a range, all of it, a share below the plausible, or one at which
// protections trip, is one of something else: a state of charge, a loss, a tolerance.
func looseEfficiency(r *schema.Record, c *Case, q []schema.Quantity, j Judgement) string {
	if len(c.Args) > 1 && hasPad(r) {
		return onSide
	}
	if q[0].Range || j.Cause == causeBelow && j.Verdict == VerdictOdd || same(j.Got, efficiencyMost().high) ||
		j.Got >= efficiencyTrip().low && j.Got <= efficiencyTrip().high {
		return onShare
	}
	return ""
}

// looseFound: a level that was found by its voltage may be of another state, as when
// ports share.
func looseFound(_ *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	if len(c.Args) > 2 {
		return onSameThing
	}
	return ""
}

var efficiencyTrip = bound("efficiency.trip")

// looseFrequency: kilohertz are a converter's or a coil's, twice the mains is the
// ripple behind a rectifier, and where no mains voltage was said a frequency near
// that of the mains is how often a screen is drawn.
var looseFrequency = either(looseBeyond(onMains, 200), looseRectified,
	both(looseUnfed, looseWithin(onMains, 5)), looseScreen)

// looseScreen: what moves data feeds screens, which are drawn so often.
func looseScreen(r *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	w := screenRates()
	if j.Got >= w.low && j.Got <= w.high && movesData(r) {
		return onMains
	}
	return ""
}

var screenRates = bound("mains.screen")

// movesData reports whether data rates were said: the product is no mere charger.
func movesData(r *schema.Record) bool {
	return slices.ContainsFunc(r.Quantities, func(q schema.Said) bool { return q.Kind == schema.KindDataRate })
}

func looseUnfed(r *schema.Record, _ *Case, _ []schema.Quantity, _ Judgement) string {
	if len(mainsVoltages(r)) == 0 {
		return onMains
	}
	return ""
}

// looseHub: what moves data draws power for that without any load.
func looseHub(r *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	if j.Cause == causeAbove && movesData(r) {
		return onData
	}
	return ""
}

// looseOneWay: the resistance of one conductor is half of that out and back, and less
// by the contacts.
func looseOneWay(_ *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	if j.Cause == causeUnder && apart(j.Got, j.Limit) <= math.Log(cableOneWay().high) {
		return onWay
	}
	return ""
}

var cableOneWay = bound("cable.oneway")

func looseRectified(_ *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	if nearMains(j.Got/2, inputs().frequency) {
		return onMains
	}
	return ""
}

// looseOtherFuse: of several fuses one that suits the input is that of the mains.
func looseOtherFuse(r *schema.Record, c *Case, q []schema.Quantity, _ Judgement) string {
	if a, ok := one(&q[1], schema.KindCurrent); ok {
		return otherFuse(r, c, a, a)
	}
	return ""
}

// otherFuse says where a mains fuse other than that of the case suits an input that
// draws between least and most.
func otherFuse(r *schema.Record, c *Case, least, most float64) string {
	suits := false
	mainsFuses(r, func(other Arg) bool {
		x, ok := one(&other.Value.Quantity, schema.KindCurrent)
		suits = ok && other.Value != c.Args[0].Value && testFuse(x, least, most).Verdict == VerdictFits
		return !suits
	})
	if suits {
		return onMains
	}
	return ""
}

// looseOutput: a voltage as high as a mains is not that of an output behind a
// transformer.
func looseOutput(_ *schema.Record, c *Case, q []schema.Quantity, _ Judgement) string {
	if c.Extra.(*margin).against != againstOutput {
		return ""
	}
	if _, top := highest(q[1:], schema.KindVoltage); top >= mainsWindow().low {
		return onMains
	}
	return ""
}

// looseResonant: a capacitor or coil that no wireless charger has is of a
// converter.
func looseResonant(_ *schema.Record, _ *Case, q []schema.Quantity, _ Judgement) string {
	for i, part := range [...][2]string{{"coil", "inductance"}, {"resonant capacitor", "capacitance"}} {
		x, suits := q[i].SI(), false
		for _, w := range partWindowIndex()[part] {
			suits = suits || x >= w.low && x <= w.high
		}
		if !suits {
			return onKind
		}
	}
	return ""
}

// looseChemistry: a limit near the usual one is a derated one, or that of the
// protection; a voltage alone between empty and full is that of the moment, and one
// below any battery's is of something else.
func looseChemistry(_ *schema.Record, c *Case, q []schema.Quantity, j Judgement) string {
	x := c.Extra.(cellVoltages)
	if v, ok := one(&q[0], schema.KindVoltage); ok && x.limit < 0 && j.Cause < causeSeries && heldNow(x.family, v) {
		return onNow
	}
	if x.limit < 0 || j.Cause >= causeSeries {
		return ""
	}
	v, ok := one(&q[x.limit], schema.KindVoltage)
	if ok && leastApart(chemistries()[j.Cause].limit, v)*v <= chemistryProtection().high {
		return onProtects
	}
	return ""
}

// heldNow reports whether some chemistry has a voltage between empty and full, or all
// have more.
func heldNow(family string, v float64) bool {
	least := math.Inf(1)
	for i := range chemistries() {
		row := &chemistries()[i]
		if family != "" && row.family != family {
			continue
		}
		least = min(least, row.cutoffLow)
		if v >= row.cutoffLow && v <= slices.Max(row.limit) {
			return true
		}
	}
	return v < least
}

var chemistryProtection = bound("chemistry.protection")

// looseCableSize: sizes said of cables are those of plugs too.
func looseCableSize(_ *schema.Record, c *Case, _ []schema.Quantity, j Judgement) string {
	if c.Extra.(string) == "diameter" && j.Cause == causeOver && apart(j.Got, j.Limit) <= math.Log(plugWide().high) {
		return onPlug
	}
	return ""
}

var plugWide = bound("cable.plug.wide")

// looseCablePower: a voltage below what USB begins at is one lost on the way.
func looseCablePower(_ *schema.Record, c *Case, q []schema.Quantity, _ Judgement) string {
	if v, ok := one(&q[1], schema.KindVoltage); ok && v < cables().standard.high/4 {
		return onDrop
	}
	if together(c.Args[0].Value, c.Args[1].Value) || together(c.Args[0].Value, c.Args[2].Value) {
		return ""
	}
	return onSameThing
}

// looseFuse: without a mains input the fuse is one of a car, a pad or a pack.
func looseFuse(r *schema.Record, c *Case, q []schema.Quantity, j Judgement) string {
	if len(c.Args) < 3 {
		return onMains
	}
	return looseTotal(1)(r, c, q, j)
}

// looseCells is for sums over cells whose number was counted, not measured, and of
// which it was not said either how so many are joined, all in series or all in
// parallel.
func looseCells(r *schema.Record, _ *Case, _ []schema.Quantity, _ Judgement) string {
	if b := r.Battery; b != nil && b.Cell.Count > 1 && len(r.Quantities) > 0 &&
		(b.Cell.Series > 0 && b.Cell.Parallel > 0 || b.Cell.Series+b.Cell.Parallel != b.Cell.Count) {
		return onCount
	}
	return ""
}

// looseSeries: a pack below its full voltage is not full; the number of cells is
// counted, not measured.
func looseSeries(r *schema.Record, c *Case, _ []schema.Quantity, j Judgement) string {
	if s := c.Extra.(seriesCells); s.series == 0 {
		return onCount
	}
	if j.Got < j.Limit && c.Args[0].Value == r.Battery.Pack.Full {
		return onFull
	}
	return ""
}

// looseContract: a reading far from the contract, or said long after it, is one of
// another contract, of a programmable voltage, or where something cut off; and other
// sockets than those of USB PD have other tolerances.
func looseContract(r *schema.Record, c *Case, q []schema.Quantity, j Judgement) string {
	if apart(j.Got, j.Limit) > math.Log(contractFar().high) || !together(c.Args[0].Value, c.Args[1].Value) {
		return onContract
	}
	for i := range r.Measurements {
		m := &r.Measurements[i]
		if &m.Value != c.Args[0].Value {
			continue
		}
		p := protocolOf(m.Condition.Protocol)
		if p == protocolPD || p == protocolNone && socketOf(m.Condition.Port) == socketC {
			return ""
		}
	}
	return onContract
}

var contractFar = bound("contract.far")

// looseBulk: a rating that suits the mains by its effective value is one of
// alternating voltage, unless the part has more capacitance than any that is made for
// that; and an inverter has bulk capacitors on the side of the battery.
func looseBulk(r *schema.Record, c *Case, q []schema.Quantity, j Judgement) string {
	if hasInverter(r) {
		return onMainsSide
	}
	if p := c.Args[0].Path; int(p.index) < len(r.Components) {
		part := &r.Components[p.index]
		if k := ratingNamed(part, "capacitance"); k >= 0 {
			if f, ok := one(&part.Ratings[k].Value.Quantity, schema.KindCapacitance); ok && f > lineCapacitance().high {
				return ""
			}
		}
	}
	if v, ok := one(&q[0], schema.KindVoltage); ok && v*math.Sqrt2 >= j.Limit {
		return onAC
	}
	return ""
}

var lineCapacitance = bound("xcapacitor.largest")

// looseBodySize: beyond three edges other sizes were said with the body, and one small
// edge alone is that of something in it.
func looseBodySize(r *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	if n := len(r.Body.Dimensions); n == 1 && j.Cause == causeBelow ||
		n > 3 && (j.Cause == causeBelow || apart(j.Got, j.Limit) < math.Log(unfolded)) {
		return onBodySize
	}
	return ""
}

// unfolded is how many times its side a thing that folds out may be long; less than a
// lost point.
const unfolded = 5

// looseHeat: wires that glow and irons are hotter than any product.
func looseHeat(_ *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	if j.Cause == causeAbove && j.Got > temperatureOther().high {
		return onHeat
	}
	return ""
}

var temperatureOther = bound("temperature.other")

// looseQi: without a profile the mode may be a vendor's.
func looseQi(_ *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	if qi().profile(protocolOf(c.Extra.(*schema.Claim).Protocol)) == nil {
		return onProtocol
	}
	return ""
}

// looseShared: of a list of powers said of a port, any may be the one alone.
func looseShared(r *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	alone := 0
	for i := range r.Claims {
		d := &r.Claims[i]
		if _, f := claimMode(d.Mode); isPower(d) && d.Port == c.Claim.Port && f == flowOutput {
			alone++
		}
	}
	if alone > 1 {
		return onSameThing
	}
	return ""
}

// looseStored: in a product with a battery a fuse may be on its side.
func looseStored(r *schema.Record, _ *Case, _ []schema.Quantity, _ Judgement) string {
	if r.Battery != nil {
		return onMains
	}
	return ""
}

// looseCeiling: a claim that sums up its level was said right behind it, where the
// level has no power of its own; another one near by may be of something else, unless the two are so far apart that a
// point was lost. What an input is claimed to take is that of one of its levels.
func looseCeiling(r *schema.Record, c *Case, _ []schema.Quantity, j Judgement) string {
	level, claim := c.Args[:2], c.Args[2].Value
	if isInput(c.Level.Mode) || claimedBefore(r, c.Level, claim, j.Got) {
		return onSameThing
	}
	for i := range level {
		if c.Level.Power == nil && behind(level[i].Value, claim) {
			return ""
		}
	}
	if onlyClaim(r, claim) {
		return ""
	}
	if apart(j.Got, j.Limit) > math.Log(lostPoint) && (together(level[0].Value, claim) || together(level[1].Value,
		claim)) {
		return ""
	}
	return onSameThing
}

// claimedBefore reports whether a level, or its port, was said with as much power
// as the level makes: a smaller claim for that port is of another state then, or
// of its input.
func claimedBefore(r *schema.Record, l *schema.Level, claim *schema.Value, watts float64) bool {
	for k := range r.Claims {
		c := &r.Claims[k]
		w, ok := one(&c.Value.Quantity, schema.KindPower)
		if ok && isPower(c) && &c.Value != claim && l.Port != "" && c.Port == l.Port && w*sums().share >= watts {
			return true
		}
	}
	return false
}

// lostPoint is the factor that only a lost point or prefix explains: ten, and the
// strongest level may give less than the claim.
const lostPoint = 7

// behind reports whether b was said right behind a, or both were written.
func behind(a, b *schema.Value) bool {
	if len(a.Said) == 0 || len(b.Said) == 0 {
		return true
	}
	d := slices.Min(b.Said) - slices.Max(a.Said)
	return d > 0 && d < nearby
}

// looseLevel: a power that a level makes was not misheard; then the level's port is
// no USB port.
func looseLevel(r *schema.Record, _ *Case, q []schema.Quantity, _ Judgement) string {
	w, _ := one(&q[0], schema.KindPower)
	for i := range r.Levels {
		l := &r.Levels[i]
		if l.Current == nil {
			continue
		}
		v, ok1 := one(&l.Voltage.Quantity, schema.KindVoltage)
		a, ok2 := one(&l.Current.Quantity, schema.KindCurrent)
		if ok1 && ok2 && math.Abs(v*a-w) <= limits().labelVolt*v+limits().labelPower*w+roundingOf(&q[0]) {
			return onPort
		}
	}
	return ""
}

// looseTimes: where the pack holds a whole number of times what the cells do, and
// no power of ten, more cells were not counted.
func looseTimes(_ *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	if times := j.Limit / j.Got; math.Abs(times-math.Round(times)) <= cellsShare().high*times &&
		!same(mantissa(math.Round(times)), 1) {
		return onCount
	}
	return ""
}

// looseNoMains: where no mains input was said, or an inverter makes mains of the
// battery, a capacitor is none behind the mains.
func looseNoMains(r *schema.Record, _ *Case, _ []schema.Quantity, _ Judgement) string {
	if !hasInverter(r) {
		for _, a := range mainsVoltages(r) {
			if _, v, ok := in(&a.Value.Quantity, schema.KindVoltage); ok && v >= mainsWindow().low {
				return ""
			}
		}
	}
	return onMains
}

// looseDrop: a marker says what a cable may carry; what is said of the product
// may ask less of it.
func looseDrop(r *schema.Record, _ *Case, q []schema.Quantity, j Judgement) string {
	most, labelled := 0.0, false
	for i := range r.Levels {
		if l := &r.Levels[i]; l.Current != nil && !isInput(l.Mode) {
			if a, ok := one(&l.Current.Quantity, schema.KindCurrent); ok {
				most, labelled = max(most, a), true
			}
		}
	}
	if a, ok := one(&q[1], schema.KindCurrent); labelled && ok && most*j.Got/a <= j.Limit {
		return onInUse
	}
	return ""
}

// looseKind: a rating outside the window of its kind is most often one of another
// kind of part, unless it is so far off that mega was heard for milli.
func looseKind(_ *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	if apart(j.Got, j.Limit) < math.Log(megaOverMilli) {
		return onKind
	}
	return ""
}

// megaOverMilli is less than mega is of milli: windows are wide.
const megaOverMilli = 1e7

// looseMainsSide: what is fed by a direct voltage too, through an adapter whose mains
// were said, may have parts of that side put on the mains: those rated for no more than
// may be touched.
func looseMainsSide(r *schema.Record, _ *Case, q []schema.Quantity, _ Judgement) string {
	v, ok := one(&q[0], schema.KindVoltage)
	if !ok || v > mainsSide().high {
		return ""
	}
	for i := range r.Levels {
		if l := &r.Levels[i]; isInput(l.Mode) && l.Protocol != schema.MainsProtocol && l.Port != schema.MainsPort {
			return onMainsSide
		}
	}
	return ""
}

var mainsSide = bound("mains.side")

// looseOneMains: one voltage alone, of which neither a range nor a frequency was said,
// may be one of the sun or of a battery, where the product is no charger.
func looseOneMains(r *schema.Record, c *Case, q []schema.Quantity, _ Judgement) string {
	at, _ := highest(q[1:], schema.KindVoltage)
	if at < 0 || q[1+at].Range || strings.HasSuffix(r.Product.Kind, "charger") ||
		slices.ContainsFunc(r.Claims, func(c schema.Claim) bool { return c.Property == "frequency" }) {
		return ""
	}
	return onMains
}

// looseStage: where another part of the kind covers what the part must withstand, that
// one is there, and the part behind another stage.
func looseStage(r *schema.Record, c *Case, _ []schema.Quantity, j Judgement) string {
	p := c.Args[0].Path
	if int(p.index) >= len(r.Components) {
		return ""
	}
	kind := r.Components[p.index].Kind
	for i := range r.Components {
		o := &r.Components[i]
		if i == int(p.index) || !sameUse(o.Kind, kind) {
			continue
		}
		if k := ratingNamed(o, "voltage"); k >= 0 && o.Ratings[k].Value.Quantity.SI() >= j.Limit {
			return onStage
		}
	}
	return ""
}

// sameUse reports whether two kinds of part may be one: a solid capacitor is that of an
// output where nothing else was said.
func sameUse(a, b string) bool {
	return a == b || strings.HasPrefix(b, "solid ") && a == "solid capacitor"
}

// looseLowPort: a part may be that of a port whose highest voltage it covers; a cable
// has no output stage, so its parts serve a display.
func looseLowPort(r *schema.Record, _ *Case, q []schema.Quantity, _ Judgement) string {
	v, ok := one(&q[0], schema.KindVoltage)
	if r.Product.Kind == "cable" {
		return onStage
	}
	tops := map[string]float64{}
	for i := range r.Levels {
		l := &r.Levels[i]
		if _, high, is := in(&l.Voltage.Quantity, schema.KindVoltage); is && !isInput(l.Mode) {
			tops[l.Port] = max(tops[l.Port], high)
		}
	}
	for _, top := range tops {
		if ok && len(tops) > 1 && top <= v {
			return onStage
		}
	}
	return ""
}

// looseMass: of several masses said of the body the one that was taken may be that of
// something that came with it.
func looseMass(r *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	if c.Args[0].Value == r.Body.Mass && slices.ContainsFunc(r.Body.Other, func(o schema.Rating) bool {
		return o.Value.Quantity.Unit.Kind() == schema.KindMass && !o.Value.Quantity.Same(r.Body.Mass.Quantity)
	}) {
		return onMass
	}
	return ""
}

// looseRow: of powers said in a row for ports joined the last may be their sum, the
// first unheard.
func looseRow(_ *schema.Record, c *Case, q []schema.Quantity, _ Judgement) string {
	if row, ok := c.Extra.(bool); !ok || !row {
		return ""
	}
	sum, last := 0.0, 0.0
	for i := range q[1:] {
		sum, last = sum+last, q[1+i].SI()
	}
	if last >= sum {
		return onSum
	}
	return ""
}

// looseFar rests on something unless the first two values were said one right after
// the other, with no more between them than the others of the case, or were not said
// but written.
func looseFar(on string) looseTest {
	return func(_ *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
		a, b := c.Args[0].Value.Said, c.Args[1].Value.Said
		if len(a) == 0 || len(b) == 0 {
			return ""
		}
		from, to := min(slices.Max(a), slices.Max(b)), max(slices.Min(a), slices.Min(b))
		if to-from > nearby {
			return on
		}
		for n := from + 1; n < to; n++ {
			if !slices.ContainsFunc(c.Args, func(x Arg) bool { return slices.Contains(x.Value.Said, n) }) {
				return on
			}
		}
		return ""
	}
}

// looseClock: megahertz that crystals have are the clock of a processor.
func looseClock(_ *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	if j.Cause == causeAbove && member(j.Got, crystalList()) >= 0 {
		return onClock
	}
	return ""
}

// looseFuseList: what is smaller or larger than the fuses on the mains of this trade is
// resettable, or of a vehicle.
func looseFuseList(_ *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	if w := fuseUsual(); j.Cause == causeUnlisted && (j.Got < w.low || j.Got > w.high) {
		return onListed
	}
	return ""
}

var fuseUsual = bound("fuse.usual")

// looseSeveral: two values of which the larger is less than twice the smaller, or more
// than a thousand times it, are not one part and several of it, but two parts.
func looseSeveral(_ *schema.Record, _ *Case, q []schema.Quantity, _ Judgement) string {
	a, b := q[0].SI(), q[1].SI()
	if ratio := max(a, b) / min(a, b); ratio < 2 || ratio > twoParts {
		return onSameThing
	}
	return ""
}

// twoParts is more than a lost point and any number of equal parts make together.
const twoParts = 1000

// passesMains reports whether the mains goes through the product to other devices, so
// that its current says nothing of what the product draws.
func passesMains(r *schema.Record) bool {
	return strings.Contains(r.Product.Kind, "strip") || slices.ContainsFunc(r.Levels, func(l schema.Level) bool {
		return !isInput(l.Mode) && (l.Port == schema.MainsPort || l.Protocol == schema.MainsProtocol)
	})
}

// loosePassed is for the current of the mains input.
func loosePassed(r *schema.Record, _ *Case, _ []schema.Quantity, _ Judgement) string {
	if passesMains(r) {
		return onWhole
	}
	return ""
}

// looseLoad: a power with another value between it and the current and the voltage is
// that of another load.
func looseLoad(_ *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	w := c.Args[0].Value
	for _, a := range c.Args[1:] {
		if v := a.Value; len(w.Said) == 0 || len(v.Said) == 0 || next(w, v) || next(v, w) {
			return ""
		}
	}
	return onSameThing
}

// looseOneClaim: too much input current for one power claimed is that for another, which
// accounts for it.
func looseOneClaim(r *schema.Record, _ *Case, q []schema.Quantity, j Judgement) string {
	v, _, ok := in(&q[1], schema.KindVoltage)
	if !ok || v <= 0 || j.Cause != causeOver {
		return ""
	}
	for i := range r.Claims {
		c := &r.Claims[i]
		w, is := one(&c.Value.Quantity, schema.KindPower)
		if _, f := claimMode(c.Mode); !is || !isPower(c) || f == flowInput {
			continue
		}
		if _, most := inputs().draw(w, v); j.Got <= most*inputs().label.high {
			return onWhole
		}
	}
	for i := range r.Levels {
		l := &r.Levels[i]
		if isInput(l.Mode) || l.Current == nil {
			continue
		}
		volts, ok1 := one(&l.Voltage.Quantity, schema.KindVoltage)
		amps, ok2 := one(&l.Current.Quantity, schema.KindCurrent)
		if _, most := inputs().draw(volts*amps, v); ok1 && ok2 && j.Got <= most*inputs().label.high {
			return onWhole
		}
	}
	return ""
}

// looseLowFuse: a fuse rated for less than any mains has is on another side.
func looseLowFuse(r *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	p := c.Args[0].Path
	if int(p.index) >= len(r.Components) {
		return ""
	}
	part := &r.Components[p.index]
	if k := ratingNamed(part, "voltage"); k >= 0 && part.Ratings[k].Value.Quantity.SI() <= mainsSide().high {
		return onMainsSide
	}
	return ""
}

// looseAtRating: a fuse of just the input current opens in use or not, by its standard.
func looseAtRating(_ *schema.Record, _ *Case, q []schema.Quantity, j Judgement) string {
	if a, ok := one(&q[1], schema.KindCurrent); ok && j.Cause == causeUnder && j.Got >= a {
		return onCarries
	}
	return ""
}

// looseOtherPower is looseOtherFuse for the power of the product.
func looseOtherPower(r *schema.Record, c *Case, q []schema.Quantity, _ Judgement) string {
	w, ok := one(&q[1], schema.KindPower)
	if !ok {
		return ""
	}
	least, most := inputs().draw(w, inputs().assumed)
	return otherFuse(r, c, least, most)
}
