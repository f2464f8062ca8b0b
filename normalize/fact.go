package normalize

import (
	"slices"

	"saywatt/extract"
	"saywatt/schema"
)

// fact is a joint statement over the quantities of up to four nodes, with the
// likelihood ratio it gives to each combination of their readings.
type fact struct {
	nodes [maxFactNodes]int32
	n     int
	kind  factKind
	extra float64
	link  extract.Link // of a relation: what words near say of it
	near  bool         // of a relation: nothing stands between
	pair  int8         // of a relation of four: 1 + the first of two that are one time, in hours and minutes
}

type factKind uint8

const (
	factLevelPower factKind = iota // V × A gives W
	factProduct                    // a × b = c
	factVolume                     // a × b × c = d
	factNear                       // measured near its level
	factMultiple                   // b = n × a
	factSum                        // a + b = c, or a + b + c = d; extra: the total is said elsewhere
	factRatio                      // a / b = c
	factDensity                    // d / (a × b × c) is that of a gadget
	factOrder                      // a is the longest edge, as sizes are said, mostly a ≥ b ≥ c
	factKnown                      // a rating that the glossary knows of the part
	factRelation                   // a relation of relations.tsv between three quantities near each other
	factTimes                      // b = n × a, or a = n × b, n being a count said beside them: extra
)

var factWords = [...]string{
	"volts times amperes give the power stated for it",
	"the product of two quantities stated beside it",
	"length times width times height give the volume stated",
	"a measured voltage lies near its level",
	"so many equal parts give the total stated",
	"the parts add up to a total stated",
	"the ratio of two energies stated",
	"mass and edges give the density of such a product",
	"sizes are usually said from the longest edge to the shortest",
	"the rating that the glossary knows of the part",
	"", // the relation's own words
	"", // those too
}

// gather lists the facts of the document over its nodes.
func (e *engine) gather() {
	e.facts = e.facts[:0]
	e.indexSaid()
	n := int32(len(e.nodes))
	for i := int32(0); i < n; i++ {
		c := e.top(i)
		if c == nil {
			continue
		}
		switch {
		case e.may(i, schema.KindVoltage) && i+1 < n && e.may(i+1, schema.KindCurrent) && e.tied(i, i+1):
			e.levelFacts(i)
		}
		if e.may(i, schema.KindCharge) {
			e.energyFacts(i)
		}
		m := e.main(i)
		switch m.Context.Property {
		case "output_voltage", "voltage_drop":
			if e.may(i, schema.KindVoltage) {
				e.nearFacts(i)
			}
		}
		switch {
		case m.Group >= 0 && e.nodes[i].last-1 == m.Group:
			e.edgeFacts(i)
		case m.Group < 0 && e.edges(i):
			e.volumeFacts(i)
		}
		if e.may(i, schema.KindPower) && i+1 < n && e.may(i+1, schema.KindPower) {
			e.sumFacts(i)
		}
		e.multipleFacts(i)
		if s := m.Context.Subject; s >= 0 && len(e.doc.Subjects[s].Known) > 0 {
			e.facts = append(e.facts, fact{nodes: [maxFactNodes]int32{i}, n: 1, kind: factKnown, extra: float64(s)})
		}
		if e.may(i, schema.KindEnergy) && i+1 < n && e.may(i+1, schema.KindRatio) {
			e.ratioFacts(i)
		}
	}
}

// main returns the mention that carries a node's unit and context.
func (e *engine) main(i int32) *extract.Mention { return e.mention(e.nodes[i].last - 1) }

// top returns the best candidate of a node by its own score.
func (e *engine) top(i int32) *candidate {
	n := &e.nodes[i]
	if n.from == n.to {
		return nil
	}
	return &e.cands[n.from]
}

