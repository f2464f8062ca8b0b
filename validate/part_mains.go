package validate

import (
	"math"
	"slices"
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// worstMains is the highest voltage that a mains said as v volts may have: ten
// percent more where v is a nominal voltage, else v, which then counts it in.
func worstMains(v float64) float64 {
	if member(v, inputs().nominals) < 0 {
		return v
	}
	return v * (1 + mainsTolerance().High)
}

var mainsTolerance = standard.Bound("mains.tolerance")

// varistor is a row of varistors.tsv.
type varistor struct {
	code   string
	dc, ac float64 // V at 1 mA, and effective
	standard.Ground
}

var varistors = sync.OnceValue(func() []varistor {
	var rows []varistor
	for _, r := range schema.MustReadTable(tables, "tables/varistors.tsv").Rows {
		rows = append(rows, varistor{r.Get("code"), mustFloat(r, "dc"), mustFloat(r, "ac"), standard.GroundOf(r)})
	}
	return rows
})

// ruleVaristorVoltage: a varistor rests while the mains is as it should be.
var ruleVaristorVoltage = &Rule{
	Name: "varistor-voltage",
	Doc:  "a varistor does not conduct at the peak of the mains",
	Detail: "Said as its AC rating (300 V), which must cover the mains, or as its voltage at 1 mA (470 V for the " +
		"code 471), which may be ten percent lower and must cover the peak: 240 V AC have a peak of 339 V, and 373 " +
		"V where the mains is ten percent high. A part that covers the one and not the other is noted.",
	Source:   "peak of a sine; IEC 61051 codes (R26), AC ratings unverified; tolerance of the mains: IEC 60038",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates:  []string{"component.varistor.voltage", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		mains := mainsVoltages(r)
		if len(mains) == 0 {
			return
		}
		for i, k := range place.Ratings(r, "voltage", "varistor") {
			if !yield(Case{Label: partLabel(&r.Components[i]), Args: joined(ratingArg(r, i, k), mains)}) {
				return
			}
		}
	},
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		v, ok := one(&q[0], schema.KindVoltage)
		at, top := highest(q[1:], schema.KindVoltage)
		if !ok || at < 0 || top < mainsWindow().Low {
			return none
		}
		stands, must, worst := standsAt(v, top)
		switch {
		case stands < must*(1-gridError):
			return breaks(causeMust, v, v*must/stands).of(0, 1+at)
		case stands < worst*(1-gridError):
			return odd(causeUsual, v, v*worst/stands).at(schema.SeverityNote).of(0, 1+at)
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		at, _ := highest(q[1:], schema.KindVoltage)
		mains := "the mains voltage given, " + q[1+at].String()
		if stands, _, _ := standsAt(q[0].SI(), q[1+at].SI()); stands != q[0].SI() {
			mains = "the peak of " + mains
		}
		if j.Cause == causeUsual {
			return q[0].String() + " covers " + mains + ", but not where it is ten percent high: that takes " +
				amount(j.Limit, "V")
		}
		return q[0].String() + " does not cover " + mains + ": it takes " + amount(j.Limit, "V")
	},
}

// standsAt says up to which voltage a varistor said with v volts rests, and what
// it must stand at a mains of top volts as said and at the highest it may have:
// effective values where v is an AC rating, peaks where it is that at 1 mA.
func standsAt(v, top float64) (stands, must, worst float64) {
	if slices.ContainsFunc(varistors(), func(row varistor) bool { return same(row.ac, v) }) {
		return v, top, worstMains(top)
	}
	return v * (1 - varistorTolerance().High), top * math.Sqrt2, worstMains(top) * math.Sqrt2
}

var varistorTolerance = standard.Bound("varistor.tolerance")

// ruleYCapacitance is the touch current of the Y capacitors.
var ruleYCapacitance = &Rule{
	Name: "y-capacitance",
	Doc:  "the current through the Y capacitors may be touched: at most 0.5 mA",
	Detail: "2π × frequency × capacitance × voltage, with 60 Hz and the mains given, ten percent high: at 264 V " +
		"0.5 mA are 5 nF, so 4.7 nF is the usual ceiling. A part that passes more alone is warned of; of several, " +
		"it was not said that they lie in parallel, so their sum is only noted. Products with an earth may have " +
		"more.",
	Source: "I = 2π × f × C × V; 0.5 mA: IEC 62368-1:2018 Table 4 (ES1); usual ceiling of 4.7 nF: handbook 4.7 " +
		"(application note R25b)",
	Standing: standard.Unverified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.Y capacitor.capacitance", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		x := yCase{}
		var args []Arg
		for i, k := range place.Ratings(r, "capacitance", "Y capacitor") {
			args = append(args, ratingArg(r, i, k))
			x.copies = append(x.copies, float64(place.Copies(&r.Components[i])))
		}
		if args != nil {
			yield(Case{Label: "Y capacitor", Extra: x, Args: append(args, mainsVoltages(r)...)})
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		x := c.Extra.(yCase)
		sum := 0.0
		limit := touchCurrent().High
		for i, n := range x.copies {
			f, ok := one(&q[i], schema.KindCapacitance)
			if !ok {
				return none
			}
			if got := x.current(f, q); got > limit {
				return breaks(causeMust, got, limit).of(i)
			}
			sum += f * n
		}
		if got := x.current(sum, q); got > limit {
			return odd(causeUsual, got, limit).at(schema.SeverityNote)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		x := c.Extra.(yCase)
		what := "all together"
		for i := range x.copies {
			if j.Cause != causeUsual && j.about(i) {
				what = q[i].String()
			}
		}
		return what + ": " + amount(j.Got, "mA") + " flow at " + amount(x.mains(q), "V") +
			"; what may be touched lets at " +
			"most " +
			amount(j.Limit, "mA") + " through"
	},
}

// yCase says how many equal parts each of the first arguments stands for; the
// voltages of the mains follow.
type yCase struct{ copies []float64 }

// mains is the voltage that drives the current.
func (x yCase) mains(q []schema.Quantity) float64 {
	return worstOf(q[len(x.copies):])
}

// worstOf is the highest voltage of the mains said in q; that of a usual mains
// where none was, or none that a mains can have.
func worstOf(q []schema.Quantity) float64 {
	w := mainsWindow()
	if at, top := highest(q, schema.KindVoltage); at >= 0 && top >= w.Low && top <= w.High {
		return worstMains(top)
	}
	return touchMains().High
}

// current is the touch current in A.
func (x yCase) current(farads float64, q []schema.Quantity) float64 {
	return 2 * math.Pi * touchFrequency().High * farads * x.mains(q)
}

var (
	touchCurrent   = standard.Bound("touch.current")
	touchMains     = standard.Bound("touch.mains")
	touchFrequency = standard.Bound("touch.frequency")
)

// ruleTouchCurrent holds a reading against the same limit.
var ruleTouchCurrent = &Rule{
	Name: "touch-current",
	Doc:  "a touch current measured at the output is at most 0.5 mA",
	Detail: "What flows through a person who touches the output while the supply is on the mains. It is a reading " +
		"of a network that stands for a person; a plain meter reads more, so this only notes.",
	Source:   "IEC 62368-1:2018 Table 4 (ES1)",
	Standing: standard.Unverified,
	Severity: schema.SeverityNote,
	Relates:  []string{"measurement.touch_current"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := range r.Measurements {
			if m := &r.Measurements[i]; m.Property == "touch_current" && !yield(Case{Label: measureLabel(m),
				Args: []Arg{arg(&m.Value, place.Measurement(i))}}) {
				return
			}
		}
	},
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		_, i, ok := in(&q[0], schema.KindCurrent)
		if !ok || i <= 0 {
			return none
		}
		if limit := touchCurrent().High; i > limit*(1+gridError) {
			return odd(0, i, limit)
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is above the " + amount(j.Limit, "mA") + " that what may be touched lets through"
	},
}
