package validate

import (
	"math"
	"slices"
	"strings"
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// ruleBulkCapacitance is µF per watt.
var ruleBulkCapacitance = &Rule{
	Name: "bulk-capacitance",
	Doc:  "all bulk capacitors together have 0.4 to 4 µF per watt of output",
	Detail: "About 2 µF/W for 85 to 264 V AC, 1 µF/W for 180 to 264 V, less in compact designs; behind power " +
		"factor correction 0.2 to 1.5 µF/W. Above 75 W of input such a stage may be there untold, so only less " +
		"than 0.2 or more than 4 µF/W is objected to. The highest claimed power counts.",
	Source:   "handbook 4.9 (flyback design note R27), gate common practice, no source; check value W71",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.bulk capacitor.capacitance", "claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		powers := powerClaims(r)
		if len(powers) == 0 {
			return
		}
		x := bulkCase{corrected: slices.ContainsFunc(r.Components,
			func(c schema.Component) bool { return strings.HasPrefix(c.Kind, "PFC") })}
		var caps []Arg
		for i, j := range place.Ratings(r, "capacitance", "bulk capacitor") {
			caps = append(caps, ratingArg(r, i, j))
			x.copies = append(x.copies, float64(place.Copies(&r.Components[i])))
		}
		if caps != nil {
			yield(Case{Label: "bulk capacitors", Extra: x, Args: append(caps, powers...)})
		}
	},
	Loose: looseNoMains,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		x := c.Extra.(bulkCase)
		total, ok1 := x.total(q)
		at, p := highest(q[len(x.copies):], schema.KindPower)
		if !ok1 || at < 0 {
			return none
		}
		w := x.window(p)
		j := on(w, window(total/p, w.Low, w.High)).of(len(x.copies) + at)
		for i := range x.copies {
			j = j.of(i)
		}
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		x := c.Extra.(bulkCase)
		total, _ := x.total(q)
		at, p := highest(q[len(x.copies):], schema.KindPower)
		w := x.window(p)
		t := amount(total, "uF") + " in all for " + q[len(x.copies)+at].String() + " is " +
			amount(j.Got/schema.Unit("uF").Scale(), "1") + " µF/W"
		return t + ", outside " + amount(w.Low/schema.Unit("uF").Scale(), "1") + " to " +
			amount(w.High/schema.Unit("uF").Scale(), "1") + " µF/W"
	},
}

// bulkCase says how many equal parts each of the first arguments stands for.
type bulkCase struct {
	copies    []float64
	corrected bool // a power factor stage was said
}

func (x bulkCase) total(q []schema.Quantity) (float64, bool) {
	sum := 0.0
	for i, n := range x.copies {
		f, ok := one(&q[i], schema.KindCapacitance)
		if !ok {
			return 0, false
		}
		sum += f * n
	}
	return sum, true
}

// window is that of the product's output in W: above the power from which a
// power factor stage is expected, one may be there that was not said.
func (x bulkCase) window(watts float64) standard.Limit {
	if x.corrected {
		return bulkCorrected()
	}
	w := bulkPlain()
	if t := inputs(); watts/t.efficiency > t.correction.High {
		w.Low = bulkCorrected().Low
	}
	return w
}

var (
	bulkPlain     = standard.Bound("bulk.plain")
	bulkCorrected = standard.Bound("bulk.corrected")
)

// switching is a row of switching.tsv.
type switching struct {
	kinds, topologies []string
	low, high         float64
	what              string
	standard.Ground
}

var switchings = sync.OnceValue(func() []switching {
	var rows []switching
	for _, r := range schema.MustReadTable(tables, "tables/switching.tsv").Rows {
		rows = append(rows, switching{r.List("kind"), r.List("topology"), mustFloat(r, "low"), mustFloat(r, "high"),
			r.Get("what"), standard.GroundOf(r)})
	}
	return rows
})

// switchingOf is the first row for a part, nil where none is.
func switchingOf(c *schema.Component) *switching {
	topology := strings.ToLower(c.Topology)
	for i := range switchings() {
		row := &switchings()[i]
		if slices.Contains(row.kinds, c.Kind) && (row.topologies == nil ||
			slices.ContainsFunc(row.topologies, func(t string) bool { return strings.HasPrefix(topology, t) })) {
			return row
		}
	}
	return nil
}