// may reports whether a quantity of the kind is among the likelier readings.
func (e *engine) may(i int32, k schema.Kind) bool {
	n, b := &e.nodes[i], loadBounds()
	for c := n.from; c < n.to && c < n.from+int32(b.likelyReadings); c++ {
		if e.cands[c].kind == k && !e.cands[c].nothing &&
			e.cands[c].score > e.cands[n.from].score-float32(b.likelyScore) {
			return true
		}
	}
	return false
}

// tied reports whether node j follows node i in one breath.
func (e *engine) tied(i, j int32) bool {
	a, b := &e.nodes[i], &e.nodes[j]
	return (a.last == b.first || a.share == 1 && b.share == 2) && (b.share == 2 || e.mention(b.first).Joint.Close())
}

func samePort(a, b *extract.Mention) bool {
	return a.Context.Port == b.Context.Port && a.Context.Mode == b.Context.Mode
}

// levelFacts ties a voltage and the current behind it to the power given for
// the same port: the next one behind, else the last one before.
func (e *engine) levelFacts(i int32) {
	m := e.main(i)
	if m.Context.Subject >= 0 && e.subject(m) != "" && e.subject(m) != "rated" && e.subject(m) != "cable" &&
		e.subject(m) != "e-marker" {
		return
	}
	reach := e.reach.levelPower
	found := false
	of := func(k int32) bool {
		if !e.may(k, schema.KindPower) {
			return false
		}
		switch e.main(k).Context.Property {
		case "", "power", "condition_power":
			return true
		}
		return false
	}
	add := func(k int32) {
		e.facts = append(e.facts, fact{nodes: [maxFactNodes]int32{i, i + 1, k}, n: 3, kind: factLevelPower})
	}
	for k := i + 2; k < int32(len(e.nodes)) && k <= i+reach; k++ {
		if of(k) && samePort(m, e.main(k)) {
			add(k)
			found = true
			break
		}
		if !samePort(m, e.main(k)) {
			break
		}
	}
	for k := i - 1; k >= 0 && k >= i-reach; k-- {
		if !samePort(m, e.main(k)) {
			break
		}
		if of(k) {
			if !found || k == i-1 {
				add(k)
			}
			break
		}
	}
}

// energyFacts ties charge and voltage to the energy said near them.
func (e *engine) energyFacts(i int32) {
	for v := i - e.reach.energyVoltageBefore; v <= i+e.reach.energyVoltageBehind; v++ {
		if v < 0 || v == i || v >= int32(len(e.nodes)) || !e.may(v, schema.KindVoltage) {
			continue
		}
		for w := i - e.reach.energy; w <= i+e.reach.energy; w++ {
			if w < 0 || w == i || w == v || w >= int32(len(e.nodes)) || !e.may(w, schema.KindEnergy) {
				continue
			}
			e.facts = append(e.facts, fact{nodes: [maxFactNodes]int32{i, v, w}, n: 3, kind: factProduct})
		}
	}
}

// nearFacts ties a measured voltage to the level under test before it.
func (e *engine) nearFacts(i int32) {
	for k := i - 1; k >= 0 && k >= i-e.reach.nearLevel; k-- {
		m := e.main(k)
		if e.may(k, schema.KindVoltage) && m.Context.Property != "output_voltage" &&
			m.Context.Property != "condition_mains" && m.Context.Property != "ripple" {
			if c := e.top(k); c.role >= 0 && e.roles.Roles[c.role].Name == "condition.mains" || c.si < 2 {
				continue
			}
			e.facts = append(e.facts, fact{nodes: [maxFactNodes]int32{i, k}, n: 2, kind: factNear})
			return
		}
	}
}

// edgeFacts ties three lengths said as A by B by C to each other, and to the mass and
// the volume said soon after.
func (e *engine) edgeFacts(i int32) {
	if i+2 >= int32(len(e.nodes)) || e.main(i+2).Group != e.main(i).Group {
		return
	}
	e.facts = append(e.facts, fact{nodes: [maxFactNodes]int32{i, i + 1, i + 2}, n: 3, kind: factOrder})
	if s := e.main(i).Context.Subject; s < 0 || e.subject(e.main(i)) == "" || e.subject(e.main(i)) == "body" {
		e.boxFact(i, schema.KindMass, factDensity)
	}
	e.volumeFacts(i)
}

