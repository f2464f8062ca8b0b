package validate

import (
	"slices"
	"strings"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// looseFrequency: kilohertz are a converter's or a coil's, twice the mains is the
// ripple behind a rectifier, and where no mains voltage was said a frequency near
// that of the mains is how often a screen is drawn.
var looseFrequency = either(looseBeyond(onMains, 200), looseRectified,
	both(looseUnfed, looseWithin(onMains, 5)), looseScreen)

// looseScreen: what moves data feeds screens, which are drawn so often.
func looseScreen(r *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	w := screenRates()
	if j.Got >= w.Low && j.Got <= w.High && movesData(r) {
		return onMains
	}
	return ""
}

var screenRates = standard.Bound("mains.screen")

func looseUnfed(r *schema.Record, _ *Case, _ []schema.Quantity, _ Judgement) string {
	if len(mainsVoltages(r)) == 0 {
		return onMains
	}
	return ""
}

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

// looseFuse: without a mains input the fuse is one of a car, a pad or a pack.
func looseFuse(r *schema.Record, c *Case, q []schema.Quantity, j Judgement) string {
	if len(c.Args) < 3 {
		return onMains
	}
	return looseTotal(1)(r, c, q, j)
}

// looseNoMains: where no mains input was said, or an inverter makes mains of the
// battery, a capacitor is none behind the mains.
func looseNoMains(r *schema.Record, _ *Case, _ []schema.Quantity, _ Judgement) string {
	if !hasInverter(r) {
		for _, a := range mainsVoltages(r) {
			if _, v, ok := in(&a.Value.Quantity, schema.KindVoltage); ok && v >= mainsWindow().Low {
				return ""
			}
		}
	}
	return onMains
}

// passesMains reports whether the mains goes through the product to other devices, so
// that its current says nothing of what the product draws.
func passesMains(r *schema.Record) bool {
	return strings.Contains(r.Product.Kind, "strip") || slices.ContainsFunc(r.Levels, func(l schema.Level) bool {
		return !place.IsInput(l.Mode) && (l.Port == schema.MainsPort || l.Protocol == schema.MainsProtocol)
	})
}

// loosePassed is for the current of the mains input.
func loosePassed(r *schema.Record, _ *Case, _ []schema.Quantity, _ Judgement) string {
	if passesMains(r) {
		return onWhole
	}
	return ""
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
		if _, f := claimMode(c.Mode); !is || !isPower(c) || f == place.Input {
			continue
		}
		if _, most := inputs().draw(w, v); j.Got <= most*inputs().label.High {
			return onWhole
		}
	}
	for i := range r.Levels {
		l := &r.Levels[i]
		if place.IsInput(l.Mode) || l.Current == nil {
			continue
		}
		volts, ok1 := one(&l.Voltage.Quantity, schema.KindVoltage)
		amps, ok2 := one(&l.Current.Quantity, schema.KindCurrent)
		if _, most := inputs().draw(volts*amps, v); ok1 && ok2 && j.Got <= most*inputs().label.High {
			return onWhole
		}
	}
	return ""
}

// looseLowFuse: a fuse rated for less than any mains has is on another side.
func looseLowFuse(r *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	i, ok := c.Args[0].Path.Component()
	if !ok || i >= len(r.Components) {
		return ""
	}
	part := &r.Components[i]
	if k := ratingNamed(part, "voltage"); k >= 0 && part.Ratings[k].Value.Quantity.SI() <= mainsSide().High {
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