// ruleSwitchingFrequency is kHz by topology.
var ruleSwitchingFrequency = &Rule{
	Name: "switching-frequency",
	Doc:  "a converter switches in the frequency window of its topology",
	Detail: "65 kHz and 130 kHz are usual for silicon flybacks, 100 to 600 kHz for LLC and active clamp with GaN. " +
		"MHz for kHz is a wrong prefix.",
	Source:   "handbook 8.3 and 7.2, common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.frequency"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := range r.Components {
			c := &r.Components[i]
			j := ratingNamed(c, "frequency")
			if j < 0 {
				continue
			}
			if row := switchingOf(c); row != nil &&
				!yield(Case{Label: partLabel(c), Extra: row, Args: []Arg{ratingArg(r, i, j)}}) {
				return
			}
		}
	},
	Loose: looseClock,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		row := c.Extra.(*switching)
		low, high, ok := in(&q[0], schema.KindFrequency)
		if !ok || low <= 0 {
			return none
		}
		if j := window(high, row.low, row.high); j.Verdict != VerdictFits {
			return j
		}
		return window(low, row.low, row.high)
	},
	Explain: func(c *Case, q []schema.Quantity, _ Judgement) string {
		row := c.Extra.(*switching)
		return q[0].String() + " is outside " + amount(row.low, "kHz") + " to " + amount(row.high, "kHz") +
			", the window of a " + row.what
	},
}

// ruleResonance is 1 / (2π√(LC)) of a wireless transmitter.
var ruleResonance = &Rule{
	Name: "coil-resonance",
	Doc:  "coil and resonant capacitor of a wireless charger resonate near its band",
	Detail: "24 µH with 100 nF resonate at 103 kHz. The windows are 80 to 250 kHz for profiles of 87 to 205 kHz " +
		"and 300 to 450 kHz for those of 360 kHz, since transmitters run beside resonance. Equal capacitors may " +
		"lie in parallel.",
	Source:   "f = 1 / (2π√(LC)); bands handbook 3.3 (R22), windows common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.coil.inductance", "component.resonant capacitor.capacitance"},
	Loose:    looseResonant,
	Find: func(r *schema.Record, yield func(Case) bool) {
		coil := 0
		for i, j := range place.Ratings(r, "inductance", "coil") {
			capacitor := 0
			for k, l := range place.Ratings(r, "capacitance", "resonant capacitor") {
				// the n-th capacitor belongs to the n-th coil
				if capacitor == coil && !yield(Case{Label: partLabel(&r.Components[i]),
					Extra: place.Copies(&r.Components[k]),
					Args:  []Arg{ratingArg(r, i, j), ratingArg(r, k, l)}}) {
					return
				}
				capacitor++
			}
			coil++
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		l, f, ok := two(q, schema.KindInductance, schema.KindCapacitance)
		if !ok {
			return none
		}
		var best Judgement
		for n := 1; n <= c.Extra.(int); n++ {
			hz := 1 / (2 * math.Pi * math.Sqrt(l*f*float64(n)))
			for _, w := range [...]standard.Limit{resonanceLow(), resonanceHigh()} {
				if j := window(hz, w.Low, w.High); best.Verdict == VerdictNone || j.Verdict < best.Verdict ||
					j.Verdict == best.Verdict && j.Excess < best.Excess {
					best = j
				}
			}
		}
		return best
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " and " + q[1].String() + " resonate at " + amount(j.Got, "kHz") + ", outside " +
			amount(resonanceLow().Low, "kHz") + " to " +
			amount(resonanceLow().High, "kHz") + " and " + amount(resonanceHigh().Low, "kHz") + " to " +
			amount(resonanceHigh().High, "kHz")
	},
}

var (
	resonanceLow  = standard.Bound("resonance.low")
	resonanceHigh = standard.Bound("resonance.high")
)

// ruleParallelSum is n equal parts = total.
var ruleParallelSum = &Rule{
	Name: "parallel-sum",
	Doc:  "equal parts in parallel have as many times the value of one",
	Detail: "Looks at parts with a count that have the same property twice: each and all together. Resistances go " +
		"down instead.",
	Source:   "parallel circuit; handbook 4.9 (several cans in parallel)",
	Standing: standard.Computed,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.capacitance", "component.charge", "component.resistance"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := range r.Components {
			c := &r.Components[i]
			if c.Count < 2 {
				continue
			}
			for j := range c.Ratings {
				p := c.Ratings[j].Property
				if p != "capacitance" && p != "charge" && p != "resistance" {
					continue
				}
				next := slices.IndexFunc(c.Ratings[j+1:], func(x schema.Rating) bool { return x.Property == p })
				if next >= 0 && !yield(Case{Label: partLabel(c), Extra: c.Count,
					Args: []Arg{ratingArg(r, i, j), ratingArg(r, i, j+1+next)}}) {
					return
				}
			}
		}
	},
	Loose: looseSeveral,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		k := q[0].Unit.Kind()
		a, b, ok := two(q, k, k)
		if !ok {
			return none
		}
		want := min(a, b) * float64(c.Extra.(int))
		return within(max(a, b), want, parallelShare().High*want)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " and " + q[1].String() + " do not fit: " + amount(float64(c.Extra.(int)), "1") +
			" in parallel are " + amount(j.Limit, q[0].Unit)
	},
}

var parallelShare = standard.Bound("parallel.share")
