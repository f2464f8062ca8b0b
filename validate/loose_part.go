package validate

import (
	"math"
	"slices"
	"strings"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// looseOutput: a voltage as high as a mains is not that of an output behind a
// transformer.
func looseOutput(_ *schema.Record, c *Case, q []schema.Quantity, _ Judgement) string {
	if c.Extra.(*margin).against != againstOutput {
		return ""
	}
	if _, top := highest(q[1:], schema.KindVoltage); top >= mainsWindow().Low {
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

// looseBulk: a rating that suits the mains by its effective value is one of
// alternating voltage, unless the part has more capacitance than any that is made for
// that; and an inverter has bulk capacitors on the side of the battery.
func looseBulk(r *schema.Record, c *Case, q []schema.Quantity, j Judgement) string {
	if hasInverter(r) {
		return onMainsSide
	}
	if i, ok := c.Args[0].Path.Component(); ok && i < len(r.Components) {
		part := &r.Components[i]
		if k := ratingNamed(part, "capacitance"); k >= 0 {
			if f, ok := one(&part.Ratings[k].Value.Quantity, schema.KindCapacitance); ok && f > lineCapacitance().High {
				return ""
			}
		}
	}
	if v, ok := one(&q[0], schema.KindVoltage); ok && v*math.Sqrt2 >= j.Limit {
		return onAC
	}
	return ""
}

var lineCapacitance = standard.Bound("xcapacitor.largest")

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
	if !ok || v > mainsSide().High {
		return ""
	}
	for i := range r.Levels {
		if l := &r.Levels[i]; place.IsInput(l.Mode) &&
			l.Protocol != schema.MainsProtocol && l.Port != schema.MainsPort {
			return onMainsSide
		}
	}
	return ""
}

var mainsSide = standard.Bound("mains.side")

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
	at, ok := c.Args[0].Path.Component()
	if !ok || at >= len(r.Components) {
		return ""
	}
	kind := r.Components[at].Kind
	for i := range r.Components {
		o := &r.Components[i]
		if i == at || !sameUse(o.Kind, kind) {
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
		if _, high, is := in(&l.Voltage.Quantity, schema.KindVoltage); is && !place.IsInput(l.Mode) {
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
	if w := fuseUsual(); j.Cause == causeUnlisted && (j.Got < w.Low || j.Got > w.High) {
		return onListed
	}
	return ""
}

var fuseUsual = standard.Bound("fuse.usual")

// looseSeveral: two values of which the larger is less than twice the smaller, or more
// than a thousand times it, are not one part and several of it, but two parts.
func looseSeveral(_ *schema.Record, _ *Case, q []schema.Quantity, _ Judgement) string {
	a, b := q[0].SI(), q[1].SI()
	if ratio := max(a, b) / min(a, b); ratio < 2 || ratio > twoParts().High {
		return onSameThing
	}
	return ""
}

// twoParts is more than a lost point and any number of equal parts make together.
var twoParts = standard.Bound("parts.apart")
