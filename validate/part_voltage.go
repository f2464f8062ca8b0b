package validate

import (
	"math"
	"slices"
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// margin is a row of margins.tsv: what a part's rated voltage must cover.
type margin struct {
	kinds       []string
	against     string
	must, usual float64
	worst       bool // usual is that to the highest voltage of the mains, not to the one given
	least       bool // held against the lowest mains where none was said
	standard.Ground
}

var margins = sync.OnceValue(func() map[string]*margin {
	m := map[string]*margin{}
	for _, r := range schema.MustReadTable(tables, "tables/margins.tsv").Rows {
		m[r.Get("rule")] = &margin{r.List("kind"), r.Get("against"), mustFloat(r, "must"), mustFloat(r, "usual"),
			r.Get("mains") == "worst", r.Get("unsaid") == "least", standard.GroundOf(r)}
	}
	return m
})

// What margins.tsv compares with.
const (
	againstPeak   = "peak"
	againstMains  = "mains"
	againstOutput = "output"
)

// marginRule makes the rule of a row of margins.tsv: the part's rated voltage
// is its first argument, the voltages it must cover are the others.
func marginRule(name, doc, detail string, standing standard.Standing, relates ...string) *Rule {
	severity := schema.SeverityError
	if standing == standard.Practice {
		severity = schema.SeverityWarning
	}
	return &Rule{
		Name: name, Doc: doc, Detail: detail, Standing: standing, Severity: severity, Relates: relates,
		Source: marginSource,
		Find: func(r *schema.Record, yield func(Case) bool) {
			m := margins()[name]
			var seen []Arg
			for i, j := range place.Ratings(r, "voltage", m.kinds...) {
				switch {
				case seen != nil:
				case m.against == againstOutput:
					seen = outputVoltages(r)
				default:
					seen = mainsVoltages(r)
				}
				if len(seen) == 0 && !m.least {
					return
				}
				if !yield(Case{Label: partLabel(&r.Components[i]), Extra: m, Args: joined(ratingArg(r, i, j), seen)}) {
					return
				}
			}
		},
		Test: func(c *Case, q []schema.Quantity) Judgement {
			m := c.Extra.(*margin)
			v, ok1 := one(&q[0], schema.KindVoltage)
			at, top := highest(q[1:], schema.KindVoltage)
			switch {
			case ok1 && len(q) == 1 && m.least:
				return m.unsaid(v)
			case !ok1 || at < 0:
				return none
			}
			if m.against != againstOutput && top < mainsWindow().Low {
				return none // no mains voltage: an input from USB or solar
			}
			usual := top
			if m.worst {
				usual = worstMains(top)
			}
			if m.against == againstPeak {
				top, usual = top*math.Sqrt2, usual*math.Sqrt2
			}
			if v < top*m.must {
				return breaks(causeMust, v, top).on(m.Source, m.Standing).of(0, 1+at)
			}
			if usual *= m.usual; v < usual*(1-gridError) {
				return odd(causeUsual, v, usual).at(schema.SeverityNote).on(marginUsual, standard.Practice).of(0, 1+at)
			}
			return fits()
		},
		Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
			m := c.Extra.(*margin)
			if len(q) == 1 {
				return q[0].String() + " does not cover the lowest mains there is, " + amount(j.Limit, "V")
			}
			at, _ := highest(q[1:], schema.KindVoltage)
			seen := "the highest output voltage given, " + q[1+at].String()
			if m.against != againstOutput {
				seen = "the mains voltage given, " + q[1+at].String()
			}
			if m.against == againstPeak {
				seen = "the peak of " + seen
			}
			if j.Cause == causeUsual && m.worst {
				return q[0].String() + " is below " + amount(j.Limit, "V") +
					", the peak at the highest voltage of that mains, " +
					"" + q[1+at].String()
			}
			if j.Cause == causeUsual {
				return q[0].String() + " is close to " + seen + ": usual is " + amount(j.Limit, "V") + " or more"
			}
			return q[0].String() + " does not cover " + seen + ": it takes " + amount(j.Limit, "V")
		},
	}
}

// unsaid judges a rating of v volts where no mains was said: there is none lower than
// the lowest.
func (m *margin) unsaid(v float64) Judgement {
	if least := slices.Min(inputs().nominals); v < least*m.must {
		return breaks(causeMust, v, least).on(m.Source, m.Standing)
	}
	return fits()
}

var mainsWindow = sync.OnceValue(func() standard.Limit { return standard.LimitOf("mains.voltage") })

