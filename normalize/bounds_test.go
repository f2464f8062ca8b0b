package normalize

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/place"
	"saywatt/normalize/channel"
	"saywatt/normalize/testdata/tabletest"
	"saywatt/schema"
)

// boundCase is a number right on either side of a row of bounds.tsv.
type boundCase struct {
	bound    string
	not, yes float64
	passes   func(p float64) bool
}

// TestBoundsHeld: of each row of bounds.tsv the last number beyond it does not pass and
// the first within it does. With another number, a tenth or one more or less, a case
// of the row fails.
func TestBoundsHeld(t *testing.T) {
	cases := map[string][]boundCase{}
	for _, list := range [][]boundCase{slackCases(t), shareCases(), countCases(t)} {
		for _, c := range list {
			cases[c.bound] = append(cases[c.bound], c)
			if not, yes := c.passes(c.not), c.passes(c.yes); not || !yes {
				t.Errorf("%s: %v passes: %t; %v passes: %t; want only the second", c.bound, c.not, not, c.yes, yes)
			}
		}
	}
	fails := func(c boundCase) bool { return c.passes(c.not) || !c.passes(c.yes) }
	tabletest.BoundsHeld(t, schema.MustReadTable(tables, "tables/bounds.tsv").Rows, loadBounds().fields(),
		func(bound string) bool { return slices.ContainsFunc(cases[bound], fails) })
}

// slackCases are those on how near values are.
func slackCases(t *testing.T) []boundCase {
	e, b := &engine{weights: loadWeights()}, loadBounds()
	of := func(k schema.Kind, si float64) *candidate { return &candidate{kind: k, si: si} }
	level := func(got, power float64) float64 {
		return e.levelPowerRatio(of(schema.KindVoltage, got), of(schema.KindCurrent, 1), of(schema.KindPower, power))
	}
	density := func(d float64) bool {
		edge := of(schema.KindLength, 1)
		return e.densityRatio([maxFactNodes]*candidate{edge, edge, edge, of(schema.KindMass, d)}) == 1
	}
	edges := func(volume float64) bool {
		edge := of(schema.KindLength, 1)
		return e.volumeRatio([maxFactNodes]*candidate{edge, edge, edge, of(schema.KindVolume, volume)}) > 1
	}
	said := func(n extract.Num, si float64) *candidate { return &candidate{hi: n, si: si} }
	return []boundCase{
		{"power_slack", 0.0125, 0.0116, func(p float64) bool { return level(1e6*(1+p), 1e6) == e.weights.LevelPower }},
		{"power_rounding", 0.55, 0.48, func(p float64) bool { return level(1+p, 1) == e.weights.LevelPower }},
		{"power_over", 1.27, 1.255, func(p float64) bool { return level(1e6*p, 1e6) != e.weights.LevelOver }},
		{"product_slack", 0.0105, 0.0095, func(p float64) bool {
			return e.productRatio(of(schema.KindCharge, 1), of(schema.KindVoltage, 1-p), of(schema.KindEnergy, 1)) > 1
		}},
		{"product_slack", 0.0105, 0.0095, func(p float64) bool { return edges(1 - p) }},
		{"sum_slack", 0.0065, 0.0055, func(p float64) bool {
			return e.multipleRatio(of(schema.KindPower, 1-p), of(schema.KindPower, 2), 2) > 1
		}},
		{"sum_slack", 0.0065, 0.0055, func(p float64) bool {
			part, whole := of(schema.KindEnergy, 0.8*(1-p)), of(schema.KindEnergy, 1)
			return e.shareRatio(part, whole, of(schema.KindRatio, 0.8)) > 1
		}},
		{"density_under", 3.2, 2.8, func(p float64) bool { return density(e.weights.DensityLow / p) }},
		{"density_over", 2.1, 1.9, func(p float64) bool { return density(e.weights.DensityHigh * p) }},
		{"near_low", 0.92, 0.94, func(p float64) bool { return b.near(p, 1) }},
		{"near_high", 1.06, 1.05, func(p float64) bool { return b.near(p, 1) }},
		{"reckoned_slack", 0.021, 0.019, func(p float64) bool { return b.reckons(100*(1+p), 100) }},
		{"related_slack", 0.0065, 0.0055, func(p float64) bool { // a value of many digits
			return (&relation{spread: 1}).within(4*(1+p), said(extract.Num{Coef: 4_000_000, Exp: -6}, 4)) > 0
		}},
		{"related_wide", 0.052, 0.048, func(p float64) bool { // one of a single digit
			return (&relation{spread: 1}).within(4*(1+p), said(extract.Num{Coef: 4}, 4)) > 0
		}},
		{"share_spread", 4.5, 4.7, func(p float64) bool { // 40 % is half a percent off: 0.0125 of it
			by := (&relation{spread: 1, form: asShare}).within(0.4, said(extract.Num{Coef: 40}, 0.4))
			return 2*0.0125/by <= p
		}},
	}
}