// edges reports whether node i and the two behind it, close together, may be lengths
// that were not said as A by B by C.
func (e *engine) edges(i int32) bool {
	if i+2 >= int32(len(e.nodes)) || !e.near(i, i+2) {
		return false
	}
	for k := i; k <= i+2; k++ {
		if e.main(k).Group >= 0 || !e.may(k, schema.KindLength) {
			return false
		}
	}
	return true
}

// volumeFacts ties three lengths to a volume said soon after.
func (e *engine) volumeFacts(i int32) { e.boxFact(i, schema.KindVolume, factVolume) }

// boxFact ties three lengths to the first of a kind said soon after.
func (e *engine) boxFact(i int32, of schema.Kind, kind factKind) {
	for k := i + 3; k < int32(len(e.nodes)) && k <= i+e.reach.size; k++ {
		if e.may(k, of) {
			e.facts = append(e.facts, fact{nodes: [maxFactNodes]int32{i, i + 1, i + 2, k}, n: 4, kind: kind})
			return
		}
	}
}

// sumFacts ties two or three powers said one after the other to their total:
// the power said next, or, where a plus joins two, one said clearly elsewhere.
func (e *engine) sumFacts(i int32) {
	n := int32(len(e.nodes))
	of := func(k int32) bool { return k < n && e.may(k, schema.KindPower) }
	if of(i+2) && e.near(i, i+2) {
		e.facts = append(e.facts, fact{nodes: [maxFactNodes]int32{i, i + 1, i + 2}, n: 3, kind: factSum})
		if of(i+3) && e.near(i, i+3) {
			e.facts = append(e.facts, fact{nodes: [maxFactNodes]int32{i, i + 1, i + 2, i + 3}, n: 4, kind: factSum})
		}
	}
	if e.main(i+1).Joint != extract.JointPlus {
		return
	}
	add := func(k int32) {
		e.facts = append(e.facts, fact{nodes: [maxFactNodes]int32{i, i + 1, k}, n: 3, kind: factSum, extra: 1})
	}
	powers := e.index.powers
	before, _ := slices.BinarySearch(powers, i)
	for _, k := range powers[max(0, before-int(e.reach.sumElsewhere)):before] {
		add(k)
	}
	if behind, _ := slices.BinarySearch(powers, i+3); behind < len(powers) {
		add(powers[behind])
	}
}

// near reports whether few words stand between node i and node j.
func (e *engine) near(i, j int32) bool {
	return e.main(j).First-e.main(i).First <= e.reach.sum
}

// multipleFacts ties a value to a later one of the same part and kind that is
// the part's count times as much: three of 27 µF make 81 µF.
func (e *engine) multipleFacts(i int32) {
	m := e.main(i)
	s := m.Context.Subject
	if s < 0 || e.doc.Subjects[s].Count < 2 {
		return
	}
	for k := i + 1; k < int32(len(e.nodes)) && k <= i+e.reach.multiple; k++ {
		if e.main(k).Context.Subject != s {
			return
		}
		for _, kind := range [...]schema.Kind{schema.KindCapacitance, schema.KindCharge, schema.KindEnergy,
			schema.KindMass} {
			if e.may(i, kind) && e.may(k, kind) {
				e.facts = append(e.facts, fact{nodes: [maxFactNodes]int32{i, k}, n: 2, kind: factMultiple,
					extra: float64(e.doc.Subjects[s].Count)})
			}
		}
	}
}

// ratioFacts ties an energy got out and the percentage behind it to the
// energies of the battery.
func (e *engine) ratioFacts(i int32) {
	for n, k := range e.index.energies {
		if k >= i || n == int(e.reach.ratio) {
			return
		}
		e.facts = append(e.facts, fact{nodes: [maxFactNodes]int32{i, k, i + 1}, n: 3, kind: factRatio})
	}
}