// Causes of a margin.
const (
	causeMust = iota
	causeUsual
)

const (
	marginSource = "the part must withstand what it sees; ratios in tables/margins.tsv (handbook 4.9, 8.1 I29 to " +
		"I32, 8.5)"
	marginUsual = "usual margin: common practice, no source"
)

// The rules of margins.tsv.
var (
	ruleBridgeVoltage = marginRule("bridge-voltage", "a bridge rectifier blocks at least the peak of the mains",
		"240 V AC have a peak of 339 V, 264 V of 373 V; 600 V and more are usual.", standard.Computed,
		"component.bridge rectifier.voltage", "level.voltage")
	ruleBulkVoltage = marginRule("bulk-voltage", "a bulk capacitor is rated for at least the peak of the mains",
		"240 V AC have a peak of 339 V, and 373 V where the mains is ten percent high, so 400 V are usual and 350 V "+
			"are "+
			"too little. "+
			"A note where the rating covers the peak only without the ten percent.", standard.Computed,
		"component.bulk "+
			"capacitor.voltage", "level.voltage").
		resting(either(looseBulk, looseMainsSide, looseOneMains, looseStage))
	rulePrimarySwitchVoltage = marginRule("primary-switch-voltage",
		"a primary switch blocks more than the peak of the mains",
		"A flyback adds the reflected voltage and a spike to the peak: 600 V and more are usual at 240 V AC.",
		standard.Computed, "component.primary MOSFET.voltage", "component.GaN switch.voltage",
		"level.voltage").resting(looseMainsSide)
	ruleLineCapacitorVoltage = marginRule("line-capacitor-voltage",
		"an X capacitor is rated for at least the mains voltage",
		"It sits across the line: 275, 305 or 310 V AC at 240 V.", standard.Computed, "component.X capacitor.voltage",
		"level.voltage")
	ruleYCapacitorVoltage = marginRule("y-capacitor-voltage", "a Y capacitor is rated for at least the mains voltage",
		"It lies between mains and output: 250 to 500 V AC. Y4 parts for 150 V serve on 127 V mains alone.",
		standard.Computed, "component.Y capacitor.voltage", "level.voltage")
	ruleFuseVoltage = marginRule("fuse-voltage", "a mains fuse is rated for at least the mains voltage",
		"125 V parts serve on 120 V mains alone; 32 V parts belong in cars, and in packs.", standard.Computed,
		"component.fuse.voltage", "level.voltage").resting(either(looseStored, looseMainsSide, looseOneMains))
	ruleRectifierVoltage = marginRule("rectifier-voltage",
		"an output rectifier blocks more than the highest output voltage, usually 1.5 times and more",
		"It sees the output voltage and the reflected bulk voltage: 100 V behind 20 V.", standard.Computed,
		"component.sync rectifier MOSFET.voltage", "component.Schottky diode.voltage",
		"level.voltage").resting(looseOutput)
	ruleOutputCapacitorVoltage = marginRule("output-capacitor-voltage",
		"an output capacitor is rated for at least the highest output voltage",
		"25 V behind 20 V. A product with several stages may have lower ones behind a converter of its own, so this "+
			"only warns.", standard.Practice, "component.solid output capacitor.voltage",
		"level.voltage").resting(either(looseOutput, looseStage, looseLowPort))
	rulePortSwitchVoltage = marginRule("port-switch-voltage",
		"a port switch blocks at least the highest output voltage, usually 1.2 times",
		"30 V at a 20 V port. A product with ports of different reach may have lower ones, so this only warns.",
		standard.Practice, "component.port switch MOSFET.voltage", "level.voltage").
		resting(either(looseOutput, looseLowPort))
)

// onResistance is a row of on_resistances.tsv in SI units.
type onResistance struct {
	kinds               []string
	classLow, classHigh float64
	low, high           float64
	standard.Ground
}

var onResistances = sync.OnceValue(func() []onResistance {
	var rows []onResistance
	milli := schema.Unit("mOhm").Scale()
	for _, r := range schema.MustReadTable(tables, "tables/on_resistances.tsv").Rows {
		rows = append(rows, onResistance{r.List("kind"), mustFloat(r, "class_low"), mustFloat(r, "class_high"),
			mustFloat(r, "low") * milli, mustFloat(r, "high") * milli, standard.GroundOf(r)})
	}
	return rows
})