// shareCases are those from when on something counts.
func shareCases() []boundCase {
	b := loadBounds()
	two := func(p float64) *engine { // one quantity of two readings, the second with probability p
		return &engine{weights: loadWeights(), costs: channel.Default(), scratch: scratch{nodes: []node{{to: 2}},
			cands: []candidate{{posterior: 1 - p}, {posterior: p}}}}
	}
	asked := func(p float64) int {
		m := &extract.Mention{Places: []extract.Place{{P: p}}}
		m.Context.Class, _ = place.ParseClass("level.output")
		return askedBin(m)
	}
	return []boundCase{
		{"least_worth", 0.0048, 0.0052, func(p float64) bool {
			e := worthEngine(1)
			e.cands[0].posterior = p / (e.weights.Identity - 1)
			return len(e.offer(nil, fact{nodes: [maxFactNodes]int32{0, 1}, n: 2, kind: factMultiple, extra: 2})) == 1
		}},
		{"tying_ratio", 4.9, 5.1, func(p float64) bool {
			e := &engine{}
			e.nodes, e.facts = []node{{weighed: 2}, {weighed: 1}}, []fact{{kind: factProduct}}
			e.resetGraph()
			e.addFactor([maxFactNodes]int32{0, 1}, 2, 0, func(at *[maxFactNodes]int32) float64 {
				return 1 + float64(at[0])*(p-1)
			})
			e.graph.Index()
			return e.tiedTogether([]int32{0, 1}, 1)
		}},
		{"reason_ratio", 1.4, 1.6, func(p float64) bool { return b.isReason(p) }},
		{"worthwhile", 0.0019, 0.0021, func(p float64) bool {
			e := two(p)
			e.countWorthwhile()
			return e.nodes[0].weighed == 2
		}},
		{"decided", 0.89, 0.91, func(p float64) bool {
			e := two(p)
			e.adaptRate(channel.UnitSwapped, func(*candidate) bool { return true })
			return e.cands[1].score != 0
		}},
		{"least_belonging", 0.089, 0.091, func(p float64) bool {
			return len(b.listed([]schema.Belonging{{Confidence: 1 - p, Taken: true}, {Confidence: p}})) == 2
		}},
		{"likely_score", 5.1, 4.9, func(p float64) bool {
			e := two(0.5)
			e.cands[1].kind, e.cands[1].score = schema.KindMass, -float32(p)
			return e.may(0, schema.KindMass)
		}},
		{"hopeless", 4.1, 3.9, func(p float64) bool { return !b.isHopeless(-1-float32(p), -1) }},
		{"usual_rate", 0.19, 0.21, func(p float64) bool { return b.rate(100*p, 100) > 0 }},
		{"rate_weight", 6.2, 5.8, func(p float64) bool { return math.Exp(b.rate(1, 1)) <= (1+0.2*p)/(1+p)/0.2 }},
		{"usual_words", 6.4, 6.6, func(p float64) bool { return b.strange(100*p, 100) > 0 }},
		{"words_weight", 49.5, 50.5, func(p float64) bool { return b.strange(1+b.usualWords, 1) >= 1/(1+p) }},
		{"usual_open", 0.039, 0.041, func(p float64) bool { return b.openRate(100*p, 100) > 0 }},
		{"open_weight", 6.2, 5.8, func(p float64) bool { return math.Exp(b.openRate(1, 1)) <= (1+0.04*p)/(1+p)/0.04 }},
		{"related_exact", 0.94, 0.96, func(p float64) bool { // met to its last digit, of so many that are meant
			o, z := &relation{spread: 1}, &candidate{si: 2048, hi: extract.Num{Coef: 2048}}
			return o.within(2048, z) >= 1/2048.0/p
		}},
		{"likely_asked", 0.59, 0.61, func(p float64) bool { return asked(p) == 1 }},
		{"often", 0.049, 0.051, func(p float64) bool { return b.howOften(p) == "often" }},
		{"sometimes", 0.0099, 0.0101, func(p float64) bool { return b.howOften(p) == "sometimes" }},
	}
}

// worthEngine has a quantity of several volts, its readings being 1, 2, 3 … V, and
// another of twice the last of them.
func worthEngine(readings int) *engine {
	e := &engine{weights: loadWeights(), reach: loadReaches()}
	n := int32(readings)
	for k := range readings {
		e.cands = append(e.cands, candidate{kind: schema.KindVoltage, si: float64(k + 1), posterior: 1})
	}
	e.cands = append(e.cands, candidate{kind: schema.KindVoltage, si: 2 * float64(readings), posterior: 1})
	e.nodes = []node{{to: n, weighed: n}, {from: n, to: n + 1, weighed: 1}}
	return e
}

// countCases are those on how many are looked at.
func countCases(t *testing.T) []boundCase {
	b := loadBounds()
	list := make([]schema.Belonging, 9)
	for k := range list {
		list[k].Confidence = 0.1
	}
	return []boundCase{
		{"belongings", 6, 5, func(p float64) bool { return len(b.listed(append(list[:0:0], list...))) >= int(p) }},
		{"likely_readings", 5, 4, func(p float64) bool { // the kind of the reading of that number
			e := &engine{}
			e.nodes, e.cands = []node{{to: 9}}, make([]candidate, 9)
			e.cands[int(p)-1].kind = schema.KindMass
			return e.may(0, schema.KindMass)
		}},
		{"times", 25, 24, func(p float64) bool {
			d := read(t, fmt.Sprintf("%v of 100 nanofarads each, so %v nanofarads together.", p, 100*p))
			return strings.Contains(factsWithin(loadReaches(), d), fmt.Sprintf("%d[", factTimes))
		}},
		{"in_one", 3, 2, func(p float64) bool {
			text := strings.Repeat("27 ", int(p)) + "volts"
			d := read(t, "Output. "+text+".")
			for _, c := range cutsOf(d, []Answer{{Span: schema.Span{Start: 8, End: 8 + len(text)}}}) {
				if c != 0 {
					return true
				}
			}
			return false
		}},
		{"related_readings", 9, 8, func(p float64) bool { // the last reading alone is half the other
			f := fact{nodes: [maxFactNodes]int32{0, 1}, n: 2, kind: factMultiple, extra: 2}
			return worthEngine(int(p)).worth(&f) > 0
		}},
		{"unfinished", 15, 16, func(p float64) bool { return b.finished(int(p), 0) > 0 }},
		{"look_back", 5, 4, func(p float64) bool { return 20-b.finished(20, 0) >= int(p) }},
	}
}
