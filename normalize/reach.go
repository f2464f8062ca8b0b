package normalize

import (
	"sync"

	"saywatt/schema"
)

// reaches say how far apart quantities may be said and still be held against
// each other, from tables/reach.tsv.
type reaches struct {
	unitReaches
	seenReaches
	levelPower, energyVoltageBefore, energyVoltageBehind, energy, nearLevel, size, multiple int32
	sum, sumElsewhere, ratio, related, relatedWords, relatedKept, count, timeJoint          int32
}

// unitReaches are those from a number without a unit to what it may have its unit of.
type unitReaches struct {
	milli, pattern, powerBehind, recentBefore, recentBehind, side, sameUnit, sumUnit, reckoned int32
	loneBefore, loneBehind                                                                     int32
}

// seenReaches are those of the traits, whose weights are fitted.
type seenReaches struct{ nearestKind, turn, garbled int32 }

// fields are the reaches by their names in the table.
func (r *reaches) fields() map[string]*int32 {
	return map[string]*int32{
		"level_power": &r.levelPower, "energy_voltage_before": &r.energyVoltageBefore,
		"energy_voltage_behind": &r.energyVoltageBehind, "energy": &r.energy, "near_level": &r.nearLevel,
		"size": &r.size, "multiple": &r.multiple, "sum": &r.sum, "sum_elsewhere": &r.sumElsewhere, "ratio": &r.ratio,
		"related": &r.related, "related_words": &r.relatedWords, "related_kept": &r.relatedKept, "count": &r.count,
		"milli": &r.milli, "pattern": &r.pattern, "power_behind": &r.powerBehind,
		"time_joint": &r.timeJoint, "recent_before": &r.recentBefore,
		"recent_behind": &r.recentBehind, "side": &r.side, "same_unit": &r.sameUnit, "sum_unit": &r.sumUnit,
		"reckoned": &r.reckoned, "lone_before": &r.loneBefore, "lone_behind": &r.loneBehind,
		"nearest_kind": &r.nearestKind, "turn": &r.turn, "garbled": &r.garbled,
	}
}

var loadReaches = sync.OnceValue(func() *reaches {
	r := &reaches{}
	schema.MustReadNumbers(tables, "tables/reach.tsv", "relation", "reach", r.fields())
	return r
})

// saidIndex lists the nodes of which some relations look at the first or the
// nearest: an index, so that nothing is searched for over the whole text.
type saidIndex struct {
	powers   []int32 // likeliest read as a power, as heard
	energies []int32 // the first that may be an energy
}

// indexSaid makes the index of the nodes.
func (e *engine) indexSaid() {
	x := &e.index
	for i := range int32(len(e.nodes)) {
		if e.may(i, schema.KindPower) && e.top(i).literal && e.top(i).kind == schema.KindPower {
			x.powers = append(x.powers, i)
		}
		if len(x.energies) <= int(e.reach.ratio) && e.may(i, schema.KindEnergy) {
			x.energies = append(x.energies, i)
		}
	}
}