// ruleOnResistance pairs on-resistance and voltage class.
var ruleOnResistance = &Rule{
	Name: "on-resistance",
	Doc:  "a transistor's on-resistance lies in the window of its voltage class",
	Detail: "A 650 V GaN switch has 15 mΩ to 2 Ω, a 100 V MOSFET 1.5 to 100 mΩ. A megohm is always a milliohm " +
		"misheard.",
	Source:   "handbook 4.6 (GaN examples of 70, 140 and 200 mΩ: R46), range common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.on_resistance", "component.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := range r.Components {
			c := &r.Components[i]
			res, volt := ratingNamed(c, "on_resistance"), ratingNamed(c, "voltage")
			if res < 0 || volt < 0 {
				continue
			}
			if !yield(Case{Label: partLabel(c), Extra: c.Kind,
				Args: []Arg{ratingArg(r, i, res), ratingArg(r, i, volt)}}) {
				return
			}
		}
	},
	Loose: looseCause(onSameThing, causeBelow),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		ohm, v, ok := two(q, schema.KindResistance, schema.KindVoltage)
		if !ok {
			return none
		}
		row := onResistanceRow(c.Extra.(string), v)
		if row == nil {
			return none
		}
		return window(ohm, row.low, row.high).on(row.Source, row.Standing)
	},
	Explain: func(c *Case, q []schema.Quantity, _ Judgement) string {
		row := onResistanceRow(c.Extra.(string), q[1].SI())
		return q[0].String() + " is outside " + amount(row.low, "mOhm") + " to " + amount(row.high, "mOhm") +
			", the window at " + q[1].String()
	},
}

// onResistanceRow is the row of a kind of part and a rated voltage.
func onResistanceRow(kind string, volts float64) *onResistance {
	for i := range onResistances() {
		row := &onResistances()[i]
		if volts < row.classLow || volts > row.classHigh {
			continue
		}
		for _, k := range row.kinds {
			if k == kind {
				return row
			}
		}
	}
	return nil
}

// ruleConductionLoss is I × R over the voltage passed.
var ruleConductionLoss = &Rule{
	Name: "conduction-loss",
	Doc:  "a port switch wastes no more than 3 % of what it passes",
	Detail: "Current squared times on-resistance times 1.5 for a hot part, over the power, at the level where that " +
		"share is greatest. 20 mΩ at 5 V and 3 A waste 1.8 %; 500 mΩ would waste 45 %.",
	Source:   "Joule's law, hot factor handbook 8.1 I12; share of 3 % common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.port switch MOSFET.on_resistance", "level.current", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		var passed []Arg
		for i, j := range place.Ratings(r, "on_resistance", "port switch MOSFET") {
			if passed == nil {
				passed = outputPairs(r)
			}
			if len(passed) == 0 {
				return
			}
			if !yield(Case{Label: partLabel(&r.Components[i]), Args: joined(ratingArg(r, i, j), passed)}) {
				return
			}
		}
	},
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		ohm, ok := one(&q[0], schema.KindResistance)
		if !ok {
			return none
		}
		at, share := worstLevel(q, ohm)
		if at == 0 {
			return none
		}
		if limit := conductionShare().High; share > limit {
			return breaks(at, share, limit).of(0, at, at+1).of(0, at, at+1)
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " would waste " + amount(j.Got, "%") + " of " + q[j.Cause+1].String() + " × " +
			q[j.Cause].String() + "; usual is up to " + amount(j.Limit, "%")
	},
}

// outputPairs are current and voltage of all output levels that have both.
func outputPairs(r *schema.Record) []Arg {
	args := make([]Arg, 0, 2*len(r.Levels))
	for i := range r.Levels {
		l := &r.Levels[i]
		if _, f := place.ModeOf(l.Mode); (f == place.Output || f == place.Shared) && l.Current != nil {
			args = append(args, arg(l.Current, place.Level(i, "current")), arg(&l.Voltage, place.Level(i, "voltage")))
		}
	}
	return args
}

// worstLevel finds the pair current, voltage with the greatest share of loss:
// the index of its current, 0 for none.
func worstLevel(q []schema.Quantity, ohm float64) (at int, share float64) {
	for i := 1; i+1 < len(q); i += 2 {
		a, ok1 := one(&q[i], schema.KindCurrent)
		v, ok2 := one(&q[i+1], schema.KindVoltage)
		if s := a * ohm * conductionHot().High / v; ok1 && ok2 && s > share {
			at, share = i, s
		}
	}
	return at, share
}

var (
	conductionHot   = standard.Bound("conduction.hot")
	conductionShare = standard.Bound("conduction.share")
)
